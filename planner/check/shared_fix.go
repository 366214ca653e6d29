package check

import "encoding/json"

// rawList is a fix's list of one feature.
func rawList(put json.RawMessage) []json.RawMessage { return []json.RawMessage{put} }

package planner

import (
	"encoding/json"
	"strings"

	"github.com/stretchr/testify/require"

	"quickthorn/geo/interchange"
)

type rawMessage = json.RawMessage

// changed is Plan.Change of the feature with that id.
func changed(t require.TestingT, p *Plan, id string, set map[string]any, unset ...string) json.RawMessage {
	f := p.Feature(id)
	require.NotNil(t, f, id)
	raw, err := p.Change(f, set, unset...)
	require.NoError(t, err)
	return raw
}

// strip takes the origin out that the first save wrote into a holding that had other members.
func strip(text string, p *Plan) string {
	o := interchange.AppendPosition([]byte(`, "origin": `), p.Frame.Origin())
	return strings.Replace(text, string(o), "", 1)
}

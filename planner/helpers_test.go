package planner

import (
	"encoding/json"

	"github.com/stretchr/testify/require"
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

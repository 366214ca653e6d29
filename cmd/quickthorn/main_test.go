package main

import (
	"bytes"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"

	"quickthorn/planner"
)

// What went wrong is said without what could steer a terminal, be it from a file or from its name (CWE-150), and keeps its lines.
func TestWhatWentWrongCannotSteerTheTerminal(t *testing.T) {
	for _, row := range []struct {
		err  error
		want string
		code int
	}{
		{&planner.Problem{File: "a\x1b[31m.kml", What: "It is \x07broken\xad.", Mend: "Export it again."}, "quickthorn: a[31m.kml: It is broken\uFFFD. Export it again.\n", exitInput},
		{errors.New("first\nsecond"), "quickthorn: first\nsecond\n", exitFault},
	} {
		var b bytes.Buffer
		assert.Equal(t, row.code, finish(&invocation{errs: &b}, 0, row.err))
		assert.Equal(t, row.want, b.String())
	}
}

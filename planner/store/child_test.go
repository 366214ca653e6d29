package store

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"
)

// The test binary runs itself as a child with these set: what to be, and where the store lies.
const (
	childName = "QUICKTHORN_STORE_CHILD"
	childPath = "QUICKTHORN_STORE_PATH"
)

// children are what a child can be. Each talks in lines of standard output, and gives the exit code.
var children = map[string]func(path string) int{
	"edits": childEdits,
	"open":  childOpen,
}

func runChild(name, path string) int {
	be, ok := children[name]
	if !ok {
		fmt.Fprintln(os.Stderr, "no such child:", name)
		return 2
	}
	return be(path)
}

// child is the test binary as one of children, not yet started.
func child(t testing.TB, name, path string) *exec.Cmd {
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self, "-test.run=^$")
	cmd.Env = append(os.Environ(), childName+"="+name, childPath+"="+path)
	cmd.Stderr = os.Stderr
	return cmd
}

// reply is what a child says of one call.
type reply struct {
	Revision int64
	Failed   string `json:",omitempty"`
}

func say(r reply) {
	text, err := json.Marshal(r)
	if err != nil {
		panic(err)
	}
	os.Stdout.Write(append(text, '\n')) // at once: what is said is acknowledged
}

// childEdits makes the calls that it is sent on the holding "here", each on the revision of the one before, and says what became of each.
func childEdits(path string) int {
	ctx := context.Background()
	s, err := Open(ctx, path, nil)
	if err != nil {
		say(reply{Failed: err.Error()})
		return 1
	}
	h, err := s.Holding(ctx, "here")
	if err != nil {
		say(reply{Failed: err.Error()})
		return 1
	}
	lines := bufio.NewReader(os.Stdin)
	for {
		line, err := lines.ReadBytes('\n')
		if err == io.EOF {
			return 0
		}
		var o op
		if err == nil {
			err = json.Unmarshal(line, &o)
		}
		if err != nil {
			panic(err)
		}
		next, err := o.do(ctx, s, "here", h.Revision)
		if err != nil {
			say(reply{Revision: h.Revision, Failed: err.Error()})
			continue
		}
		h = next
		say(reply{Revision: h.Revision})
	}
}

// childOpen opens the store, which may not be there yet.
func childOpen(path string) int {
	s, err := Open(context.Background(), path, nil)
	if err != nil {
		say(reply{Failed: err.Error()})
		return 1
	}
	say(reply{})
	if err := s.Close(); err != nil {
		return 1
	}
	return 0
}

package store

import (
	"bufio"
	"context"
	"encoding/json"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A child makes a stream of changes and is killed in the middle of it, again and again on the same store. Whatever it acknowledged is
// there; of the one call that it may have been at, all or nothing; at the end, undoing everything gives the first bytes back.
func TestNothingAcknowledgedIsLost(t *testing.T) {
	kills := 25
	if long() {
		kills = 500
	}
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "quickthorn.db")
	random := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 3)) // moments differ from run to run, and no seed would fix them
	r := source(random.IntN)
	s := openAt(t, path)
	h, err := s.Create(ctx, "here", demo(t), "start")
	require.NoError(t, err)
	m := model{states: []seen{{plan: asKept(t, demo(t))}}, rev: h.Revision}
	acknowledged, unsaid := 0, 0
	for range kills {
		require.NoError(t, s.Close())
		after := streamUntilKilled(t, path, m, r)
		s = openAt(t, path)
		require.NoError(t, s.Check(ctx))
		is, h := look(t, s, "here")
		n := len(after.said)
		acknowledged += n
		found := after.before[n] // after what was acknowledged
		if n+1 < len(after.before) && h.Revision != found.rev {
			found = after.before[n+1] // and the call that it was killed in
			unsaid++
		}
		require.Equal(t, found.rev, h.Revision, "revision after %d acknowledged calls", n)
		require.Equal(t, found.now(), is, "after %d acknowledged calls", n)
		for i, said := range after.said {
			require.Equal(t, after.before[i+1].rev, said.Revision)
			require.Equal(t, after.failed[i], said.Failed != "", said.Failed)
		}
		m = found
	}
	t.Logf("%d kills, %d calls acknowledged, %d made but not said, %d states to go back to", kills, acknowledged, unsaid, m.at)
	require.Greater(t, acknowledged, kills, "the child must get somewhere")
	undoAll(t, s, "here", &m)
	require.NoError(t, s.Check(ctx))
}

// stream is what was sent to a child and what it said. before[i] is the model before call i, so before[n] that after n calls.
type stream struct {
	before []model
	failed []bool
	said   []reply
}

// streamUntilKilled sends calls until the child has said a random number of them, waits a moment and kills it.
func streamUntilKilled(t *testing.T, path string, m model, r source) stream {
	out := stream{before: []model{m.clone()}}
	const most = 60
	var lines [][]byte
	for range most {
		o := anyOp(r, &m)
		if o.Kind == KindReplace && r(10) > 0 {
			o = op{Kind: KindUndo} // a replacement leaves little to edit
		}
		err := m.apply(o)
		line, e := json.Marshal(o)
		require.NoError(t, e)
		lines = append(lines, append(line, '\n'))
		out.before = append(out.before, m.clone())
		out.failed = append(out.failed, err != nil)
	}
	cmd := child(t, "edits", path)
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	said, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	sent := make(chan struct{})
	go func() {
		defer close(sent)
		for _, line := range lines {
			if _, err := in.Write(line); err != nil {
				return // it was killed
			}
		}
	}()
	stop := r(most - 10)
	replies := bufio.NewScanner(said)
	killed := false
	kill := func() {
		time.Sleep(time.Duration(r(6000)) * time.Microsecond)
		require.NoError(t, cmd.Process.Kill())
		killed = true
	}
	if stop == 0 {
		kill() // perhaps before it has opened the store
	}
	for replies.Scan() {
		var said reply
		require.NoError(t, json.Unmarshal(replies.Bytes(), &said))
		out.said = append(out.said, said)
		if len(out.said) >= stop && !killed {
			kill()
		}
	}
	require.NoError(t, replies.Err())
	require.True(t, killed)
	require.EqualError(t, cmd.Wait(), "signal: killed")
	<-sent
	return out
}

// A child that is killed while it makes a new store leaves none or a whole one.
func TestKilledWhileMaking(t *testing.T) {
	kills := 25
	if long() {
		kills = 500
	}
	random := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 5))
	for range kills {
		path := filepath.Join(t.TempDir(), "a", "quickthorn.db")
		cmd := child(t, "open", path)
		require.NoError(t, cmd.Start())
		time.Sleep(time.Duration(random.IntN(60_000)) * time.Microsecond)
		_ = cmd.Process.Kill() // it may have been quicker
		_ = cmd.Wait()
		s := openAt(t, path)
		require.NoError(t, s.Check(context.Background()))
		_, err := s.Create(context.Background(), "here", demo(t), "")
		require.NoError(t, err)
		require.NoError(t, s.Close())
	}
}

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asProgram makes a process of this test binary run main instead of the tests: the program itself, signals and all.
const asProgram = "QUICKTHORN_AS_PROGRAM"

// program is a command that runs the program as a process of its own.
func program(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self, args...)
	cmd.Env = append(os.Environ(), asProgram+"=1", "XDG_DATA_HOME="+filepath.Join(t.TempDir(), "data"))
	return cmd
}

// A serving is a running `quickthorn serve`.
type serving struct {
	t    *testing.T
	cmd  *exec.Cmd
	at   string // address, without a slash at the end
	mu   sync.Mutex
	said strings.Builder
	read chan struct{} // closed once standard error has ended
}

var opens = regexp.MustCompile(`Open (http://[^/]+)/ in a browser`)

// startServing starts the program and waits until it says where it is to be opened.
func startServing(t *testing.T, args ...string) *serving {
	t.Helper()
	s := &serving{t: t, cmd: program(t, append([]string{"serve"}, args...)...), read: make(chan struct{})}
	pipe, err := s.cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, s.cmd.Start())
	t.Cleanup(func() {
		s.cmd.Process.Kill()
		<-s.read
		s.cmd.Wait()
	})
	at := make(chan string, 1)
	go func() {
		defer close(s.read)
		lines := bufio.NewScanner(pipe)
		for lines.Scan() {
			s.mu.Lock()
			s.said.WriteString(lines.Text() + "\n")
			s.mu.Unlock()
			if m := opens.FindStringSubmatch(lines.Text()); m != nil {
				at <- m[1]
			}
		}
	}()
	select {
	case s.at = <-at:
	case <-s.read:
		t.Fatalf("it ended: %s", s.words())
	case <-time.After(time.Minute):
		t.Fatalf("it does not say where to open it: %s", s.words())
	}
	return s
}

func (s *serving) words() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.said.String()
}

// ended waits for the end and gives the exit code, -1 where a signal ended it.
func (s *serving) ended() int {
	s.t.Helper()
	select {
	case <-s.read:
	case <-time.After(time.Minute):
		s.t.Fatal("it does not end")
	}
	s.cmd.Wait()
	return s.cmd.ProcessState.ExitCode()
}

func (s *serving) get(path string, headers ...string) (int, string, http.Header) {
	s.t.Helper()
	req, err := http.NewRequest("GET", s.at+path, nil)
	require.NoError(s.t, err)
	for i := 0; i+1 < len(headers); i += 2 {
		req.Header.Set(headers[i], headers[i+1])
	}
	res, err := http.DefaultClient.Do(req)
	require.NoError(s.t, err)
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	require.NoError(s.t, err)
	return res.StatusCode, string(body), res.Header
}

// stream makes edits one after another until the server is gone, and gives the ids that were acknowledged, and the one that was
// under way at the end.
func (s *serving) stream(prefix string) (acknowledged []string, open string) {
	client := &http.Client{Timeout: time.Minute}
	tag := ""
	for n := 0; ; n++ {
		if tag == "" {
			res, err := client.Get(s.at + "/holdings/demo/settings")
			if err != nil {
				return acknowledged, open
			}
			io.Copy(io.Discard, res.Body)
			res.Body.Close()
			tag = res.Header.Get("ETag")
		}
		open = fmt.Sprintf("%s-%d", prefix, n)
		req, err := http.NewRequest("POST", s.at+"/holdings/demo/edits", strings.NewReader(fmt.Sprintf(
			`{"note":"a well","metres":true,"put":[{"type":"Feature","id":%q,"properties":{"kind":"well"},"geometry":{"type":"Point","coordinates":[%d,0]}}]}`, open, n)))
		if err != nil {
			return acknowledged, open
		}
		req.Header.Set("If-Match", tag)
		res, err := client.Do(req)
		if err != nil {
			return acknowledged, open
		}
		body, err := io.ReadAll(res.Body)
		res.Body.Close()
		switch {
		case err != nil:
			return acknowledged, open
		case res.StatusCode == http.StatusOK:
			acknowledged = append(acknowledged, open)
			tag = res.Header.Get("ETag")
		case res.StatusCode == http.StatusPreconditionFailed:
			tag = ""
		default:
			s.t.Errorf("%d: %s", res.StatusCode, body)
			return acknowledged, open
		}
	}
}

// stored are the ids of the features in the plan.
func (s *serving) stored() map[string]bool {
	s.t.Helper()
	status, body, _ := s.get("/holdings/demo")
	require.Equal(s.t, http.StatusOK, status)
	var plan struct{ Features []struct{ ID string } }
	require.NoError(s.t, json.Unmarshal([]byte(body), &plan))
	ids := map[string]bool{}
	for _, f := range plan.Features {
		ids[f.ID] = true
	}
	return ids
}

// The program is killed in the middle of edits, again and again, and finds all that it acknowledged each time it is started.
func TestKilledServerKeepsWhatItAcknowledged(t *testing.T) {
	store := filepath.Join(t.TempDir(), "q.db")
	var all, unsure []string
	for round := range 4 {
		s := startServing(t, "--store", store, "--listen", "127.0.0.1:0")
		ids := s.stored()
		for _, id := range all {
			assert.True(t, ids[id], "round %d: %s was acknowledged and is gone", round, id)
		}
		extra := 0
		for id := range ids {
			if strings.HasPrefix(id, "r") && len(id) > 2 && id[2] == '-' {
				extra++
			}
		}
		assert.LessOrEqual(t, extra, len(all)+len(unsure), "nothing is there that nobody sent")
		time.AfterFunc(time.Duration(100+rand.IntN(500))*time.Millisecond, func() { s.cmd.Process.Kill() })
		done, open := s.stream(fmt.Sprintf("r%d", round))
		all, unsure = append(all, done...), append(unsure, open)
		assert.Equal(t, -1, s.ended())
	}
	require.NotEmpty(t, all)
	s := startServing(t, "--store", store, "--listen", "127.0.0.1:0")
	ids := s.stored()
	for _, id := range all {
		assert.True(t, ids[id], "%s was acknowledged and is gone", id)
	}
	t.Logf("%d edits acknowledged over 4 kills", len(all))
}

// Told to stop, the program finishes the edits that it is at, takes no more, and ends with exit code 0.
func TestStoppedServerFinishes(t *testing.T) {
	for _, signal := range []os.Signal{syscall.SIGTERM, os.Interrupt} {
		store := filepath.Join(t.TempDir(), "q.db")
		s := startServing(t, "--store", store, "--listen", "127.0.0.1:0")
		var wg sync.WaitGroup
		var mu sync.Mutex
		var all []string
		for w := range 4 {
			wg.Go(func() {
				done, _ := s.stream(fmt.Sprintf("r%d", w))
				mu.Lock()
				defer mu.Unlock()
				all = append(all, done...)
			})
		}
		time.Sleep(400 * time.Millisecond)
		require.NoError(t, s.cmd.Process.Signal(signal))
		wg.Wait()
		assert.Equal(t, exitDone, s.ended(), s.words())
		assert.Contains(t, s.words(), "Stopping")
		_, err := os.Stat(store + "-wal")
		assert.ErrorIs(t, err, os.ErrNotExist, "the store was closed")
		require.NotEmpty(t, all)
		again := startServing(t, "--store", store, "--listen", "127.0.0.1:0")
		ids := again.stored()
		for _, id := range all {
			assert.True(t, ids[id], "%s was acknowledged and is gone", id)
		}
	}
}

// Files are loaded first; a holding that is there already is neither overwritten nor doubled, and it says so. Without files an empty
// store gets the demo holding.
func TestServeLoadsFiles(t *testing.T) {
	dir := t.TempDir()
	store := filepath.Join(dir, "new folder", "q.db")
	plan := func(name string) string {
		path := filepath.Join(dir, "Long Field.geojson")
		require.NoError(t, os.WriteFile(path, []byte(`{"type":"FeatureCollection","holding":{"name":"`+name+`"},"features":[]}`), 0o600))
		return path
	}
	names := func(s *serving) map[string]string {
		_, body, _ := s.get("/holdings")
		var list []struct{ ID, Name string }
		require.NoError(t, json.Unmarshal([]byte(body), &list))
		out := map[string]string{}
		for _, h := range list {
			out[h.ID] = h.Name
		}
		return out
	}
	s := startServing(t, plan("first"), "--store", store, "--listen", "127.0.0.1:0")
	assert.Equal(t, map[string]string{"long-field": "first"}, names(s))
	assert.Contains(t, s.words(), store)
	s.cmd.Process.Signal(syscall.SIGTERM)
	assert.Equal(t, exitDone, s.ended())

	s = startServing(t, plan("second"), "--store", store, "--listen", "127.0.0.1:0")
	assert.Equal(t, map[string]string{"long-field": "first"}, names(s))
	assert.Contains(t, s.words(), "the holding long-field is in the store already")
	s.cmd.Process.Signal(syscall.SIGTERM)
	assert.Equal(t, exitDone, s.ended())

	s = startServing(t, "--store", store, "--listen", "127.0.0.1:0")
	assert.Equal(t, map[string]string{"long-field": "first"}, names(s), "a store that is not empty gets no demo")

	s = startServing(t, "--listen", "localhost:0")
	assert.Equal(t, map[string]string{"demo": "Sallow Bank"}, names(s))
	assert.Contains(t, s.words(), filepath.Join("quickthorn", "quickthorn.db"), "it says where the data lies")
	assert.True(t, strings.HasPrefix(s.at, "http://localhost:"), s.at)
}

// On an address that others reach a passphrase is asked for, made where none is given.
func TestServeBeyondThisMachine(t *testing.T) {
	store := filepath.Join(t.TempDir(), "q.db")
	s := startServing(t, "--store", store, "--listen", "0.0.0.0:0")
	made := regexp.MustCompile(`this passphrase: (\S+)`).FindStringSubmatch(s.words())
	require.NotNil(t, made, s.words())
	assert.Contains(t, s.words(), "not encrypted")
	_, port, err := net.SplitHostPort(strings.TrimPrefix(s.at, "http://"))
	require.NoError(t, err)
	s.at = "http://127.0.0.1:" + port // whatever the machine is called, this reaches it
	status, body, _ := s.get("/holdings")
	assert.Equal(t, http.StatusUnauthorized, status)
	assert.NotContains(t, body, made[1])
	status, _, _ = s.get("/holdings", "Authorization", "Bearer "+made[1])
	assert.Equal(t, http.StatusOK, status)

	s = startServing(t, "--store", store, "--listen", "127.0.0.1:0", "--passphrase", "of my own choice")
	assert.NotContains(t, s.words(), "of my own choice")
	status, _, _ = s.get("/holdings")
	assert.Equal(t, http.StatusUnauthorized, status)
	status, _, _ = s.get("/holdings", "Authorization", "Bearer of my own choice")
	assert.Equal(t, http.StatusOK, status)
}

func TestServeRefuses(t *testing.T) {
	dir := t.TempDir()
	busy := startServing(t, "--store", filepath.Join(dir, "busy.db"), "--listen", "127.0.0.1:0")
	bad := filepath.Join(dir, "bad.geojson")
	require.NoError(t, os.WriteFile(bad, []byte("{"), 0o600))
	foreign := filepath.Join(dir, "foreign.db")
	require.NoError(t, os.WriteFile(foreign, []byte("not a database at all, but a text"), 0o600))
	for name, c := range map[string]struct {
		args []string
		code int
		says string
	}{
		"no port":             {[]string{"--listen", "127.0.0.1"}, exitInput, "--listen is HOST:PORT"},
		"no address":          {[]string{"--listen", "nonsense"}, exitInput, "--listen is HOST:PORT"},
		"a short passphrase":  {[]string{"--passphrase", "short"}, exitInput, "at least 8 characters"},
		"a port in use":       {[]string{"--listen", strings.TrimPrefix(busy.at, "http://")}, exitFault, "Another program may hold it"},
		"no such file":        {[]string{filepath.Join(dir, "none.geojson"), "--listen", "127.0.0.1:0"}, exitInput, "none.geojson"},
		"a file that is none": {[]string{bad, "--listen", "127.0.0.1:0"}, exitInput, "bad.geojson"},
		"a foreign store":     {[]string{"--store", foreign, "--listen", "127.0.0.1:0"}, exitInput, "foreign.db"},
	} {
		t.Run(name, func(t *testing.T) {
			args := append([]string{"serve"}, c.args...)
			if name != "a foreign store" {
				args = append(args, "--store", filepath.Join(dir, "q.db"))
			}
			cmd := program(t, args...)
			out, _ := cmd.CombinedOutput()
			assert.Equal(t, c.code, cmd.ProcessState.ExitCode(), "%s", out)
			assert.Contains(t, string(out), c.says)
			assert.NotContains(t, strings.ToLower(string(out)), "error")
		})
	}
}

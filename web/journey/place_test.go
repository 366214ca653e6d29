package journey

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quickthorn/planner/report"
	"quickthorn/planner/store"
	"quickthorn/testdata"
	"quickthorn/web"
)

// The test binary runs itself as a server with these set: where the store lies, and the address to answer at.
const (
	childStore  = "QUICKTHORN_JOURNEY_STORE"
	childListen = "QUICKTHORN_JOURNEY_LISTEN"
)

var reportOptions = report.Options{File: "exported"}

func engineOf(t testing.TB) *report.Engine {
	t.Helper()
	e, err := report.NewEngine()
	require.NoError(t, err)
	return e
}

// serve is a server on a store of its own with these holdings in it.
func serve(t testing.TB, plans map[string][]byte) (at string, s *store.Store) {
	t.Helper()
	s, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "quickthorn.db"), nil)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	for id, plan := range plans {
		_, err := s.Create(context.Background(), id, plan, "Brought in")
		require.NoError(t, err)
	}
	h, err := web.New(s, engineOf(t), web.Options{})
	require.NoError(t, err)
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	return srv.URL, s
}

// childServe is the server as a process of its own, with the demo holding in an empty store. It says its address on a line and answers
// until it is killed.
func childServe(path, listen string) int {
	err := func() error {
		s, err := store.Open(context.Background(), path, nil)
		if err != nil {
			return err
		}
		if _, err := s.Create(context.Background(), "demo", testdata.Demo, "Brought in"); err != nil && !errors.Is(err, store.ErrExists) {
			return err
		}
		engine, err := report.NewEngine()
		if err != nil {
			return err
		}
		h, err := web.New(s, engine, web.Options{})
		if err != nil {
			return err
		}
		l, err := net.Listen("tcp", listen)
		if err != nil {
			return err
		}
		fmt.Println("http://" + l.Addr().String())
		return (&http.Server{Handler: h, ReadHeaderTimeout: time.Minute}).Serve(l)
	}()
	fmt.Fprintln(os.Stderr, err)
	return 1
}

// A process is the server as a process that can be killed at any moment and started again at the same address.
type process struct {
	t    testing.TB
	path string
	at   string
	cmd  *exec.Cmd
}

func newProcess(t testing.TB) *process {
	p := &process{t: t, path: filepath.Join(t.TempDir(), "quickthorn.db")}
	p.start("127.0.0.1:0")
	t.Cleanup(p.kill)
	return p
}

// again starts it where it was.
func (p *process) again() { p.start(strings.TrimPrefix(p.at, "http://")) }

func (p *process) start(listen string) {
	p.t.Helper()
	self, err := os.Executable()
	require.NoError(p.t, err)
	p.cmd = exec.Command(self, "-test.run=^$")
	p.cmd.Env = append(os.Environ(), childStore+"="+p.path, childListen+"="+listen)
	p.cmd.Stderr = os.Stderr
	out, err := p.cmd.StdoutPipe()
	require.NoError(p.t, err)
	require.NoError(p.t, p.cmd.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(p.t, err, "the server does not start")
	p.at = strings.TrimSpace(line)
}

// kill ends it at once, as a power cut would: nothing is finished, nothing is closed.
func (p *process) kill() {
	if p.cmd == nil {
		return
	}
	require.NoError(p.t, p.cmd.Process.Kill())
	_ = p.cmd.Wait() // says that it was killed
	p.cmd = nil
}

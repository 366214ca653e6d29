package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"quickthorn/planner"
	"quickthorn/planner/report"
	"quickthorn/planner/store"
	"quickthorn/testdata"
	"quickthorn/web"
)

// defaultListen is the address where nobody names one: this machine only.
const defaultListen = "127.0.0.1:8642"

// stopTime is how long requests that are being answered may go on once the program is told to stop.
const stopTime = 20 * time.Second

func serveCommand() command {
	return command{name: "serve", args: "[FILE...]", does: "the page and the API, on this machine only unless told otherwise", run: runServe,
		flags: func(inv *invocation) {
			inv.flags.StringVar(&inv.storePath, "store", "", "`PATH` of the file that holdings are kept in; without it, where the system keeps the data of programs")
			inv.flags.StringVar(&inv.listen, "listen", defaultListen, "`HOST:PORT` to answer at; port 0 takes a free one")
			inv.flags.StringVar(&inv.passphrase, "passphrase", "", "`TEXT` that everybody is asked for; one is made and printed where --listen is not this machine only")
		}}
}

// runServe loads the files, answers until the program is told to stop, and finishes what it was at.
func runServe(ctx context.Context, inv *invocation) (int, error) {
	host, err := inv.checkListen()
	if err != nil {
		return exitInput, err
	}
	path := inv.storePath
	if path == "" {
		if path, err = store.DefaultPath(); err != nil {
			return exitFault, err
		}
	}
	s, err := store.Open(ctx, path, inv.log)
	if err != nil {
		return exitFault, err
	}
	defer s.Close()
	inv.log.Info("The holdings are kept in " + s.Path() + ".")
	if err := inv.load(ctx, s); err != nil {
		return exitInput, err
	}
	return inv.serve(ctx, s, host)
}

// checkListen looks at --listen and --passphrase, and makes a passphrase where one is needed. host is what was named.
func (inv *invocation) checkListen() (host string, err error) {
	host, port, err := net.SplitHostPort(inv.listen)
	if err != nil || port == "" {
		return "", inputf("--listen is HOST:PORT, such as %s, not %q.", defaultListen, inv.listen)
	}
	if inv.passphrase != "" && len([]rune(inv.passphrase)) < web.LeastPassphrase {
		return "", inputf("--passphrase has at least %d characters.", web.LeastPassphrase)
	}
	if isLoopback(host) {
		return host, nil
	}
	if inv.passphrase == "" {
		inv.passphrase = web.Passphrase()
		inv.log.Warn("Everybody is asked for this passphrase: " + inv.passphrase)
	}
	inv.log.Warn("Others on the network can reach this address. What goes over it is not encrypted: use it only on a network you trust.")
	return host, nil
}

// isLoopback reports whether only this machine can reach the host.
func isLoopback(host string) bool {
	if strings.EqualFold(host, "localhost") {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// load takes the files into the store. A holding that is there already stays as it is. An empty store gets the demo holding.
func (inv *invocation) load(ctx context.Context, s *store.Store) error {
	for _, file := range inv.files {
		data, err := inv.readPlan(file)
		if err != nil {
			return err
		}
		id := ""
		if file != "-" {
			base := filepath.Base(file)
			id = store.Slug(strings.TrimSuffix(base, filepath.Ext(base)))
		}
		if err := inv.add(ctx, s, id, file, data); err != nil {
			return err
		}
	}
	if len(inv.files) > 0 {
		return nil
	}
	list, err := s.Holdings(ctx)
	if err != nil || len(list) > 0 {
		return err
	}
	return inv.add(ctx, s, "demo", "the demo holding", testdata.Demo)
}

// add makes a holding of a plan under an id; without one, under that of its name.
func (inv *invocation) add(ctx context.Context, s *store.Store, id, file string, data []byte) error {
	plan, err := planner.Read(data, planner.ReadOptions{File: file, MaxBytes: int64(inv.maxMB) << 20})
	if err != nil {
		return err
	}
	if id == "" {
		id = store.Slug(plan.Holding.Name)
	}
	if data, err = web.Anchored(data, file); err != nil {
		return err
	}
	h, err := s.Create(ctx, id, data, "Brought in from "+filepath.Base(file))
	if errors.Is(err, store.ErrExists) {
		inv.log.Info(fmt.Sprintf("%s was left alone: the holding %s is in the store already.", file, id))
		return nil
	}
	var p *planner.Problem
	if errors.As(err, &p) && p.File == "" {
		p.File = file
	}
	if err != nil {
		return err
	}
	inv.log.Info(fmt.Sprintf("%s was brought in as the holding %s.", file, h.ID))
	return nil
}

// serve answers until ctx ends, then takes no new requests and finishes those it is at.
func (inv *invocation) serve(ctx context.Context, s *store.Store, host string) (int, error) {
	breathe()
	engine, err := report.NewEngine()
	if err != nil {
		return exitFault, err
	}
	handler, err := web.New(s, engine, web.Options{Passphrase: inv.passphrase, Names: hostNames(host), MaxBody: int64(inv.maxMB) << 20,
		Fault: func(method, path string, cause error) {
			inv.log.Error("A request went wrong.", "method", method, "path", path, "cause", cause.Error())
		}})
	if err != nil {
		return exitFault, err
	}
	listener, err := net.Listen("tcp", inv.listen)
	if err != nil {
		return exitFault, fmt.Errorf("the address %s cannot be had: %w. Another program may hold it: name another with --listen, or port 0 for any that is free", inv.listen, plainNet(err))
	}
	server := &http.Server{Handler: handler, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 2 * time.Minute, WriteTimeout: 3 * time.Minute,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10, ErrorLog: slog.NewLogLogger(inv.log.Handler(), slog.LevelDebug)}
	stopped := make(chan error, 1)
	go func() {
		<-ctx.Done()
		inv.log.Info("Stopping.")
		late, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopTime)
		defer cancel()
		stopped <- server.Shutdown(late)
	}()
	inv.log.Info("Open " + addressOf(host, listener.Addr()) + " in a browser. Ctrl-C stops.")
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return exitFault, err
	}
	if err := <-stopped; err != nil {
		return exitFault, fmt.Errorf("some requests were not finished in %s: %w", stopTime, err)
	}
	return exitDone, nil
}

// breathe lets garbage grow to four times what is in use before it is collected, while little is in use: answers to a drag are then
// a third quicker. Whoever sets GOGC or GOMEMLIMIT knows better.
func breathe() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(300)
		debug.SetMemoryLimit(512 << 20)
	}
}

// plainNet is what the system says of an address, without the rest.
func plainNet(err error) error {
	var op *net.OpError
	if errors.As(err, &op) {
		return op.Err
	}
	return err
}

// hostNames are the names by which others may ask for the server: the one it was given, and this machine's.
func hostNames(host string) []string {
	if isLoopback(host) {
		return nil
	}
	var names []string
	if host != "" && net.ParseIP(host) == nil {
		names = append(names, host)
	}
	if name, err := os.Hostname(); err == nil && name != "" {
		names = append(names, name, name+".local")
	}
	return names
}

// addressOf is the address to open.
func addressOf(host string, at net.Addr) string {
	_, port, err := net.SplitHostPort(at.String())
	if err != nil {
		return "http://" + at.String() + "/"
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = "localhost"
		if name, err := os.Hostname(); err == nil && name != "" {
			host = name
		}
	}
	return "http://" + net.JoinHostPort(host, port) + "/"
}

package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"golang.org/x/term"

	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/report"
)

// write runs f on standard output, or on the file of --out. A file is written beside its place and moved there when it is whole,
// so that a half-written one never replaces a good one.
func (inv *invocation) write(f func(io.Writer) error) error {
	if inv.outPath == "-" {
		w := bufio.NewWriter(inv.out)
		if err := f(w); err != nil {
			return err
		}
		return w.Flush()
	}
	dir, base := filepath.Split(inv.outPath)
	if dir == "" {
		dir = "."
	}
	tmp, err := os.CreateTemp(dir, "."+base+".*")
	if err != nil {
		return &planner.Problem{File: inv.outPath, What: "the file cannot be written: " + plainCause(err) + ".", Mend: "Choose a folder that is there and can be written to.", Err: err}
	}
	defer os.Remove(tmp.Name()) // nothing is left where the move worked
	w := bufio.NewWriter(tmp)
	if err := errors.Join(f(w), w.Flush(), tmp.Sync(), tmp.Chmod(0o644), tmp.Close()); err != nil {
		return fmt.Errorf("writing %s: %w", inv.outPath, err)
	}
	return os.Rename(tmp.Name(), inv.outPath)
}

// terminal reports whether the stream is one, and how wide.
func terminal(w any) (width int, ok bool) {
	f, isFile := w.(*os.File)
	if !isFile || !term.IsTerminal(int(f.Fd())) {
		return 0, false
	}
	if width, _, err := term.GetSize(int(f.Fd())); err == nil && width > 0 {
		return width, true
	}
	return prose.DefaultWidth, true
}

// textOptions are width and colour for where the output goes: colour only on a terminal, and never where NO_COLOR is set.
func (inv *invocation) textOptions() report.TextOptions {
	opt := report.TextOptions{Width: prose.DefaultWidth, Date: inv.date}
	if inv.outPath != "-" {
		return opt
	}
	if width, ok := terminal(inv.out); ok {
		opt.Width = min(width, 120)
		opt.Paint.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	}
	return opt
}

// progress draws a bar on standard error, on a terminal only.
func (inv *invocation) progress() func(stage string, done, total int) {
	width, ok := terminal(inv.errs)
	if !ok || inv.quiet {
		return nil
	}
	return func(stage string, done, total int) {
		if total == 0 || done >= total {
			fmt.Fprintf(inv.errs, "\r%s\r", strings.Repeat(" ", min(width-1, 40)))
			return
		}
		full := 20 * done / total
		fmt.Fprintf(inv.errs, "\r%s%s %-16s", strings.Repeat("=", full), strings.Repeat(".", 20-full), stage)
	}
}

// plainHandler prints a message as a plain line: what a person at a terminal wants to read.
type plainHandler struct {
	w     io.Writer
	level slog.Level
	attrs []slog.Attr
}

func (h plainHandler) Enabled(_ context.Context, l slog.Level) bool { return l >= h.level }

func (h plainHandler) Handle(_ context.Context, r slog.Record) error {
	var b strings.Builder
	b.WriteString("quickthorn: " + r.Message)
	add := func(a slog.Attr) bool {
		fmt.Fprintf(&b, " %s=%v", a.Key, a.Value)
		return true
	}
	for _, a := range h.attrs {
		add(a)
	}
	r.Attrs(add)
	_, err := fmt.Fprintln(h.w, b.String())
	return err
}

func (h plainHandler) WithAttrs(attrs []slog.Attr) slog.Handler {
	h.attrs = append(append([]slog.Attr(nil), h.attrs...), attrs...)
	return h
}

func (h plainHandler) WithGroup(string) slog.Handler { return h }

// version is the module's version or the commit it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "quickthorn"
	}
	v := "quickthorn " + info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			v += " " + s.Value[:12]
		}
	}
	return v
}

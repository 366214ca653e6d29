package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"quickthorn/planner"
	"quickthorn/planner/prose"
	"quickthorn/planner/report"
)

// errInput marks what the user can mend on the command line.
var errInput = errors.New("input")

// inputf is a complaint about the command line.
func inputf(format string, args ...any) error {
	return fmt.Errorf("%w", &planner.Problem{What: fmt.Sprintf(format, args...), Err: errInput})
}

// An invocation is one call of a command: its flags, its files and its streams.
type invocation struct {
	command command
	in      io.Reader
	out     io.Writer
	errs    io.Writer
	log     *slog.Logger
	flags   *flag.FlagSet
	files   []string

	format, outPath, ruleSet, date, logFormat string
	year, winter                              int
	quiet                                     bool
	maxMB                                     int

	explain         string // check
	bare            bool   // shelter
	month           int    // light
	draw            drawing
	points          string // setout
	ground, purpose string // species

	crs, linesAs, pointsAs, kindColumn, tolerance string // bring-in

	storePath          string // serve, backup, restore
	listen, passphrase string // serve
	checkStore         bool   // backup
}

func newInvocation(c command, in io.Reader, out, errs io.Writer) *invocation {
	inv := &invocation{command: c, in: in, out: out, errs: errs, flags: flag.NewFlagSet(c.name, flag.ContinueOnError)}
	f := inv.flags
	f.SetOutput(io.Discard)
	if len(c.formats) > 0 {
		f.StringVar(&inv.format, "format", c.formats[0], "one of "+strings.Join(c.formats, ", "))
	}
	f.StringVar(&inv.outPath, "out", "-", "`FILE` to write; - is standard output")
	f.StringVar(&inv.ruleSet, "rule-set", "", "`NAME` of a rule set, or the path of your own, in place of the plan's")
	f.IntVar(&inv.year, "year", 0, "`N` years after planting")
	f.IntVar(&inv.winter, "winter", 0, "planting winter, by the `YEAR` it starts in, in place of the plan's")
	f.StringVar(&inv.date, "date", "", "`TEXT` printed as the date; nothing is printed without it")
	f.BoolVar(&inv.quiet, "quiet", false, "say nothing on standard error but what went wrong")
	f.StringVar(&inv.logFormat, "log-format", "text", "text or json, for messages on standard error")
	f.IntVar(&inv.maxMB, "max-mb", 50, "largest plan file that is read, in `MB`")
	if c.flags != nil {
		c.flags(inv)
	}
	return inv
}

// parse reads flags and files in any order. The code is below zero where the command is to go on.
func (inv *invocation) parse(args []string) (int, error) {
	for {
		err := inv.flags.Parse(args)
		if errors.Is(err, flag.ErrHelp) {
			inv.help(inv.out)
			return exitDone, nil
		}
		if err != nil {
			return exitInput, inputf("%s. quickthorn %s --help lists the flags.", err, inv.command.name)
		}
		rest := inv.flags.Args()
		if len(rest) == 0 {
			break
		}
		// The flag package stops at the first file and at "--"; what follows "--" is files.
		if n := len(args) - len(rest); n > 0 && args[n-1] == "--" {
			inv.files = append(inv.files, rest...)
			break
		}
		inv.files = append(inv.files, rest[0])
		args = rest[1:]
	}
	return -1, inv.settle()
}

// settle checks what flags can be wrong about by themselves, and makes the logger.
func (inv *invocation) settle() error {
	level := slog.LevelInfo
	if inv.quiet {
		level = slog.LevelError
	}
	opts := &slog.HandlerOptions{Level: level}
	switch inv.logFormat {
	case "text":
		inv.log = slog.New(plainHandler{w: inv.errs, level: level})
	case "json":
		inv.log = slog.New(slog.NewJSONHandler(inv.errs, opts))
	default:
		return inputf("--log-format is text or json, not %q.", inv.logFormat)
	}
	ok := len(inv.command.formats) == 0
	for _, f := range inv.command.formats {
		ok = ok || f == inv.format
	}
	if !ok {
		return inputf("quickthorn %s does not write %q; --format is one of %s.", inv.command.name, inv.format, strings.Join(inv.command.formats, ", "))
	}
	if inv.year < 0 || inv.year > 100 {
		return inputf("--year is a number of years after planting from 0 to 100, not %d.", inv.year)
	}
	if inv.winter != 0 && (inv.winter < 1900 || inv.winter > 2200) {
		return inputf("--winter is the year in which the winter starts, such as 2026, not %d.", inv.winter)
	}
	if inv.maxMB < 1 {
		return inputf("--max-mb is at least 1, not %d.", inv.maxMB)
	}
	return nil
}

func (inv *invocation) help(w io.Writer) {
	fmt.Fprintf(w, "quickthorn %s [flags] %s\n\n%s\n\n", inv.command.name, inv.command.args, inv.command.does)
	inv.flags.VisitAll(func(f *flag.Flag) {
		name, help := flag.UnquoteUsage(f)
		head := "  --" + f.Name
		if name != "" {
			head += " " + name
		}
		if f.DefValue != "" && f.DefValue != "0" && f.DefValue != "false" {
			help += " (" + f.DefValue + ")"
		}
		fmt.Fprintf(w, "%-22s %s\n", head, help)
	})
}

// oneFile is the file of a command that takes exactly one.
func (inv *invocation) oneFile() (string, error) {
	if len(inv.files) != 1 {
		return "", inputf("quickthorn %s takes one plan file (- is standard input), and got %d.", inv.command.name, len(inv.files))
	}
	return inv.files[0], nil
}

// read gives the bytes of a plan file, and reads no more than the limit allows.
func (inv *invocation) read(path string) ([]byte, error) {
	limit := int64(inv.maxMB) << 20
	r := inv.in
	if path != "-" {
		file, err := os.Open(path)
		if err != nil {
			return nil, &planner.Problem{What: "the file could not be opened: " + plainCause(err) + ".", File: path, Mend: "Check the name.", Err: err}
		}
		defer file.Close()
		if info, err := file.Stat(); err == nil && info.IsDir() {
			return nil, &planner.Problem{What: "this is a folder.", File: path, Mend: "Name the plan file in it."}
		} else if err == nil && info.Mode().IsRegular() && info.Size() <= limit {
			data := make([]byte, info.Size())
			n, err := io.ReadFull(file, data)
			if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
				return nil, err
			}
			return data[:n], nil
		}
		r = file
	}
	var b bytes.Buffer
	if _, err := io.Copy(&b, io.LimitReader(r, limit+1)); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func plainCause(err error) string {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}

// options are what the flags say of a report on the file.
func (inv *invocation) options(path string) report.Options {
	dir := "."
	if path != "-" {
		dir = filepath.Dir(path)
	}
	return report.Options{File: path, RuleSet: inv.ruleSet, Winter: inv.winter, Year: inv.year, MaxBytes: int64(inv.maxMB) << 20,
		OpenRules: func(name string) (io.ReadCloser, error) {
			if inv.ruleSet == "" && !filepath.IsAbs(name) {
				name = filepath.Join(dir, name)
			}
			return os.Open(name)
		},
		Progress: inv.progress()}
}

// setOut reads a plan and sets it out: what list and setout need.
func (inv *invocation) setOut(ctx context.Context) (*report.Report, error) {
	path, err := inv.oneFile()
	if err != nil {
		return nil, err
	}
	data, err := inv.readPlan(path)
	if err != nil {
		return nil, err
	}
	engine, err := report.NewEngine()
	if err != nil {
		return nil, err
	}
	r, err := engine.Read(data, inv.options(path))
	if err != nil {
		return nil, err
	}
	if err := r.SetOut(ctx); err != nil {
		return nil, err
	}
	inv.sayFaults(r)
	return r, nil
}

// sayFaults tells what reading found wrong, since a list or a sheet made from part of a plan must not look whole.
func (inv *invocation) sayFaults(r *report.Report) {
	for _, f := range r.Plan.Faults {
		if f.Severity == planner.Stop {
			inv.log.Warn(prose.Clean(f.Message))
		}
	}
	for _, l := range r.Out.Layouts {
		if l.Failed != "" {
			inv.log.Warn(prose.Clean(l.Feature.Label()) + " was not set out: " + strings.TrimSpace(l.Failed+" "+l.Mend))
		}
	}
}

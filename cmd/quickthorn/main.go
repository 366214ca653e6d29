// Quickthorn plans hedges, windbreaks, orchards and groves on a small holding: it reads a plan drawn as GeoJSON, measures it, sets
// the plants out, checks them against published figures, and writes the planting list.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"quickthorn/planner"
	"quickthorn/planner/prose"
)

// Exit codes; other programs read them.
const (
	exitDone     = 0 // done; for check, nothing of severity stop or warn is left that is not accepted
	exitFindings = 1 // check: at least one
	exitInput    = 2 // the input or the flags could not be used
	exitFault    = 3 // a fault of the program or the machine
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // whoever asks a second time does not want to wait
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// A command is one word after the program's name.
type command struct {
	name, args, does string
	run              func(context.Context, *invocation) (int, error)
	formats          []string // the first is the default
	flags            func(*invocation)
}

// commands lists them in the order the help shows them.
func commands() []command {
	return []command{serveCommand(), checkCommand(), listCommand(), setoutCommand(), drawCommand(), shelterCommand(), lightCommand(), woodCommand(), speciesCommand(), bringInCommand(), schemaCommand(), backupCommand(), restoreCommand()}
}

// run is main without the process: arguments and streams in, exit code out.
func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) int {
	if len(args) == 0 {
		usage(errs)
		return exitInput
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		usage(out)
		return exitDone
	case "version", "--version":
		fmt.Fprintln(out, version())
		return exitDone
	}
	for _, c := range commands() {
		if c.name != args[0] {
			continue
		}
		inv := newInvocation(c, in, out, errs)
		code, err := inv.parse(args[1:])
		if err == nil && code < 0 {
			code, err = c.run(ctx, inv)
		}
		return finish(inv, code, err)
	}
	fmt.Fprintf(errs, "quickthorn: there is no command %q. The commands are %s; quickthorn help says what each does.\n", args[0], commandNames())
	return exitInput
}

// commandNames lists the commands in a sentence.
func commandNames() string {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// finish says what went wrong, if anything did, and maps it to an exit code.
func finish(inv *invocation, code int, err error) int {
	if err == nil {
		return code
	}
	lines := strings.Split(err.Error(), "\n")
	for i, l := range lines {
		lines[i] = prose.Clean(l) // it may quote a file
	}
	fmt.Fprintln(inv.errs, "quickthorn: "+strings.Join(lines, "\n"))
	return exitOf(err)
}

// exitOf is the one table from what went wrong to exit codes.
func exitOf(err error) int {
	var p *planner.Problem
	switch {
	case errors.As(err, &p):
		return exitInput
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, errInput):
		return exitInput
	}
	return exitFault
}

func usage(w io.Writer) {
	fmt.Fprint(w, `Quickthorn plans hedges, windbreaks, orchards and groves: it reads a plan drawn as
GeoJSON, sets the plants out, checks them, and writes the planting list.

`)
	for _, c := range commands() {
		fmt.Fprintf(w, "  quickthorn %-8s %-10s %s\n", c.name, c.args, c.does)
	}
	fmt.Fprint(w, `
FILE is a plan; - is standard input. Flags for all: --format, --out FILE, --rule-set NAME,
--year N, --winter N, --date TEXT, --quiet, --log-format text|json. More with
quickthorn COMMAND --help, and in the README.

Exit code: 0 done (check: nothing to mend or to look at again), 1 check found something,
2 the input or the flags could not be used, 3 a fault of the program or machine.
`)
}

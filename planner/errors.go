package planner

import "fmt"

// A Problem is something the user can mend: what, where, and how.
type Problem struct {
	File     string // "" where not from a file
	Where    string // line and column, byte offset, feature or property
	Feature  string
	Property string
	What     string
	Mend     string
	Err      error // the cause, for the log
}

// Error says what, where and how to mend it, in that order.
func (p *Problem) Error() string {
	s := p.What
	if p.Where != "" {
		s = p.Where + ": " + s
	}
	if p.File != "" {
		s = p.File + ": " + s
	}
	if p.Mend != "" {
		s += " " + p.Mend
	}
	return s
}

// Unwrap gives the cause.
func (p *Problem) Unwrap() error { return p.Err }

// Problemf makes a Problem of what is wrong; Mend says what to do.
func Problemf(where, mend, format string, args ...any) *Problem {
	return &Problem{Where: where, Mend: mend, What: fmt.Sprintf(format, args...)}
}

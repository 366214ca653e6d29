package main

import (
	"context"
	"io"

	"quickthorn/planner"
)

func schemaCommand() command {
	return command{name: "schema", args: "", does: "the vocabulary of the plan file as JSON Schema 2020-12", run: func(_ context.Context, inv *invocation) (int, error) {
		if len(inv.files) > 0 {
			return exitInput, inputf("quickthorn schema takes no file.")
		}
		return exitDone, inv.write(func(w io.Writer) error {
			_, err := w.Write(planner.Schema())
			return err
		})
	}}
}

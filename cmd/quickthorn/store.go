package main

import (
	"context"
	"errors"
	"io/fs"
	"os"

	"quickthorn/planner"
	"quickthorn/planner/store"
)

func backupCommand() command {
	return command{name: "backup", args: "[FILE]", does: "a copy of the store, also while it is served; --check looks it through", run: runBackup,
		flags: func(inv *invocation) {
			inv.storeFlag()
			inv.flags.BoolVar(&inv.checkStore, "check", false, "look through the whole store first; FILE may then be left out")
		}}
}

func restoreCommand() command {
	return command{name: "restore", args: "FILE", does: "a copy put in place of the store, which is kept beside it", run: runRestore,
		flags: (*invocation).storeFlag}
}

// storeFlag adds --store.
func (inv *invocation) storeFlag() {
	inv.flags.StringVar(&inv.storePath, "store", "", "`PATH` of the store, in place of where the operating system keeps data")
}

// storeAt is the path of the store: that of --store, or the operating system's.
func (inv *invocation) storeAt() (string, error) {
	if inv.storePath != "" {
		return inv.storePath, nil
	}
	return store.DefaultPath()
}

// openStore opens a store that must be there already.
func (inv *invocation) openStore(ctx context.Context) (*store.Store, error) {
	path, err := inv.storeAt()
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, &planner.Problem{File: path, What: "There is no store here.", Mend: "Name it with --store PATH.", Err: err}
	}
	return store.Open(ctx, path, inv.log)
}

func runBackup(ctx context.Context, inv *invocation) (code int, err error) {
	if len(inv.files) > 1 || len(inv.files) == 0 && !inv.checkStore {
		return exitInput, inputf("quickthorn backup takes one file to write, and got %d.", len(inv.files))
	}
	s, err := inv.openStore(ctx)
	if errors.Is(err, store.ErrReadOnly) && len(inv.files) == 1 {
		return inv.rescue(ctx, err)
	}
	if err != nil {
		return exitFault, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if inv.checkStore {
		if err := s.Check(ctx); err != nil {
			return exitFault, err
		}
		inv.log.Info("The store " + s.Path() + " is sound.")
	}
	if len(inv.files) == 0 {
		return exitDone, nil
	}
	if err := s.Backup(ctx, inv.files[0]); err != nil {
		return exitFault, err
	}
	inv.log.Info("The store " + s.Path() + " was copied to " + inv.files[0] + ", and the copy is sound.")
	return exitDone, nil
}

// rescue copies a store that cannot be opened because it cannot be written to. Whatever the copy holds was looked through.
func (inv *invocation) rescue(ctx context.Context, why error) (int, error) {
	path, err := inv.storeAt()
	if err != nil {
		return exitFault, err
	}
	inv.log.Warn(why.Error())
	if err := store.Copy(ctx, path, inv.files[0]); err != nil {
		return exitFault, err
	}
	inv.log.Info("It was copied to " + inv.files[0] + " all the same, and the copy is sound.")
	return exitDone, nil
}

func runRestore(ctx context.Context, inv *invocation) (int, error) {
	if len(inv.files) != 1 {
		return exitInput, inputf("quickthorn restore takes one file, a copy that quickthorn backup made, and got %d.", len(inv.files))
	}
	path, err := inv.storeAt()
	if err != nil {
		return exitFault, err
	}
	aside, err := store.RestoreAside(ctx, inv.files[0], path)
	if err != nil {
		return exitFault, err
	}
	inv.log.Info("The store " + path + " is now as in " + inv.files[0] + ".")
	if aside != "" {
		inv.log.Info("What was there is kept as " + aside + ".")
	}
	return exitDone, nil
}

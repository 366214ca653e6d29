package store

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
)

// emptyBeside makes an empty file of a new name in the folder of the file, for nobody else to read.
func emptyBeside(file string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(file), "."+filepath.Base(file)+".*")
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// removeStore removes a file of ours that nobody has open, and what SQLite may have left beside it.
func removeStore(file string) {
	for _, end := range []string{"", "-journal", "-wal", "-shm"} {
		_ = os.Remove(file + end) // most of them are not there
	}
}

// makeDir makes a folder and those above it, for nobody else to read, and syncs what it made.
func makeDir(dir string) error {
	if _, err := os.Stat(dir); err == nil || !errors.Is(err, os.ErrNotExist) {
		return err
	}
	up := filepath.Dir(dir)
	if up == dir {
		return os.ErrNotExist
	}
	if err := makeDir(up); err != nil {
		return err
	}
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, os.ErrExist) {
		return err
	}
	return syncPath(up)
}

// syncPath brings a file, or the names in a folder, to the disk. No connection may have the file open.
func syncPath(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	err = f.Sync()
	if info, e := f.Stat(); runtime.GOOS == "windows" || e == nil && info.IsDir() && errors.Is(err, os.ErrInvalid) {
		err = nil // there a folder cannot be synced
	}
	return errors.Join(err, f.Close())
}

// copyBytes copies a file to a new one.
func copyBytes(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

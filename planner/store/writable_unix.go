//go:build unix

package store

import (
	"path/filepath"
	"syscall"
)

// writable asks the system whether the file and its folder can be written to, without opening the file: closing it again would
// drop the locks that this process holds on it.
func writable(path string) error {
	const write = 2 // W_OK
	for _, p := range []string{path, filepath.Dir(path)} {
		if err := syscall.Access(p, write); err != nil {
			return err
		}
	}
	return nil
}

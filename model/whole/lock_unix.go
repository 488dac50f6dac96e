//go:build unix

package whole

import (
	"errors"
	"os"
	"syscall"
)

// Lock locks a folder and tells whether nobody else has; that the drive has no locks is as if nobody had.
func Lock(path string) (unlock func() error, free bool) {
	f, err := os.Open(path)
	if err != nil {
		return func() error { return nil }, false
	}
	err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	return f.Close, !errors.Is(err, syscall.EWOULDBLOCK)
}

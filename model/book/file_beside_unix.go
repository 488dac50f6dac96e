//go:build unix

package book

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"syscall"
)

// mayWrite tells whether this user may write a file or a folder.
func mayWrite(path string) bool {
	const write = 2 // W_OK
	return syscall.Access(path, write) == nil
}

// ownerOf names whose file it is; empty: nobody knows.
func ownerOf(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	of, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return ""
	}
	if u, err := user.LookupId(fmt.Sprint(of.Uid)); err == nil {
		return u.Username
	}
	return fmt.Sprintf("user %d", of.Uid)
}

// openByte is the byte of the file FILE-shm on which everybody who has a book open keeps a shared lock (SQLite, "WAL-mode File Format", section 2.3.1,
// the byte behind the locks that it lists; in the source DMS, the "dead man switch").
const openByte = 128

// inUse tells whether another process has the book open. It must not be asked of a book that this process has open: closing a file
// gives up all locks of the process on it.
func inUse(path string) (bool, error) {
	f, err := os.Open(path + "-shm")
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	} else if err != nil {
		return false, err
	}
	defer f.Close()
	lock := syscall.Flock_t{Type: syscall.F_WRLCK, Start: openByte, Len: 1}
	if err := syscall.FcntlFlock(f.Fd(), syscall.F_GETLK, &lock); err != nil {
		return false, err
	}
	return lock.Type != syscall.F_UNLCK, nil
}

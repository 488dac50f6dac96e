package book

import (
	"errors"
	"os"
	"syscall"
)

// mayWrite tells whether a file or a folder may be written, as far as it says so itself.
func mayWrite(path string) bool {
	const write = 0o200
	info, err := os.Stat(path)
	return err == nil && (info.IsDir() || info.Mode()&write != 0)
}

// ownerOf names whose file it is; nobody knows.
func ownerOf(string) string { return "" }

// inUse tells whether a process has the book open: then a file beside it cannot be opened for oneself alone.
func inUse(path string) (bool, error) {
	name, err := syscall.UTF16PtrFromString(path + "-shm")
	if err != nil {
		return false, err
	}
	h, err := syscall.CreateFile(name, syscall.GENERIC_READ, 0, nil, syscall.OPEN_EXISTING, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	const sharing = syscall.Errno(32) // ERROR_SHARING_VIOLATION
	switch {
	case errors.Is(err, syscall.ERROR_FILE_NOT_FOUND):
		return false, nil
	case errors.Is(err, sharing):
		return true, nil
	case err != nil:
		return false, err
	}
	return false, syscall.CloseHandle(h)
}

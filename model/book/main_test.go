package book

import (
	"flag"
	"os"
	"testing"
)

// TestMain lets the test program be started again as one of the processes that others kill or compete with, and keeps the books of
// tests in memory where the machine has a folder for that: they are many and small, and what a disk does is not what they test.
func TestMain(m *testing.M) {
	flag.Parse()
	if work := os.Getenv(workVariable); work != "" {
		os.Exit(workers[work]())
	}
	const memory = "/dev/shm"
	if dir, err := os.MkdirTemp(memory, "longpoint-test-"); err == nil {
		os.Setenv("TMPDIR", dir)
		code := m.Run()
		os.RemoveAll(dir)
		os.Exit(code)
	}
	os.Exit(m.Run())
}

// workVariable names the work that a process of the test program is started for.
const workVariable = "LONGPOINT_TEST_WORK"

// workers are the kinds of work, each giving an exit status.
var workers = map[string]func() int{}

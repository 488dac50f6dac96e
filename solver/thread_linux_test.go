package solver

import (
	"context"
	"fmt"
	"os"
	"syscall"
	"testing"
	"time"
)

// TestThreadsAreGivenBack: every linear program of a search is closed in the end. While one is open, its goroutine holds its thread, which would end with it.
func TestThreadsAreGivenBack(t *testing.T) {
	var threads []int
	nodes := 0
	for seed := range uint64(6) {
		on := make(chan int)
		go func() {
			r, err := Solve(context.Background(), middling(seed), Options{})
			nodes += r.Nodes
			if err != nil {
				t.Error(err)
			}
			on <- syscall.Gettid()
		}()
		threads = append(threads, <-on)
	}
	time.Sleep(50 * time.Millisecond) // a thread that ends takes a moment
	if nodes <= len(threads) {
		t.Errorf("%d nodes: the test says too little", nodes)
	}
	for _, thread := range threads {
		if _, err := os.Stat(fmt.Sprintf("/proc/self/task/%d", thread)); err != nil {
			t.Errorf("a thread has ended: a program is open still: %v", err)
		}
	}
}

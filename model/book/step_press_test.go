package book

import (
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"
)

// TestSentOnce: what is sent twice under one key is done once, and whether it changed anything makes no difference.
func TestSentOnce(t *testing.T) {
	b := newShop(t)
	steps := func() int {
		all, err := b.Steps(t.Context(), 1000)
		must(t, err)
		return len(all)
	}
	by := By{Who: "Ada", Key: "first"}
	before := steps()
	fresh, err := b.Do(t.Context(), by, AddBlade(Blade{Name: "one", Height: 50_000_000}))
	if must(t, err); !fresh || steps() != before+1 {
		t.Fatalf("the first time: fresh %t, %d steps, was %d", fresh, steps(), before)
	}
	if _, err := b.Do(t.Context(), by, AddBlade(Blade{Name: "two", Height: 50_000_000})); !errors.Is(err, ErrSent) {
		t.Errorf("sent again: %v, want %v", err, ErrSent)
	}
	// It is in the book already, so that nothing changes; then it is undone, and sent again.
	fresh, err = b.Do(t.Context(), By{Who: "Ada", Key: "second"}, AddBlade(Blade{Name: "one", Height: 50_000_000}))
	if must(t, err); fresh {
		t.Error("a blade set that is there was added")
	}
	_, err = b.Undo(t.Context(), 0, By{Who: "Bert"})
	must(t, err)
	if _, err = b.Do(t.Context(), By{Who: "Ada", Key: "second"}, AddBlade(Blade{Name: "one", Height: 50_000_000})); !errors.Is(err, ErrSent) {
		t.Errorf("sent again after it was undone: %v, want %v", err, ErrSent)
	}
	blades, err := b.Blades(t.Context())
	if must(t, err); len(blades) != 0 {
		t.Errorf("there are blade sets: %v", blades)
	}
	// What failed was not done, and can be sent again.
	by.Key = "third"
	if _, err := b.Do(t.Context(), by, MountBlade("none")); err == nil || errors.Is(err, ErrSent) {
		t.Errorf("a blade set that is not there was mounted: %v", err)
	}
	if _, err := b.Do(t.Context(), by, AddBlade(Blade{Name: "one", Height: 50_000_000})); err != nil {
		t.Errorf("sent again after it failed: %v", err)
	}
}

// TestKeysAreForgotten: old keys go when new ones come.
func TestKeysAreForgotten(t *testing.T) {
	b := newShop(t)
	now := time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)
	b.Now = func() time.Time { return now }
	for n := range 3 {
		_, err := b.Do(t.Context(), By{Who: "Ada", Key: fmt.Sprint("key", n)}, AddBlade(Blade{Name: fmt.Sprint("set ", n), Height: 50_000_000}))
		must(t, err)
		now = now.Add(keysKept - time.Hour)
	}
	var keys int
	must(t, b.db.QueryRow("SELECT count(*) FROM press").Scan(&keys))
	if keys != 2 {
		t.Errorf("%d keys are remembered, want 2", keys)
	}
}

// TestSentAtOnce: of many who send the same at once, one does it.
func TestSentAtOnce(t *testing.T) {
	b := newShop(t)
	var wait sync.WaitGroup
	var mu sync.Mutex
	done := 0
	for n := range 16 {
		wait.Go(func() {
			_, err := b.Do(t.Context(), By{Who: "Ada", Key: "one"}, AddBlade(Blade{Name: fmt.Sprint("set ", n), Height: 50_000_000}))
			mu.Lock()
			defer mu.Unlock()
			if err == nil {
				done++
			} else if !errors.Is(err, ErrSent) {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	if done != 1 {
		t.Errorf("it was done %d times", done)
	}
}

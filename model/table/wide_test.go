package table

import (
	"runtime"
	"strings"
	"testing"
)

// TestWide: a line of nothing but marks is refused before it is taken apart, for which it would take a hundred times its size.
func TestWide(t *testing.T) {
	text := "job,due\n" + `"a` + "\n" + `",` + strings.Repeat(",", 10_000_000) + "\n"
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	var got *fault
	line := 0
	csvRecords(text, ',')(func(r record, f *fault) bool {
		if f != nil {
			got, line = f, r.line
		}
		return true
	})
	runtime.ReadMemStats(&after)
	if got != tooWide || line != 3 {
		t.Errorf("in line %d: %v", line, got)
	}
	if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 10 {
		t.Errorf("it took %d MB", took)
	}
}

package table

import (
	"runtime"
	"strings"
	"testing"
)

// TestLong refuses a line of nothing but marks, or of one cell, before it is taken apart, for which it would take a hundred times its size. A note may be
// as long as it likes.
func TestLong(t *testing.T) {
	for name, row := range map[string]struct {
		text string
		want *fault
		line int
	}{
		"marks":                         {"job,due\n" + strings.Repeat(",", 10_000_000) + "\n", tooLong, 2},
		"marks behind an open cell":     {"job,due\n" + `"a` + "\n" + `",` + strings.Repeat(",", 10_000_000) + "\n", unclosed, 2},
		"one cell":                      {"job,due\n1,2\n" + strings.Repeat("x", 10_000_000), tooLong, 3},
		"an open cell that never ends":  {"job,due\n" + `"a` + "\n" + strings.Repeat(strings.Repeat("x", 1000)+"\n", 10_000), unclosed, 2},
		"just not too long":             {"job,due\n1," + strings.Repeat("x", maxRow-3) + "\n", nil, 0},
		"just too long":                 {"job,due\n1," + strings.Repeat("x", maxRow-2) + "\n", tooLong, 2},
		"a long note and a row":         {"job,due\n# " + strings.Repeat("x,", 5_000_000) + "\n1,2\n", nil, 0},
		"many rows, long only together": {"job,due\n" + strings.Repeat(strings.Repeat("x", 100_000)+",y\n", 20), nil, 0},
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			var got *fault
			line := 0
			csvRecords(row.text, ',')(func(r record, f *fault) bool {
				if f != nil {
					got, line = f, r.line
				}
				return true
			})
			runtime.ReadMemStats(&after)
			if got != row.want || line != row.line {
				t.Errorf("in line %d: %v", line, got)
			}
			if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 20 {
				t.Errorf("it took %d MB", took)
			}
		})
	}
}

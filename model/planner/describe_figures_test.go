package planner

import (
	"testing"

	"longpoint/model"
)

func TestComparePrices(t *testing.T) {
	for _, tt := range []struct {
		name   string
		c1     model.Money
		l1     model.Length
		c2     model.Money
		l2     model.Length
		result int
	}{
		{"half the length at half the price", 500, 1000, 1000, 2000, 0},
		{"cheaper", 499, 1000, 1000, 2000, -1},
		{"dearer", 501, 1000, 1000, 2000, 1},
		{"for nothing", 0, 1, 1, 1 << 62, -1},
		{"both for nothing", 0, 1, 0, 2, 0},
		{"past 64 bits", 1 << 40, 1 << 46, 1<<40 + 1, 1 << 46, -1},
	} {
		if got := comparePrices(tt.c1, tt.l1, tt.c2, tt.l2); got != tt.result {
			t.Errorf("%s: %d, want %d", tt.name, got, tt.result)
		}
	}
}

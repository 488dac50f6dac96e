package plan

import (
	"testing"

	"longpoint/model"
)

func TestYieldPercent(t *testing.T) {
	for _, tt := range []struct {
		ppm  int64
		want string
	}{{0, "0.0 %"}, {999, "0.0 %"}, {1000, "0.1 %"}, {958385, "95.8 %"}, {999999, "99.9 %"}, {1000000, "100.0 %"}} {
		if got := (Figures{Yield: tt.ppm}).YieldPercent(); got != tt.want {
			t.Errorf("%d ppm: %q, want %q", tt.ppm, got, tt.want)
		}
	}
}

func TestRatio(t *testing.T) {
	const most = model.Length(1<<63 - 1)
	for _, tt := range []struct {
		a, b model.Length
		want int64
	}{{0, 0, 0}, {0, 5, 0}, {5, 5, 1_000_000}, {1, 3, 333_333}, {2, 3, 666_666}, {most, most, 1_000_000}, {most - 1, most, 999_999}, {most / 2, most, 499_999}} {
		if got := ratio(tt.a, tt.b); got != tt.want {
			t.Errorf("%d / %d: %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}

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

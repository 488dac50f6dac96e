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
		if got := PerMillion(tt.a, tt.b); got != tt.want {
			t.Errorf("%d / %d: %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}

package planner_test

import (
	"testing"

	"longpoint/model"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// BenchmarkMake plans workshops, with the checker's proof.
func BenchmarkMake(b *testing.B) {
	for _, shop := range []struct {
		name string
		w    *model.Workshop
	}{{"tiny", shoptest.Tiny()}, {"fair", shoptest.Fair()}, {"market", shoptest.Market()}, {"demo", shoptest.ReadDemo(b)}} {
		b.Run(shop.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := planner.Make(b.Context(), shop.w, planner.Options{On: shoptest.Today, Verify: shoptest.Checker}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

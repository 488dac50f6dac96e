package planner_test

import (
	"context"
	"fmt"

	"longpoint/model"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

// Two frames are cut from one new stick and one of the rack's.
func ExampleMake() {
	d, err := planner.Make(context.Background(), shoptest.Tiny(), planner.Options{Verify: shoptest.Checker})
	if err != nil {
		fmt.Println(err)
		return
	}
	euro := model.Currency{Code: d.Currency.Code, Decimals: d.Currency.Decimals}
	for _, p := range d.Profiles {
		fmt.Printf("%s: %s, %s, yield %s\n", p.Name, p.Figures.Cost.With(euro), p.Grade, p.Figures.YieldPercent())
		for _, s := range p.Sticks {
			fmt.Printf("%s, %s:", s.ID, s.Length)
			for _, side := range s.Sides {
				fmt.Printf(" %s %s", side.Letter, side.LongPoint)
			}
			fmt.Printf("; %s %s\n", s.Left.Length, s.Left.Becomes)
		}
	}
	// Output:
	// ash-20: 12.50 EUR, proven, yield 95.8 %
	// new 1, 3000 mm: B 430 mm D 430 mm B 430 mm D 430 mm A 330 mm C 330 mm A 330 mm; 228 mm kept
	// r1, 400 mm: C 330 mm; 44 mm waste
}

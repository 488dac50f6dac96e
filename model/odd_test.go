package model

import (
	"fmt"
	"strings"
	"testing"
)

// TestOdds looks for slips among what is usual.
func TestOdds(t *testing.T) {
	shop := func(change func(w *Workshop)) *Workshop {
		w := &Workshop{Unit: Millimetres, Currency: Currency{"EUR", 2}}
		for i := range 4 {
			name := fmt.Sprint("P", i)
			w.Profiles = append(w.Profiles, Profile{Name: name, Width: Length(20+5*i) * Millimetre})
			for k := range 3 {
				line := len(w.Offers) + 2
				w.Offers = append(w.Offers, Offer{Supplier: fmt.Sprint("S", k), Profile: name, Length: 3 * Metre, Price: Money(1000 + 400*i + 50*k), Where: Place{File: "offers.csv", Line: line}})
			}
			for k := range 6 {
				w.Rack = append(w.Rack, Stick{ID: fmt.Sprintf("R%d%d", i, k), Profile: name, Length: Length(400+400*k) * Millimetre, Where: Place{File: "rack.csv", Line: len(w.Rack) + 2}})
			}
			for k := range 5 {
				where := Place{File: "jobs.csv", Line: len(w.Jobs) + 2}
				w.Jobs = append(w.Jobs, Job{ID: fmt.Sprintf("J%d%d", i, k), Frames: []JobFrame{{ID: "f", Quantity: 1, Rings: []Ring{{Profile: name, Where: where,
					Size: Size{Shape: Shape{Sides: 4}, By: ByContent, Width: Length(300+50*k) * Millimetre, Height: Length(500+100*k) * Millimetre}}}}}})
			}
		}
		change(w)
		return w
	}
	for _, row := range []struct {
		name   string
		change func(w *Workshop)
		want   []string
	}{
		{"nothing", func(w *Workshop) {}, nil},
		{"a size in inches", func(w *Workshop) {
			size := &w.Jobs[7].Frames[0].Rings[0].Size
			size.Width, size.Height = 16*Millimetre, 20*Millimetre
		}, []string{
			"jobs.csv:9, column height: job J12, frame f: a size of 20 mm is far from all others, which are 300 mm to 900 mm; check its digits and its unit",
		}},
		{"a stick of 2.29 mm", func(w *Workshop) { w.Rack[3].Length = 2_290_000 }, []string{
			"rack.csv:5, column length: stick R03: a length of 2.29 mm is far from all others, which are 400 mm to 2400 mm"}},
		{"a price with a digit too many", func(w *Workshop) { w.Offers[4].Price *= 10 }, []string{
			"offers.csv:6, column price: S1, P1: a price of 48.33 EUR a metre is far from all others, which are 3.33 EUR a metre to 7.67 EUR a metre"}},
		{"a price that is odd for its profile only", func(w *Workshop) {
			w.Offers = append(w.Offers, Offer{Supplier: "S9", Profile: "P9", Length: 3 * Metre, Price: 9000}, Offer{Supplier: "S9", Profile: "P3", Length: 3 * Metre, Price: 12000, Where: Place{Line: 99}},
				Offer{Supplier: "S8", Profile: "P9", Length: 3 * Metre, Price: 4500})
		}, []string{":99, column price: S9, P3: a price of 40.00 EUR a metre is far from all others, which are 7.33 EUR a metre to 7.67 EUR a metre"}},
		{"a sort of its own", func(w *Workshop) {
			for i := range 8 {
				w.Rack[3*i].Length = 40 * Millimetre
			}
		}, nil},
		{"too few to say", func(w *Workshop) {
			w.Jobs = w.Jobs[:3]
			w.Jobs[0].Frames[0].Rings[0].Size.Width = 16 * Millimetre
		}, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			err := shop(row.change).OddErrors()
			var got []string
			if err != nil {
				got = strings.Split(err.Error(), "\n")
			}
			if len(got) != len(row.want) {
				t.Fatalf("%d: %s", len(got), strings.Join(got, "\n"))
			}
			for i := range got {
				if !strings.Contains(got[i], row.want[i]) {
					t.Errorf("got %s\nwant %s", got[i], row.want[i])
				}
			}
		})
	}
}

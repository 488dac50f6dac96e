package round

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/book"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

const mm = model.Millimetre

// randomShop is a shop of two profiles that two suppliers sell, one of them matched by lot, with random jobs.
func randomShop(g *rand.Rand) *model.Workshop {
	w := &model.Workshop{Name: "Invented shop", Unit: model.Millimetres, Currency: model.Currency{Code: "EUR", Decimals: 2},
		Machine:   model.Machine{Name: "Invented saw", Type: model.Saw, Kerf: 3200 * model.Millimetre / 1000, Unit: model.Millimetres},
		Defaults:  model.Defaults{RackShare: 50},
		Profiles:  []model.Profile{{Name: "gold-45", Width: 45 * mm, Rebate: 8 * mm, Keep: 400 * mm, Match: model.MatchLot}, {Name: "oak-60", Width: 60 * mm, Rebate: 10 * mm, Keep: 400 * mm}},
		Suppliers: []model.Supplier{{Name: "Gilders", DeliveryDays: model.OptionalDays{Days: 8, Given: true}}, {Name: "Timber", DeliveryDays: model.OptionalDays{Days: 2, Given: true}}},
		Offers: []model.Offer{{Supplier: "Gilders", Profile: "gold-45", Length: 3000 * mm, Bundle: 1, From: 1, Price: 6000},
			{Supplier: "Timber", Profile: "oak-60", Length: 3600 * mm, Bundle: 1, From: 1, Price: 3000}}}
	for n := range 2 + g.IntN(4) {
		w.Rack = append(w.Rack, model.Stick{ID: fmt.Sprintf("S%d", n+1), Profile: w.Profiles[g.IntN(2)].Name, Length: model.Length(6+g.IntN(3)) * 300 * mm, Lot: []string{"", "L1"}[g.IntN(2)]})
	}
	for n := range 2 + g.IntN(4) {
		w.Jobs = append(w.Jobs, model.Job{ID: fmt.Sprintf("J%d", n+1), Frames: []model.JobFrame{{ID: "f", Quantity: 1 + g.IntN(2), Rings: []model.Ring{{Profile: w.Profiles[g.IntN(2)].Name,
			Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByOutside, Width: model.Length(5+g.IntN(5)) * 100 * mm, Height: model.Length(5+g.IntN(5)) * 100 * mm}}}}}})
	}
	return w
}

// TestFreshPlanIsRight: a plan that was just made of a book is right for the book as it is, whatever is on the way, here or in lots, and whether another
// plan's marks were kept or not.
func TestFreshPlanIsRight(t *testing.T) {
	by := book.By{Who: "tester", Why: "a test"}
	for seed := range uint64(5) {
		g := rand.New(rand.NewPCG(seed, 3))
		path := filepath.Join(t.TempDir(), fmt.Sprint(seed, ".book"))
		if err := book.Create(t.Context(), path, func(b *book.Book) error { return b.Fill(t.Context(), randomShop(g), by) }); err != nil {
			t.Fatal(err)
		}
		b, err := book.Open(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		for n := range 3 {
			o := planner.Options{MadeWith: "test", TimeLimit: 2 * time.Second, Known: planner.NewKnown()}
			marked, err := Marked(t.Context(), b, o)
			if err != nil {
				t.Fatal(err)
			}
			w, _, err := b.Rest(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			d, err := Plan(t.Context(), w, marked, o)
			if err != nil {
				t.Fatal(seed, err)
			}
			id, err := b.KeepPlan(t.Context(), d, by)
			if err != nil {
				t.Fatal(err)
			}
			for range 2 {
				now, err := b.RestFor(t.Context(), id)
				if err != nil {
					t.Fatal(err)
				}
				found, err := audit.Check(t.Context(), now, d, shoptest.Tools(shoptest.Checker))
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range found {
					t.Errorf("seed %d, plan %d of %d: %s", seed, n+1, id, f)
				}
				if _, _, err := b.PlaceOrders(t.Context(), id, true, by); err != nil {
					t.Fatal(err)
				}
			}
			orders, err := b.Purchases(t.Context(), true)
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range orders {
				if g.IntN(2) == 0 {
					continue
				}
				r := book.Receipt{Lot: []string{"", "L12"}[g.IntN(2)]}
				if g.IntN(2) == 0 {
					r.Arrivals = []book.Arrival{{Line: 1, Sticks: 1}}
				}
				if _, err := b.Receive(t.Context(), o.ID, r, by); err != nil {
					t.Log(err) // the same once more today
				}
			}
		}
		b.Close()
	}
}

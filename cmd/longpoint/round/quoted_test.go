package round

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/planner"
	"longpoint/model/quote"
	"longpoint/model/shoptest"
)

// sold is a random shop whose suppliers sell in bundles, charge for delivery and ask for least orders.
func sold(g *rand.Rand) *model.Workshop {
	w := randomShop(g)
	w.Profiles[0].Match = ""
	for n := range w.Suppliers {
		w.Suppliers[n].Delivery = model.Money(g.IntN(2) * 950)
		w.Suppliers[n].LeastSticks = g.IntN(4)
		w.Offers[n].Bundle = 1 + g.IntN(3)
	}
	w.Offers = append(w.Offers, model.Offer{Supplier: "Timber", Profile: "gold-45", Length: 2400 * mm, Bundle: 1, From: 1, Price: model.Money(4000 + g.IntN(1500))})
	w.Rack = w.Rack[:g.IntN(3)]
	return w
}

// quotations gives what each job adds to the plan, and what of it is ordered.
func quotations(t *testing.T, b *book.Book, o planner.Options) map[string]quote.Marginal {
	t.Helper()
	rest, _, err := b.Rest(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]quote.Marginal{}
	for n, j := range rest.Jobs {
		w, lines, err := b.ForQuotation(t.Context(), j.ID)
		if err != nil {
			t.Fatal(err)
		}
		book.OfferAgain(w, o.On, lines)
		q, err := quote.Job(t.Context(), w, o, w.Jobs[n], nil)
		if err != nil {
			t.Fatal(err)
		}
		Ordered(q, lines, q.Sides)
		all[j.ID] = q.Marginal
	}
	return all
}

// TestQuotedTheSameOnceOrdered: what a job adds to the plan is the same before and after what it needs is ordered, sent and received; for a job that came
// when others' wood was ordered already, too.
func TestQuotedTheSameOnceOrdered(t *testing.T) {
	by := book.By{Who: "tester", Why: "a test"}
	ordered := 0
	for seed := range uint64(12) {
		g := rand.New(rand.NewPCG(seed, 17))
		w := sold(g)
		late := w.Jobs[len(w.Jobs)-1].ID
		path := filepath.Join(t.TempDir(), fmt.Sprint(seed, ".book"))
		if err := book.Create(t.Context(), path, func(b *book.Book) error { return b.Fill(t.Context(), w, by) }); err != nil {
			t.Fatal(err)
		}
		b, err := book.Open(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := b.Do(t.Context(), by, book.MarkJobs(book.JobDropped, late)); err != nil {
			t.Fatal(err)
		}
		o := planner.Options{MadeWith: "test", TimeLimit: 5 * time.Second, Known: planner.NewKnown(), Verify: shoptest.Checker}
		for round := range 2 {
			before := quotations(t, b, o)
			if was := before[late]; was.Ordered != 0 {
				t.Errorf("seed %d, round %d: what was ordered for others, %d, is not counted for job %s", seed, round, was.Ordered, late)
			}
			same := func(when string) {
				for job, is := range quotations(t, b, o) {
					was := before[job]
					if is.Ordered > 0 && is.Proven && was.Proven {
						ordered++
					}
					if was.Proven && is.Proven && (is.With != was.With || is.Without != was.Without || is.Delivery != was.Delivery) {
						t.Errorf("seed %d, round %d, job %s: it adds %+v, and %s %+v", seed, round, job, was, when, is)
					}
				}
			}
			rest, _, err := b.Rest(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			d, err := Plan(t.Context(), rest, nil, o)
			if err != nil {
				t.Fatal(err)
			}
			id, err := b.KeepPlan(t.Context(), d, by)
			if err != nil {
				t.Fatal(err)
			}
			if _, _, err := b.PlaceOrders(t.Context(), id, false, by); err != nil {
				t.Fatal(err)
			}
			same("once ordered")
			if g.IntN(2) == 0 {
				if _, err := b.Do(t.Context(), by, book.SendOrders()); err != nil {
					t.Fatal(err)
				}
				orders, err := b.Purchases(t.Context(), true)
				if err != nil {
					t.Fatal(err)
				}
				for n, order := range orders {
					r := book.Receipt{}
					if n > 0 {
						r.Arrivals = []book.Arrival{{Line: 1, Sticks: 1}}
					}
					if _, err := b.Receive(t.Context(), order.ID, r, by); err != nil {
						t.Fatal(err)
					}
				}
				same("once here")
			}
			if round == 0 {
				if _, err := b.Do(t.Context(), by, book.MarkJobs(book.JobOpen, late)); err != nil {
					t.Fatal(err)
				}
			}
		}
		b.Close()
	}
	if ordered < 20 {
		t.Errorf("only %d quotations had something ordered: the test holds little", ordered)
	}
}

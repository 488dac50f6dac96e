package book

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// endedShop is a random shop of one profile: some sticks on the rack, sold singly or in bundles, with a charge for delivery.
func endedShop(r *rand.Rand) *model.Workshop {
	w := smallShop()
	w.Profiles = []model.Profile{{Name: "oak-40", Width: 40 * model.Millimetre, Rebate: 8 * model.Millimetre, Keep: model.Length(200+r.IntN(300)) * model.Millimetre}}
	w.Defaults.RackShare, w.Defaults.OffcutShare = r.IntN(101), r.IntN(101)
	w.Suppliers = []model.Supplier{{Name: "Invented Timber", Delivery: model.Money(r.IntN(1000))}}
	w.Offers = []model.Offer{
		{Supplier: "Invented Timber", Profile: "oak-40", Length: 3 * model.Metre, Bundle: 1 + r.IntN(2)*r.IntN(3), From: 1, Price: model.Money(1900 + r.IntN(400))},
		{Supplier: "Invented Timber", Profile: "oak-40", Length: 2400 * model.Millimetre, Bundle: 1, From: 1, Price: model.Money(1500 + r.IntN(400))}}
	w.Rack, w.Jobs = nil, nil
	for n := range r.IntN(4) {
		w.Rack = append(w.Rack, model.Stick{ID: fmt.Sprintf("S%d", n+1), Profile: "oak-40", Length: model.Length(700+r.IntN(2300)) * model.Millimetre})
	}
	for n := range 2 + r.IntN(3) {
		size := model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: model.Length(150+r.IntN(600)) * model.Millimetre, Height: model.Length(150+r.IntN(600)) * model.Millimetre}
		w.Jobs = append(w.Jobs, model.Job{ID: fmt.Sprint(101 + n), Frames: []model.JobFrame{{ID: "f", Quantity: 1 + r.IntN(2),
			Rings: []model.Ring{{Profile: "oak-40", Allowance: 3 * model.Millimetre, Size: size}}}}})
	}
	return w
}

// counted gives what the next plan counts each stick of the rack at, here or on the way.
func counted(t *testing.T, b *Book) map[string]model.Money {
	w, _, err := b.Rest(t.Context())
	must(t, err)
	counts := map[string]model.Money{}
	for _, s := range w.Rack {
		counts[s.ID] = max(w.StickValue(s), s.Paid)
	}
	return counts
}

// borne is what all jobs bear for what is cut.
func borne(t *testing.T, b *Book) (all model.Money) {
	jobs, err := b.Jobs(t.Context(), true)
	must(t, err)
	for _, j := range jobs {
		all += j.Cost
	}
	return all
}

// TestEndedEarly ends runs of random shops before all is cut, until nothing is left to cut. What the jobs bear for each run, and what was spent on sides that tore in it, is what
// was spent on the sticks that it used up: what they were counted at by its plan, or paid for them with the delivery, less what the sticks that were bought and not used, and what
// is left of the others, count at afterwards. The sums are taken from the rack before and after, to the minor unit.
func TestEndedEarly(t *testing.T) {
	early, torn := 0, 0
	for seed := range uint64(8) {
		r := rand.New(rand.NewPCG(seed, 9))
		path := filepath.Join(t.TempDir(), "shop.book")
		must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), endedShop(r), tester) }))
		b := openBook(t, path)
		for round := 0; ; round++ {
			w, _, err := b.Rest(t.Context())
			must(t, err)
			if len(w.Jobs) == 0 {
				break
			}
			before, bears := counted(t, b), borne(t, b)
			d := planOf(t, b)
			id := keepPlan(t, b, d)
			spent := model.Money(0)
			if len(d.Buy) > 0 {
				orders := placeOrders(t, b, id, true)
				for _, o := range orders {
					spent += o.goodsCost() + o.Delivery
					if round > 2 || r.IntN(4) > 0 {
						receive(t, b, o.ID, Receipt{})
					}
				}
			}
			run, _, err := b.StartRun(t.Context(), "oak-40", id, tester)
			if err != nil { // nothing of it is here: it was all on the way
				orders, err := b.Purchases(t.Context(), false)
				must(t, err)
				for _, o := range orders {
					receive(t, b, o.ID, Receipt{})
				}
				run = startRun(t, b, "oak-40", id)
			}
			spoilt, whole := cutSome(t, b, r, run, round > 3)
			f := finish(t, b, run.ID, nil)
			if whole != (len(f.Missing) == 0) {
				t.Fatalf("seed %d: %v cut whole, and missing are %v", seed, whole, f.Missing)
			}
			ended, err := b.Run(t.Context(), run.ID)
			must(t, err)
			want := spentBy(before, counted(t, b), spent, ended, d.Profiles[0])
			if !whole {
				early++
			}
			if spoilt > 0 {
				torn++
				want = ofDone(want, ended)
			}
			if got := borne(t, b) - bears; got != want {
				t.Errorf("seed %d, run %d (whole: %v, torn: %d): jobs bear %d for what %d was spent on", seed, run.ID, whole, spoilt, got, want)
			}
		}
		sound(t, b)
	}
	if early < 10 || torn < 2 {
		t.Errorf("only %d runs ended early, %d with a torn side", early, torn)
	}
}

// cutSome cuts the first of a run's sides, or all; of some runs that are ended early a side tears.
func cutSome(t *testing.T, b *Book, r *rand.Rand, run runs.Run, all bool) (spoilt int, whole bool) {
	left := len(run.Sides())
	n := 1 + r.IntN(left)
	if all {
		n = left
	}
	tear := !all && n < left && r.IntN(3) == 0
	for _, s := range run.Sticks {
		for _, side := range s.Sides {
			if n == 0 {
				return spoilt, false
			}
			became := runs.Done
			if tear {
				became, tear, spoilt = runs.Torn, false, 1
			}
			cut(t, b, run.ID, s.Number, []int{side.Place}, became)
			n, left = n-1, left-1
		}
	}
	return spoilt, left == 0
}

// spentBy is what a run used up.
func spentBy(before, after map[string]model.Money, spent model.Money, run runs.Run, p plan.ProfilePlan) model.Money {
	for name, counts := range before {
		if _, there := after[name]; !there {
			spent += counts
		}
	}
	var back []string // that were bought and not cut: those that were not spare in the plan, and went back from the run first
	bought := 0
	for _, s := range p.Sticks {
		if s.From == plan.Bought {
			bought++
		}
	}
	inRun := func(name string) int {
		return slices.IndexFunc(run.Sticks, func(s runs.Stick) bool { return s.Stick == name })
	}
	for name, counts := range after {
		if _, there := before[name]; there {
			continue
		}
		of := slices.IndexFunc(run.Sticks, func(s runs.Stick) bool {
			return slices.ContainsFunc(s.Pieces, func(o runs.Offcut) bool { return o.Name == name })
		})
		if of < 0 {
			back = append(back, name)
		} else if slices.ContainsFunc(run.Sticks[of].Sides, func(s runs.Side) bool { return !s.IsCut() }) {
			spent -= counts
		}
	}
	slices.SortFunc(back, func(a, b string) int {
		return cmp.Or(-cmp.Compare(min(inRun(a), 0), min(inRun(b), 0)), strings.Compare(a, b))
	})
	spent -= p.Figures.Spare
	for _, s := range run.Sticks {
		if _, was := before[s.Stick]; s.State == "cut" && !was {
			bought--
		}
	}
	for _, name := range back[:min(bought, len(back))] {
		spent -= after[name]
	}
	for _, s := range run.Sticks {
		if s.State == "cut" && !slices.ContainsFunc(s.Sides, func(s runs.Side) bool { return !s.IsCut() }) {
			spent -= p.Sticks[s.Of-1].Left.Value // that the plan has taken off already
		}
	}
	return spent
}

// ofDone is the part of what was spent that falls on the sides that were done, by what they take.
func ofDone(spent model.Money, run runs.Run) (all model.Money) {
	var takes []model.Length
	var done []bool
	for _, s := range run.Sticks {
		for _, side := range s.Sides {
			if side.IsCut() {
				takes, done = append(takes, side.As.Takes), append(done, side.Became == runs.Done)
			}
		}
	}
	for n, part := range plan.Share(spent, takes) {
		if done[n] {
			all += part
		}
	}
	return all
}

package book

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/runs"
)

// lotShop is a shop of one profile that is matched by lot, by the profile or by its jobs, with random jobs that take several sticks each.
func lotShop(g *rand.Rand) *model.Workshop {
	w := mishapShop(g)
	w.Profiles[0].Match, w.Profiles[0].Repeat = model.MatchLot, 0
	for n := range w.Rack {
		w.Rack[n].Lot = []string{"", "L1", "L1"}[g.IntN(3)]
	}
	for n := range w.Jobs {
		w.Jobs[n].Match = []model.Match{"", "", model.MatchFree}[g.IntN(3)]
		size := &w.Jobs[n].Frames[0].Rings[0].Size
		size.Width, size.Height = size.Width+300*model.Millimetre, size.Height+400*model.Millimetre
	}
	return w
}

// lotsOfFrames gives the lots that the sides of each frame matched by lot were cut from, as many sides as were cut well.
func lotsOfFrames(t *testing.T, b *Book) map[model.SideID][]string {
	t.Helper()
	all, err := b.CutFrom(t.Context())
	must(t, err)
	return all
}

// TestOneLotAFrame: whatever comes of an order, in whatever lots and portions, no frame that is matched by lot is cut from two. What cannot be cut as it
// is planned waits, or is planned anew.
func TestOneLotAFrame(t *testing.T) {
	tally := map[string]int{}
	for seed := range uint64(14) {
		g := rand.New(rand.NewPCG(seed, 17))
		path := filepath.Join(t.TempDir(), fmt.Sprint(seed, ".book"))
		must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), lotShop(g), tester) }))
		b := openBook(t, path)
		keepPlan(t, b, planOf(t, b))
		placeOrders(t, b, 0, true)
		for range 4 {
			receiveInLots(t, b, g)
			mixed, err := b.MixedLots(t.Context())
			must(t, err)
			if len(mixed) > 0 {
				tally["told of mixed lots"]++
			}
			goOn(t, b, tally)
		}
		for ring, lots := range lotsOfFrames(t, b) {
			tally["frames cut"]++
			if len(lots) > 1 {
				t.Errorf("seed %d: %s is cut from %v", seed, ring.OfRing(), lots)
			}
		}
		sound(t, b)
	}
	for _, what := range []string{"told of mixed lots", "frames cut", "refused", "planned anew", "waited together", "taken in"} {
		if tally[what] == 0 {
			t.Errorf("never %s: %v", what, tally)
		}
	}
}

// receiveInLots receives some of what is to come, a stick at a time, each of a lot.
func receiveInLots(t *testing.T, b *Book, g *rand.Rand) {
	t.Helper()
	orders, err := b.Purchases(t.Context(), true)
	must(t, err)
	for _, o := range orders {
		for _, l := range o.Lines {
			for range g.IntN(max(l.ToCome(), 0) + 1) {
				receive(t, b, o.ID, Receipt{Again: true, Arrivals: []Arrival{{Line: l.Number, Sticks: 1, Lot: []string{"L12", "L12", "L13", ""}[g.IntN(4)]}}})
			}
		}
	}
}

// goOn starts the run, or goes on with it, as the program does, and cuts all that can be cut.
func goOn(t *testing.T, b *Book, tally map[string]int) {
	t.Helper()
	r, _, err := b.StartRun(t.Context(), "oak-40", 0, tester)
	if err != nil {
		tally["refused"]++
		return
	}
	tally["taken in"] += len(r.TookIn)
	if slices.ContainsFunc(r.Waiting, func(a runs.Awaited) bool { return a.Together }) {
		tally["waited together"]++
	}
	if slices.ContainsFunc(r.Waiting, func(a runs.Awaited) bool { return a.Gone }) {
		if _, d := happen(t, b, r.ID, nil); d != nil {
			tally["planned anew"]++
		}
		r, err = b.Run(t.Context(), r.ID)
		must(t, err)
	}
	for _, s := range r.Sticks {
		if len(s.ToCut()) > 0 {
			cut(t, b, r.ID, s.Number, nil, runs.Done)
		}
	}
}

package planner_test

import (
	"errors"
	"flag"
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/shoptest"
)

var (
	bruteSeeds = flag.Int("brute", 120, "small workshops to plan by trying everything")
	bruteFirst = flag.Uint64("brute-seed", 0, "the first of these workshops")
)

// TestAgainstEverything plans small workshops by trying every way to lay the sides on sticks and every number of bundles,
// by the rules as they are told to people, and expects Make to find the same cost, proven. In every other workshop there are credits, lots and bundles at once.
func TestAgainstEverything(t *testing.T) {
	planned, proven := 0, 0
	for seed := *bruteFirst; seed < *bruteFirst+uint64(*bruteSeeds); seed++ {
		r := rand.New(rand.NewPCG(seed, 7))
		w := shoptest.SmallWorkshop(r)
		if seed%2 == 1 {
			withCreditsLotsBundles(r, w)
		}
		if err := w.Check(); err != nil {
			continue // two offers drawn alike
		}
		want, possible := everything(w)
		d, err := planner.Make(t.Context(), w, planner.Options{Verify: shoptest.Checker, MadeWith: "test"})
		if err != nil {
			var errs model.Errors
			if possible || !errors.As(err, &errs) || errs[0].Kind != model.CannotCut {
				t.Errorf("seed %d: there is a plan for %d, and: %s", seed, want, err)
			}
			continue
		}
		planned++
		if got := d.Total.Figures.Cost; !possible || got != want {
			t.Errorf("seed %d: cost %d, want %d (possible %t)", seed, got, want, possible)
		}
		if d.Total.Grade == plan.Proven {
			proven++
		}
		for _, f := range shoptest.MustAudit(t, w, d) {
			t.Errorf("seed %d: audit: %s", seed, f)
		}
	}
	if planned < *bruteSeeds/2 {
		t.Errorf("only %d of %d have a plan", planned, *bruteSeeds)
	}
	if proven < planned*9/10 {
		t.Errorf("only %d of %d are proven", proven, planned)
	}
	t.Logf("%d planned, %d proven", planned, proven)
}

// withCreditsLotsBundles has a workshop's first profile cut from one lot, pay for offcuts, and sold in bundles; there is a stick of a lot on the rack.
func withCreditsLotsBundles(r *rand.Rand, w *model.Workshop) {
	p := &w.Profiles[0]
	w.Defaults.OffcutShare = 20 + r.IntN(81)
	p.Match, p.Keep = model.MatchLot, model.Length(1+r.IntN(3))*150*mm
	size := 2 + r.IntN(2)
	for n := range w.Offers {
		if o := &w.Offers[n]; o.Profile == p.Name && o.Bundle == 1 {
			o.Bundle, o.Price = size, o.Price*model.Money(size)
		}
	}
	w.Rack = append(w.Rack, model.Stick{ID: "lot", Profile: p.Name, Length: model.Length(8+r.IntN(14)) * 100 * mm, Lot: "a"})
}

// everything finds the least cost of a small workshop.
func everything(w *model.Workshop) (model.Money, bool) {
	var lists [][]model.Offer // of all profiles
	ways := []map[string]model.Money{}
	for _, p := range w.Profiles {
		own := model.PriceLists(w.OffersOf(p.Name, model.Date{}))
		e := laying{w: w, p: p, lists: own, first: len(lists), used: make([]int, 16), best: map[string]model.Money{}, lotOf: map[int]string{}}
		lists = append(lists, own...)
		e.run()
		ways = append(ways, e.best)
	}
	best, possible := model.Money(0), false
	var combine func(n int, used []int, cost model.Money)
	combine = func(n int, used []int, cost model.Money) {
		if n < len(ways) {
			for key, c := range ways[n] {
				sum := slices.Clone(used)
				for l, b := range []byte(key) {
					sum[l] += int(b)
				}
				combine(n+1, sum, cost+c)
			}
			return
		}
		if c, ok := cheapestOrders(w, lists, used); ok && (!possible || cost+c < best) {
			best, possible = cost+c, true
		}
	}
	combine(0, make([]int, 16), 0)
	return best, possible
}

// cheapestOrders tries every number of bundles that might do for so many sticks of each list.
func cheapestOrders(w *model.Workshop, lists [][]model.Offer, used []int) (best model.Money, ok bool) {
	bundles := make([]int, len(lists))
	var try func(n int)
	try = func(n int) {
		if n < len(lists) {
			per := lists[n][0].PerBundle()
			least := (used[n] + per - 1) / per
			for bundles[n] = least; bundles[n] <= least+moreBundles(w, lists[n]); bundles[n]++ {
				if bundles[n] == 0 || bundles[n] >= lists[n][0].LeastBundles() {
					try(n + 1)
				}
			}
			return
		}
		if cost, right := orderCost(w, lists, used, bundles); right && (!ok || cost < best) {
			best, ok = cost, true
		}
	}
	try(0)
	return best, ok
}

// moreBundles is how many bundles more than are needed can make sense: to a break, to the supplier's least order, or to what it delivers free.
func moreBundles(w *model.Workshop, list []model.Offer) int {
	more := 0
	for _, o := range list {
		more = max(more, o.LeastBundles())
	}
	for _, s := range w.Suppliers {
		if s.Name == list[0].Supplier {
			for _, sum := range []model.OptionalMoney{s.LeastMoney, s.FreeFrom} {
				more = max(more, s.LeastSticks, int(sum.Amount/max(1, list[len(list)-1].Price))+1)
			}
		}
	}
	return more
}

// orderCost is what bundles cost with delivery, less what the sticks are worth that are not used; and whether every
// supplier's terms are met.
func orderCost(w *model.Workshop, lists [][]model.Offer, used, bundles []int) (cost model.Money, ok bool) {
	money, sticks := map[string]model.Money{}, map[string]int{}
	for n, list := range lists {
		price := list[0].Price
		worth := w.StickValue(model.Stick{Profile: list[0].Profile, Length: list[0].Length})
		for _, o := range list {
			if o.LeastBundles() <= bundles[n] {
				price = o.Price
			}
			worth = min(worth, o.Price/model.Money(o.PerBundle()))
		}
		all := bundles[n] * list[0].PerBundle()
		money[list[0].Supplier] += price * model.Money(bundles[n])
		sticks[list[0].Supplier] += all
		cost += price*model.Money(bundles[n]) - worth*model.Money(all-used[n])
	}
	for _, s := range w.Suppliers {
		if sticks[s.Name] == 0 {
			continue
		}
		if !s.FreeFrom.Given || money[s.Name] < s.FreeFrom.Amount {
			cost += s.Delivery
		}
		if sticks[s.Name] < s.LeastSticks || s.LeastMoney.Given && money[s.Name] < s.LeastMoney.Amount {
			return 0, false
		}
	}
	return cost, true
}

// laying tries every way to lay one profile's sides on sticks.
type laying struct {
	w     *model.Workshop
	p     model.Profile
	lists [][]model.Offer
	first int // of the lists, among those of all profiles
	units []model.Length
	lot   bool // all sides must come from one lot

	places []layingPlace
	lotOf  map[int]string
	used   []int // sticks of each list
	best   map[string]model.Money
	trims  model.Trims
}

// layingPlace is a sound part of an opened stick.
type layingPlace struct {
	room, behind model.Length
	stick        int // equal for parts of one stick
	lot          string
	rate         *big.Rat // worth of its offcuts by length
}

func (e *laying) run() {
	j := slices.IndexFunc(e.w.Jobs, func(j model.Job) bool { return j.Frames[0].Rings[0].Profile == e.p.Name })
	rings, err := e.w.Jobs[j].Frames[0].Geometry(e.w.ProfileByName)
	if err != nil {
		panic(err)
	}
	g := rings[0]
	e.trims = e.w.Machine.Trims(e.p, []model.Shape{g.Shape})
	size := map[model.Match]int{model.MatchPair: 2, model.MatchStick: len(g.Sides)}[e.p.Match]
	e.lot = e.p.Match == model.MatchLot
	for sides := range slices.Chunk(g.Sides, max(1, size)) {
		var need model.Length
		for _, s := range sides {
			need += e.w.Machine.Needs(e.p, g.Shape, s.LongPoint)
		}
		e.units = append(e.units, need)
	}
	slices.SortFunc(e.units, func(a, b model.Length) int { return int((b - a) / mm) })
	var rack []model.Stick
	for _, s := range e.w.Rack {
		if s.Profile == e.p.Name {
			rack = append(rack, s)
		}
	}
	for bits := range 1 << len(rack) { // which of the rack's sticks are opened
		e.places = nil
		var value model.Money
		for n, s := range rack {
			if bits>>n&1 == 1 {
				lot := "lot " + s.Lot
				if s.Lot == "" {
					lot = s.ID
				}
				value += e.w.StickValue(s)
				e.open(s, lot, n, e.w.StickValue(s))
			}
		}
		e.lay(0, value)
	}
}

// open adds the sound parts of a stick that is worth so much uncut.
func (e *laying) open(s model.Stick, lot string, stick int, worth model.Money) {
	rate := e.w.OffcutValue(e.p)
	if own := big.NewRat(int64(worth), int64(s.Length)); own.Cmp(rate) < 0 {
		rate = own
	}
	for _, run := range s.Sound(e.trims) {
		end := s.Length
		for _, d := range slices.Backward(s.Damage) {
			if d.From >= run.To {
				end = d.From
			}
		}
		if room := e.p.Usable(run); room > 0 {
			e.places = append(e.places, layingPlace{room: room, behind: end - run.To, stick: stick, lot: lot, rate: rate})
		}
	}
}

// lay puts the n-th unit and those after it everywhere they go.
func (e *laying) lay(n int, cost model.Money) {
	if n == len(e.units) {
		for _, p := range e.places {
			if left := p.room + p.behind; e.p.Keep > 0 && left >= e.p.Keep {
				worth := new(big.Rat).Mul(p.rate, new(big.Rat).SetInt64(int64(left)))
				cost -= model.Money(new(big.Int).Quo(worth.Num(), worth.Denom()).Int64())
			}
		}
		key := make([]byte, e.first+len(e.lists))
		for l := range e.lists {
			key[e.first+l] = byte(e.used[l])
		}
		if before, known := e.best[string(key)]; !known || cost < before {
			e.best[string(key)] = cost
		}
		return
	}
	fits := func(p int) bool {
		return e.places[p].room >= e.units[n] && (!e.lot || n == 0 || e.places[p].lot == e.lotOf[0])
	}
	for p := range e.places {
		if fits(p) {
			e.put(p, n, cost)
		}
	}
	for l, list := range e.lists {
		before := len(e.places)
		worth := e.w.StickValue(model.Stick{Profile: e.p.Name, Length: list[0].Length})
		for _, o := range list {
			worth = min(worth, o.Price/model.Money(o.PerBundle()))
		}
		e.open(model.Stick{Length: list[0].Length}, fmt.Sprintf("list %d", l), 100+before, worth)
		e.used[l]++
		if len(e.places) > before && fits(before) {
			e.put(before, n, cost)
		}
		e.used[l]--
		e.places = e.places[:before]
	}
}

func (e *laying) put(p, n int, cost model.Money) {
	e.places[p].room -= e.units[n]
	if n == 0 {
		e.lotOf[0] = e.places[p].lot
	}
	e.lay(n+1, cost)
	e.places[p].room += e.units[n]
}

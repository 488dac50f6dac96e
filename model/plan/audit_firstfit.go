package plan

import (
	"math/big"
	"slices"

	"longpoint/model"
)

// firstFit lays the sides out by first-fit once more, side by side as one would by hand, and holds the plan against it.
func (a *audit) firstFit(p *ProfilePlan, want *derived) {
	sides := slices.Clone(want.sides)
	slices.SortStableFunc(sides, func(x, y *wantedSide) int {
		if x.takes != y.takes {
			return int(max(-1, min(1, y.takes-x.takes)))
		}
		return int(max(-1, min(1, y.side.LongPoint-x.side.LongPoint)))
	})
	var open []*handStick
	got := Comparison{Complete: true}
	rack := a.rackByLength(p.Name)
	from, takes := 0, model.Length(0) // sticks before from have no room for a side that takes this much
	for _, side := range sides {
		if side.takes != takes {
			from, takes = 0, side.takes
		}
		for from < len(open) && open[from].room < side.takes {
			from++
		}
		if from == len(open) {
			next := a.handOpens(side.takes, p.Name, want, &rack)
			if next == nil {
				got.LeftOver++
				got.Complete = false
				continue
			}
			open = append(open, next)
		}
		open[from].room -= side.takes
		open[from].sides++
		open[from].longPoints += side.side.LongPoint
	}
	for _, s := range open {
		s.count(&got.Figures, want)
	}
	where := "profile " + p.Name + ", first-fit"
	if got.LeftOver != p.FirstFit.LeftOver || got.Complete != p.FirstFit.Complete {
		a.report("first-fit", where, "%d sides find no stick, not %d", got.LeftOver, p.FirstFit.LeftOver)
	}
	a.sameFigures(where, p.FirstFit.Figures, got.Figures)
	if firstFit := got.Figures.RackValue + got.Figures.Purchases; got.Complete && p.Figures.Cost > firstFit {
		a.report("first-fit", where, "the plan costs %s more than first-fit's %s", a.money(p.Figures.Cost-firstFit), a.money(firstFit))
	}
}

// handStick is one stick opened by first-fit.
type handStick struct {
	length     model.Length
	room       model.Length // usable and not yet taken
	cost       model.Money
	bought     bool
	sides      int
	longPoints model.Length
}

// count adds the stick to the independent figures.
func (s *handStick) count(f *Figures, want *derived) {
	f.Sides += s.sides
	f.LongPoints += s.longPoints
	f.UsedUp += s.length
	if left := s.room + want.tail; want.profile.Keep > 0 && left >= want.profile.Keep && left > 0 {
		f.Kept += left
		f.UsedUp -= left
	}
	if s.bought {
		f.NewSticks++
		f.Purchases += s.cost
	} else {
		f.RackSticks++
		f.RackValue += s.cost
	}
}

// rackByLength gives the rack's sticks of a profile, shortest first, of equal ones the one of least value first.
func (a *audit) rackByLength(profile string) []model.Stick {
	var rack []model.Stick
	for _, s := range a.w.Rack {
		if s.Profile == profile {
			rack = append(rack, s)
		}
	}
	slices.SortStableFunc(rack, func(x, y model.Stick) int {
		if x.Length != y.Length {
			return int(max(-1, min(1, x.Length-y.Length)))
		}
		return int(max(-1, min(1, a.w.StickValue(x)-a.w.StickValue(y))))
	})
	return rack
}

// handOpens takes a stick for a side: the shortest of the rack that it fits, else the cheapest by length on offer.
func (a *audit) handOpens(takes model.Length, profile string, want *derived, rack *[]model.Stick) *handStick {
	trims := want.head + want.tail
	for i, s := range *rack {
		if s.Length-trims >= takes {
			*rack = slices.Delete(slices.Clone(*rack), i, i+1)
			return &handStick{length: s.Length, room: s.Length - trims, cost: a.w.StickValue(s)}
		}
	}
	var best *model.Offer
	for i := range a.w.Offers {
		o := &a.w.Offers[i]
		if o.Profile == profile && o.Length-trims >= takes && (best == nil || a.betterBuy(o, best)) {
			best = o
		}
	}
	if best == nil {
		return nil
	}
	return &handStick{length: best.Length, room: best.Length - trims, cost: best.Price, bought: true}
}

// betterBuy says whether one offer is cheaper by length than another, or as cheap and longer.
func (a *audit) betterBuy(o, than *model.Offer) bool {
	price := func(o *model.Offer) *big.Rat { return big.NewRat(int64(o.Price), int64(o.Length)) }
	if c := price(o).Cmp(price(than)); c != 0 {
		return c < 0
	}
	return o.Length > than.Length
}

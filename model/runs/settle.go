package runs

import (
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// Spent is what was spent on the sticks that sides of a finished run came off, less what is left of them. by is the plan that it began by, ordered are the sticks
// that this ordered, and counts is what the next plan counts a stick at.
func (r Run) Spent(by *Plan, rack []model.Stick, ordered map[string]bool, counts map[string]model.Money) (spent model.Money) {
	used := 0 // of the sticks that the plan bought
	for _, s := range r.Sticks {
		if s.State != "cut" {
			continue
		}
		switch n := slices.IndexFunc(by.Sticks, func(p plan.Stick) bool { return p.From != plan.Bought && p.ID == s.Stick }); {
		case n >= 0:
			spent += max(by.Sticks[n].Cost, by.Sticks[n].Paid)
		case ordered[s.Stick]:
			used++
		case !r.keptOff(s.Stick): // a mishap brought it in
			spent += max(s.Planned.Cost, s.Planned.Paid)
		}
		spent -= s.takesAlong(counts)
	}
	if used > 0 {
		spent += by.bought() - by.unused(used, r, rack, ordered, counts)
	}
	return spent
}

// takesAlong is what the offcuts kept of a stick take along: those of a stick that all its sides came off what its plan takes off its cost for them, and others
// what the next plan counts them at.
func (s Stick) takesAlong(counts map[string]model.Money) (all model.Money) {
	if !slices.ContainsFunc(s.Sides, func(side Side) bool { return !side.IsCut() }) {
		return credit(s.Planned)
	}
	for _, o := range s.Pieces {
		all += counts[o.Name]
	}
	return all
}

// keptOff tells whether a stick of a run is an offcut of another one of it. What was spent on it is spent on that one.
func (r Run) keptOff(stick string) bool {
	return slices.ContainsFunc(r.Sticks, func(s Stick) bool {
		return slices.ContainsFunc(s.Pieces, func(o Offcut) bool { return o.Name == stick })
	})
}

// credit is what a plan takes off its cost for the offcuts of a stick.
func credit(s plan.Stick) (all model.Money) {
	for _, l := range s.Lefts() {
		all += l.Value
	}
	return all
}

// bought is what a plan pays for its new sticks, with their part of the delivery and less the worth of those that are spare.
func (p *Plan) bought() model.Money {
	all := p.Shared()
	for _, s := range p.Sticks {
		if s.From != plan.Bought {
			all -= max(s.Cost, s.Paid)
		}
		all += credit(s)
	}
	return all
}

// unused is what those of the plan's new sticks take along that nothing was cut from: what the next plan counts them at, those first that went back
// from the run; and of one that is not ordered, or came to nothing, its part of what the plan pays for all.
func (p *Plan) unused(used int, r Run, rack []model.Stick, ordered map[string]bool, counts map[string]model.Money) (all model.Money) {
	bought := 0
	for _, s := range p.Sticks {
		if s.From == plan.Bought {
			bought++
		}
	}
	var there []string
	for _, s := range rack {
		if ordered[s.ID] {
			there = append(there, s.ID)
		}
	}
	inRun := func(name string) int {
		if slices.ContainsFunc(r.Sticks, func(s Stick) bool { return s.Stick == name }) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(there, func(a, b string) int { return inRun(a) - inRun(b) })
	left := max(bought-used, 0)
	there = there[:min(left, len(there))]
	for _, name := range there {
		all += counts[name]
	}
	return all + plan.Part(max(p.bought(), 0), model.Length(left-len(there)), model.Length(bought))
}

// ShareOf is what a side's job pays for it: of its share in the plan's cost the part that goes with what the side takes. The parts of all
// its sides add up to the share. It is false where the plan does not have the side.
func (p *Plan) ShareOf(side model.SideID) (pays model.Money, there bool) {
	if _, there = p.at[side]; !there {
		return 0, false
	}
	for _, j := range p.Jobs {
		if j.Job != side.Job {
			continue
		}
		upTo := func(l model.Length) model.Money {
			if j.Cost < 0 { // kept offcuts may be worth more than the sticks they are of
				return -plan.Part(-j.Cost, l, j.Takes)
			}
			return plan.Part(j.Cost, l, j.Takes)
		}
		at := model.Length(0)
		for _, stick := range p.Sticks {
			for _, s := range stick.Sides {
				if s.Job != j.Job {
					continue
				}
				if s.SideID == side {
					return upTo(at+s.Takes) - upTo(at), true
				}
				at += s.Takes
			}
		}
	}
	return 0, true
}

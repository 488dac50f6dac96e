package book

import (
	"cmp"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// settle says what the sides of a run bear that was ended before its plan's sides were all cut: what was spent on the sticks that they came off (see Material and
// money). What was charged for them while the run was open were their shares of a plan that was cut in part only.
func (t *transaction) settle(id int64) error {
	r, err := t.run(id)
	if err != nil {
		return err
	}
	spent, err := t.spentOn(r)
	if err != nil {
		return err
	}
	var rows []int64
	var takes []model.Length
	if err := t.each("SELECT id, takes_nm FROM cut WHERE run = ? ORDER BY id", []any{r.ID}, func(scan func(...any) error) error {
		var row int64
		var length model.Length
		err := scan(&row, &length)
		rows, takes = append(rows, row), append(takes, length)
		return err
	}); err != nil {
		return err
	}
	for n, part := range plan.Share(spent, takes) {
		if _, err := t.exec("UPDATE cut SET share_minor = ? WHERE id = ? AND spoilt = 0 AND share_minor <> ?", part, rows[n], part); err != nil {
			return err
		}
	}
	return nil
}

// spentOn is what was spent on a finished run.
func (t *transaction) spentOn(r Run) (spent model.Money, err error) {
	by, err := t.runPlan(r.Plan, r.Profile)
	if err != nil {
		return 0, err
	}
	w, _, err := t.rest()
	if err != nil {
		return 0, err
	}
	worth := w.ValuesOf(r.Profile)
	counts := map[string]model.Money{} // at which the next plan counts a stick that is on the rack or on the way
	for _, s := range w.Rack {
		counts[s.ID] = max(worth(s), s.Paid)
	}
	ordered, err := t.orderedBy(r.Plan, r.Profile)
	if err != nil {
		return 0, err
	}
	return r.spent(by, w.Rack, ordered, counts), nil
}

// spent is what was spent on the sticks that sides of a finished run came off, less what is left of them. by is the plan that it began by, ordered are the sticks
// that this ordered, and counts is what the next plan counts a stick at.
func (r Run) spent(by *runPlan, rack []model.Stick, ordered map[string]bool, counts map[string]model.Money) (spent model.Money) {
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
			spent += max(s.planned.Cost, s.planned.Paid)
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
func (s RunStick) takesAlong(counts map[string]model.Money) (all model.Money) {
	if !slices.ContainsFunc(s.Sides, func(side RunSide) bool { return !side.isCut() }) {
		return credit(s.planned)
	}
	for _, o := range s.kept {
		all += counts[o.Name]
	}
	return all
}

// keptOff tells whether a stick of a run is an offcut of another one of it. What was spent on it is spent on that one.
func (r Run) keptOff(stick string) bool {
	return slices.ContainsFunc(r.Sticks, func(s RunStick) bool {
		return slices.ContainsFunc(s.kept, func(o Offcut) bool { return o.Name == stick })
	})
}

// credit is what a plan takes off its cost for the offcuts of a stick.
func credit(s plan.Stick) model.Money {
	all := s.Left.Value
	for _, l := range s.Between {
		all += l.Value
	}
	return all
}

// bought is what a plan pays for its new sticks, with their part of the delivery and less the worth of those that are spare.
func (p *runPlan) bought() model.Money {
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
func (p *runPlan) unused(used int, r Run, rack []model.Stick, ordered map[string]bool, counts map[string]model.Money) (all model.Money) {
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
		if slices.ContainsFunc(r.Sticks, func(s RunStick) bool { return s.Stick == name }) {
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

// orderedBy gives the names of the sticks of a profile that a plan ordered, those that came and those to come.
func (t *transaction) orderedBy(planID int64, profile string) (map[string]bool, error) {
	names := map[string]bool{}
	if err := t.each(`SELECT s.name FROM stick AS s JOIN delivery AS d ON d.id = s.delivery JOIN purchase AS o ON o.id = d.purchase
		JOIN purchase_line AS l ON l.purchase = o.id AND l.number = s.line WHERE coalesce(l.plan, o.plan) = ? AND s.profile = ?`, []any{planID, profile}, func(scan func(...any) error) error {
		var name string
		err := scan(&name)
		names[name] = true
		return err
	}); err != nil {
		return nil, err
	}
	placed, err := t.purchases("state = ?", Placed)
	for _, p := range placed {
		for _, l := range p.Lines {
			for n := range l.ToCome() {
				if cmp.Or(l.Plan, p.Plan) == planID && l.Profile == profile {
					names[p.stickName(l, l.came()+n)] = true
				}
			}
		}
	}
	return names, err
}

// shareOf is what a side's job pays for it: of its share in the plan's cost the part that goes with what the side takes. The parts of all
// its sides add up to the share. It is false where the plan does not have the side.
func (p *runPlan) shareOf(side model.SideID) (pays model.Money, there bool) {
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

package book

import (
	"cmp"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
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
func (t *transaction) spentOn(r runs.Run) (spent model.Money, err error) {
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
	return r.Spent(by, w.Rack, ordered, counts), nil
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

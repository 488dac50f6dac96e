package book

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"longpoint/model/plan"
)

// News is something of the shop that is otherwise than when a plan was made.
type News struct {
	What    string `json:"what"`              // "the kerf was changed"
	Profile string `json:"profile,omitempty"` // that it is about; empty: all
	// Cut says that what is cut by the plan is cut wrong, Buy that what it buys is not what is wanted. With neither it is only good to know.
	Cut bool `json:"cut"`
	Buy bool `json:"buy"`
}

// watched is what a plan follows from, and how a change of it is told. What became of its sticks is looked for stick by stick, where a run begins.
var watched = []struct {
	what     string // of a row that has a name, with it
	table    string
	columns  string
	cut, buy bool
}{
	{"the kerf was changed", "workshop", "kerf_nm", true, true},
	{"the overrun was changed", "workshop", "overrun_nm", true, true},
	{"the shave was changed", "workshop", "shave_nm", true, true},
	{"the machine was changed", "workshop", "machine_type", true, true},
	{"the machine's trims were changed", "workshop", "head_trim_nm tail_trim_nm", true, true},
	{"the bites were changed", "workshop", "bite_nm finishing_bite_nm", true, true},
	{"the machine's limits were changed", "workshop", "greatest_width_nm longest_side_nm shortest_side_nm least_angle_udeg greatest_angle_udeg stops stop_gap_nm", true, true},
	{"what offcuts and sticks are worth was changed", "workshop", "rack_share_pct offcut_share_pct keep_nm", false, false},
	{"profile %s was changed", "profile", "width_nm rebate_nm head_trim_nm tail_trim_nm repeat_nm match", true, true},
	{"what profile %s is worth was changed", "profile", "keep_nm metre_minor offcut_share_pct", false, false},
	{"prices of %s were changed", "offer", "supplier profile length_nm longest_nm bundle from_number price_minor until rate_minor per_nm least_minor cut_minor", false, false},
	{"what %s asks of an order was changed", "supplier", "least_minor least_sticks delivery_minor free_minor", false, false},
	{"job %s was changed", "job", "match", true, true},
	{"job %s is due on another day", "job", "due", false, false},
	{"job %s was changed", "frame", "quantity dropped", false, true},
	{"job %s was changed", "ring", "profile allowance_nm sides given_by width_nm height_nm across", false, true},
}

// Since gives what of the shop is otherwise than when a plan was made, as far as the plan follows from it: what is as it was again is none.
// A plan is of the moment in which it was kept.
func (b *Book) Since(ctx context.Context, planID int64) (all []News, err error) {
	err = b.read(ctx, func(t *transaction) error {
		d, id, err := t.plan(planID)
		if err == nil {
			all, err = t.since(d, id)
		}
		return err
	})
	return all, err
}

// since gives what Since does.
func (t *transaction) since(d *plan.Document, id int64) (all []News, err error) {
	var step int64
	if found, err := t.one("SELECT step FROM change WHERE tab = 'plan' AND row = ? AND before IS NULL ORDER BY id DESC LIMIT 1", []any{id}, &step); err != nil || !found {
		return nil, err
	}
	for _, w := range watched {
		name := map[string]string{"workshop": "''", "profile": "name", "job": "name", "supplier": "name", "offer": "supplier", "frame": "job", "ring": "job"}[w.table]
		was := func(column string) string { return "f.before ->> '$." + column + "'" }
		var differs []string
		for _, c := range strings.Fields(w.columns) {
			differs = append(differs, fmt.Sprintf("json_type(f.before, '$.%s') IS NOT NULL AND (%s) IS NOT x.%[1]s", c, was(c)))
		}
		named := fmt.Sprintf("coalesce(x.%[1]s, %s, '')", name, was(name))
		if name == "''" {
			named = name
		}
		query := fmt.Sprintf(`WITH f AS (SELECT row, before, min(id) FROM change WHERE step > ? AND tab = '%[1]s' GROUP BY row)
			SELECT DISTINCT %[2]s FROM f LEFT JOIN %[1]s AS x ON x.id = f.row
			WHERE (f.before IS NULL) <> (x.id IS NULL) OR f.before IS NOT NULL AND x.id IS NOT NULL AND (%[3]s) ORDER BY 1`, w.table, named, strings.Join(differs, " OR "))
		if err := t.each(query, []any{step}, func(scan func(...any) error) error {
			var of string
			err := scan(&of)
			if n := (News{What: w.what, Cut: w.cut, Buy: w.buy}); err == nil {
				all = n.add(all, d, w.table, of)
			}
			return err
		}); err != nil {
			return nil, err
		}
	}
	more, err := t.jobsSince(d, step)
	return append(all, more...), err
}

// add adds a piece of news, where it is of something that the plan is about and not told yet.
func (n News) add(all []News, d *plan.Document, table, of string) []News {
	switch table {
	case "profile":
		n.Profile = of
		if !slices.ContainsFunc(d.Profiles, func(p plan.ProfilePlan) bool { return p.Name == of }) {
			return all
		}
	case "job", "frame", "ring":
		if !slices.ContainsFunc(d.Jobs, func(j plan.JobCost) bool { return j.Job == of }) {
			return all
		}
	}
	if strings.Contains(n.What, "%s") {
		n.What = fmt.Sprintf(n.What, of)
	}
	if at := slices.IndexFunc(all, func(o News) bool { return o.What == n.What }); at >= 0 {
		all[at].Cut, all[at].Buy = all[at].Cut || n.Cut, all[at].Buy || n.Buy
		return all
	}
	return append(all, n)
}

// jobsSince gives the plan's jobs that were dropped since a step, and those that came in and are due by its day.
func (t *transaction) jobsSince(d *plan.Document, step int64) (all []News, err error) {
	err = t.each(`WITH f AS (SELECT row, before, min(id) FROM change WHERE step > ? AND tab = 'job' GROUP BY row)
		SELECT j.name, j.due, j.state = 'dropped', f.before IS NULL FROM f JOIN job AS j ON j.id = f.row
		WHERE f.before IS NULL AND j.state = 'open' OR j.state = 'dropped' AND f.before ->> '$.state' = 'open' ORDER BY j.id`, []any{step}, func(scan func(...any) error) error {
		var name, due string
		var dropped, fresh bool
		if err := scan(&name, &due, &dropped, &fresh); err != nil {
			return err
		}
		mine := slices.ContainsFunc(d.Jobs, func(j plan.JobCost) bool { return j.Job == name })
		switch {
		case dropped && mine:
			all = append(all, News{What: "job " + name + " was dropped", Buy: true})
		case fresh && !mine && (d.Until == "" || due != "" && due <= d.Until):
			all = append(all, News{What: "job " + name + " came in"})
		}
		return nil
	})
	return all, err
}

// stillAbout demands that nothing has changed since a plan was made that stands in the way of what is to be done by it.
func (t *transaction) stillAbout(d *plan.Document, id int64, stands func(News) bool) error {
	all, err := t.since(d, id)
	if err != nil {
		return err
	}
	return changedSince(t.book.path, id, slices.DeleteFunc(all, func(n News) bool { return !stands(n) }))
}

// changedSince is the error of a plan since which something has changed; none where nothing has.
func changedSince(path string, id int64, news []News) error {
	if len(news) == 0 {
		return nil
	}
	var what []string
	for _, n := range news {
		what = append(what, n.What)
	}
	return usageError(path, fmt.Sprintf("plan %d is not right any more: since it was made %s", id, listed(what)), `plan again with "longpoint plan"`)
}

// StillAbout demands that nothing has changed since a plan was made by which it would be cut wrong.
func (b *Book) StillAbout(ctx context.Context, planID int64) error {
	return b.read(ctx, func(t *transaction) error {
		d, id, err := t.plan(planID)
		if err != nil {
			return err
		}
		return t.stillAbout(d, id, func(n News) bool { return n.Cut || n.Buy })
	})
}

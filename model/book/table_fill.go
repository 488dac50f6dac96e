package book

import (
	"context"
	"fmt"

	"longpoint/model"
)

// Fill puts a workshop into a book that has no settings yet. A workshop in the middle of being cut (a stick that is begun, sides
// that are cut) is an error of kind BadInput: a book keeps those as the runs they came from, and there were none.
func (b *Book) Fill(ctx context.Context, w *model.Workshop, by By) error {
	if err := inTheMiddle(w); err != nil {
		return err
	}
	_, err := b.write(ctx, "fill", by, func(t *transaction) error {
		if found, err := t.one("SELECT id FROM workshop", nil, new(int64)); err != nil {
			return err
		} else if found {
			return usageError(b.path, "the book has a workshop in it already", `make a new book for another with "longpoint book new"`)
		}
		if err := t.fillSettings(w); err != nil {
			return err
		}
		if err := t.fillTables(w); err != nil {
			return err
		}
		for _, s := range w.Rack {
			if s.OnTheWay() {
				continue
			}
			if err := t.addStick(s, w.StickValue(s)); err != nil {
				return err
			}
		}
		if err := t.fillComing(w, w.Rack); err != nil {
			return err
		}
		for _, j := range w.Jobs {
			if err := t.addJob(j); err != nil {
				return err
			}
		}
		t.tell("put the workshop in: %s, %s, %s, %s", count(len(w.Profiles), "profile"), count(len(w.Offers), "offer"),
			count(len(w.Rack), "stick"), count(len(w.Jobs), "job"))
		return nil
	})
	return err
}

// inTheMiddle refuses what would be lost without a word: a stick that is begun, sides that are cut.
func inTheMiddle(w *model.Workshop) error {
	var found model.Errors
	const do = "finish what is begun first, and fill the book with what is left"
	for _, s := range w.Rack {
		if s.Begun != 0 {
			found = append(found, &model.Error{Kind: model.BadInput, Where: s.Where, What: fmt.Sprintf("stick %s is begun", s.ID), Do: do})
		}
	}
	return append(found, partlyCut(w.Jobs, do)...).AsError()
}

// partlyCut gives an error for each frame that has sides cut.
func partlyCut(jobs []model.Job, do string) (found model.Errors) {
	for _, j := range jobs {
		for _, f := range j.Frames {
			if len(f.Cut) > 0 {
				found = append(found, &model.Error{Kind: model.BadInput, Where: f.Where, What: fmt.Sprintf("job %s, frame %s is partly cut", j.ID, f.ID), Do: do})
			}
		}
	}
	return found
}

// fillSettings writes the settings of a book that has none.
func (t *transaction) fillSettings(w *model.Workshop) error {
	_, err := t.insert("workshop", append([]any{"id", 1}, settingPairs(w)...)...)
	return err
}

// settingPairs are the settings by their columns.
func settingPairs(w *model.Workshop) []any {
	m, l, p := w.Machine, w.Machine.Limits, w.Printing
	return []any{"name", clean(w.Name), "unit", w.Unit.String(), "currency", w.Currency.Code,
		"machine_name", clean(m.Name), "machine_type", m.Type.String(), "overrun_nm", m.Overrun, "kerf_nm", m.Kerf, "shave_nm", m.Shave,
		"head_trim_nm", m.HeadTrim, "tail_trim_nm", m.TailTrim, "bite_nm", m.Bite, "finishing_bite_nm", m.FinishingBite,
		"greatest_width_nm", orNull(l.GreatestWidth.Length, l.GreatestWidth.Given),
		"longest_side_nm", orNull(l.LongestSide.Length, l.LongestSide.Given),
		"shortest_side_nm", orNull(l.ShortestSide.Length, l.ShortestSide.Given),
		"least_angle_udeg", orNull(l.LeastAngle.Angle, l.LeastAngle.Given),
		"greatest_angle_udeg", orNull(l.GreatestAngle.Angle, l.GreatestAngle.Given),
		"stops", l.Stops, "stop_gap_nm", orNull(l.StopGap.Length, l.StopGap.Given),
		"allowance_nm", w.Defaults.Allowance, "rack_share_pct", w.Defaults.RackShare, "offcut_share_pct", w.Defaults.OffcutShare,
		"keep_nm", orNull(w.Defaults.Keep.Length, w.Defaults.Keep.Given),
		"address", clean(w.Address), "clearance_nm", w.Defaults.Clearance, "paper", p.Paper, "tickets", p.Tickets, "fraction", p.Fraction,
		"label_form", labelForm(p.Labels.Roll), "label_columns", p.Labels.Columns, "label_rows", p.Labels.Rows,
		"label_width_nm", p.Labels.Width, "label_height_nm", p.Labels.Height, "label_left_nm", p.Labels.Left, "label_top_nm", p.Labels.Top,
		"label_across_nm", p.Labels.Across, "label_down_nm", p.Labels.Down,
		"dates", string(w.Habits.Dates), "decimal", w.Habits.Decimal, "thousands", w.Habits.Thousands, "headings", string(w.Habits.Headings)}
}

// labelForm is what labels are printed on, in the book's word.
func labelForm(roll bool) string {
	if roll {
		return "roll"
	}
	return "sheet"
}

// fillTables puts in profiles, suppliers and offers.
func (t *transaction) fillTables(w *model.Workshop) error {
	for _, p := range w.Profiles {
		if _, err := t.insert("profile", profilePairs(p)...); err != nil {
			return err
		}
	}
	for _, s := range w.Suppliers {
		if _, err := t.insert("supplier", supplierPairs(s)...); err != nil {
			return err
		}
	}
	for _, o := range w.Offers {
		if _, err := t.insert("offer", offerPairs(o)...); err != nil {
			return err
		}
	}
	return nil
}

// profilePairs, supplierPairs and offerPairs are the rows of their tables by columns.
func profilePairs(p model.Profile) []any {
	return []any{"name", clean(p.Name), "title", clean(p.Title), "width_nm", p.Width, "rebate_nm", p.Rebate,
		"finish", clean(p.Finish), "head_trim_nm", p.HeadTrim, "tail_trim_nm", p.TailTrim, "keep_nm", p.Keep,
		"metre_minor", orNull(p.Metre.Amount, p.Metre.Given), "offcut_share_pct", orNull(p.OffcutShare.Percent, p.OffcutShare.Given),
		"match", string(p.Match), "repeat_nm", p.Repeat, "set_up", clean(p.SetUp)}
}

func supplierPairs(s model.Supplier) []any {
	return []any{"name", clean(s.Name), "least_minor", orNull(s.LeastMoney.Amount, s.LeastMoney.Given),
		"least_sticks", s.LeastSticks, "delivery_minor", s.Delivery, "free_minor", orNull(s.FreeFrom.Amount, s.FreeFrom.Given), "address", clean(s.Address),
		"delivery_days", orNull(s.DeliveryDays.Days, s.DeliveryDays.Given)}
}

func offerPairs(o model.Offer) []any {
	return []any{"supplier", clean(o.Supplier), "profile", clean(o.Profile), "length_nm", o.Length, "longest_nm", o.Longest,
		"bundle", max(o.Bundle, 1), "from_number", max(o.From, 1), "price_minor", o.Price, "until", o.Until.String(),
		"article", clean(o.Article), "rate_minor", o.ByLength.Price, "per_nm", o.ByLength.Per, "least_minor", o.ByLength.Least, "cut_minor", o.ByLength.Cut}
}

// addStick puts a stick that was found on the rack into the book; cost is the money that is in it.
func (t *transaction) addStick(s model.Stick, cost model.Money) error {
	_, err := t.insert("stick", "name", clean(s.ID), "profile", clean(s.Profile), "place", clean(s.Place), "lot", clean(s.Lot),
		"length_nm", s.Length, "value_minor", orNull(s.Value.Amount, s.Value.Given), "cost_minor", cost, "offcut", s.Offcut,
		"damage_nm", spansText(s.Damage))
	return err
}

// addJob puts a job into the book.
func (t *transaction) addJob(j model.Job) error {
	if _, err := t.insert("job", "name", clean(j.ID), "customer", clean(j.Customer), "due", j.Due.String(), "note", clean(j.Note),
		"match", string(j.Match)); err != nil {
		return err
	}
	for _, f := range j.Frames {
		if err := t.addFrame(j.ID, f); err != nil {
			return err
		}
	}
	return nil
}

// addFrame puts a frame into a job.
func (t *transaction) addFrame(job string, f model.JobFrame) error {
	if _, err := t.insert("frame", "job", clean(job), "name", clean(f.ID), "quantity", f.Quantity); err != nil {
		return err
	}
	return t.addRings(job, f)
}

// addRings puts the rings of a frame into a job.
func (t *transaction) addRings(job string, f model.JobFrame) error {
	for i, r := range f.Rings {
		if _, err := t.insert("ring", "job", clean(job), "frame", clean(f.ID), "number", i+1, "profile", clean(r.Profile),
			"allowance_nm", r.Allowance, "sides", r.Size.Shape.Sides, "given_by", r.Size.By.String(),
			"width_nm", r.Size.Width, "height_nm", r.Size.Height, "across", r.Size.Across); err != nil {
			return err
		}
	}
	return nil
}

// TakeIn puts new jobs into the book and gives their names. A job that is there already just so is passed over, so that a
// list can be taken in twice; one that is there and differs is an error, and so is one of which sides are cut, and then none is
// taken in.
func (b *Book) TakeIn(ctx context.Context, jobs []model.Job, by By) (taken []string, err error) {
	if err := partlyCut(jobs, "take it in as it was ordered, and write down what is cut in a run").AsError(); err != nil {
		return nil, err
	}
	_, err = b.write(ctx, "take in", by, func(t *transaction) error {
		var differing model.Errors
		for _, j := range jobs {
			there, err := t.one("SELECT id FROM job WHERE name = ?", []any{clean(j.ID)}, new(int64))
			if err != nil {
				return err
			}
			if !there {
				if err := t.addJob(j); err != nil {
					return err
				}
				taken = append(taken, j.ID)
				continue
			}
			same, err := t.sameJob(j)
			if err != nil {
				return err
			}
			if !same {
				differing = append(differing, &model.Error{Kind: model.BadInput, Where: j.Where,
					What: fmt.Sprintf("job %s is in the book already and is another", j.ID),
					Do:   fmt.Sprintf("give this one a name of its own; or, where the table is right, have it change the job in the book: longpoint book import %q --as jobs", j.Where.File)})
			}
		}
		if len(taken) > 0 {
			t.tell("took in %s", named("job", taken))
		}
		return differing.AsError()
	})
	if err != nil {
		return nil, err
	}
	return taken, nil
}

// sameJob says whether a job is in the book just so, whatever its state.
func (t *transaction) sameJob(j model.Job) (bool, error) {
	var n int
	rings := 0
	if err := t.row("SELECT count(*) FROM job WHERE name = ? AND customer = ? AND due = ? AND note = ? AND match = ?",
		clean(j.ID), clean(j.Customer), j.Due.String(), clean(j.Note), string(j.Match)).Scan(&n); err != nil || n == 0 {
		return false, err
	}
	for _, f := range j.Frames {
		if err := t.row("SELECT count(*) FROM frame WHERE job = ? AND name = ? AND quantity = ? AND NOT dropped", clean(j.ID), clean(f.ID), f.Quantity).Scan(&n); err != nil || n == 0 {
			return false, err
		}
		for i, r := range f.Rings {
			rings++
			if err := t.row(`SELECT count(*) FROM ring WHERE job = ? AND frame = ? AND number = ? AND profile = ? AND allowance_nm = ?
				AND sides = ? AND given_by = ? AND width_nm = ? AND height_nm = ? AND across = ?`,
				clean(j.ID), clean(f.ID), i+1, clean(r.Profile), r.Allowance, r.Size.Shape.Sides, r.Size.By.String(), r.Size.Width, r.Size.Height, r.Size.Across).Scan(&n); err != nil || n == 0 {
				return false, err
			}
		}
	}
	err := t.row("SELECT count(*) FROM ring WHERE job = ?", clean(j.ID)).Scan(&n)
	return n == rings, err
}

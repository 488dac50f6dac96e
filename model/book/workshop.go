package book

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"longpoint/model"
)

// Workshop gives the shop as it stands, for planning: the settings, profiles, suppliers, offers, the sticks on the rack and
// the open jobs, in the order in which they came. A place in it names the book's table, and the row's id as the line. It
// is an error of kind BadInput where the book has no settings yet.
func (b *Book) Workshop(ctx context.Context) (*model.Workshop, error) {
	return look(ctx, b, (*transaction).workshop)
}

// workshop reads the shop as it stands.
func (t *transaction) workshop() (*model.Workshop, error) {
	onRack := "state = 'rack'"
	if len(t.unordered) > 0 {
		onRack += fmt.Sprintf(` AND NOT EXISTS (SELECT 1 FROM delivery AS d JOIN purchase AS o ON o.id = d.purchase JOIN purchase_line AS l ON l.purchase = o.id
			WHERE d.id = stick.delivery AND l.number = stick.line AND coalesce(l.plan, o.plan) IN (%s))`, numbers(t.unordered))
	}
	return t.workshopThat(onRack)
}

// workshopThat reads the shop with those sticks on its rack of which a condition holds.
func (t *transaction) workshopThat(onRack string) (*model.Workshop, error) {
	w := &model.Workshop{}
	readRack := func(w *model.Workshop) error { return t.readSticks(w, onRack) }
	for _, read := range []func(*model.Workshop) error{t.readSettings, t.readProfiles, t.readSuppliers, t.readOffers, readRack, t.readComing, t.readJobs, t.nameLots} {
		if err := read(w); err != nil {
			return nil, err
		}
	}
	return w, nil
}

// jobsNamed gives these jobs, whatever their state, with the frames that were dropped or without.
func (t *transaction) jobsNamed(names []string, dropped bool) ([]model.Job, error) {
	list, err := json.Marshal(names)
	if err != nil {
		return nil, err
	}
	return t.jobs("job.name IN (SELECT value FROM json_each(?)) AND (NOT frame.dropped OR ?)", string(list), dropped)
}

// where is the place of a row.
func (t *transaction) where(table string, id int64) model.Place {
	return model.Place{File: t.book.path + ", table " + table, Line: int(id)}
}

func (t *transaction) readSettings(w *model.Workshop) error {
	var unit, currency, machine string
	var greatest, longest, shortest, gap optionalInt
	var least, most, keep optionalInt
	var form string
	m, p, l := &w.Machine, &w.Printing, &w.Printing.Labels
	found, err := t.one(`SELECT name, unit, currency, machine_name, machine_type, overrun_nm, kerf_nm, shave_nm, head_trim_nm, tail_trim_nm,
		bite_nm, finishing_bite_nm, greatest_width_nm, longest_side_nm, shortest_side_nm, least_angle_udeg, greatest_angle_udeg, stops,
		stop_gap_nm, allowance_nm, rack_share_pct, offcut_share_pct, address, clearance_nm, paper, tickets, fraction, label_form, label_columns,
		label_rows, label_width_nm, label_height_nm, label_left_nm, label_top_nm, label_across_nm, label_down_nm,
		dates, decimal, thousands, headings, keep_nm FROM workshop`, nil,
		&w.Name, &unit, &currency, &m.Name, &machine, &m.Overrun, &m.Kerf, &m.Shave, &m.HeadTrim, &m.TailTrim,
		&m.Bite, &m.FinishingBite, &greatest, &longest, &shortest, &least, &most, &m.Limits.Stops,
		&gap, &w.Defaults.Allowance, &w.Defaults.RackShare, &w.Defaults.OffcutShare, &w.Address, &w.Defaults.Clearance, &p.Paper, &p.Tickets,
		&p.Fraction, &form, &l.Columns, &l.Rows, &l.Width, &l.Height, &l.Left, &l.Top, &l.Across, &l.Down,
		&w.Habits.Dates, &w.Habits.Decimal, &w.Habits.Thousands, &w.Habits.Headings, &keep)
	if err != nil {
		return err
	}
	if !found {
		return inputError(t.book.path, "the book has no settings yet: no units, no currency, no machine",
			`answer the six questions of "longpoint start", or fill it with "longpoint book import"`)
	}
	w.Where = t.where("workshop", 1)
	w.Defaults.Keep = keep.length()
	if w.Unit, err = model.ParseUnit(unit); err != nil {
		return err
	}
	w.Unit = w.Unit.ReadTo(p.Fraction)
	l.Roll = form == labelForm(true)
	if w.Currency, err = model.ParseCurrency(currency); err != nil {
		return err
	}
	m.Unit, m.Type = w.Unit, model.Guillotine
	if machine == model.Saw.String() {
		m.Type = model.Saw
	}
	var widest optionalInt
	if _, err := t.one("SELECT name, greatest_width_nm FROM blade WHERE state = 'mounted'", nil, &m.Blades.Name, &widest); err != nil {
		return err
	}
	m.Blades.GreatestWidth = widest.length()
	m.Limits.GreatestWidth, m.Limits.LongestSide = greatest.length(), longest.length()
	m.Limits.ShortestSide, m.Limits.StopGap = shortest.length(), gap.length()
	m.Limits.LeastAngle = model.OptionalAngle{Angle: model.Angle(least.n), Given: least.given}
	m.Limits.GreatestAngle = model.OptionalAngle{Angle: model.Angle(most.n), Given: most.given}
	return nil
}

func (t *transaction) readProfiles(w *model.Workshop) error {
	return t.each(`SELECT id, name, title, width_nm, rebate_nm, finish, head_trim_nm, tail_trim_nm, keep_nm, metre_minor, offcut_share_pct,
		match, repeat_nm, set_up FROM profile ORDER BY id`, nil, func(scan func(...any) error) error {
		var p model.Profile
		var id int64
		var metre, share optionalInt
		if err := scan(&id, &p.Name, &p.Title, &p.Width, &p.Rebate, &p.Finish, &p.HeadTrim, &p.TailTrim, &p.Keep, &metre, &share,
			&p.Match, &p.Repeat, &p.SetUp); err != nil {
			return err
		}
		p.Metre = metre.money()
		p.OffcutShare = model.OptionalShare{Percent: int(share.n), Given: share.given}
		p.Where = t.where("profile", id)
		w.Profiles = append(w.Profiles, p)
		return nil
	})
}

func (t *transaction) readSuppliers(w *model.Workshop) error {
	return t.each("SELECT id, name, least_minor, least_sticks, delivery_minor, free_minor, address, delivery_days FROM supplier ORDER BY id", nil, func(scan func(...any) error) error {
		var s model.Supplier
		var id int64
		var least, free, days optionalInt
		if err := scan(&id, &s.Name, &least, &s.LeastSticks, &s.Delivery, &free, &s.Address, &days); err != nil {
			return err
		}
		s.DeliveryDays = model.OptionalDays{Days: int(days.n), Given: days.given}
		s.LeastMoney, s.FreeFrom, s.Where = least.money(), free.money(), t.where("supplier", id)
		w.Suppliers = append(w.Suppliers, s)
		return nil
	})
}

func (t *transaction) readOffers(w *model.Workshop) error {
	return t.each("SELECT id, supplier, profile, length_nm, longest_nm, bundle, from_number, price_minor, until, article, rate_minor, per_nm, least_minor, cut_minor FROM offer ORDER BY id", nil, func(scan func(...any) error) error {
		var o model.Offer
		var id int64
		var until string
		if err := scan(&id, &o.Supplier, &o.Profile, &o.Length, &o.Longest, &o.Bundle, &o.From, &o.Price, &until, &o.Article,
			&o.ByLength.Price, &o.ByLength.Per, &o.ByLength.Least, &o.ByLength.Cut); err != nil {
			return err
		}
		o.Where = t.where("offer", id)
		var err error
		o.Until, err = day(until)
		w.Offers = append(w.Offers, o)
		return err
	})
}

func (t *transaction) readRack(w *model.Workshop) error { return t.readSticks(w, "state = 'rack'") }

// readSticks reads the sticks of which a condition holds.
func (t *transaction) readSticks(w *model.Workshop, condition string) error {
	return t.each("SELECT id, name, profile, length_nm, place, value_minor, offcut, lot, damage_nm FROM stick WHERE "+condition+" ORDER BY id", nil, func(scan func(...any) error) error {
		var s model.Stick
		var id int64
		var value optionalInt
		var damage string
		if err := scan(&id, &s.ID, &s.Profile, &s.Length, &s.Place, &value, &s.Offcut, &s.Lot, &damage); err != nil {
			return err
		}
		s.Value, s.Where = value.money(), t.where("stick", id)
		var err error
		s.Damage, err = parseSpans(damage)
		w.Rack = append(w.Rack, s)
		return err
	})
}

// lineOfStick finds the line of an order that a stick came of, or the stick that it is an offcut of; none where the order itself says of which lot its
// sticks are, or that nobody knows.
const lineOfStick = `WITH RECURSIVE whole(name, parent, delivery, line) AS (SELECT name, parent, delivery, line FROM stick WHERE name = ?
		UNION ALL SELECT s.name, s.parent, s.delivery, s.line FROM stick AS s JOIN whole AS w ON s.name = w.parent)
	SELECT d.purchase, w.line FROM whole AS w JOIN delivery AS d ON d.id = w.delivery
	JOIN purchase_line AS l ON l.purchase = d.purchase AND l.number = w.line WHERE l.lot IS NULL`

// nameLots gives sticks of the rack without a lot that came of an order the line of the order for one, and offcuts of such sticks too: they
// came together. Only where frames are matched by lot, for else a lot would be a word too many on every page.
func (t *transaction) nameLots(w *model.Workshop) error {
	byJob := slices.ContainsFunc(w.Jobs, func(j model.Job) bool { return j.Match == model.MatchLot })
	for i := range w.Rack {
		s := &w.Rack[i]
		if p, _ := w.ProfileByName(s.Profile); s.Lot != "" || !byJob && p.Match != model.MatchLot {
			continue
		}
		var order, line int64
		found, err := t.one(lineOfStick, []any{s.ID}, &order, &line)
		if err != nil {
			return err
		}
		if found {
			s.Lot = lotOfLine(order, line)
		}
	}
	return nil
}

func (t *transaction) readJobs(w *model.Workshop) (err error) {
	w.Jobs, err = t.jobs("state = 'open' AND NOT frame.dropped")
	return err
}

// jobs gives the jobs and frames that a condition takes.
func (t *transaction) jobs(where string, args ...any) (jobs []model.Job, err error) {
	err = t.each(`SELECT job.id, job.name, customer, due, note, match, frame.id, frame.name, quantity,
			ring.id, ring.number, profile, allowance_nm, sides, given_by, width_nm, height_nm, across
		FROM job JOIN frame ON frame.job = job.name JOIN ring ON ring.job = frame.job AND ring.frame = frame.name
		WHERE `+where+` ORDER BY job.id, frame.id, ring.number`, args, func(scan func(...any) error) error {
		var j model.Job
		var f model.JobFrame
		var r model.Ring
		var jobID, frameID, ringID int64
		var number int
		var due, by string
		if err := scan(&jobID, &j.ID, &j.Customer, &due, &j.Note, &j.Match, &frameID, &f.ID, &f.Quantity,
			&ringID, &number, &r.Profile, &r.Allowance, &r.Size.Shape.Sides, &by, &r.Size.Width, &r.Size.Height, &r.Size.Across); err != nil {
			return err
		}
		r.Size.By, r.Where = given(by), t.where("ring", ringID)
		if r.Size.By == 0 && number == 1 {
			r.Size.By = model.ByContent
		}
		if last := len(jobs) - 1; last < 0 || jobs[last].ID != j.ID {
			var err error
			if j.Due, err = day(due); err != nil {
				return err
			}
			j.Where = t.where("job", jobID)
			jobs = append(jobs, j)
		}
		job := &jobs[len(jobs)-1]
		if last := len(job.Frames) - 1; last < 0 || job.Frames[last].ID != f.ID {
			f.Where = t.where("frame", frameID)
			job.Frames = append(job.Frames, f)
		}
		frame := &job.Frames[len(job.Frames)-1]
		frame.Rings = append(frame.Rings, r)
		return nil
	})
	return jobs, err
}

// optionalInt scans a number that may be NULL.
type optionalInt struct {
	n     int64
	given bool
}

// Scan implements sql.Scanner.
func (o *optionalInt) Scan(value any) error {
	switch v := value.(type) {
	case nil:
		*o = optionalInt{}
		return nil
	case int64:
		*o = optionalInt{v, true}
		return nil
	}
	return fmt.Errorf("%v is not a whole number", value)
}

func (o optionalInt) length() model.OptionalLength {
	return model.OptionalLength{Length: model.Length(o.n), Given: o.given}
}

func (o optionalInt) money() model.OptionalMoney {
	return model.OptionalMoney{Amount: model.Money(o.n), Given: o.given}
}

// orNull is a value for the book, NULL where it is not given.
func orNull[T ~int64 | ~int](n T, given bool) any {
	if !given {
		return nil
	}
	return int64(n)
}

// day reads a day of the book; none where the text is empty.
func day(text string) (model.Date, error) {
	if text == "" {
		return model.Date{}, nil
	}
	return model.ParseDate(text)
}

// givens are the ways a size is given, by their names in the book.
var givens = []model.Given{model.ByContent, model.ByRebate, model.BySight, model.ByOutside}

func given(name string) model.Given {
	for _, g := range givens {
		if g.String() == name {
			return g
		}
	}
	return 0
}

// parseSpans reads spans as the book has them: 120000000-180000000,300000000-310000000.
func parseSpans(text string) (out []model.Span, err error) {
	if text == "" {
		return nil, nil
	}
	for part := range strings.SplitSeq(text, ",") {
		from, to, _ := strings.Cut(part, "-")
		f, err := strconv.ParseInt(from, 10, 64)
		if err != nil {
			return nil, err
		}
		t, err := strconv.ParseInt(to, 10, 64)
		if err != nil {
			return nil, err
		}
		out = append(out, model.Span{From: model.Length(f), To: model.Length(t)})
	}
	return out, nil
}

// spansText writes spans as the book has them.
func spansText(all []model.Span) string {
	parts := make([]string, len(all))
	for i, s := range all {
		parts[i] = fmt.Sprintf("%d-%d", int64(s.From), int64(s.To))
	}
	return strings.Join(parts, ",")
}

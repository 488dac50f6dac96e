package book

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
)

// RackStick is a stick or offcut that is at hand.
type RackStick struct {
	Name     string       `json:"stick"`
	Profile  string       `json:"profile"`
	Length   model.Length `json:"length_nm"`
	Place    string       `json:"place,omitempty"`
	Lot      string       `json:"lot,omitempty"`
	Offcut   bool         `json:"offcut"`
	Of       string       `json:"of,omitempty"` // the stick it is an offcut of
	Supplier string       `json:"supplier,omitempty"`
	Cost     model.Money  `json:"cost"` // the money that is in it
	State    string       `json:"state"`
	Damage   []model.Span `json:"damage,omitempty"`
}

// Rack gives what is on the rack and in open runs, by profile and then longest first.
func (b *Book) Rack(ctx context.Context) (all []RackStick, err error) {
	err = b.read(ctx, func(t *transaction) error {
		return t.each(`SELECT s.name, s.profile, length_nm, place, lot, offcut, coalesce(parent, ''), supplier, cost_minor, state, damage_nm
			FROM stick AS s JOIN profile AS p ON p.name = s.profile WHERE state IN ('rack', 'run') ORDER BY p.id, length_nm DESC, s.id`, nil, func(scan func(...any) error) error {
			var s RackStick
			var damage string
			if err := scan(&s.Name, &s.Profile, &s.Length, &s.Place, &s.Lot, &s.Offcut, &s.Of, &s.Supplier, &s.Cost, &s.State, &damage); err != nil {
				return err
			}
			s.Damage, err = parseSpans(damage)
			all = append(all, s)
			return err
		})
	})
	return all, err
}

// Discard takes a stick off the rack for good: its money is waste.
func (b *Book) Discard(ctx context.Context, name string, by By) (fresh bool, err error) {
	step, err := b.write(ctx, "discard", by, func(t *transaction) error {
		var state string
		found, err := t.one("SELECT state FROM stick WHERE name = ?", []any{name}, &state)
		switch {
		case err != nil:
			return err
		case !found:
			return usageError(b.path, fmt.Sprintf("there is no stick %q in the book", name), `see "longpoint rack" for those there are`)
		case state == "discarded":
			return nil
		case state != "rack":
			return usageError(b.path, fmt.Sprintf("stick %s is not on the rack: it is %s", name, map[string]string{"run": "in a run", "used": "used up"}[state]), "finish its run first, or name another")
		}
		_, err = t.exec("UPDATE stick SET state = 'discarded' WHERE name = ?", name)
		return err
	})
	return step != 0, err
}

// JobState is a job and how far it is.
type JobState struct {
	Name     string      `json:"job"`
	Customer string      `json:"customer,omitempty"`
	Due      string      `json:"due,omitempty"`
	State    string      `json:"state"`
	Sides    int         `json:"sides"`
	Cut      int         `json:"cut"`
	Spoilt   int         `json:"spoilt"`
	Cost     model.Money `json:"cost"` // the moulding in the sides that are cut
}

// The states of a job.
const (
	JobOpen      = "open"
	JobReady     = "ready"
	JobCollected = "collected"
	JobDropped   = "dropped"
)

// Jobs gives the jobs that are open or ready, by the day they are due, or all.
func (b *Book) Jobs(ctx context.Context, all bool) (jobs []JobState, err error) {
	where := "j.state IN ('open', 'ready')"
	if all {
		where = "TRUE"
	}
	err = b.read(ctx, func(t *transaction) error {
		return t.each(`SELECT j.name, customer, due, state, coalesce((SELECT `+countSides+` FROM frame AS f WHERE f.job = j.name), 0),
				count(c.id) FILTER (WHERE c.spoilt = 0), count(c.id) FILTER (WHERE c.spoilt > 0), coalesce(sum(c.cost_minor), 0)
			FROM job AS j LEFT JOIN cut AS c ON c.job = j.name WHERE `+where+` GROUP BY j.id ORDER BY due, j.id`, nil, func(scan func(...any) error) error {
			var j JobState
			defer func() { jobs = append(jobs, j) }()
			return scan(&j.Name, &j.Customer, &j.Due, &j.State, &j.Sides, &j.Cut, &j.Spoilt, &j.Cost)
		})
	})
	return jobs, err
}

// SetJobs puts jobs into a state: JobCollected for those that are ready, JobDropped for those that will not be made, JobOpen to
// take that back. Those that are in it already stay.
func (b *Book) SetJobs(ctx context.Context, names []string, state string, by By) (changed []string, err error) {
	from := map[string]string{JobCollected: JobReady, JobDropped: JobOpen, JobOpen: JobDropped}[state]
	_, err = b.write(ctx, "jobs "+state, by, func(t *transaction) error {
		for _, name := range names {
			var was string
			found, err := t.one("SELECT state FROM job WHERE name = ?", []any{name}, &was)
			switch {
			case err != nil:
				return err
			case !found:
				return usageError(b.path, fmt.Sprintf("there is no job %q in the book", name), `see "longpoint jobs" for those there are`)
			case was == state:
				continue
			case was != from:
				return usageError(b.path, fmt.Sprintf("job %s is %s, and only one that is %s can be %s", name, was, from, state), "see how far it is")
			}
			if _, err := t.exec("UPDATE job SET state = ? WHERE name = ?", state, name); err != nil {
				return err
			}
			changed = append(changed, name)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return changed, nil
}

// Steps gives the last steps, the last first.
func (b *Book) Steps(ctx context.Context, most int) (steps []Step, err error) {
	err = b.read(ctx, func(t *transaction) error {
		return t.each(`SELECT id, at, who, kind, why, coalesce(undoes, 0), EXISTS (SELECT 1 FROM step WHERE undoes = s.id),
				(SELECT count(*) FROM change WHERE step = s.id)
			FROM step AS s ORDER BY id DESC LIMIT ?`, []any{most}, func(scan func(...any) error) error {
			var s Step
			defer func() { steps = append(steps, s) }()
			return scan(&s.ID, &s.At, &s.Who, &s.Kind, &s.Why, &s.Undoes, &s.Undone, &s.Rows)
		})
	})
	return steps, err
}

// Event is one thing that happened to a stick or a job.
type Event struct {
	Step Step   `json:"step"`
	What string `json:"what"`
}

// StickLife gives what happened to a stick, from its coming to its end.
func (b *Book) StickLife(ctx context.Context, name string) ([]Event, error) {
	return b.life(ctx, "stick", name, func(t *transaction, was, is map[string]any) (string, error) { return t.stickEvent(was, is) })
}

// JobLife gives what happened to a job.
func (b *Book) JobLife(ctx context.Context, name string) (events []Event, err error) {
	return b.life(ctx, "job", name, func(t *transaction, was, is map[string]any) (string, error) {
		switch {
		case is == nil:
			return "taken out", nil
		case was == nil:
			return "taken in", nil
		case was["state"] != is["state"]:
			return fmt.Sprint(is["state"]), nil
		}
		return "changed: " + differing(was, is), nil
	})
}

// life reads the steps that changed a row, each with what the row was before and after.
func (b *Book) life(ctx context.Context, tab, name string, tell func(t *transaction, was, is map[string]any) (string, error)) (events []Event, err error) {
	err = b.read(ctx, func(t *transaction) error {
		var row int64
		if found, err := t.one("SELECT id FROM "+tab+" WHERE name = ?", []any{name}, &row); err != nil {
			return err
		} else if !found {
			return usageError(b.path, fmt.Sprintf("there is no %s %q in the book", tab, name), "check the name")
		}
		steps, images, err := t.images(tab, row)
		if err != nil {
			return err
		}
		for i, s := range steps {
			what, err := tell(t, images[i], images[i+1])
			if err != nil {
				return err
			}
			events = append(events, Event{s, what})
		}
		return nil
	})
	return events, err
}

// images gives the steps that changed a row, and the row before the first of them, between them and after the last: nil where
// there was none. A row whose number an undone one had before begins with itself.
func (t *transaction) images(tab string, row int64) (steps []Step, images []map[string]any, err error) {
	err = t.each(`SELECT s.id, s.at, s.who, s.kind, s.why, coalesce(s.undoes, 0), c.before FROM change AS c JOIN step AS s ON s.id = c.step
		WHERE c.tab = ? AND c.row = ? ORDER BY c.id`, []any{tab, row}, func(scan func(...any) error) error {
		var s Step
		var before *string
		if err := scan(&s.ID, &s.At, &s.Who, &s.Kind, &s.Why, &s.Undoes, &before); err != nil {
			return err
		}
		if before == nil {
			steps, images = nil, nil
			images = append(images, nil)
		} else {
			image, err := readImage(*before)
			if err != nil {
				return err
			}
			images = append(images, image)
		}
		steps = append(steps, s)
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	tables, err := tablesIn(t.ctx, t.tx)
	if err != nil {
		return nil, nil, err
	}
	for _, tb := range tables {
		if tb.name != tab {
			continue
		}
		var pairs []string
		for _, c := range tb.columns {
			pairs = append(pairs, "'"+c.name+"', "+c.name)
		}
		var now string
		found, err := t.one("SELECT json_object("+strings.Join(pairs, ", ")+") FROM "+tab+" WHERE id = ?", []any{row}, &now)
		if err != nil {
			return nil, nil, err
		}
		var image map[string]any
		if found {
			if image, err = readImage(now); err != nil {
				return nil, nil, err
			}
		}
		images = append(images, image)
	}
	return steps, images, nil
}

// readImage reads a row as a step wrote it down, numbers as they stand.
func readImage(text string) (image map[string]any, err error) {
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	return image, d.Decode(&image)
}

// differing names the columns in which two images of a row differ.
func differing(was, is map[string]any) string {
	var names []string
	for name := range is {
		if was[name] != is[name] {
			names = append(names, fmt.Sprintf("%s %v → %v", name, was[name], is[name]))
		}
	}
	return strings.Join(slices.Sorted(slices.Values(names)), ", ")
}

// stickEvent says what happened to a stick.
func (t *transaction) stickEvent(was, is map[string]any) (string, error) {
	switch {
	case is == nil:
		return "taken out of the book", nil
	case was == nil && is["origin"] == "bought":
		var purchase int64
		err := t.row("SELECT purchase FROM delivery WHERE id = ?", fmt.Sprint(is["delivery"])).Scan(&purchase)
		return fmt.Sprintf("delivered by %v, purchase %d", is["supplier"], purchase), err
	case was == nil && is["origin"] == "offcut":
		return fmt.Sprintf("offcut of %v", is["parent"]), nil
	case was == nil:
		return "found on the rack", nil
	case was["state"] == is["state"]:
		return "changed: " + differing(was, is), nil
	}
	switch is["state"] {
	case "run":
		var run int64
		_, err := t.one("SELECT run FROM run_stick WHERE stick = ? AND state <> 'returned'", []any{is["name"]}, &run)
		if run == 0 {
			return "taken into a run", err
		}
		return fmt.Sprintf("taken into run %d", run), err
	case "used":
		return t.whatWasCut(fmt.Sprint(is["name"]))
	case "discarded":
		return "discarded", nil
	}
	return "back on the rack", nil
}

// whatWasCut says what came off a stick.
func (t *transaction) whatWasCut(stick string) (string, error) {
	var run int64
	var sides, spoilt int
	var kept, waste model.Length
	found, err := t.one(`SELECT r.run, count(c.id) FILTER (WHERE c.spoilt = 0), count(c.id) FILTER (WHERE c.spoilt > 0), r.kept_nm, r.waste_nm
		FROM run_stick AS r LEFT JOIN cut AS c ON c.run = r.run AND c.number = r.number WHERE r.stick = ? AND r.state = 'cut' GROUP BY r.id`,
		[]any{stick}, &run, &sides, &spoilt, &kept, &waste)
	if err != nil || !found {
		return "cut", err
	}
	text := fmt.Sprintf("cut in run %d: %d sides done, %d spoilt, %s kept, %s waste", run, sides, spoilt, kept, waste)
	return text, nil
}

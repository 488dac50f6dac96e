package book

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
)

// Steps gives the last steps, in the order in which they were made.
func (b *Book) Steps(ctx context.Context, most int) (steps []Step, err error) {
	err = b.read(ctx, func(t *transaction) error {
		return t.each("SELECT "+stepColumns+", (SELECT count(*) FROM change WHERE step = s.id) FROM step AS s ORDER BY id DESC LIMIT ?",
			[]any{most}, func(scan func(...any) error) error {
				var s Step
				defer func() { steps = append(steps, s) }()
				return scan(append(s.scanned(), &s.Rows)...)
			})
	})
	slices.Reverse(steps)
	return steps, err
}

// Event is one thing that happened to a stick or a job. One whose step was taken back did not happen: it says so (Step.Undone), and the
// step that took it back is no event of its own.
type Event struct {
	Step Step   `json:"step"`
	What string `json:"what"`
}

// StickLife gives what happened to a stick, from its coming to its end.
func (b *Book) StickLife(ctx context.Context, name string) (events []Event, err error) {
	err = b.read(ctx, func(t *transaction) error {
		var row int64
		if found, err := t.one("SELECT id FROM stick WHERE name = ?", []any{name}, &row); err != nil {
			return err
		} else if !found {
			return usageError(b.path, fmt.Sprintf("there is no stick %q in the book", name), `see "longpoint rack" for those on the rack`)
		}
		steps, images, err := t.images("stick", row)
		if err != nil {
			return err
		}
		for i, s := range steps {
			if s.Undoes != 0 {
				continue
			}
			what := s.What
			if s.Undone == 0 {
				if what, err = t.stickEvent(images[i], images[i+1]); err != nil {
					return err
				}
			}
			events = append(events, Event{s, what})
		}
		return nil
	})
	return events, err
}

// JobLife gives what happened to a job, its frames and its sides.
func (b *Book) JobLife(ctx context.Context, name string) (events []Event, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if _, err := t.jobState(name); err != nil {
			return err
		}
		return t.each("SELECT "+stepColumns+` FROM step AS s WHERE s.undoes IS NULL AND s.id IN (
				SELECT step FROM change WHERE tab = 'job' AND row = (SELECT id FROM job WHERE name = ?1)
				UNION SELECT step FROM change WHERE tab = 'frame' AND row IN (SELECT id FROM frame WHERE job = ?1)
				UNION SELECT step FROM change WHERE tab = 'ring' AND row IN (SELECT id FROM ring WHERE job = ?1)
				UNION SELECT step FROM change WHERE tab = 'cut' AND row IN (SELECT id FROM cut WHERE job = ?1))
			ORDER BY s.id`, []any{name}, func(scan func(...any) error) error {
			var s Step
			err := scan(s.scanned()...)
			events = append(events, Event{s, s.What})
			return err
		})
	})
	return events, err
}

// images gives the steps that changed a row, and the row before the first of them, between them and after the last: nil where
// there was none. A row whose number an undone one had before begins with itself.
func (t *transaction) images(tab string, row int64) (steps []Step, images []map[string]any, err error) {
	err = t.each("SELECT "+stepColumns+`, c.before FROM change AS c JOIN step AS s ON s.id = c.step
		WHERE c.tab = ? AND c.row = ? ORDER BY c.id`, []any{tab, row}, func(scan func(...any) error) error {
		var s Step
		var before *string
		if err := scan(append(s.scanned(), &before)...); err != nil {
			return err
		}
		if before == nil {
			steps, images = nil, nil
			images = append(images, nil)
		} else {
			image, err := readImage(*before)
			if err != nil {
				return t.notAsWritten(s.ID)
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

// differing says in which columns two images of a row differ.
func (t *transaction) differing(tab string, was, is map[string]any) (string, error) {
	columns, err := columnsOf(t.ctx, t.tx, tab)
	if err != nil {
		return "", err
	}
	var parts []string
	for _, c := range columns {
		if was[c.name] != is[c.name] {
			parts = append(parts, fmt.Sprintf("%s %s → %s", c.word(), t.shown(c, was[c.name]), t.shown(c, is[c.name])))
		}
	}
	return "changed: " + strings.Join(parts, ", "), nil
}

// shown writes a value of an image for people.
func (t *transaction) shown(c column, value any) string {
	n, _ := value.(json.Number)
	whole, _ := n.Int64()
	text, _ := value.(string)
	switch {
	case value == nil || value == "":
		return "nothing"
	case c.kind == length:
		return t.in(model.Length(whole))
	case c.kind == money:
		return t.money(model.Money(whole))
	case c.kind == spans:
		all, err := parseSpans(text)
		if err != nil {
			return text
		}
		parts := make([]string, len(all))
		for i, s := range all {
			parts[i] = t.in(s.From) + " to " + t.in(s.To)
		}
		return strings.Join(parts, "; ")
	}
	return fmt.Sprint(value)
}

// stickEvent says what happened to a stick.
func (t *transaction) stickEvent(was, is map[string]any) (string, error) {
	switch {
	case is == nil:
		return "taken out of the book", nil
	case was == nil && is["origin"] == "bought":
		var purchase int64
		err := t.row("SELECT purchase FROM delivery WHERE id = ?", fmt.Sprint(is["delivery"])).Scan(&purchase)
		return fmt.Sprintf("delivered by %v, order %d", is["supplier"], purchase), err
	case was == nil && is["origin"] == "offcut":
		return fmt.Sprintf("offcut of %v", is["parent"]), nil
	case was == nil:
		return "found on the rack", nil
	case was["state"] == is["state"]:
		return t.differing("stick", was, is)
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
	text := fmt.Sprintf("cut in run %d: %d sides done, %d spoilt, %s kept, %s waste", run, sides, spoilt, t.near(kept), t.near(waste))
	return text, nil
}

package book

import (
	"context"
	"fmt"
	"time"

	"longpoint/model"
)

// Blade is a blade set and what it has been through since it was last sharpened.
type Blade struct {
	Name          string       `json:"blade"`
	State         string       `json:"state"`
	Came          string       `json:"came"`
	Height        model.Length `json:"height_nm"`                   // of the blade: left after the last sharpening
	Least         model.Length `json:"least_nm"`                    // of the machine's manual; 0: not said
	GreatestWidth model.Length `json:"greatest_width_nm,omitempty"` // of a profile; 0: not said
	Sharpenings   int          `json:"sharpenings"`
	Sharpened     string       `json:"sharpened,omitempty"`    // last
	Days          int          `json:"days"`                   // since then, or since it came
	Edges         []Edge       `json:"edges"`                  // one, or two that are used one after the other
	Edge          int          `json:"edge"`                   // that cuts, from 1
	RemindDays    int          `json:"remind_days,omitempty"`  // 0: no reminder
	RemindChops   int          `json:"remind_chops,omitempty"` // of an edge
	Due           []string     `json:"due,omitempty"`          // what it is time to do, and why

	loss model.Length // that a sharpening takes: on average so far, or usualLoss
}

// Edge is what one edge of a blade set has cut since it was last sharpened, in finished runs.
type Edge struct {
	Chops int `json:"chops"`
	Bites int `json:"bites"`
}

// MostEdges is how many edges a blade can have.
const MostEdges = 2

// usualLoss is what a sharpening takes off the height where the set has not been sharpened yet: about 1 mm (common practice, no
// source).
const usualLoss = model.Millimetre

// Blades gives the blade sets.
func (b *Book) Blades(ctx context.Context) (all []Blade, err error) {
	err = b.read(ctx, func(t *transaction) error {
		t.now = b.Now()
		all, err = t.blades()
		return err
	})
	return all, err
}

func (t *transaction) blades() (all []Blade, err error) {
	err = t.each(`SELECT name, b.state, came, least_nm, coalesce(greatest_width_nm, 0), edges, b.edge, coalesce(remind_days, 0), coalesce(remind_chops, 0),
			b.height_nm, coalesce((SELECT s.height_nm FROM sharpening AS s WHERE s.blade = b.name ORDER BY s.id DESC LIMIT 1), b.height_nm),
			(SELECT count(*) FROM sharpening AS s WHERE s.blade = b.name),
			coalesce((SELECT s.day FROM sharpening AS s WHERE s.blade = b.name ORDER BY s.id DESC LIMIT 1), ''),
			coalesce(sum(r.chops) FILTER (WHERE coalesce(r.edge, 1) = 1), 0), coalesce(sum(r.chops * r.strokes) FILTER (WHERE coalesce(r.edge, 1) = 1), 0),
			coalesce(sum(r.chops) FILTER (WHERE r.edge = 2), 0), coalesce(sum(r.chops * r.strokes) FILTER (WHERE r.edge = 2), 0)
		FROM blade AS b LEFT JOIN run AS r ON r.blade = b.name AND r.state = 'finished'
			AND r.id > coalesce((SELECT s.after_run FROM sharpening AS s WHERE s.blade = b.name ORDER BY s.id DESC LIMIT 1), 0)
		GROUP BY b.id ORDER BY b.id`, nil, func(scan func(...any) error) error {
		var b Blade
		var first model.Length
		var edges int
		var used [MostEdges]Edge
		if err := scan(&b.Name, &b.State, &b.Came, &b.Least, &b.GreatestWidth, &edges, &b.Edge, &b.RemindDays, &b.RemindChops, &first, &b.Height, &b.Sharpenings,
			&b.Sharpened, &used[0].Chops, &used[0].Bites, &used[1].Chops, &used[1].Bites); err != nil {
			return err
		}
		b.Edges = used[:edges]
		since := b.Came
		if b.Sharpened != "" {
			since = b.Sharpened
		}
		b.Days = max(daysBetween(since, t.today()), 0)
		b.loss = usualLoss
		if b.Sharpenings > 0 {
			b.loss = (first - b.Height) / model.Length(b.Sharpenings)
		}
		b.Due = b.due(t)
		all = append(all, b)
		return nil
	})
	return all, err
}

// due says what it is time to do about the set, and why.
func (b Blade) due(t *transaction) (why []string) {
	if b.State == "worn" {
		return nil
	}
	if b.RemindDays > 0 && b.Days >= b.RemindDays && b.State == "mounted" {
		why = append(why, fmt.Sprintf("%d days, to be sharpened every %d", b.Days, b.RemindDays))
	}
	if text := b.dull(); text != "" {
		why = append(why, text)
	}
	switch {
	case b.Least == 0:
	case b.Height < b.Least:
		why = append(why, fmt.Sprintf("%s high, and the machine takes %s at least: cut no more with it, and replace it as the machine's manual says", t.in(b.Height), t.in(b.Least)))
	case b.Height-b.loss < b.Least:
		why = append(why, fmt.Sprintf("%s high, and a sharpening takes about %s, which leaves less than the %s that the machine takes at least: have a new set ready; "+
			"the machine's manual says whether it may be sharpened once more, and how it is replaced", t.in(b.Height), t.near(b.loss), t.in(b.Least)))
	}
	return why
}

// dull says what to do where the edge that cuts has made as many chops as it is to: turn the blades where another has not.
func (b Blade) dull() string {
	now := b.Edges[b.Edge-1].Chops
	if b.RemindChops == 0 || now < b.RemindChops {
		return ""
	}
	for i, other := range b.Edges {
		if other.Chops < b.RemindChops {
			return fmt.Sprintf("%d chops with edge %d, to be turned after %d: turn the blades to edge %d, which has %d, as the machine's manual says", now, b.Edge, b.RemindChops, i+1, other.Chops)
		}
	}
	if len(b.Edges) > 1 {
		return fmt.Sprintf("%d chops with one edge and %d with the other, to be sharpened after %d", b.Edges[0].Chops, b.Edges[1].Chops, b.RemindChops)
	}
	return fmt.Sprintf("%d chops, to be sharpened every %d", now, b.RemindChops)
}

// AddBlade puts a new blade set into the book, as a spare. One of that name that is there stays as it is.
func AddBlade(blade Blade) Change {
	return Change{"new blades", func(t *transaction) error {
		if found, err := t.one("SELECT id FROM blade WHERE name = ?", []any{clean(blade.Name)}, new(int64)); err != nil || found {
			return err
		}
		t.tell("new blade set %s, %s high", blade.Name, t.near(blade.Height))
		_, err := t.insert("blade", "name", clean(blade.Name), "height_nm", blade.Height, "least_nm", blade.Least, "came", t.today(),
			"greatest_width_nm", orNull(blade.GreatestWidth, blade.GreatestWidth > 0), "edges", max(len(blade.Edges), 1),
			"remind_days", orNull(blade.RemindDays, blade.RemindDays > 0), "remind_chops", orNull(blade.RemindChops, blade.RemindChops > 0))
		return err
	}}
}

// ChangeBlade sets what is known of a set from its maker and the machine's manual: the least height, the widest profile and how many
// edges it has. What is nought stays as it is.
func ChangeBlade(name string, least, greatestWidth model.Length, edges int) Change {
	return Change{"change blades", func(t *transaction) error {
		if _, err := t.bladeState(name); err != nil {
			return err
		}
		t.tell("what is known of blade set %s was changed", name)
		_, err := t.exec(`UPDATE blade SET least_nm = iif(?1 > 0, ?1, least_nm), greatest_width_nm = iif(?2 > 0, ?2, greatest_width_nm),
				edges = iif(?3 > 0, ?3, edges), edge = iif(?3 = 1, 1, edge)
			WHERE name = ?4 AND (?1 > 0 AND least_nm <> ?1 OR ?2 > 0 AND greatest_width_nm IS NOT ?2 OR ?3 > 0 AND edges <> ?3)`, least, greatestWidth, edges, name)
		return err
	}}
}

// TurnBlade says which edge of a set cuts from now on.
func TurnBlade(name string, edge int) Change {
	return Change{"turn blades", func(t *transaction) error {
		if _, err := t.bladeState(name); err != nil {
			return err
		}
		var edges int
		if err := t.row("SELECT edges FROM blade WHERE name = ?", name).Scan(&edges); err != nil {
			return err
		}
		if edge < 1 || edge > edges {
			return usageError(t.book.path, fmt.Sprintf("blade set %q has no edge %d: it has %d", name, edge, edges), "give another, or say first how many edges the set has")
		}
		t.tell("blade set %s cuts with edge %d", name, edge)
		_, err := t.exec("UPDATE blade SET edge = ?1 WHERE name = ?2 AND edge <> ?1", edge, name)
		return err
	}}
}

// MountBlade says that a set is in the machine now, and the one before is not.
func MountBlade(name string) Change {
	return Change{"mount blades", func(t *transaction) error {
		if state, err := t.bladeState(name); err != nil || state == "mounted" {
			return err
		}
		t.tell("blade set %s is in the machine", name)
		if _, err := t.exec("UPDATE blade SET state = 'spare' WHERE state = 'mounted'"); err != nil {
			return err
		}
		_, err := t.exec("UPDATE blade SET state = 'mounted' WHERE name = ?", name)
		return err
	}}
}

// RetireBlade says that a set is worn out.
func RetireBlade(name string) Change {
	return Change{"retire blades", func(t *transaction) error {
		if state, err := t.bladeState(name); err != nil || state == "worn" {
			return err
		}
		t.tell("blade set %s is worn out", name)
		_, err := t.exec("UPDATE blade SET state = 'worn' WHERE name = ?", name)
		return err
	}}
}

// Remind sets after how many days and chops a set is to be sharpened; 0: no reminder.
func Remind(name string, days, chops int) Change {
	return Change{"blade reminder", func(t *transaction) error {
		if _, err := t.bladeState(name); err != nil {
			return err
		}
		t.tell("remind of blade set %s after %s and %s", name, count(days, "day"), count(chops, "chop"))
		_, err := t.exec("UPDATE blade SET remind_days = ?1, remind_chops = ?2 WHERE name = ?3 AND (remind_days IS NOT ?1 OR remind_chops IS NOT ?2)",
			orNull(days, days > 0), orNull(chops, chops > 0), name)
		return err
	}}
}

// Sharpen writes down that a set was sharpened today and how high it is now. The same once more on one day is no step.
func Sharpen(name string, height model.Length) Change {
	return Change{"sharpen", func(t *transaction) error {
		if _, err := t.bladeState(name); err != nil {
			return err
		}
		var was model.Length
		var day string
		if err := t.row(`SELECT coalesce((SELECT s.height_nm FROM sharpening AS s WHERE s.blade = b.name ORDER BY s.id DESC LIMIT 1), height_nm),
				coalesce((SELECT s.day FROM sharpening AS s WHERE s.blade = b.name ORDER BY s.id DESC LIMIT 1), '')
			FROM blade AS b WHERE name = ?`, name).Scan(&was, &day); err != nil {
			return err
		}
		switch {
		case day == t.today() && was == height:
			return nil
		case height < 0 || height > was:
			return usageError(t.book.path, fmt.Sprintf("blade set %q was %s high and cannot be %s after sharpening", name, t.in(was), t.in(height)), "measure it again")
		}
		t.tell("blade set %s was sharpened, %s high now", name, t.near(height))
		_, err := t.exec(`INSERT INTO sharpening (blade, day, height_nm, after_run) VALUES (?, ?, ?, (SELECT coalesce(max(id), 0) FROM run WHERE state = 'finished'))`,
			name, t.today(), height)
		return err
	}}
}

// bladeState gives the state of a set, and says where there is none of that name.
func (t *transaction) bladeState(name string) (state string, err error) {
	found, err := t.one("SELECT state FROM blade WHERE name = ?", []any{name}, &state)
	if err == nil && !found {
		err = usageError(t.book.path, fmt.Sprintf("there is no blade set %q in the book", name), `see "longpoint blades" for those there are`)
	}
	return state, err
}

// daysBetween counts the days of the calendar from one to another, of which some have 23 hours or 25; 0 where one is no day.
func daysBetween(from, to string) int {
	a, err := time.Parse(time.DateOnly, from)
	b, other := time.Parse(time.DateOnly, to)
	if err != nil || other != nil {
		return 0
	}
	return int(b.Sub(a) / (24 * time.Hour))
}

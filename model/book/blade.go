package book

import (
	"context"
	"fmt"
	"time"

	"longpoint/model"
)

// Blade is a blade set and what it has been through since it was last sharpened.
type Blade struct {
	Name        string       `json:"blade"`
	State       string       `json:"state"`
	Came        string       `json:"came"`
	Height      model.Length `json:"height_nm"` // of the blade: left after the last sharpening
	Least       model.Length `json:"least_nm"`  // of the machine's manual; 0: not said
	Sharpenings int          `json:"sharpenings"`
	Sharpened   string       `json:"sharpened,omitempty"` // last
	Days        int          `json:"days"`                // since then, or since it came
	Chops       int          `json:"chops"`               // likewise, of finished runs
	Bites       int          `json:"bites"`
	RemindDays  int          `json:"remind_days,omitempty"` // 0: no reminder
	RemindChops int          `json:"remind_chops,omitempty"`
	Due         []string     `json:"due,omitempty"` // why it is time to sharpen or to replace it
}

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
	err = t.each(`SELECT name, b.state, came, least_nm, coalesce(remind_days, 0), coalesce(remind_chops, 0),
			coalesce((SELECT s.height_nm FROM sharpening AS s WHERE s.blade = b.name ORDER BY s.id DESC LIMIT 1), b.height_nm),
			(SELECT count(*) FROM sharpening AS s WHERE s.blade = b.name),
			coalesce((SELECT s.day FROM sharpening AS s WHERE s.blade = b.name ORDER BY s.id DESC LIMIT 1), ''),
			coalesce(sum(r.chops), 0), coalesce(sum(r.chops * r.strokes), 0)
		FROM blade AS b LEFT JOIN run AS r ON r.blade = b.name AND r.state = 'finished'
			AND r.id > coalesce((SELECT s.after_run FROM sharpening AS s WHERE s.blade = b.name ORDER BY s.id DESC LIMIT 1), 0)
		GROUP BY b.id ORDER BY b.id`, nil, func(scan func(...any) error) error {
		var b Blade
		if err := scan(&b.Name, &b.State, &b.Came, &b.Least, &b.RemindDays, &b.RemindChops, &b.Height, &b.Sharpenings, &b.Sharpened, &b.Chops, &b.Bites); err != nil {
			return err
		}
		since := b.Came
		if b.Sharpened != "" {
			since = b.Sharpened
		}
		if day, err := time.ParseInLocation(time.DateOnly, since, t.now.Location()); err == nil {
			b.Days = max(int(t.now.Sub(day).Hours()/24), 0)
		}
		b.Due = b.due(t)
		all = append(all, b)
		return nil
	})
	return all, err
}

// due says why it is time to do something about the set.
func (b Blade) due(t *transaction) (why []string) {
	if b.State == "worn" {
		return nil
	}
	if b.RemindDays > 0 && b.Days >= b.RemindDays && b.State == "mounted" {
		why = append(why, fmt.Sprintf("%d days, to be sharpened every %d", b.Days, b.RemindDays))
	}
	if b.RemindChops > 0 && b.Chops >= b.RemindChops {
		why = append(why, fmt.Sprintf("%d chops, to be sharpened every %d", b.Chops, b.RemindChops))
	}
	if b.Least > 0 && b.Height < b.Least {
		why = append(why, fmt.Sprintf("%s high, and the machine takes %s at least: replace it", t.in(b.Height), t.in(b.Least)))
	}
	return why
}

// AddBlade puts a new blade set into the book, as a spare. One of that name that is there stays as it is.
func AddBlade(blade Blade) Change {
	return Change{"new blades", func(t *transaction) error {
		if found, err := t.one("SELECT id FROM blade WHERE name = ?", []any{clean(blade.Name)}, new(int64)); err != nil || found {
			return err
		}
		t.tell("new blade set %s, %s high", blade.Name, t.near(blade.Height))
		_, err := t.insert("blade", "name", clean(blade.Name), "height_nm", blade.Height, "least_nm", blade.Least, "came", t.today(),
			"remind_days", orNull(blade.RemindDays, blade.RemindDays > 0), "remind_chops", orNull(blade.RemindChops, blade.RemindChops > 0))
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

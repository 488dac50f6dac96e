package book

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"

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
	Cost     model.Money  `json:"cost"`  // the money that is in it
	Worth    model.Money  `json:"worth"` // what planning reckons it is worth
	State    string       `json:"state"`
	Damage   []model.Span `json:"damage,omitempty"`

	value    model.OptionalMoney // where its worth was said
	expected string              // the day on which it should be here, where it is not
	order    int64               // it came of, and the plan that its line is for; 0: not looked up, or none
	plan     int64
	match    string // equal for sticks that match in finish; empty: not looked up, or, of one that is to come, nobody knows
	toCome   bool
	unsent   bool // its order is not sent yet
}

// rackColumns are the columns of table stick, called s, that scan reads into a stick.
const rackColumns = `s.name, s.profile, s.length_nm, s.place, s.lot, s.offcut, coalesce(s.parent, ''), s.supplier, s.cost_minor, s.value_minor, s.state, s.damage_nm`

// scanned reads rackColumns.
func (s *RackStick) scanned(scan func(...any) error) error {
	var damage string
	var value optionalInt
	err := scan(&s.Name, &s.Profile, &s.Length, &s.Place, &s.Lot, &s.Offcut, &s.Of, &s.Supplier, &s.Cost, &value, &s.State, &damage)
	if err != nil {
		return err
	}
	s.value = value.money()
	s.Damage, err = parseSpans(damage)
	return err
}

// worthIn is what planning reckons the stick is worth.
func (s RackStick) worthIn(w *model.Workshop) model.Money {
	return w.StickValue(model.Stick{Profile: s.Profile, Length: s.Length, Value: s.value})
}

// Rack gives what is on the rack and in open runs, by profile and then longest first.
func (b *Book) Rack(ctx context.Context) ([]RackStick, error) {
	return look(ctx, b, func(t *transaction) ([]RackStick, error) { return t.rack("s.state IN ('rack', 'run')") })
}

// Gone gives what PutBack can put on the rack again.
func (b *Book) Gone(ctx context.Context) ([]RackStick, error) {
	return look(ctx, b, func(t *transaction) ([]RackStick, error) { return t.rack("s.state = 'discarded'") })
}

// rack gives the sticks that a condition takes, by profile and then longest first.
func (t *transaction) rack(where string, args ...any) (all []RackStick, err error) {
	w, err := t.workshop()
	if err != nil {
		return nil, err
	}
	return t.sticks(w, where, args...)
}

// sticks is rack where the workshop is known.
func (t *transaction) sticks(w *model.Workshop, where string, args ...any) (all []RackStick, err error) {
	err = t.each("SELECT "+rackColumns+" FROM stick AS s JOIN profile AS p ON p.name = s.profile WHERE "+where+" ORDER BY p.id, length_nm DESC, s.id",
		args, func(scan func(...any) error) error {
			var s RackStick
			err := s.scanned(scan)
			s.Worth = s.worthIn(w)
			all = append(all, s)
			return err
		})
	return all, err
}

// stick gives a stick that ever was in the book.
func (t *transaction) stick(name string) (s RackStick, err error) {
	found := false
	err = t.each("SELECT "+rackColumns+" FROM stick AS s WHERE s.name = ?", []any{name}, func(scan func(...any) error) error {
		found = true
		return s.scanned(scan)
	})
	if err == nil && !found {
		err = usageError(t.book.path, fmt.Sprintf("there is no stick %q in the book", name), `see "longpoint rack" for those there are`)
	}
	return s, err
}

// onRack gives a stick that lies on the rack, and says where it is if it does not.
func (t *transaction) onRack(name string) (s RackStick, err error) {
	if s, err = t.stick(name); err != nil || s.State == "rack" {
		return s, err
	}
	is := map[string]string{"run": "in a run", "used": "used up", "discarded": "discarded"}[s.State]
	return s, usageError(t.book.path, fmt.Sprintf("stick %s is not on the rack: it is %s", s.Name, is), `see "longpoint run" for the open runs and "longpoint rack" for what is there`)
}

// describe says what a stick is: "oak-56, 2700 mm, 13.95 EUR".
func (t *transaction) describe(s RackStick) string {
	return fmt.Sprintf("%s, %s, %s", s.Profile, t.near(s.Length), t.money(s.Cost))
}

// Discard takes sticks off the rack for good: their money is waste.
func Discard(names ...string) Change {
	return Change{"discard", func(t *transaction) error {
		for _, name := range names {
			if s, err := t.stick(name); err != nil {
				return err
			} else if s.State == "discarded" {
				continue
			}
			if err := t.discard(name, "discarded"); err != nil {
				return err
			}
		}
		return nil
	}}
}

// discard takes a stick off the rack.
func (t *transaction) discard(name, what string) error {
	s, err := t.onRack(name)
	if err != nil {
		return err
	}
	t.tell("%s %s: %s", what, name, t.describe(s))
	_, err = t.exec("UPDATE stick SET state = 'discarded' WHERE name = ?", name)
	return err
}

// PutBack puts sticks on the rack again that were discarded, or missing when it was counted, and are there after all.
func PutBack(names ...string) Change {
	return Change{"put back", func(t *transaction) error {
		for _, name := range names {
			s, err := t.stick(name)
			switch {
			case err != nil:
				return err
			case s.State == "rack":
				continue
			case s.State != "discarded":
				_, err := t.onRack(name)
				return err
			}
			t.tell("%s is on the rack after all: %s", name, t.describe(s))
			if _, err := t.exec("UPDATE stick SET state = 'rack' WHERE name = ?", name); err != nil {
				return err
			}
		}
		return nil
	}}
}

// MoveSticks says that sticks of the rack lie at another place.
func MoveSticks(place string, names ...string) Change {
	return Change{"move sticks", func(t *transaction) error {
		var moved []string
		for _, name := range names {
			s, err := t.onRack(name)
			if err != nil {
				return err
			}
			if s.Place == clean(place) {
				continue
			}
			if _, err := t.exec("UPDATE stick SET place = ? WHERE name = ?", clean(place), name); err != nil {
				return err
			}
			moved = append(moved, name)
		}
		if len(moved) > 0 {
			t.tell("moved %s to %s", listed(moved), place)
		}
		return nil
	}}
}

// AddSticks puts so many equal sticks that were found on the rack into the book. The first is called as the stick is and the others alike,
// or else they are called F1, F2, …; named, where it is not nil, is told each name. Where the stick has no value of its own, the money in it is what
// planning reckons it is worth.
func AddSticks(s model.Stick, n int, named func(string)) Change {
	return Change{"find", func(t *transaction) error {
		s := s
		w, err := t.workshop()
		if err != nil {
			return err
		}
		if err := t.canLie(w, s.Profile, s.Length, s.Damage); err != nil {
			return err
		}
		if n < 1 {
			return usageError(t.book.path, fmt.Sprintf("%d sticks cannot be found", n), "say how many there are")
		}
		var names []string
		for range n {
			if s.ID, err = t.freeName(s.ID, len(names)); err != nil {
				return err
			}
			if err := t.addStick(s, w.StickValue(s)); err != nil {
				return err
			}
			names = append(names, s.ID)
			if named != nil {
				named(s.ID)
			}
		}
		t.tell("found %d × %s %s, worth %s each: %s", n, t.near(s.Length), s.Profile, t.money(w.StickValue(s)), listed(names))
		return nil
	}}
}

// canLie says where a stick cannot be as it is given.
func (t *transaction) canLie(w *model.Workshop, profile string, length model.Length, damage []model.Span) error {
	if _, known := w.ProfileByName(profile); !known {
		return noProfile(t.book.path, profile)
	}
	switch {
	case length < 1 || length > model.MaxLength:
		return usageError(t.book.path, "a stick is more than 0 and at most 1 km long", "measure it again")
	case !within(damage, length):
		return usageError(t.book.path, "the damaged parts do not lie apart on the stick", "write where each begins and ends, from the head on")
	}
	return nil
}

func noProfile(path, name string) error {
	return usageError(path, fmt.Sprintf("there is no profile %q in the book", name), `see "longpoint rack" for names of those there are, and "longpoint help tables" for how a new one is added`)
}

// freeName gives a name for the next of some sticks of which so many have theirs: the one that was wanted for the first, which must be free,
// and else the next F1, F2, … that is.
func (t *transaction) freeName(wanted string, before int) (name string, err error) {
	taken := func(name string) (bool, error) {
		return t.one("SELECT id FROM stick WHERE name = ?", []any{name}, new(int64))
	}
	if wanted != "" && before == 0 {
		if there, err := taken(clean(wanted)); err != nil {
			return "", err
		} else if there {
			return "", usageError(t.book.path, fmt.Sprintf("there is a stick %s in the book already, or was", wanted), `give it another name; "longpoint rack" lists those in use`)
		}
		return wanted, nil
	}
	for n := 1; ; n++ {
		name := model.FoundName(n)
		if there, err := taken(name); err != nil || !there {
			return name, err
		}
	}
}

// MeasureStick writes down how long a stick of the rack was found to be (0: as before), and where it is damaged (nil: as before). The
// money in it stays. What an offcut is shorter or longer is waste, more or less, of the stick it was cut from.
func MeasureStick(name string, length model.Length, damage []model.Span) Change {
	return Change{"measure", func(t *transaction) error { return t.measure(name, length, damage) }}
}

func (t *transaction) measure(name string, length model.Length, damage []model.Span) error {
	s, err := t.onRack(name)
	if err != nil {
		return err
	}
	was := s
	if length != 0 {
		s.Length, s.Damage = length, damageWithin(s.Damage, length)
	}
	if damage != nil {
		s.Damage = damage
	}
	w, err := t.workshop()
	if err != nil {
		return err
	}
	if err := t.canLie(w, s.Profile, s.Length, s.Damage); err != nil {
		return err
	}
	if s.Of != "" && s.Length != was.Length {
		if err := t.measureOffcut(was, s.Length); err != nil {
			return err
		}
	}
	if s.Length != was.Length {
		t.tell("%s is %s long, not %s", name, t.in(s.Length), t.in(was.Length))
	}
	if !slices.Equal(s.Damage, was.Damage) {
		t.tell("%s is damaged at %s", name, t.spans(s.Damage))
	}
	_, err = t.exec("UPDATE stick SET length_nm = ?1, damage_nm = ?2 WHERE name = ?3 AND (length_nm <> ?1 OR damage_nm <> ?2)",
		s.Length, spansText(s.Damage), name)
	return err
}

// damageWithin gives what of damage lies on a stick of this length.
func damageWithin(damage []model.Span, length model.Length) (within []model.Span) {
	for _, d := range damage {
		if d.From < length {
			within = append(within, model.Span{From: d.From, To: min(d.To, length)})
		}
	}
	return within
}

// measureOffcut puts the waste of the stick that an offcut was cut from right.
func (t *transaction) measureOffcut(was RackStick, length model.Length) error {
	var number, run int64
	var waste model.Length
	if err := t.row("SELECT run, number, waste_nm FROM run_stick WHERE stick = ? AND state = 'cut'", was.Of).Scan(&run, &number, &waste); err != nil {
		return err
	}
	more := length - was.Length
	if more > waste {
		return usageError(t.book.path, fmt.Sprintf("%s cannot be %s long: it was cut from %s, of which %s is left besides", was.Name, t.in(length), was.Of, t.in(waste)),
			`measure it again; if it is another stick, discard this one with "longpoint rack discard" and add that with "longpoint rack add"`)
	}
	_, err := t.exec("UPDATE run_stick SET kept_nm = kept_nm + ?1, waste_nm = waste_nm - ?1 WHERE run = ?2 AND number = ?3", more, run, number)
	return err
}

// spans writes damaged parts for people.
func (t *transaction) spans(all []model.Span) string {
	if len(all) == 0 {
		return "no place"
	}
	parts := make([]string, len(all))
	for i, s := range all {
		parts[i] = t.in(s.From) + " to " + t.in(s.To)
	}
	return listed(parts)
}

// Counted is what a stock count found to differ from the book.
type Counted struct {
	Missing  []string
	Measured map[string]model.Length
	Found    []model.Stick // without a name they get one
}

// Stock is sticks of the rack added up.
type Stock struct {
	Sticks int          `json:"sticks"`
	Length model.Length `json:"length_nm"`
	Worth  model.Money  `json:"worth"`
}

// stockOf adds up sticks.
func stockOf(all []RackStick) (s Stock) {
	for _, stick := range all {
		s.Sticks, s.Length, s.Worth = s.Sticks+1, s.Length+stick.Length, s.Worth+stick.Worth
	}
	return s
}

// Expected gives what should lie on the rack of a profile.
func (b *Book) Expected(ctx context.Context, profile string) (all []RackStick, sum Stock, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if all, err = t.rack("s.state = 'rack' AND s.profile = ?", profile); err != nil {
			return err
		}
		w, err := t.workshop()
		if err != nil {
			return err
		}
		if _, known := w.ProfileByName(profile); !known {
			return noProfile(b.path, profile)
		}
		sum = stockOf(all)
		return nil
	})
	return all, sum, err
}

// Count writes down that the rack was counted of a profile and what was found to differ: what is missing is off the rack, what was measured
// is as long as that, what was found is on it. told, where it is not nil, is given what was expected and what is there.
func Count(profile string, c Counted, told func(expected, there Stock, found []string)) Change {
	return Change{"count", func(t *transaction) error {
		if found, err := t.one("SELECT id FROM profile WHERE name = ?", []any{profile}, new(int64)); err != nil || !found {
			return cmp.Or(err, noProfile(t.book.path, profile))
		}
		const onRack = "s.state = 'rack' AND s.profile = ?"
		before, err := t.rack(onRack, profile)
		if err != nil {
			return err
		}
		ofProfile := func(name string) error {
			if slices.ContainsFunc(before, func(s RackStick) bool { return s.Name == name }) {
				return nil
			}
			return usageError(t.book.path, fmt.Sprintf("there is no stick %q of %s on the rack", name, profile), `see "longpoint rack count" for those that should be`)
		}
		for _, name := range slices.Concat(c.Missing, slices.Sorted(maps.Keys(c.Measured))) {
			if err := ofProfile(name); err != nil {
				return err
			}
		}
		for _, name := range c.Missing {
			if err := t.discard(name, "missing:"); err != nil {
				return err
			}
		}
		for _, s := range before { // in the order of the rack, whatever that of the map
			length, measured := c.Measured[s.Name]
			if !measured {
				continue
			}
			if err := t.measure(s.Name, length, nil); err != nil {
				return err
			}
		}
		var found []string
		for _, s := range c.Found {
			s.Profile = profile
			if err := AddSticks(s, 1, func(name string) { found = append(found, name) }).do(t); err != nil {
				return err
			}
		}
		after, err := t.rack(onRack, profile)
		if err != nil {
			return err
		}
		expected, there := stockOf(before), stockOf(after)
		t.told = append([]string{fmt.Sprintf("counted %s: %s there, %s, worth %s; expected %s, %s, worth %s", profile, count(there.Sticks, "stick"), t.near(there.Length),
			t.money(there.Worth), count(expected.Sticks, "stick"), t.near(expected.Length), t.money(expected.Worth))}, t.told...)
		if told != nil {
			told(expected, there, found)
		}
		if again, err := t.one("SELECT id FROM stock_count WHERE profile = ? AND day = ? AND sticks = ? AND length_nm = ? AND worth_minor = ?",
			[]any{profile, t.today(), there.Sticks, there.Length, there.Worth}, new(int64)); err != nil || again && expected == there {
			return err
		}
		_, err = t.insert("stock_count", "profile", profile, "day", t.today(), "expected_sticks", expected.Sticks, "expected_nm", expected.Length,
			"expected_minor", expected.Worth, "sticks", there.Sticks, "length_nm", there.Length, "worth_minor", there.Worth)
		return err
	}}
}

package model

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
)

// Check says what is wrong with the workshop as a whole, above all between its tables: all of it, as one Errors in the
// order of the tables, each with its place. It is nil where a plan can be tried.
func (w *Workshop) Check() error {
	c := checker{w: w, profiles: map[string]Profile{}, supplied: map[string]bool{}, near: map[string]string{}}
	c.settings()
	c.profileTable()
	c.supplierTable()
	c.offerTable()
	c.rackTable()
	c.jobTable()
	return c.found.AsError()
}

// checker gathers what Check finds.
type checker struct {
	w        *Workshop
	profiles map[string]Profile
	supplied map[string]bool   // profiles with a stick on the rack or an offer, and profiles already reported
	near     map[string]string // what to do about profiles that there are not
	found    Errors
}

func (c *checker) report(place Place, column, what, do string) {
	c.found = append(c.found, bad(column, what, do).at(place))
}

func (c *checker) settings() {
	if c.w.Unit.String() == "" {
		c.report(c.w.Where, "units", "the workshop has no unit of length", "write mm, cm or in")
	}
	c.found = append(c.found, c.w.Machine.check(c.w.Where)...)
	if a := c.w.Defaults.Allowance; a < 0 || a > MaxLength {
		c.report(c.w.Where, "defaults.allowance", "it is not a length from 0 to 1 km", "check the number and its unit")
	}
	if l := c.w.Defaults.Clearance; l < 0 || l > MaxLength {
		c.report(c.w.Where, "defaults.clearance", "it is not a length from 0 to 1 km", "check the number and its unit")
	}
	if s := c.w.Defaults.RackShare; !isShare(s) {
		c.report(c.w.Where, "defaults.rack_share", fmt.Sprintf("a share of %d %% is not from 0 to 100", s), "write what part of its new price a stick on the rack is worth")
	}
	if k := c.w.Defaults.Keep; k.Given && (k.Length <= 0 || k.Length > MaxLength) {
		c.report(c.w.Where, "defaults.keep", "an offcut's length must be more than 0 and at most 1 km", "check the number and its unit, or leave it out")
	}
	if s := c.w.Defaults.OffcutShare; !isShare(s) {
		c.report(c.w.Where, "defaults.offcut_share", fmt.Sprintf("a share of %d %% is not from 0 to 100", s), "write what part of its new price a kept offcut is worth to a plan")
	}
	c.printing()
}

func (c *checker) profileTable() {
	longest := c.longestSticks()
	for _, p := range c.w.Profiles {
		if first, ok := c.profiles[p.Name]; ok {
			c.report(p.Where, "profile", fmt.Sprintf("profile %s is there twice%s", Quote(p.Name), before(first.Where)), "give each profile a name of its own")
			continue
		}
		c.profiles[p.Name] = p
		if err := p.check(c.w.Unit); err != nil {
			c.found = append(c.found, err.(*Error).at(p.Where))
		} else if most := longest[p.Name]; most > 0 && p.Repeat >= most {
			c.report(p.Where, "repeat", fmt.Sprintf("profile %s has a repeat of %s, and its longest stick is %s long", p.Name, p.Repeat.In(c.w.Unit), most.In(c.w.Unit)),
				"check the number: it is the distance from one flower or leaf of the pattern to the next")
		}
	}
}

// check says what is wrong with the profile's own numbers.
func (p Profile) check(u Unit) error {
	switch {
	case p.Name == "":
		return bad("profile", "the profile has no name", "give it one")
	case p.Width <= 0 || p.Width > MaxWidth:
		return bad("width", fmt.Sprintf("profile %s has a width of %s, which is not between 0 and 1 m", p.Name, p.Width.In(u)), "check the number and its unit")
	case p.Rebate < 0:
		return bad("rebate", fmt.Sprintf("profile %s has a negative rebate", p.Name), "write its width, or 0 for none")
	case p.Rebate >= p.Width:
		return bad("rebate", fmt.Sprintf("profile %s has a rebate of %s, not less than its width of %s", p.Name, p.Rebate.In(u), p.Width.In(u)),
			"check both: the rebate is the lip over the picture, the width goes from back edge to sight edge")
	}
	for _, f := range []struct {
		column string
		length Length
	}{{"head_trim", p.HeadTrim}, {"tail_trim", p.TailTrim}, {"keep", p.Keep}} {
		if f.length < 0 || f.length > MaxLength {
			return bad(f.column, "it is not a length from 0 to 1 km", "check the number and its unit")
		}
	}
	switch {
	case p.Metre.Given && !isPrice(p.Metre.Amount):
		return bad("metre_price", "it is not a price", "check the number")
	case p.OffcutShare.Given && !isShare(p.OffcutShare.Percent):
		return bad("offcut_share", fmt.Sprintf("a share of %d %% is not from 0 to 100", p.OffcutShare.Percent), "write what part of its new price a kept offcut is worth to a plan")
	case !p.Match.known():
		return unknownMatch(p.Match)
	case p.Repeat < 0 || p.Repeat > MaxLength:
		return bad("repeat", "a repeat must be more than 0 and at most 1 km", "check the number and its unit, or leave it blank")
	}
	return nil
}

func unknownMatch(m Match) *Error {
	return bad("match", fmt.Sprintf("%s is no rule of matching", Quote(string(m))), "write free, lot, pair or stick")
}

func (c *checker) rackTable() {
	seen := make(map[string]Place, len(c.w.Rack))
	rates := c.w.rates()
	for i := range c.w.Rack {
		s := &c.w.Rack[i]
		if first, ok := seen[s.ID]; ok {
			c.report(s.Where, "stick", fmt.Sprintf("stick %s is there twice%s", Quote(s.ID), before(first)), "give each stick a name of its own")
		} else if s.ID == "" {
			c.report(s.Where, "stick", "the stick has no name", "give it one")
		} else {
			seen[s.ID] = s.Where
		}
		c.knownProfile(s.Where, s.Profile)
		c.stickLength(s.Where, "length", s.Length)
		c.damage(*s)
		if s.Value.Given && !isPrice(s.Value.Amount) {
			c.report(s.Where, "value", "it is not an amount of money", "check the number")
		} else if !s.Value.Given && c.w.shareOfPrice(rates[s.Profile], *s).Cmp(big.NewInt(int64(MaxMoney))) > 0 {
			c.report(s.Where, "length", "by its length and the price of new moulding the stick would be worth more than any price", "check the length, and the profile's prices")
		}
		c.supplied[s.Profile] = true
	}
}

// damage reports the first of a stick's damaged spans that cannot be where it is said to be.
func (c *checker) damage(s Stick) {
	u := c.w.Unit
	for i, d := range s.Damage {
		switch {
		case d.To <= d.From:
			c.report(s.Where, "damaged", fmt.Sprintf("stick %s: the damage from %s to %s ends before it begins", s.ID, d.From.In(u), d.To.In(u)), "write the end nearer the head first")
		case d.From < 0 || d.To > s.Length:
			c.report(s.Where, "damaged", fmt.Sprintf("stick %s: the damage from %s to %s lies outside the stick, which is %s long", s.ID, d.From.In(u), d.To.In(u), s.Length.In(u)),
				"measure it from the head, or check the stick's length")
		case i > 0 && d.From < s.Damage[i-1].To:
			c.report(s.Where, "damaged", fmt.Sprintf("stick %s: the damage from %s to %s overlaps that from %s to %s", s.ID, d.From.In(u), d.To.In(u), s.Damage[i-1].From.In(u), s.Damage[i-1].To.In(u)),
				"write the two as one")
		default:
			continue
		}
		return
	}
}

func (c *checker) jobTable() {
	seen := map[string]Place{}
	for _, j := range c.w.Jobs {
		if first, ok := seen[j.ID]; ok {
			c.report(j.Where, "job", fmt.Sprintf("job %s is there twice%s", Quote(j.ID), before(first)), "give each job a number of its own")
		} else if j.ID == "" {
			c.report(j.Where, "job", "the job has no number", "give it one")
		} else {
			seen[j.ID] = j.Where
		}
		if !j.Match.known() {
			c.found = append(c.found, unknownMatch(j.Match).at(j.Where))
		}
		if len(j.Frames) == 0 {
			c.report(j.Where, "frame", fmt.Sprintf("job %s has no frame", j.ID), "give it one, or take the job out")
		}
		frames := map[string]Place{}
		for _, f := range j.Frames {
			if first, ok := frames[f.ID]; ok {
				c.report(f.Where, "frame", fmt.Sprintf("job %s has frame %s twice%s", j.ID, Quote(f.ID), before(first)), "give each of its frames a name of its own")
			}
			frames[f.ID] = f.Where
			c.frame(j, f)
		}
	}
}

func (c *checker) frame(j Job, f JobFrame) {
	if f.Quantity < 1 || f.Quantity > MaxQuantity {
		c.report(f.Where, "quantity", fmt.Sprintf("job %s, frame %s: a quantity of %d is not from 1 to %d", j.ID, f.ID, f.Quantity, MaxQuantity), "check the number")
	}
	find := func(name string) (Profile, bool) { p, ok := c.profiles[name]; return p, ok }
	for _, ring := range f.Rings {
		p, ok := find(ring.Profile)
		if !ok {
			c.report(ring.Where, "profile", fmt.Sprintf("job %s, frame %s: there is no profile %s", j.ID, f.ID, Quote(ring.Profile)), c.nearProfile(ring.Profile))
			return
		}
		if p.check(c.w.Unit) != nil {
			return // the profile has been reported where it stands
		}
	}
	if _, err := f.geometry(find, c.w.Unit); err != nil {
		e := err.(*Error)
		e.What = fmt.Sprintf("job %s, frame %s: %s", j.ID, f.ID, e.What)
		c.found = append(c.found, e)
		return
	}
	for _, ring := range f.Rings {
		if !c.supplied[ring.Profile] {
			c.supplied[ring.Profile] = true
			c.report(ring.Where, "profile", fmt.Sprintf("job %s, frame %s: profile %s is neither on the rack nor on offer", j.ID, f.ID, ring.Profile),
				`add a stick to the rack or an offer to the offers, as "longpoint help tables" shows`)
			c.found[len(c.found)-1].Kind = CannotCut
		}
	}
}

func (c *checker) knownProfile(place Place, name string) {
	if _, ok := c.profiles[name]; !ok {
		c.report(place, "profile", fmt.Sprintf("there is no profile %s", Quote(name)), c.nearProfile(name))
	}
}

// nearProfile says what to do about a profile that there is not. What is near a name is looked for once.
func (c *checker) nearProfile(name string) string {
	do, known := c.near[name]
	if !known {
		do = DidYouMean(name, slices.Sorted(maps.Keys(c.profiles)), "take in the profiles first, with this one among them, or correct the name")
		c.near[name] = do
	}
	return do
}

func (c *checker) stickLength(place Place, column string, l Length) {
	if l <= 0 || l > MaxLength {
		c.report(place, column, "a stick's length must be more than 0 and at most 1 km", "check the number and its unit")
	}
}

func isPrice(m Money) bool { return m >= 0 && m <= MaxMoney }

func isShare(percent int) bool { return percent >= 0 && percent <= 100 }

// before says where the first of two stands, if that is known.
func before(p Place) string {
	if p.Line == 0 {
		return ""
	}
	return fmt.Sprintf(", first in line %d", p.Line)
}

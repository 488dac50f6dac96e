package examine

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
)

// workshop looks at what both stores have: settings, rack, offers and jobs.
func (x *Shop) workshop() {
	x.settings()
	for _, odd := range x.w.Odds() {
		x.find(x.tableOf(odd.Where), "help tables", "%s", odd.Error.Error())
	}
	wanted := x.wanted()
	x.rack(wanted)
	x.offers(wanted)
	x.jobs()
}

// tableOf says what a place is about.
func (x *Shop) tableOf(at model.Place) string {
	in := at.File + at.Sheet
	for _, of := range [][2]string{{"rack", "rack"}, {"stick", "rack"}, {"offer", "offers"}, {"job", "jobs"}, {"frame", "jobs"}, {"ring", "jobs"}} {
		if strings.Contains(filepath.Base(in), of[0]) {
			return of[1]
		}
	}
	return "settings"
}

// settings looks at what the shop has said of itself.
func (x *Shop) settings() {
	w, m := x.w, x.w.Machine
	const how = "help machines"
	if !m.Limits.ShortestSide.Given {
		x.find("settings", how, "no shortest side is set, so nothing warns of pieces that are too short to hold: machine.limits.shortest_side")
	}
	if !m.Limits.LongestSide.Given {
		x.find("settings", how, "no longest side is set, so nothing warns of sides beyond the machine's measure: machine.limits.longest_side")
	}
	if m.Type == model.Guillotine && m.Overrun == 0 {
		x.find("settings", how, "the guillotine's overrun is 0: a blade that cuts through runs a little past the back edge")
	}
	if m.Type == model.Guillotine && m.Shave == 0 {
		x.find("settings", how, "the shave is 0: nothing is kept in reserve for a finishing cut")
	}
	if w.Defaults.Allowance == 0 {
		x.find("settings", "help lengths", "the allowance is 0: glass that is cut to its size will bind")
	}
	if w.Defaults.RackShare == 0 && len(w.Rack) > 0 {
		x.find("settings", "help money", "the rack is worth nothing to a plan (defaults.rack_share): it cuts long sticks where an offcut would do")
	}
	if w.Unit.IsInches() && w.Printing.Paper != "Letter" {
		x.find("settings", "help paper", "lengths are in inches and sheets are printed on A4: printing.paper")
	}
	if w.Printing.Labels.IsZero() {
		x.find("settings", "help paper", "nothing is said of the label sheets, so labels are printed on sheets that may not be yours: [labels]")
	}
}

// wantedSide is one that is left to cut.
type wantedSide struct {
	job, frame, letter string
	shape              model.Shape
	long               model.Length
	where              model.Place
}

// wanted gives the sides that are left to cut, by profile. What cannot be worked out, planning refuses.
func (x *Shop) wanted() map[string][]wantedSide {
	all := map[string][]wantedSide{}
	for _, j := range x.w.Jobs {
		for _, f := range j.Frames {
			rings, err := f.Geometry(x.w.ProfileByName)
			if err != nil {
				continue
			}
			cut := f.CutSet()
			for n, ring := range rings {
				for _, side := range ring.Sides {
					for copy := 1; copy <= f.Quantity; copy++ {
						if cut[model.SideID{Job: j.ID, Frame: f.ID, Copy: copy, Ring: n + 1, Letter: side.Letter}] {
							continue
						}
						all[ring.Profile] = append(all[ring.Profile], wantedSide{j.ID, f.ID, side.Letter, ring.Shape, side.LongPoint, f.Where})
						break // one of equal copies is enough
					}
				}
			}
		}
	}
	return all
}

// holds tells whether a stick is long and sound enough for a side.
func (x *Shop) holds(p model.Profile, s model.Stick, side wantedSide) bool {
	trims := x.w.Machine.Trims(p, []model.Shape{side.shape})
	need := x.w.Machine.Needs(p, side.shape, side.long)
	return slices.ContainsFunc(s.Sound(trims), func(run model.Span) bool { return p.Usable(run) >= need })
}

// rack looks at the sticks.
func (x *Shop) rack(wanted map[string][]wantedSide) {
	seen := map[string]string{}
	for _, s := range x.w.Rack {
		p, known := x.w.ProfileByName(s.Profile)
		if s.OnTheWay() || !known {
			continue
		}
		u := x.w.Unit
		sides := wanted[s.Profile]
		switch {
		case s.Offcut && s.Length < p.Keep:
			x.find("rack", x.discard(s.ID), "stick %s of %s is %s long, and offcuts are kept from %s on", s.ID, s.Profile, s.Length.Near(u), p.Keep.Near(u)).Of = s.ID
		case len(sides) > 0 && !slices.ContainsFunc(sides, func(side wantedSide) bool { return x.holds(p, s, side) }):
			x.find("rack", x.discard(s.ID), "stick %s of %s, %s long, holds none of the sides that are wanted of it", s.ID, s.Profile, s.Length.Near(u)).Of = s.ID
		}
		key := fmt.Sprint(s.Profile, "\x00", s.Length, s.Place, s.Lot, s.Damage)
		if first, twice := seen[key]; twice && s.Offcut {
			x.find("rack", x.discard(s.ID), "offcuts %s and %s of %s are alike in length and place: one may be there twice", first, s.ID, s.Profile).Of = s.ID
		}
		seen[key] = s.ID
	}
	x.namesAlike()
}

// discard is the command that takes a stick out.
func (x *Shop) discard(stick string) string {
	if !x.isBook {
		return "help tables"
	}
	return "rack discard " + x.Name + " " + x.Word(stick)
}

// namesAlike looks for sticks whose names people take for one.
func (x *Shop) namesAlike() {
	of := map[string]string{}
	for _, s := range x.w.Rack {
		key := model.FoldName(strings.Join(strings.Fields(s.ID), ""))
		if first, twice := of[key]; twice {
			x.find("rack", x.shelf(), "sticks %s and %s have names that are easily mistaken for each other", first, s.ID)
		}
		of[key] = s.ID
	}
}

// shelf is the command that shows the rack.
func (x *Shop) shelf() string {
	if !x.isBook {
		return "help tables"
	}
	return "rack " + x.Name
}

// offers looks at what is wanted and cannot be bought, or not in the length that it takes.
func (x *Shop) offers(wanted map[string][]wantedSide) {
	for _, name := range slices.Sorted(maps.Keys(wanted)) {
		p, _ := x.w.ProfileByName(name)
		var sticks []model.Stick // that there are, and that can be bought
		ended, open := "", 0
		for _, o := range x.w.Offers {
			switch until := o.Until.String(); {
			case o.Profile != name:
			case until != "" && until < x.Day:
				ended = max(ended, until)
			default:
				open++
				sticks = append(sticks, model.Stick{Profile: name, Length: max(o.Length, o.Longest)})
			}
		}
		switch {
		case open == 0 && ended != "":
			x.find("offers", "help tables", "%s is wanted, and all offers of it have ended, the last on %s", name, x.date(ended))
		case open == 0:
			x.find("offers", "help tables", "%s is wanted, and nobody offers it: there is only what is on the rack", name)
		}
		for _, s := range x.w.Rack {
			if s.Profile == name {
				sticks = append(sticks, s)
			}
		}
		for _, side := range wanted[name] {
			if len(sticks) > 0 && !slices.ContainsFunc(sticks, func(s model.Stick) bool { return x.holds(p, s, side) }) {
				x.find("jobs", "help machines", "job %s, frame %s: side %s of %s, %s long, fits on no stick that is there or can be bought",
					side.job, side.frame, side.letter, name, side.long.Said(x.w.Unit))
			}
		}
	}
}

// jobs looks at the days on which they are due.
func (x *Shop) jobs() {
	var late []string
	for _, j := range x.w.Jobs {
		if due := j.Due.String(); due != "" && due < x.Day {
			late = append(late, j.ID)
		}
	}
	if len(late) > 0 {
		next := "plan " + x.Name
		if x.isBook {
			next = "jobs " + x.Name
		}
		x.find("jobs", next, "%s: due before %s and not cut", few(late, "job", "jobs"), x.date(x.Day))
	}
}

// few names things, and of many says how many more there are.
func few(names []string, one, several string) string {
	const most = 6
	word := several
	if len(names) == 1 {
		word = one
	}
	if len(names) > most {
		return fmt.Sprintf("%d %s, such as %s", len(names), word, text.JoinAnd(names[:3]))
	}
	return word + " " + text.JoinAnd(names)
}

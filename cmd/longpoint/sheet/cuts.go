package sheet

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// listSize is the size of type of the list of cuts, 12 points, for it is read at arm's length beside the machine. Its figures
// are 3 mm high, which at 0.6 m are seen under 17 minutes of arc; 16 and more are asked of what is read on a screen (ISO 9241-303,
// from memory).
const listSize = 12 * point

// Cuts makes the cut sheet of some profiles, by their places in the plan from 0; of none, that of all. Profiles follow each
// other without a new page; each page says which are on it.
func (s *Source) Cuts(profiles ...int) Piece {
	if len(profiles) == 0 {
		for i := range s.Plan.Profiles {
			profiles = append(profiles, i)
		}
	}
	p := Piece{File: "cuts", Paper: s.Paper, Under: s.under(), Title: "Cut sheets", Foot: ShortCaution}
	if len(profiles) == 1 {
		pp := s.Plan.Profiles[profiles[0]]
		p.File, p.Title = fileName("cuts", pp.Name), "Cut sheet "+titled(pp.Name, pp.Title)
	}
	p.add(Paragraph{Text: Caution, Strong: true})
	p.add(Paragraph{Text: howToRead})
	for _, i := range profiles {
		if pp := s.Plan.Profiles[i]; len(profiles) > 1 {
			p.add(Heading{Text: titled(pp.Name, pp.Title), Chapter: pp.Name})
		}
		s.addCuts(&p, i)
	}
	return p
}

// howToRead says what the lists of cuts mean.
const howToRead = "Set the stop where the list says set, to the long point: it is measured along the back edge, point to point. Or set " +
	"the stop's own scale to the figure behind 2 × and the stop to the measure. Sticks are drawn long point up, to scale along the stick; hatched is " +
	"trimmed off, crossed out is damaged."

// addCuts adds what there is to cut of one profile.
func (s *Source) addCuts(p *Piece, profile int) {
	pp := s.Plan.Profiles[profile]
	p.add(Paragraph{Text: s.setting(profile), Leads: true})
	mine, _ := s.Workshop.ProfileByName(pp.Name)
	if mine.SetUp != "" {
		p.add(Paragraph{Text: "Set up: " + mine.SetUp, Strong: true, Leads: true})
	}
	if begun := Begun(pp, s.Workshop.Rack, s.unit); begun != "" {
		p.add(Paragraph{Strong: true, Leads: true, Text: begun})
	}
	warnings := slices.Clone(pp.Warnings)
	if warning, ok := s.Workshop.Machine.ReviewBlades(mine); !ok {
		warnings = append(warnings, warning)
	}
	if len(warnings) > 0 {
		p.add(Bullets{Items: minds(warnings), Leads: true})
	}
	if pp.Run.SetsBySide() {
		p.add(Paragraph{Text: LaidIn, Strong: true, Leads: true})
	}
	drawn := s.sticks(profile, true)
	if s.orders[profile].byStop() {
		for _, d := range drawn {
			p.add(d)
		}
		p.add(s.cutTable(profile, nil))
		return
	}
	p.add(s.cutTable(profile, drawn))
}

// sticks draws the sticks of a profile, to stand over the list of cuts or alone.
func (s *Source) sticks(profile int, listed bool) (drawn []Figure) {
	pictures := NewSticks(s.Plan.Profiles[profile], s.unit, s.Paper.inner(), s.Workshop.Habits.Dates)
	pictures.listed = listed
	for i := range s.Plan.Profiles[profile].Sticks {
		d, alt := pictures.Draw(i)
		drawn = append(drawn, Figure{d, alt})
	}
	return drawn
}

func (p *Piece) add(b Block) { p.Blocks = append(p.Blocks, b) }

// Begun says which sticks of a profile have their heads trimmed already, as they are after a part of a plan is cut; "" where none is.
func Begun(pp plan.ProfilePlan, rack []model.Stick, u model.Unit) string {
	var names []string
	for i, stick := range pp.Sticks {
		for _, r := range rack {
			if stick.From == plan.FromRack && r.ID == stick.ID && r.Begun > 0 {
				names = append(names, fmt.Sprintf("stick %d, %s (measures %s)", i+1, stick.ID, (stick.Length-r.Begun).Near(u)))
			}
		}
	}
	if names == nil {
		return ""
	}
	return "Begun already: " + joinAnd(names) + ". What is given up at the head is off already and must not come off again; the length " +
		"and the places that are said here count it in."
}

// Apart says how far from each other the chops beside damage are, where a stick is cut on both sides of some; "" where none is.
func Apart(pp plan.ProfilePlan, u model.Unit) string {
	for i := range pp.Sticks {
		s := &pp.Sticks[i]
		if last := len(s.Sides) - 1; pp.Apart > 0 && last > 0 && s.DamageBefore(s.Sides[0]) < s.DamageBefore(s.Sides[last]) {
			return fmt.Sprintf("Behind damage begin where it is said: both blades are buried only %s or more behind the last chop before it.", pp.Apart.InToCut(u))
		}
	}
	return ""
}

// minds makes sentences of what is to be minded.
func minds(texts []string) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = "Mind: " + strings.TrimSuffix(t, ".") + "."
	}
	return out
}

// setting says how the machine is set for a profile, and how the cuts go.
func (s *Source) setting(profile int) string {
	pp, o := s.Plan.Profiles[profile], s.orders[profile]
	said := fmt.Sprintf("%s from %s, %s, %s. Moulding %s wide", count(pp.Figures.Sides, "side", "sides"), count(len(pp.Sticks), "stick", "sticks"),
		o.name, count(o.settings(), "setting", "settings"), pp.Width.Near(s.unit))
	if pp.HeadTrim > 0 || pp.TailTrim > 0 {
		heads := "each head"
		if Begun(pp, s.Workshop.Rack, s.unit) != "" {
			heads = "each head that is not trimmed yet"
		}
		said += fmt.Sprintf("; trim %s off "+heads+", leave %s at the tail", pp.HeadTrim.InToCut(s.unit), pp.TailTrim.InToCut(s.unit))
	}
	if apart := Apart(pp, s.unit); apart != "" {
		said += ". " + strings.TrimSuffix(apart, ".")
	}
	if turn := pp.TurnTo(); turn != "" {
		said += ". " + strings.TrimSuffix(turn, ".")
	}
	switch {
	case s.Workshop.Machine.Type == model.Saw:
		return said + "."
	case len(pp.Bites.Advances) < 2:
		return said + ". One stroke a cut."
	}
	bites := make([]string, len(pp.Bites.Advances))
	for i, b := range pp.Bites.Advances {
		bites[i] = ToCut(b, s.unit)
	}
	said += fmt.Sprintf(". %d bites a cut: %s %s", pp.Bites.Strokes, strings.Join(bites, " + "), s.unit)
	if pp.Bites.Finishing {
		said += ", the last one the finishing bite"
	}
	return said + "."
}

// CutList gives the list of cuts of one profile, by its place in the plan from 0, as the cut sheet has it but for the drawings.
func (s *Source) CutList(profile int) Table { return s.cutTable(profile, nil) }

// cutTable is the list of cuts. Stick by stick, each stick's drawing stands over the cuts that come off it.
func (s *Source) cutTable(profile int, drawn []Figure) Table {
	pp, o, u := s.Plan.Profiles[profile], s.orders[profile], s.unit
	t := Table{Caption: "Cuts in order of " + pp.Name, Size: listSize, Columns: []Column{{"", "", Box}, {"cut", "", Number}, {"stop", "", Mark},
		{"long point", u.String(), Number}, {"measure + 2 × set", u.String(), Mark}, {"side", "", Mark}, {"job", "", Name}, {"frame", "", Name},
		{"left", u.String(), Number}}}
	const number, stop, longPoint, letter = 1, 2, 3, 5 // columns
	if o.byStop() {
		t.Columns = slices.Insert(t.Columns, number+1, Column{"stick", "", Name})
	}
	shown := map[int]bool{} // sticks that are drawn
	left := map[int]int{}   // sides that are still to be cut, by stick
	for _, c := range o.cuts {
		left[c.stick]++
	}
	last, from := -1, ""
	for n, c := range o.cuts {
		stick := pp.Sticks[c.stick]
		side := stick.Sides[c.side]
		part := pp.PartOf(stick, side, u)
		switch {
		case o.byStop() && c.placed:
			t.Rows = append(t.Rows, Row{Section: true, Cells: []string{fmt.Sprintf("Set stop %d to %s", c.stop, side.LongPoint.InToCut(u))}})
		case !o.byStop() && (c.stick != last || part != from):
			row := Row{Section: true, Cells: []string{fmt.Sprintf("Stick %d: %s", c.stick+1, stick.ID)}}
			switch {
			case shown[c.stick] && c.stick != last:
				row.Cells[0] += ", taken up again"
			case shown[c.stick]:
			case drawn != nil:
				t.Rows = append(t.Rows, Row{Section: true, Cells: slices.Clone(row.Cells), Figure: &drawn[c.stick]})
			default:
				row.Cells[0] += " · " + comesFrom(pp, stick, s.Workshop.Habits.Dates) + " · " + lengthOf(stick, u)
			}
			if part != "" {
				row.Cells[0] += ", " + part
			}
			if part != "" || shown[c.stick] || drawn == nil {
				t.Rows = append(t.Rows, row)
			}
		}
		if mind := ToMeasure(pp, stick); !shown[c.stick] && mind != "" {
			t.Rows = append(t.Rows, Row{Note: true, Now: true, Cells: []string{stick.ID + ": " + mind}})
		}
		if c.by != "" {
			t.Rows = append(t.Rows, Row{Note: true, Now: true, Cells: []string{SetBy(c.number, c.stop, c.by, side, s.alike[side.OfLine()])}})
		}
		shown[c.stick] = true
		last, from = c.stick, part
		measure, set := Settings(side.LongPoint, side.Set, u)
		row := Row{Of: fmt.Sprintf("cut %d", c.number), Strong: []int{longPoint, letter}, Cells: []string{"", fmt.Sprint(c.number), fmt.Sprint(c.stop),
			ToCut(side.LongPoint, u), measure + " + 2 × " + set, pp.Lettered(side), side.Job, s.frame(side), Near(c.left, u)}}
		switch became := s.became(profile, c); {
		case became == done:
			row.Ticked = true
		case s.spoilt(profile, c):
			row.Cells[letter] += " " + became
			row.Spoilt = true
		}
		if c.placed {
			row.Cells[stop] = fmt.Sprintf("set %d", c.stop)
			row.Strong = []int{stop, longPoint, letter}
		}
		if o.byStop() {
			name := fmt.Sprintf("%d: %s", c.stick+1, stick.ID)
			if part != "" {
				name += ", " + part
			}
			row.Cells = slices.Insert(row.Cells, number+1, name)
			for k := range row.Strong {
				row.Strong[k]++
			}
		}
		t.Rows = append(t.Rows, row)
		if left[c.stick]--; left[c.stick] == 0 {
			t.Rows = append(t.Rows, s.keepRows(pp, stick)...)
		} else if !o.byStop() && o.cuts[n+1].stick != c.stick {
			t.Rows = append(t.Rows, Row{Note: true, Now: true, Cells: []string{LayAside(stick.ID, c.left.Near(u), left[c.stick])}})
		}
	}
	return t
}

// tight is what a stick must leave at least to be cut without being measured first: its length is known to a millimetre or two (common practice, no source).
const tight = 3 * model.Millimetre

// ToMeasure says that a stick is to be measured before it is cut, where it, or a sound part of it, has nothing to spare; "" where that is not so.
func ToMeasure(pp plan.ProfilePlan, s plan.Stick) string {
	for _, r := range remaindersOf(pp, s) {
		cut := slices.ContainsFunc(s.Sides, func(side plan.Side) bool { return soundTo(s, side.Start) == r.end })
		switch {
		case !cut || r.Length >= tight:
		case len(s.Between) > 0:
			return "Nothing to spare in a part of it: measure its damage before the first cut."
		default:
			return "Nothing to spare in it: measure it before the first cut."
		}
	}
	return ""
}

// LayAside says what to do with a stick in hand of which so much is left, and from which more sides are cut later.
func LayAside(stick, left string, more int) string {
	return fmt.Sprintf("Lay %s aside, %s: %s off it.", stick, left, count(more, "more side comes", "more sides come"))
}

// TakeUp says that a stick comes again which was laid aside.
func TakeUp(stick string) string { return fmt.Sprintf("Take up %s again.", stick) }

// keepRows says behind the last cut of a stick what of it is kept.
func (s *Source) keepRows(pp plan.ProfilePlan, stick plan.Stick) (rows []Row) {
	for _, r := range remaindersOf(pp, stick) {
		switch {
		case r.Becomes == plan.Kept && pp.Has(r.ID):
			rows = append(rows, Row{Note: true, Cells: []string{fmt.Sprintf("What is left of %s, %s, goes on as %s", stick.ID, r.Length.Near(s.unit), offcutName(r.ID))}})
		case r.Becomes == plan.Kept:
			rows = append(rows, Row{Note: true, Cells: []string{fmt.Sprintf("Keep of %s: %s, %s, back on the rack", stick.ID, offcutName(r.ID), r.Length.Near(s.unit))}})
		}
	}
	return rows
}

// Sticks makes the drawings of one profile's sticks alone, by its place in the plan from 0.
func (s *Source) Sticks(profile int) Piece {
	pp := s.Plan.Profiles[profile]
	p := Piece{File: fileName("sticks", pp.Name), Paper: s.Paper, Under: s.under(), Title: "Sticks " + titled(pp.Name, pp.Title)}
	p.add(Paragraph{Text: NewSticks(pp, s.unit, s.Paper.inner(), s.Workshop.Habits.Dates).Scale()})
	for _, d := range s.sticks(profile, false) {
		p.add(d)
	}
	return p
}

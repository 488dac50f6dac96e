package sheet

import (
	"fmt"
	"longpoint/model"
	"longpoint/model/plan"
	"strings"
)

// Cuts makes the cut sheet of one profile, by its place in the plan from 0.
func (s *Source) Cuts(profile int) Piece {
	pp := s.Plan.Profiles[profile]
	p := Piece{File: fileName("cuts", pp.Name), Paper: s.Paper, Under: s.under(),
		Title: "Cut sheet " + titled(pp.Name, pp.Title)}
	p.add(Paragraph{Text: s.setting(pp)})
	if mine, ok := s.Workshop.ProfileByName(pp.Name); ok && mine.SetUp != "" {
		p.add(Paragraph{Text: "Set up: " + mine.SetUp, Strong: true})
	}
	if names := s.begun(pp); len(names) > 0 {
		p.add(Paragraph{Strong: true, Text: "Begun already: " + joinAnd(names) + ". What is given up at the head is off already and must not come off again; the length " +
			"and the places that are said here count it in."})
	}
	p.add(Paragraph{Text: Caution, Strong: true})
	if len(pp.Warnings) > 0 {
		p.add(Heading{"Mind"})
		p.add(Bullets{Items: sentences(pp.Warnings)})
	}
	p.add(Heading{"Cuts in order"})
	p.add(Paragraph{Text: s.howToRead(profile)})
	p.add(s.cutTable(profile))
	drawn := NewSticks(pp, s.unit, s.Paper.inner())
	p.add(Heading{"Sticks"})
	p.add(Paragraph{Text: drawn.Scale()})
	for i := range pp.Sticks {
		d, alt := drawn.Draw(i)
		p.add(Figure{d, alt})
	}
	p.add(Heading{"What is left"})
	p.add(s.leftTable(pp))
	p.add(Heading{"To buy for this profile"})
	if lines := s.bought(pp.Name); len(lines) > 0 {
		p.add(s.buyTable(lines, true))
	} else {
		p.add(Paragraph{Text: "Nothing: the rack has it all."})
	}
	return p
}

// begun gives the sticks of a profile whose heads are trimmed already, as they are after a part of a plan is cut.
func (s *Source) begun(pp plan.ProfilePlan) (names []string) {
	for i, stick := range pp.Sticks {
		for _, r := range s.Workshop.Rack {
			if stick.From == plan.FromRack && r.ID == stick.ID && r.Begun > 0 {
				names = append(names, fmt.Sprintf("stick %d, %s, which measures %s", i+1, stick.ID, (stick.Length-r.Begun).Near(s.unit)))
			}
		}
	}
	return names
}

func (p *Piece) add(b Block) { p.Blocks = append(p.Blocks, b) }

// sentences puts a full stop behind each.
func sentences(texts []string) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = strings.TrimSuffix(t, ".") + "."
	}
	return out
}

// setting says how the machine is set for a profile.
func (s *Source) setting(pp plan.ProfilePlan) string {
	text := fmt.Sprintf("Moulding %s wide. %s from %s.", pp.Width.Near(s.unit), count(pp.Figures.Sides, "side", "sides"),
		count(len(pp.Sticks), "stick", "sticks"))
	if pp.HeadTrim > 0 || pp.TailTrim > 0 {
		text += fmt.Sprintf(" Trim %s off the head of every stick and leave %s at its tail.", pp.HeadTrim.Near(s.unit), pp.TailTrim.Near(s.unit))
	}
	if len(pp.Bites.Advances) < 2 {
		return text + " One stroke a cut."
	}
	bites := make([]string, len(pp.Bites.Advances))
	for i, b := range pp.Bites.Advances {
		bites[i] = Near(b, s.unit)
	}
	text += fmt.Sprintf(" Bites: %s %s", strings.Join(bites, " + "), s.unit)
	if pp.Bites.Finishing {
		text += ", the last one the finishing bite"
	}
	return text + "."
}

// howToRead says what the list of cuts means.
func (s *Source) howToRead(profile int) string {
	o := s.orders[profile]
	text := fmt.Sprintf("In the order of work, %s, with %s. Set the stop where the list says set, to the long point; or set "+
		"the stop's own scale to the figure behind 2 × and the stop to the measure.", o.name, count(o.settings(), "setting", "settings"))
	return text + " The long point is measured along the back edge, point to point."
}

// cutTable is the list of cuts.
func (s *Source) cutTable(profile int) Table {
	pp, o, u := s.Plan.Profiles[profile], s.orders[profile], s.unit
	t := Table{Caption: "Cuts in order", Columns: []Column{{"", "", Box}, {"no", "", Number}, {"stick", "", Number}, {"stop", "", Mark}, {"long point", u.String(), Number},
		{"measure + 2 × set", u.String(), Mark}, {"bites", "", Number}, {"side", "", Mark}, {"job", "", Name}, {"frame", "", Name}, {"left", u.String(), Number}}}
	const stickNo, stop, longPoint, letter = 2, 3, 4, 7 // columns
	if o.byStop() {
		t.Columns[stickNo].Kind = Name
	}
	last := -1
	for n, c := range o.cuts {
		stick := pp.Sticks[c.stick]
		side := stick.Sides[c.side]
		switch {
		case o.byStop() && c.placed:
			t.Rows = append(t.Rows, Row{Section: true, Cells: []string{fmt.Sprintf("Set stop %d to %s", c.stop, side.LongPoint.Near(u))}})
		case !o.byStop() && c.stick != last:
			t.Rows = append(t.Rows, Row{Section: true, Cells: []string{fmt.Sprintf("Stick %d: %s · %s · %s", c.stick+1, stick.ID, comesFrom(stick), lengthOf(stick, u))}})
		}
		last = c.stick
		measure, set := Settings(side.LongPoint, side.Set, u)
		row := Row{Of: fmt.Sprintf("cut %d", n+1), Strong: []int{longPoint, letter}, Cells: []string{"", fmt.Sprint(n + 1), fmt.Sprint(c.stick + 1), fmt.Sprint(c.stop),
			Near(side.LongPoint, u), measure + " + 2 × " + set, fmt.Sprint(pp.Bites.Strokes), side.Letter, side.Job, s.frame(side), Near(c.left, u)}}
		if o.byStop() {
			row.Cells[stickNo] = fmt.Sprintf("%d: %s", c.stick+1, stick.ID)
		}
		if c.placed {
			row.Cells[stop] = fmt.Sprintf("set %d", c.stop)
			row.Strong = []int{stop, longPoint, letter}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// leftTable says what is left of each stick and what becomes of it.
func (s *Source) leftTable(pp plan.ProfilePlan) Table {
	t := Table{Caption: "What is left of each stick", Columns: []Column{{"stick", "", Number}, {"name", "", Name}, {"comes from", "", Name}, {"length", s.unit.String(), Number},
		{"left over", s.unit.String(), Number}, {"becomes", "", Name}}}
	for i, stick := range pp.Sticks {
		for _, r := range remaindersOf(pp, stick) {
			becomes := "waste"
			var strong []int
			switch r.Becomes {
			case plan.Kept:
				becomes, strong = offcutName(r.ID)+", back on the rack", []int{4, 5}
			case plan.Nothing:
				becomes = "nothing"
			}
			t.Rows = append(t.Rows, Row{Strong: strong, Cells: []string{fmt.Sprint(i + 1), stick.ID, comesFrom(stick), Near(stick.Length, s.unit), Near(r.Length, s.unit), becomes}})
		}
	}
	return t
}

// bought gives the lines of the buy list that are about a profile.
func (s *Source) bought(profile string) (lines []plan.Purchase) {
	for _, l := range s.Plan.Buy {
		if l.Profile == profile {
			lines = append(lines, l)
		}
	}
	return lines
}

// buyTable is lines of the buy list with their sum: of one profile from several suppliers, or of one supplier.
func (s *Source) buyTable(lines []plan.Purchase, oneProfile bool) Table {
	code := s.currency.Code
	who := Column{"profile", "", Name}
	if oneProfile {
		who.Head = "supplier"
	}
	t := Table{Caption: "To buy", Columns: []Column{who, {"stick", s.unit.String(), Mark}, {"sticks", "", Number}, {"sold as", "", Mark}, {"each", code, Number}, {"cost", code, Number},
		{"left over", "", Number}, {"for jobs", "", List}}}
	var sticks, spare int
	var total model.Money
	for _, l := range lines {
		name := l.Supplier
		if !oneProfile {
			name = l.Profile
			if p, ok := s.Workshop.ProfileByName(l.Profile); ok {
				name = titled(l.Profile, p.Title)
			}
		}
		length, sold := Near(l.Length, s.unit), count(l.Count, "stick", "sticks")
		if l.Longest > 0 {
			length += " or longer"
		}
		if l.Bundle > 0 {
			sold = fmt.Sprintf("%s of %d", count(l.Bundles(), "bundle", "bundles"), l.Bundle)
		}
		sticks, spare, total = sticks+l.Count, spare+l.Spare, total+l.Cost
		t.Rows = append(t.Rows, Row{Strong: []int{2}, Cells: []string{name, length, fmt.Sprint(l.Count), sold, l.Price.In(s.currency), l.Cost.In(s.currency), fmt.Sprint(l.Spare), strings.Join(l.Jobs, " ")}})
	}
	t.Rows = append(t.Rows, Row{Sum: true, Cells: []string{"all", "", fmt.Sprint(sticks), "", "", total.In(s.currency), fmt.Sprint(spare), ""}})
	return t
}

// Sticks makes the drawings of one profile's sticks alone, by its place in the plan from 0.
func (s *Source) Sticks(profile int) Piece {
	pp := s.Plan.Profiles[profile]
	p := Piece{File: fileName("sticks", pp.Name), Paper: s.Paper, Under: s.under(), Title: "Sticks " + titled(pp.Name, pp.Title)}
	drawn := NewSticks(pp, s.unit, s.Paper.inner())
	p.add(Paragraph{Text: drawn.Scale()})
	for i := range pp.Sticks {
		d, alt := drawn.Draw(i)
		p.add(Figure{d, alt})
	}
	return p
}

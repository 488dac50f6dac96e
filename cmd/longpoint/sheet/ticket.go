package sheet

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
)

// Tickets makes the tickets of all jobs that have sides in the plan, in the order of the workshop's table, so many to a page:
// 1, 2 or 4. None is made where there are no jobs. An error is one of the workshop's, which planning would have found.
func (s *Source) Tickets(perPage int) (pieces []Piece, err error) {
	planned := map[string]bool{}
	for _, j := range s.Plan.Jobs {
		planned[j.Job] = true
	}
	cards := Cards{PerPage: perPage}
	for _, job := range s.Workshop.Jobs {
		if !planned[job.ID] {
			continue
		}
		card, err := s.ticket(job, perPage)
		if err != nil {
			return nil, err
		}
		cards.Cards = append(cards.Cards, card)
	}
	if len(cards.Cards) == 0 {
		return nil, nil
	}
	return []Piece{{File: "tickets", Title: "Tickets", Under: s.under(), Paper: s.Paper, Blocks: []Block{cards}}}, nil
}

// ticket makes the ticket of one job of the workshop. Where it takes more than one field it is set tightly, if that saves any.
func (s *Source) ticket(job model.Job, perPage int) (Card, error) {
	card, err := s.ticketSet(job, perPage, false)
	if n := card.fields(s.Paper, perPage); err == nil && n > 1 {
		if tight, err := s.ticketSet(job, perPage, true); err == nil && tight.fields(s.Paper, perPage) < n {
			return tight, nil
		}
	}
	return card, err
}

// ticketSet makes a ticket: its frames as they are joined, what goes in, what comes from where, what to check. Tightly set, frames
// are drawn smaller and their sizes are running text.
func (s *Source) ticketSet(job model.Job, perPage int, tight bool) (Card, error) {
	c := Card{Title: "Job " + job.ID, Under: "printed " + s.day(s.Dated.String()), Foot: "Check with square and rule before gluing; trim equal sides alike. " + ShortCaution}
	if due := s.day(job.Due.String()); due != "" {
		c.Aside = "due " + due
	}
	if job.Customer != "" {
		c.Under = "for " + job.Customer + " · " + c.Under
	}
	if job.Note != "" {
		c.Blocks = append(c.Blocks, Paragraph{Text: "Note: " + job.Note, Strong: true})
	}
	size := map[int]float64{1: 62, 2: 46, 4: 35}[perPage]
	if tight {
		size = 25
	}
	inner, _ := Cards{PerPage: perPage}.size(s.Paper)
	inner -= 2 * cardInset
	for i, frame := range job.Frames {
		rings, err := frame.Geometry(s.Workshop.ProfileByName)
		if err != nil {
			return c, err
		}
		beside := Beside{Figure: framePicture(rings, s.unit, size), Blocks: []Block{s.fill(rings[0])}}
		sizes := s.sizeTable(rings)
		if tight || sizes.least() > inner-beside.Figure.Drawing.Width-figureGap {
			for i := range rings {
				beside.Blocks = append(beside.Blocks, Paragraph{Text: s.sizeText(rings, i)})
			}
		} else {
			beside.Blocks = append(beside.Blocks, sizes)
		}
		sides := s.sideTable(job, frame, rings)
		sides.Bare = tight && i > 0 // the first frame's heads do for all
		c.Blocks = append(c.Blocks, Heading{Text: frameTitle(frame)}, beside, sides, Bullets{Items: s.checks(rings), Boxes: true})
	}
	return c, nil
}

// frameTitle names a frame, how many there are alike and the profiles of its rings.
func frameTitle(f model.JobFrame) string {
	title := "Frame " + f.ID
	if f.Quantity > 1 {
		title += fmt.Sprintf(", %d alike", f.Quantity)
	}
	profiles := make([]string, len(f.Rings))
	for i, r := range f.Rings {
		profiles[i] = r.Profile
	}
	return title + " · " + strings.Join(profiles, " in ")
}

// fill says to which size what goes into a frame is cut.
func (s *Source) fill(inner model.RingGeometry) Lines {
	head, o := "glass, mount, backing: content size", inner.Content
	clearance := s.Workshop.Defaults.Clearance
	if smaller, ok := inner.Fill(clearance); ok && clearance > 0 {
		head, o = "glass, mount, backing: "+clearance.In(s.unit)+" less", smaller
	}
	size := []string{WithUnit(Opening(o, model.ByContent, s.unit), s.unit)}
	if across, ok := o.Flats(inner.Shape); ok {
		size = append(size, "across flats "+WithUnit(ShownAs(model.ByContent)(across, s.unit), s.unit))
	}
	return Lines{Head: head, Items: size}
}

// sizes gives a ring's sizes by their names.
func (s *Source) sizes(r model.RingGeometry) (all [4][2]string) {
	for i, size := range []struct {
		of model.Opening
		by model.Given
	}{{r.Content, model.ByContent}, {r.Rebate, model.ByRebate}, {r.Sight, model.BySight}, {r.Outside, model.ByOutside}} {
		all[i] = [2]string{size.by.String(), Opening(size.of, size.by, s.unit)}
	}
	return all
}

// sizeTable gives a frame's sizes, a column a ring from the inside out.
func (s *Source) sizeTable(rings []model.RingGeometry) Table {
	t := Table{Caption: "Sizes", Close: true, Columns: []Column{{s.unit.String(), "", Mark}}, Rows: make([]Row, 4)}
	for i, r := range rings {
		head := "size"
		if len(rings) > 1 {
			head = fmt.Sprintf("ring %d", i+1)
		}
		t.Columns = append(t.Columns, Column{head, "", Mark})
		for k, size := range s.sizes(r) {
			if i == 0 {
				t.Rows[k].Cells = []string{size[0]}
			}
			t.Rows[k].Cells = append(t.Rows[k].Cells, size[1])
		}
	}
	return t
}

// sizeText gives the sizes of one of a frame's rings as running text.
func (s *Source) sizeText(rings []model.RingGeometry, ring int) string {
	var sizes []string
	for _, size := range s.sizes(rings[ring]) {
		sizes = append(sizes, size[0]+" "+strings.ReplaceAll(size[1], " ", string(noBreak)))
	}
	text := WithUnit(strings.Join(sizes, ", "), s.unit)
	if len(rings) > 1 {
		text = fmt.Sprintf("ring %d: ", ring+1) + text
	}
	return text
}

// mostPlaces is how many places a side of several equal frames is said to come from; the labels say the rest.
const mostPlaces = 12

// sideTable gives a frame's sides, equal ones in one line, and where each comes from.
func (s *Source) sideTable(job model.Job, frame model.JobFrame, rings []model.RingGeometry) Table {
	t := Table{Caption: "Sides", Close: true, Columns: []Column{{"", "", Box}, {"sides equal", "", Mark}, {"long point", "", Mark}, {"from stick: side and cuts", "", List}}}
	if len(rings) > 1 {
		t.Columns[1].Head = "ring, sides"
	}
	for i, r := range rings {
		for _, group := range groups(r.Sides) {
			letters := make([]string, len(group))
			places := make([][]place, len(group))
			for k, side := range group {
				letters[k] = side.Letter
				places[k] = s.places(job.ID, frame.ID, i+1, side.Letter)
			}
			which := letterList(letters)
			if len(rings) > 1 {
				which = fmt.Sprintf("%d %s", i+1, which)
			}
			t.Rows = append(t.Rows, Row{Of: "sides " + which + " equal:", Strong: []int{1, 2}, Cells: []string{"", which, group[0].LongPoint.InToCut(s.unit), byStick(letters, places)}})
		}
	}
	return t
}

// letterList gives "A C", and "A to X" for many: those are all the letters of a regular frame.
func letterList(letters []string) string {
	const most = 6
	if len(letters) > most {
		return letters[0] + " to " + letters[len(letters)-1]
	}
	return strings.Join(letters, " ")
}

// groups gives sides together by their long point.
func groups(sides []model.Side) (out [][]model.Side) {
	at := map[model.Length]int{}
	for _, side := range sides {
		if g, ok := at[side.LongPoint]; ok {
			out[g] = append(out[g], side)
			continue
		}
		at[side.LongPoint] = len(out)
		out = append(out, []model.Side{side})
	}
	return out
}

// place is where a side comes from: a stick, and the number of the cut.
type place struct {
	stick string
	cut   int
}

// absent says that a side comes from nowhere: its profile was not planned.
const absent = "not in this plan"

// byStick gives the places of several sides in words, stick by stick and letter by letter, the first of each side where they are
// many: "R7: A 3 5, C 4 6; R8: A 15, C 16".
func byStick(letters []string, places [][]place) string {
	var sticks []string
	cuts := map[string][]string{} // by stick: each letter with its numbers
	most := 0
	for k, letter := range letters {
		most = max(most, len(places[k]))
		numbers := map[string]string{}
		for _, p := range places[k][:min(len(places[k]), mostPlaces)] {
			if !slices.Contains(sticks, p.stick) {
				sticks = append(sticks, p.stick)
			}
			numbers[p.stick] += fmt.Sprintf(" %d", p.cut)
		}
		for stick, list := range numbers {
			cuts[stick] = append(cuts[stick], letter+list)
		}
	}
	for i, stick := range sticks {
		sticks[i] = stick + ": " + strings.Join(cuts[stick], ", ")
	}
	return cutOff(strings.Join(sticks, "; "), most)
}

// cutOff says behind places of which there are n that there are more, or that there are none.
func cutOff(text string, n int) string {
	switch {
	case n == 0:
		return absent
	case n > mostPlaces:
		return fmt.Sprintf("%s; and %d more of each: see the labels", text, n-mostPlaces)
	}
	return text
}

// places gives the sticks that a side of a job comes from, one for each of the equal frames, with the number of its cut.
func (s *Source) places(job, frame string, ring int, letter string) (places []place) {
	for i, pp := range s.Plan.Profiles {
		for _, c := range s.orders[i].cuts {
			stick := pp.Sticks[c.stick]
			side := stick.Sides[c.side]
			if side.Job == job && side.Frame == frame && side.Ring == ring && side.Letter == letter && !s.spoilt(i, c) {
				places = append(places, place{stick.ID, c.number})
			}
		}
	}
	return places
}

// checks says what to check of a frame besides that equal sides are equal: its diagonals. Each ring has a line.
func (s *Source) checks(rings []model.RingGeometry) (all []string) {
	for i, r := range rings {
		check := "corner to middle of the side opposite: all equal"
		if d, ok := diagonal(r.Outside, r.Shape.Sides); ok {
			check = fmt.Sprintf("diagonals equal, outside: %s", d.Near(s.unit))
		}
		check += fmt.Sprintf("; mitre %s", r.Angle)
		if len(rings) > 1 {
			check = fmt.Sprintf("ring %d: %s", i+1, check)
		}
		all = append(all, check)
	}
	return all
}

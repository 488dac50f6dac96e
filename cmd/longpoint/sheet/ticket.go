package sheet

import (
	"fmt"
	"strings"

	"longpoint/model"
)

// Ticket makes the ticket of one job of the workshop: its frames as they are joined, what comes from where, what to check.
// It is one page wherever that can be done: where it would be more, equal sides share a line. An error is one of the
// workshop's, which planning would have found.
func (s *Source) Ticket(job model.Job) (Piece, error) {
	p, err := s.ticket(job, false)
	if err == nil && len(p.Pages()) > 1 {
		return s.ticket(job, true)
	}
	return p, err
}

// ticket makes a ticket with a line for each side or, tightly set, for equal sides.
func (s *Source) ticket(job model.Job, tight bool) (Piece, error) {
	p := Piece{File: fileName("ticket", job.ID), Paper: s.Paper, Title: "Job " + job.ID}
	about := []string{}
	if job.Customer != "" {
		about = append(about, "for "+job.Customer)
	}
	if due := job.Due.String(); due != "" {
		about = append(about, "due "+due)
	}
	p.Under = s.under(about...)
	if job.Note != "" {
		p.add(Paragraph{Text: "Note: " + job.Note, Strong: true})
	}
	size := 62.0
	if tight {
		size = 46
	}
	for _, frame := range job.Frames {
		rings, err := frame.Geometry(s.Workshop.ProfileByName)
		if err != nil {
			return p, err
		}
		title := "Frame " + frame.ID
		if frame.Quantity > 1 {
			title += fmt.Sprintf(", %d alike", frame.Quantity)
		}
		p.add(Heading{title})
		p.add(Beside{Figure: framePicture(rings, s.unit, size), Blocks: []Block{
			s.sizeTable(rings), s.sideTable(job, frame, rings, tight), Bullets{Items: s.checks(rings, tight), Boxes: true}}})
	}
	p.add(Paragraph{Text: "Check before gluing, against a square and a rule. Small differences are taken off with the finishing cut, always from " +
		"both of two equal sides."})
	p.add(Paragraph{Text: Caution, Strong: true})
	return p, nil
}

// Tickets makes the tickets of all jobs that have sides in the plan, in the order of the workshop's table.
func (s *Source) Tickets() (pieces []Piece, err error) {
	planned := map[string]bool{}
	for _, j := range s.Plan.Jobs {
		planned[j.Job] = true
	}
	for _, job := range s.Workshop.Jobs {
		if !planned[job.ID] {
			continue
		}
		ticket, err := s.Ticket(job)
		if err != nil {
			return nil, err
		}
		pieces = append(pieces, ticket)
	}
	return pieces, nil
}

// sizeTable gives a frame's sizes, a line a ring from the inside out.
func (s *Source) sizeTable(rings []model.RingGeometry) Table {
	t := Table{Caption: "Sizes", Columns: []Column{{"ring", "", Number}, {"content", s.unit.String(), Mark}, {"rebate", s.unit.String(), Mark},
		{"sight", s.unit.String(), Mark}, {"outside", s.unit.String(), Mark}}}
	opening := func(o model.Opening) string {
		if o.Height == 0 {
			return "side " + Near(o.Width, s.unit)
		}
		return Near(o.Width, s.unit) + " × " + Near(o.Height, s.unit)
	}
	for i, r := range rings {
		t.Rows = append(t.Rows, Row{Cells: []string{fmt.Sprint(i + 1), opening(r.Content), opening(r.Rebate), opening(r.Sight), opening(r.Outside)}})
	}
	return t
}

// mostPlaces is how many places a side of several equal frames is said to come from; the labels say the rest.
const mostPlaces = 12

// sideTable gives a frame's sides, and where each comes from; tightly set, equal sides share a line.
func (s *Source) sideTable(job model.Job, frame model.JobFrame, rings []model.RingGeometry, tight bool) Table {
	t := Table{Caption: "Sides", Columns: []Column{{"ring", "", Number}, {"side", "", Mark}, {"long point", s.unit.String(), Number}, {"profile", "", Name},
		{"from stick (cut no)", "", List}}}
	if tight {
		t.Columns[4].Head = "from stick: side and cut no"
	}
	for i, r := range rings {
		for _, group := range groups(r.Sides, tight) {
			letters := make([]string, len(group))
			places := make([][]place, len(group))
			for k, side := range group {
				letters[k] = side.Letter
				places[k] = s.places(job.ID, frame.ID, i+1, side.Letter)
			}
			from := oneByOne(places[0])
			if tight {
				from = byStick(letters, places)
			}
			t.Rows = append(t.Rows, Row{Strong: []int{1, 2}, Cells: []string{fmt.Sprint(i + 1), letterList(letters), Near(group[0].LongPoint, s.unit), r.Profile, from}})
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

// groups gives sides one by one or, together, by their long point.
func groups(sides []model.Side, together bool) (out [][]model.Side) {
	at := map[model.Length]int{}
	for _, side := range sides {
		if g, ok := at[side.LongPoint]; ok && together {
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

// oneByOne gives places in words, the first of them where they are many.
func oneByOne(places []place) string {
	var parts []string
	for _, p := range places[:min(len(places), mostPlaces)] {
		parts = append(parts, fmt.Sprintf("%s (%d)", p.stick, p.cut))
	}
	return cutOff(strings.Join(parts, ", "), len(places))
}

// byStick gives the places of several sides in words, stick by stick, the first of each side where they are many.
func byStick(letters []string, places [][]place) string {
	var sticks []string
	cuts := map[string][]string{}
	most := 0
	for k, letter := range letters {
		most = max(most, len(places[k]))
		for _, p := range places[k][:min(len(places[k]), mostPlaces)] {
			if cuts[p.stick] == nil {
				sticks = append(sticks, p.stick)
			}
			cuts[p.stick] = append(cuts[p.stick], fmt.Sprintf("%s %d", letter, p.cut))
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
		for n, c := range s.orders[i].cuts {
			stick := pp.Sticks[c.stick]
			side := stick.Sides[c.side]
			if side.Job == job && side.Frame == frame && side.Ring == ring && side.Letter == letter {
				places = append(places, place{stick.ID, n + 1})
			}
		}
	}
	return places
}

// checks says what to check of a frame: which sides are equal, which diagonals, which sides meet. Tightly set, a ring's checks share a line.
func (s *Source) checks(rings []model.RingGeometry, tight bool) (all []string) {
	for i, r := range rings {
		var checks []string
		ring := ""
		if len(rings) > 1 {
			ring = fmt.Sprintf("Ring %d: ", i+1)
		}
		n := r.Shape.Sides
		letters := make([]string, n)
		for k, side := range r.Sides {
			letters[k] = side.Letter
		}
		switch {
		case n == 4 && r.Outside.Width != r.Outside.Height:
			checks = append(checks, fmt.Sprintf("A and C both %s, B and D both %s", r.Sides[0].LongPoint.Near(s.unit), r.Sides[1].LongPoint.Near(s.unit)))
		default:
			checks = append(checks, fmt.Sprintf("%s to %s all %s", letters[0], letters[n-1], r.Sides[0].LongPoint.Near(s.unit)))
		}
		if d, ok := diagonal(r.Outside, n); ok {
			checks = append(checks, fmt.Sprintf("diagonals equal: %s over the outside corners", d.Near(s.unit)))
		} else {
			checks = append(checks, "from each corner to the middle of the side opposite: all equal")
		}
		corners := make([]string, n)
		for k := range letters {
			corners[k] = letters[k] + letters[(k+1)%n]
		}
		checks = append(checks, fmt.Sprintf("corners, clockwise: %s; mitre %s", strings.Join(corners, " "), r.Angle))
		if tight {
			checks = []string{strings.Join(checks, "; ")}
		}
		for _, c := range checks {
			all = append(all, ring+c)
		}
	}
	return all
}

package sheet

import (
	"fmt"
	"strings"

	"longpoint/model"
)

// Ticket makes the ticket of one job of the workshop: its frames as they are joined, what comes from where, what to check.
// An error is one of the workshop's, which planning would have found.
func (s *Source) Ticket(job model.Job) (Piece, error) {
	p := Piece{File: fileName("ticket", job.ID), Paper: s.Paper, Title: "Job " + job.ID}
	about := []string{}
	if job.Customer != "" {
		about = append(about, "for "+job.Customer)
	}
	p.Under = s.under(append(about, "due "+job.Due.String())...)
	if job.Note != "" {
		p.add(Paragraph{Text: "Note: " + job.Note, Strong: true})
	}
	size := 62.0
	if len(job.Frames) > 3 {
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
			s.sizeTable(rings), s.sideTable(job, frame, rings), Bullets{Items: s.checks(rings), Boxes: true}}})
	}
	p.add(Paragraph{Text: "Check before gluing, against a square and a rule. Small differences are taken off with the finishing cut, always from " +
		"both of two equal sides."})
	p.add(Paragraph{Text: Caution, Strong: true})
	return p, nil
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

// sideTable gives a frame's sides, and where each comes from.
func (s *Source) sideTable(job model.Job, frame model.JobFrame, rings []model.RingGeometry) Table {
	t := Table{Caption: "Sides", Columns: []Column{{"ring", "", Number}, {"side", "", Mark}, {"long point", s.unit.String(), Number}, {"profile", "", Name},
		{"from stick (cut no)", "", List}}}
	for i, r := range rings {
		for _, side := range r.Sides {
			places := s.places(job.ID, frame.ID, i+1, side.Letter)
			from := strings.Join(places[:min(len(places), mostPlaces)], ", ")
			switch {
			case len(places) == 0:
				from = "not in this plan"
			case len(places) > mostPlaces:
				from += fmt.Sprintf(" and %d more", len(places)-mostPlaces)
			}
			t.Rows = append(t.Rows, Row{Strong: []int{1, 2}, Cells: []string{fmt.Sprint(i + 1), side.Letter, Near(side.LongPoint, s.unit), r.Profile, from}})
		}
	}
	return t
}

// places gives the sticks that a side of a job comes from, one for each of the equal frames, with the number of its cut.
func (s *Source) places(job, frame string, ring int, letter string) (places []string) {
	for i, pp := range s.Plan.Profiles {
		for n, c := range s.orders[i].cuts {
			stick := pp.Sticks[c.stick]
			side := stick.Sides[c.side]
			if side.Job == job && side.Frame == frame && side.Ring == ring && side.Letter == letter {
				places = append(places, fmt.Sprintf("%s (%d)", stick.ID, n+1))
			}
		}
	}
	return places
}

// checks says what to check of a frame: which sides are equal, which diagonals, which sides meet.
func (s *Source) checks(rings []model.RingGeometry) (checks []string) {
	for i, r := range rings {
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
			checks = append(checks, fmt.Sprintf("%sA and C both %s, B and D both %s", ring, r.Sides[0].LongPoint.Near(s.unit), r.Sides[1].LongPoint.Near(s.unit)))
		default:
			checks = append(checks, fmt.Sprintf("%s%s to %s all %s", ring, letters[0], letters[n-1], r.Sides[0].LongPoint.Near(s.unit)))
		}
		if d, ok := diagonal(r.Outside, n); ok {
			checks = append(checks, fmt.Sprintf("%sdiagonals equal: %s over the outside corners", ring, d.Near(s.unit)))
		} else {
			checks = append(checks, ring+"from each corner to the middle of the side opposite: all equal")
		}
		corners := make([]string, n)
		for k := range letters {
			corners[k] = letters[k] + letters[(k+1)%n]
		}
		checks = append(checks, fmt.Sprintf("%scorners, clockwise: %s; mitre %s", ring, strings.Join(corners, " "), r.Angle))
	}
	return checks
}

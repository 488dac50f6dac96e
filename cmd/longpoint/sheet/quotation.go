package sheet

import (
	"cmp"
	"fmt"
	"strings"

	"longpoint/model"
)

// Quotation makes what a customer is given: the frames of a job, their sizes and mouldings, and a price. moulding says that the price is for the moulding
// alone. It goes out of the house: how the price came about, what the shop pays and who supplies it are not on it, and what the book does not know, such as
// until when the price holds, is left to write in. An error is one of the workshop's, which planning would have found.
func (s *Source) Quotation(job model.Job, price model.Money, moulding bool) (Piece, error) {
	p := Piece{File: fileName("quotation", job.ID), Paper: s.Paper, Title: "Quotation", Under: strings.TrimSuffix(s.Workshop.Name+" · "+s.day(s.Dated.String()), " · ")}
	p.add(Abreast{
		{Lines{Head: "For", Items: []string{cmp.Or(job.Customer, blank)}}, Lines{Head: "Job", Items: []string{job.ID}}},
		{Lines{Head: "From", Items: append([]string{s.Workshop.Name}, model.AddressLines(s.Workshop.Address)...)}, Lines{Head: "Day", Items: []string{s.day(s.Dated.String())}}},
	})
	for _, frame := range job.Frames {
		rings, err := frame.Geometry(s.Workshop.ProfileByName)
		if err != nil {
			return p, err
		}
		const drawn = 46 // millimetres
		inner, outer := rings[0], rings[len(rings)-1]
		title := "Frame " + frame.ID
		if frame.Quantity > 1 {
			title += fmt.Sprintf(", %d alike", frame.Quantity)
		}
		p.add(Heading{Text: title})
		p.add(Beside{Figure: framePicture(rings, s.unit, drawn), Blocks: []Block{
			Lines{Head: "moulding", Items: s.mouldings(frame)},
			Lines{Head: "for a picture of", Items: []string{WithUnit(Opening(inner.Content, model.ByContent, s.unit), s.unit)}},
			Lines{Head: "seen of it", Items: []string{WithUnit(Opening(inner.Sight, model.BySight, s.unit), s.unit)}},
			Lines{Head: "outside", Items: []string{WithUnit(Opening(outer.Outside, model.ByOutside, s.unit), s.unit)}},
		}})
	}
	head := "Price"
	if moulding {
		head += ", for the moulding alone"
	}
	p.add(Heading{Text: "What it comes to"})
	p.add(Abreast{{Lines{Head: head, Items: []string{price.With(s.currency)}}}, {Lines{Head: "It holds until", Items: []string{blank}}}})
	return p, nil
}

// mouldings names what a frame's rings are made of, from the inside out, as a customer knows it.
func (s *Source) mouldings(f model.JobFrame) (names []string) {
	for _, r := range f.Rings {
		name := r.Profile
		if p, ok := s.Workshop.ProfileByName(r.Profile); ok {
			name = cmp.Or(p.Title, p.Name)
		}
		names = append(names, name)
	}
	return names
}

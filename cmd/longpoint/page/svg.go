package page

import (
	"fmt"
	"html/template"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
	"longpoint/model/plan"
)

// inline sets a drawing into a page. All that stands in it is escaped where it is written.
func inline(f sheet.Figure, id string) template.HTML { return template.HTML(f.Inline(id)) }

// frameMost is the most that the picture of a frame is wide and high, in millimetres.
const frameMost = 62

// framePicture draws a frame.
func (c *call) framePicture(rings []model.RingGeometry, id string) template.HTML {
	return inline(sheet.FramePicture(rings, c.unit, frameMost), id)
}

// stickWidth is how wide sticks are drawn, in millimetres.
const stickWidth = 250

// stickPictures draws the sticks of a profile, with what became of their sides where that is given.
func (c *call) stickPictures(pp plan.ProfilePlan, became [][]string) (all []template.HTML) {
	drawn := sheet.NewSticks(pp, c.unit, stickWidth, c.dates).Mark(became)
	for i := range pp.Sticks {
		d, alt := drawn.Draw(i)
		all = append(all, inline(sheet.Figure{Drawing: d, Alt: alt}, fmt.Sprintf("stick-%s-%d", asID(pp.Name), i)))
	}
	return all
}

// asID makes a name one that an id of a page can have.
func asID(name string) string {
	out := []rune{}
	for _, r := range name {
		if r == '-' || '0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' {
			out = append(out, r)
		} else {
			out = append(out, []rune(fmt.Sprintf("_%x", r))...)
		}
	}
	return string(out)
}

package sheet

import "longpoint/model"

// rulerHeight is how much room a ruler takes.
const rulerHeight = 4.3

// rulerSteps gives the distances between a ruler's ticks that people count in.
func rulerSteps(u model.Unit) []model.Length {
	if u.IsInches() {
		return inchSteps
	}
	return metricSteps
}

var metricSteps = decimalSteps()

var inchSteps = []model.Length{model.Inch / 4, model.Inch / 2, model.Inch, 2 * model.Inch, 6 * model.Inch, 12 * model.Inch, 24 * model.Inch, 48 * model.Inch,
	96 * model.Inch, 240 * model.Inch, 1200 * model.Inch, 12000 * model.Inch, 48000 * model.Inch}

// decimalSteps gives 1, 5 and 10 mm, then 5 and 10 times that, up to 1 km.
func decimalSteps() (steps []model.Length) {
	for ten := model.Millimetre; ten <= 1000*model.Metre; ten *= 10 {
		steps = append(steps, ten, 5*ten)
	}
	return steps
}

// ruler draws a ruler under an edge: from x on, so many millimetres of paper to a millimetre of moulding.
func (d *Drawing) ruler(x, y, scale float64, length model.Length, u model.Unit) {
	const size, least, apart = 6.5 * point, 0.75, 13.0
	ticks := strokes{Width: hairline, Ink: Black}
	fine, coarse := rulerStep(u, scale, least), rulerStep(u, scale, apart)
	tick := func(at model.Length, long float64) {
		ticks.Lines = append(ticks.Lines, []Point{{x + paper(at, scale), y}, {x + paper(at, scale), y + long}})
	}
	middle := rulerStep(u, scale, 4*least)
	end := x + paper(length, scale)
	for at := model.Length(0); at <= length; at += fine {
		switch {
		case at%coarse == 0:
			tick(at, 2.4)
			text := Near(at, u)
			place := words{At: Point{x + paper(at, scale), y + rulerHeight - 0.3}, Text: text, Size: size, Align: centre}
			switch room := widthOf(text, size, false); {
			case at == 0:
				place.At.X, place.Align, place.Text = x, left, "0 "+u.String()
			case place.At.X+room/2 > end:
				place.At.X, place.Align = end, right
			}
			d.write(place)
		case at%middle == 0:
			tick(at, 1.7)
		default:
			tick(at, 1)
		}
	}
	ticks.Lines = append(ticks.Lines, []Point{{x, y}, {end, y}})
	d.marks = append(d.marks, ticks)
}

// rulerStep gives the least step that is so far apart on paper.
func rulerStep(u model.Unit, scale, apart float64) model.Length {
	steps := rulerSteps(u)
	for _, s := range steps {
		if paper(s, scale) >= apart {
			return s
		}
	}
	return steps[len(steps)-1]
}

// paper gives what a length takes on paper, in millimetres.
func paper(l model.Length, scale float64) float64 {
	return float64(l) / float64(model.Millimetre) * scale
}

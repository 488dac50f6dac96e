package sheet

// hatch gives slanting lines across a rectangle, so far apart along its upper edge.
func hatch(x, y, w, h, apart float64) strokes {
	s := strokes{Width: hairline * 1.4, Ink: Black}
	for at := x - h + apart/2; at < x+w; at += apart {
		// The line runs from (at, y+h) to (at+h, y); cut it off at the rectangle's sides.
		from, to := max(at, x), min(at+h, x+w)
		if from < to {
			s.Lines = append(s.Lines, []Point{{from, y + h - (from - at)}, {to, y + h - (to - at)}})
		}
	}
	return s
}

// trimmed draws a part of a stick that is given up at an end.
func (d *Drawing) trimmed(x, y, w, h float64, about string) {
	if w <= 0 {
		return
	}
	d.box(White, x, y, w, h)
	d.marks = append(d.marks, hatch(x, y, w, h, 1.3))
	d.outline(hairline, Black, about, Point{x, y}, Point{x + w, y}, Point{x + w, y + h}, Point{x, y + h})
}

// crossed draws a damaged part of a stick, crossed out. A part too narrow to be seen is drawn as wide as a firm cross.
func (d *Drawing) crossed(x, y, w, h float64, about string) {
	if least := 1.2; w < least {
		x, w = x-(least-w)/2, least
	}
	d.box(White, x, y, w, h)
	d.outline(firmLine, Black, about, Point{x, y}, Point{x + w, y}, Point{x + w, y + h}, Point{x, y + h})
	d.line(firmLine, Black, Point{x, y}, Point{x + w, y + h})
	d.line(firmLine, Black, Point{x, y + h}, Point{x + w, y})
}

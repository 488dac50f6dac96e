package sheet

// Drawing is a picture on paper: marks in the order they are laid down, in millimetres from the upper left corner, x to the
// right and y down. Whoever made it may add to it until it is written; writing changes nothing.
type Drawing struct {
	Width, Height float64
	marks         []mark
}

// Point is a place on paper, in millimetres.
type Point struct{ X, Y float64 }

// Ink is a colour, as light: 0 is black. The zero Ink is black.
type Ink struct{ R, G, B uint8 }

// The inks. A colour only repeats what a letter or a pattern already says.
var (
	Black = Ink{}
	White = Ink{255, 255, 255}
	Grey  = Ink{96, 96, 96}    // words and lines of less weight; contrast with white is 6.3 to 1
	Pale  = Ink{236, 236, 236} // grounds under black words
)

// mark is a shape or words.
type mark interface {
	// moved gives the mark elsewhere.
	moved(dx, dy float64) mark
}

// area is one or more closed outlines, filled, without holes.
type area struct {
	Outlines [][]Point
	Ink      Ink
	About    string // what it shows, for who reads the SVG; may be empty
}

// strokes is one or more lines of one width.
type strokes struct {
	Lines [][]Point
	Width float64
	Ink   Ink
	Dash  float64 // length of dashes and of gaps; 0: drawn through
	About string
}

// align says which part of words stands at their place.
type align uint8

const (
	left align = iota
	centre
	right
)

// words is one line of text. At is on its base line.
type words struct {
	At     Point
	Text   string
	Size   float64 // of the type, in millimetres
	Bold   bool
	Align  align
	Turned bool // reads upwards
	Ink    Ink
}

// Point sizes of type: 1 point is 1/72 in.
const point = 25.4 / 72

// Line widths in millimetres.
const (
	hairline = 0.12
	thinLine = 0.2
	firmLine = 0.4
)

// NewDrawing gives an empty drawing.
func NewDrawing(width, height float64) *Drawing { return &Drawing{Width: width, Height: height} }

// fill lays down a filled outline.
func (d *Drawing) fill(ink Ink, outline ...Point) {
	d.marks = append(d.marks, area{Outlines: [][]Point{outline}, Ink: ink})
}

// box lays down a filled rectangle.
func (d *Drawing) box(ink Ink, x, y, w, h float64) {
	d.fill(ink, Point{x, y}, Point{x + w, y}, Point{x + w, y + h}, Point{x, y + h})
}

// line lays down a line through points.
func (d *Drawing) line(width float64, ink Ink, through ...Point) {
	d.marks = append(d.marks, strokes{Lines: [][]Point{through}, Width: width, Ink: ink})
}

// outline lays down the line round an outline.
func (d *Drawing) outline(width float64, ink Ink, about string, corners ...Point) {
	round := append(append([]Point{}, corners...), corners[0], corners[1%len(corners)])
	d.marks = append(d.marks, strokes{Lines: [][]Point{round}, Width: width, Ink: ink, About: about})
}

// frame lays down the line round a rectangle.
func (d *Drawing) frame(width float64, ink Ink, x, y, w, h float64) {
	d.outline(width, ink, "", Point{x, y}, Point{x + w, y}, Point{x + w, y + h}, Point{x, y + h})
}

// write lays down words. Text is cleaned of what cannot be shown.
func (d *Drawing) write(w words) {
	if w.Text = readable(w.Text); w.Text != "" {
		d.marks = append(d.marks, w)
	}
}

// place lays down another drawing, its upper left corner at x, y.
func (d *Drawing) place(other *Drawing, x, y float64) {
	for _, m := range other.marks {
		d.marks = append(d.marks, m.moved(x, y))
	}
}

func (a area) moved(dx, dy float64) mark {
	a.Outlines = movedAll(a.Outlines, dx, dy)
	return a
}

func (s strokes) moved(dx, dy float64) mark {
	s.Lines = movedAll(s.Lines, dx, dy)
	return s
}

func (w words) moved(dx, dy float64) mark {
	w.At = Point{w.At.X + dx, w.At.Y + dy}
	return w
}

func movedAll(lines [][]Point, dx, dy float64) [][]Point {
	out := make([][]Point, len(lines))
	for i, line := range lines {
		out[i] = make([]Point, len(line))
		for j, p := range line {
			out[i][j] = Point{p.X + dx, p.Y + dy}
		}
	}
	return out
}

// extent gives the corners of the rectangle round a line of text, for tests and for keeping words apart.
func (w words) extent() (x0, y0, x1, y1 float64) {
	wide, up, down := widthOf(w.Text, w.Size, w.Bold), ascent*w.Size, descent*w.Size
	before := 0.0
	switch w.Align {
	case centre:
		before = wide / 2
	case right:
		before = wide
	}
	if w.Turned {
		return w.At.X - up, w.At.Y - wide + before, w.At.X + down, w.At.Y + before
	}
	return w.At.X - before, w.At.Y - up, w.At.X - before + wide, w.At.Y + down
}

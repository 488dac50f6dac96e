package sheet

import (
	"fmt"
	"math"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// Sticks draws the sticks of one profile, all to one scale along the stick. Across, they are drawn as tall as it takes to
// be read.
type Sticks struct {
	profile plan.ProfilePlan
	unit    model.Unit
	width   float64 // of the drawing
	scale   float64 // millimetres of paper to a millimetre of moulding
	numbers map[[2]int]int
	damage  [][]model.Span // of each stick
	dates   model.DateOrder
	became  [][]string // what became of each stick's sides; nil: that is not said
	listed  bool       // the list of cuts stands under each: what has no room in a side need not be said
}

// How a stick's picture is built up, in millimetres.
const (
	stickMargin  = 0.4 // left and right of the stick, for its outline
	stickHeading = 4.8 // what the stick is
	stickHeight  = 9   // the moulding
	upperLine    = 4.2 // from the moulding's back edge to the words in it
	lowerLine    = 7.5
)

// Sizes of type in a stick's picture.
const (
	headingSize = 11 * point
	letterSize  = 11 * point
	noteSize    = 7.5 * point
)

// NewSticks makes ready to draw a profile's sticks so wide, in millimetres, with days as the shop writes them.
func NewSticks(pp plan.ProfilePlan, unit model.Unit, width float64, dates model.DateOrder) *Sticks {
	s := &Sticks{profile: pp, unit: unit, dates: dates, width: width, numbers: orderOf(pp).numbers()}
	longest := model.Length(1)
	for _, stick := range pp.Sticks {
		longest = max(longest, stick.Length)
		s.damage = append(s.damage, stick.Damage)
	}
	s.scale = (width - 2*stickMargin) / (float64(longest) / float64(model.Millimetre))
	return s
}

// Mark has the drawings say what became of the sides of each stick: a word, and nothing of what is still to cut.
func (s *Sticks) Mark(became [][]string) *Sticks {
	s.became = became
	return s
}

// cut names the cut of a side of a stick, with what became of it.
func (s *Sticks) cut(stick, side int) string {
	name := fmt.Sprintf("cut %d", s.numbers[[2]int{stick, side}])
	if s.gone(stick, side) {
		name += " " + s.became[stick][side]
	}
	return name
}

// gone tells whether something has become of a side.
func (s *Sticks) gone(stick, side int) bool {
	return s.became != nil && s.became[stick][side] != "to cut"
}

// Scale says how the drawings are to scale.
func (s *Sticks) Scale() string {
	return fmt.Sprintf("Drawn long point up, to scale along the stick (1 to %.1f); taller than to scale. Hatched is trimmed off, crossed out is damaged.", 1/s.scale)
}

// Draw draws one of the sticks, by its place from 0, and says in words what the drawing shows.
func (s *Sticks) Draw(i int) (d *Drawing, alt string) {
	stick := s.profile.Sticks[i]
	p := &stickPicture{Sticks: s, stick: stick, index: i}
	p.Drawing = NewDrawing(s.width, 0)
	p.write(words{At: Point{stickMargin, ascent * headingSize}, Text: p.heading(), Size: headingSize, Bold: true})
	p.top = stickHeading + p.callOut()
	p.ground()
	for j := range stick.Sides {
		p.side(j)
	}
	for _, r := range remaindersOf(s.profile, stick) {
		p.remainder(r)
	}
	for _, span := range s.damage[i] {
		x0, x1 := p.at(span.From), p.at(span.To)
		p.crossed(x0, p.top, x1-x0, stickHeight, "damaged from "+span.From.Near(s.unit)+" to "+span.To.Near(s.unit))
	}
	p.ruler(stickMargin, p.top+stickHeight+0.5, s.scale, stick.Length, s.unit)
	p.Height = p.top + stickHeight + 0.5 + rulerHeight
	return p.Drawing, p.alt()
}

// stickPicture is the picture of one stick in the making.
type stickPicture struct {
	*Sticks
	*Drawing
	stick plan.Stick
	index int
	top   float64 // where the moulding's back edge is
}

// at gives where a length from the stick's head is on paper.
func (p *stickPicture) at(l model.Length) float64 { return stickMargin + paper(l, p.scale) }

// heading says what the stick is, as short as fits.
func (p *stickPicture) heading() string {
	s := p.stick
	end := " · " + lengthOf(s, p.unit)
	start := fmt.Sprintf("Stick %d of %d: ", p.index+1, len(p.profile.Sticks))
	room := p.Drawing.Width - 2*stickMargin - widthOf(start, headingSize, true) - widthOf(end, headingSize, true)
	return start + fit(s.ID+" · "+comesFrom(p.profile, s, p.dates), room, headingSize, true) + end
}

// ground draws what is no side: the stick's outline on a pale ground, and its trimmed ends.
func (p *stickPicture) ground() {
	s := p.stick
	x0, x1 := p.at(0), p.at(s.Length)
	p.box(Pale, x0, p.top, x1-x0, stickHeight)
	p.outline(hairline, Black, "", Point{x0, p.top}, Point{x1, p.top}, Point{x1, p.top + stickHeight}, Point{x0, p.top + stickHeight})
	head, tail := min(p.profile.HeadTrim, s.Length), min(p.profile.TailTrim, s.Length)
	p.trimmed(x0, p.top, paper(head, p.scale), stickHeight, "head trim")
	p.trimmed(p.at(s.Length-tail), p.top, paper(tail, p.scale), stickHeight, "tail trim")
}

// corners gives a side's corners on paper: the two long points on the back edge, then the two on the sight edge.
func (p *stickPicture) corners(side plan.Side) [4]Point {
	slant := float64(p.profile.Width) * math.Tan(radians(side.Angle)) / float64(model.Millimetre) * p.scale
	x0, x1 := p.at(side.Start), p.at(side.Start+side.LongPoint)
	slant = min(slant, (x1-x0)/2)
	return [4]Point{{x0, p.top}, {x1, p.top}, {x1 - slant, p.top + stickHeight}, {x0 + slant, p.top + stickHeight}}
}

// side draws one side and, where there is room, writes into it what it is.
func (p *stickPicture) side(j int) {
	side := p.stick.Sides[j]
	c := p.corners(side)
	middle := (c[0].X + c[1].X) / 2
	if !p.gone(p.index, j) {
		p.fill(White, c[:]...)
	}
	p.outline(firmLine*0.8, Black, "side "+SideID(side), c[:]...)
	lines := p.inside(j)
	for _, line := range lines {
		p.write(words{At: Point{middle, p.top + line.below}, Text: line.text, Size: line.size, Bold: line.bold, Align: centre})
	}
	if len(lines) > 0 {
		return
	}
	const alone = 4.6
	for _, size := range []float64{noteSize, 6.2 * point, 5 * point} {
		if widthOf(side.Letter, size, true) <= p.room(c, alone) {
			p.write(words{At: Point{middle, p.top + alone}, Text: side.Letter, Size: size, Bold: true, Align: centre})
			return
		}
	}
}

// inscribed is a line of words in a side, so far below its back edge.
type inscribed struct {
	text  string
	name  string // behind the text; may be cut short
	below float64
	size  float64
	bold  bool
}

// room is what a side gives to a line of words so far below its back edge.
func (p *stickPicture) room(c [4]Point, below float64) float64 {
	const clear = 0.7 // to either side
	slant := c[3].X - c[0].X
	return c[1].X - c[0].X - 2*slant*min(1, (below+0.6)/stickHeight) - 2*clear
}

// inside gives the lines that are written into a side: its letter and long point, and which cut of which job. They are two
// or, more tightly set, three; where a list stands under the drawing, letter and number alone will do. None when not even those
// have room.
func (p *stickPicture) inside(j int) []inscribed {
	side := p.stick.Sides[j]
	c := p.corners(side)
	size := side.Letter + " " + ToCut(side.LongPoint, p.unit)
	number := p.cut(p.index, j)
	ways := [][]inscribed{
		{{size, "", upperLine, letterSize, true}, {number + " · ", side.Job, lowerLine, noteSize, false}},
		{{size, "", 3.1, 8 * point, true}, {number, "", 5.6, 6.5 * point, false}, {"", side.Job, 8.4, 6.5 * point, false}},
	}
	if p.listed {
		ways = append(ways, []inscribed{{side.Letter, "", upperLine, noteSize, true}, {number, "", lowerLine, 6.5 * point, false}},
			[]inscribed{{side.Letter, "", upperLine, 6.2 * point, true}, {number, "", lowerLine, 5 * point, false}})
	}
	for _, lines := range ways {
		if p.hold(c, lines) {
			return lines
		}
	}
	return nil
}

// hold tells whether a side has room for lines, and puts each one's name behind its text, cut short where enough of it is left.
func (p *stickPicture) hold(c [4]Point, lines []inscribed) bool {
	const enough = 4 // letters of a name that is cut short
	for i := range lines {
		line := &lines[i]
		left := p.room(c, line.below) - widthOf(line.text, line.size, line.bold)
		name := fit(line.name, left, line.size, line.bold)
		if left < 0 || name != readable(line.name) && len([]rune(name)) <= enough {
			return false
		}
		line.text += name
	}
	return true
}

// callOuts are the words of sides that have no room for them, standing over the stick.
type callOuts struct {
	size  float64
	pitch float64 // from one to the next
	lanes int
}

// callOutSizes are tried one after another until all have room.
var callOutSizes = []callOuts{{7.5 * point, 3.1, 1}, {6.2 * point, 2.6, 1}, {5.5 * point, 1.7, 2}}

// mostCallOut is the most that a call-out is long, in millimetres.
const mostCallOut = 26

// callOut writes what has no room in its side over the stick, a line leading to it, and gives the height it takes.
func (p *stickPicture) callOut() float64 {
	var sides []int
	for j := range p.stick.Sides {
		if !p.listed && len(p.inside(j)) == 0 {
			sides = append(sides, j)
		}
	}
	if len(sides) == 0 {
		return 0
	}
	for _, c := range callOutSizes {
		if float64(len(sides))*c.pitch <= p.Drawing.Width {
			return p.writeCallOuts(sides, c)
		}
	}
	p.write(words{At: Point{stickMargin, stickHeading + ascent*noteSize}, Size: noteSize,
		Text: fmt.Sprintf("%d sides are too short to be written on here: see the list of cuts.", len(sides))})
	return 4
}

// writeCallOuts writes call-outs for these sides, and gives the height they take.
func (p *stickPicture) writeCallOuts(sides []int, c callOuts) float64 {
	texts, long := make([]string, len(sides)), 0.0
	wanted := make([]float64, len(sides))
	for k, j := range sides {
		side := p.stick.Sides[j]
		texts[k] = fit(fmt.Sprintf("%s  %s %s  %s", p.cut(p.index, j), side.Letter, ToCut(side.LongPoint, p.unit), side.Job),
			mostCallOut, c.size, false)
		long = max(long, widthOf(texts[k], c.size, false))
		wanted[k] = p.at(side.Start + side.LongPoint/2)
	}
	const lead = 3.5 // the lines that lead to the sides
	lane := long + 1.5
	height := lane*float64(c.lanes) + lead
	at := apart(wanted, c.pitch, c.pitch/2, p.Drawing.Width-c.pitch/2)
	leaders := strokes{Width: hairline, Ink: Black}
	for k, text := range texts {
		base := stickHeading + lane*float64(1+k%c.lanes)
		p.write(words{At: Point{at[k] + (ascent-descent)*c.size/2, base}, Text: text, Size: c.size, Turned: true})
		leaders.Lines = append(leaders.Lines, []Point{{at[k], base + 0.4}, {at[k], stickHeading + lane*float64(c.lanes) + 0.8}, {wanted[k], stickHeading + height}})
	}
	p.marks = append(p.marks, leaders)
	return height
}

// apart moves places, which are in order, as little as a simple pass each way does, until they are so far apart and
// between the ends. They must have room.
func apart(wanted []float64, pitch, from, to float64) []float64 {
	at := append([]float64{}, wanted...)
	for i := range at {
		least := from
		if i > 0 {
			least = at[i-1] + pitch
		}
		at[i] = max(at[i], least)
	}
	for i := len(at) - 1; i >= 0; i-- {
		most := to
		if i < len(at)-1 {
			most = at[i+1] - pitch
		}
		at[i] = min(at[i], most)
	}
	return at
}

// remainder draws what is left: an offcut to keep with its id, or waste.
func (p *stickPicture) remainder(r remainder) {
	if r.Becomes == plan.Nothing || r.Length <= 0 {
		return
	}
	x0, x1, end := p.at(r.start()), p.at(r.end), p.at(r.end-r.tail)
	first, second := "waste", Near(r.Length, p.unit)
	if r.Becomes == plan.Kept {
		first, second = offcutName(r.ID), "keep "+second
		p.box(White, x0, p.top, x1-x0, stickHeight)
		p.trimmed(end, p.top, x1-end, stickHeight, "tail trim")
		p.marks = append(p.marks, strokes{Width: firmLine, Ink: Black, Dash: 1.2, About: "offcut " + r.ID,
			Lines: [][]Point{{{x0, p.top}, {x1, p.top}, {x1, p.top + stickHeight}, {x0, p.top + stickHeight}, {x0, p.top}}}})
	}
	const clear = 0.8
	room, middle := end-x0-2*clear, (x0+end)/2
	if room < widthOf(first, noteSize, true) || room < widthOf(second, noteSize, false) {
		if r.Becomes != plan.Kept {
			return // the list says what is waste
		}
		first, second = fit(first, room, noteSize, true), fit(second, room, noteSize, false)
	}
	p.write(words{At: Point{middle, p.top + upperLine}, Text: first, Size: noteSize, Bold: true, Align: centre})
	p.write(words{At: Point{middle, p.top + lowerLine}, Text: second, Size: noteSize, Align: centre})
}

// alt says in words what the picture shows.
func (p *stickPicture) alt() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Stick %d of %d, %s, %s, %s long, from its head:", p.index+1, len(p.profile.Sticks), p.stick.ID, comesFrom(p.profile, p.stick, p.dates), lengthOf(p.stick, p.unit))
	for j, side := range p.stick.Sides {
		fmt.Fprintf(&b, " %s side %s of job %s, %s;", p.cut(p.index, j), side.Letter, side.Job, side.LongPoint.InToCut(p.unit))
	}
	for _, span := range p.damage[p.index] {
		fmt.Fprintf(&b, " damaged from %s to %s;", span.From.Near(p.unit), span.To.Near(p.unit))
	}
	var left []string
	for _, r := range remaindersOf(p.profile, p.stick) {
		left = append(left, remains(r.Left, p.unit))
	}
	return b.String() + " left over: " + strings.Join(left, "; ") + "."
}

// radians turns an angle into what the tangent takes.
func radians(a model.Angle) float64 { return float64(a) / float64(model.Degree) * math.Pi / 180 }

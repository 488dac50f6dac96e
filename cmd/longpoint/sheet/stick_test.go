package sheet

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
)

// svgShape is what a shape of an SVG says of itself and where its corners are.
type svgShape struct {
	about  string
	points []Point
}

// readSVG takes an SVG apart with a reader of its own: its size, its shapes that say what they show, and its words.
func readSVG(t *testing.T, data []byte) (width string, shapes []svgShape, texts []string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(string(data)))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return width, shapes, texts
		}
		if err != nil {
			t.Fatal(err)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		attr := map[string]string{}
		for _, a := range start.Attr {
			attr[a.Name.Local] = a.Value
		}
		switch start.Name.Local {
		case "svg":
			width = attr["width"]
		case "path":
			if attr["data-about"] != "" {
				shapes = append(shapes, svgShape{attr["data-about"], readPath(t, attr["d"])})
			}
		case "text":
			text, err := d.Token()
			if err != nil {
				t.Fatal(err)
			}
			texts = append(texts, string(text.(xml.CharData)))
		}
	}
}

var pathPoint = regexp.MustCompile(`[ML]([-0-9.]+) ([-0-9.]+)`)

func readPath(t *testing.T, d string) (points []Point) {
	for _, m := range pathPoint.FindAllStringSubmatch(d, -1) {
		x, err1 := strconv.ParseFloat(m[1], 64)
		y, err2 := strconv.ParseFloat(m[2], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%q is no path", d)
		}
		points = append(points, Point{x, y})
	}
	return points
}

// misplaced reads a stick's SVG back and says what is not where the plan says, to within 0.1 mm of paper.
func misplaced(t *testing.T, pp plan.ProfilePlan, stick plan.Stick, scale float64, svg []byte) (wrong []string) {
	const tolerance = 0.1 // millimetres of paper: what the task demands
	_, shapes, _ := readSVG(t, svg)
	at := map[string][]Point{}
	for _, s := range shapes {
		at[s.about] = s.points
	}
	check := func(what string, got float64, want model.Length) {
		if w := stickMargin + float64(want)/1e6*scale; math.Abs(got-w) > tolerance {
			wrong = append(wrong, fmt.Sprintf("%s is at %.3f mm, not at %.3f", what, got, w))
		}
	}
	for _, side := range stick.Sides {
		name := "side " + SideID(side)
		p := at[name]
		if len(p) < 4 {
			wrong = append(wrong, name+" is not drawn")
			continue
		}
		slant := model.Length(float64(pp.Width) * math.Tan(math.Pi/float64(side.Of)))
		check(name+" long point left", p[0].X, side.Start)
		check(name+" long point right", p[1].X, side.Start+side.LongPoint)
		if 2*slant <= side.LongPoint {
			check(name+" sight edge right", p[2].X, side.Start+side.LongPoint-slant)
			check(name+" sight edge left", p[3].X, side.Start+slant)
		}
		if p[0].Y != p[1].Y || p[2].Y != p[3].Y || p[0].Y >= p[2].Y {
			wrong = append(wrong, name+" does not lie long point up")
		}
	}
	if p := at["head trim"]; pp.HeadTrim > 0 {
		if len(p) < 4 {
			wrong = append(wrong, "the head trim is not drawn")
		} else {
			check("head trim", p[1].X, pp.HeadTrim)
		}
	}
	if p := at["tail trim"]; pp.TailTrim > 0 {
		if len(p) < 4 {
			wrong = append(wrong, "the tail trim is not drawn")
		} else {
			check("tail trim", p[0].X, stick.Length-pp.TailTrim)
			check("tail", p[1].X, stick.Length)
		}
	}
	if stick.Left.Becomes == plan.Kept {
		if p := at["offcut "+stick.Left.ID]; len(p) < 4 {
			wrong = append(wrong, "the offcut is not drawn")
		} else {
			check("offcut", p[0].X, stick.Length-stick.Left.Length)
		}
	}
	return wrong
}

// allPlans is the demo and the extreme cases.
func allPlans(t testing.TB) map[string]planned {
	all := extremes()
	all["demo"], all["by hand"] = demoPlan(t), handPlan()
	return all
}

// TestToScale reads the drawings of all sticks back from their SVG.
func TestToScale(t *testing.T) {
	for name, p := range allPlans(t) {
		for _, pp := range p.Document.Profiles {
			drawn := NewSticks(pp, model.Millimetres, A4.inner(), "")
			for i, stick := range pp.Sticks {
				d, alt := drawn.Draw(i)
				for _, wrong := range misplaced(t, pp, stick, drawn.scale, d.SVG(alt)) {
					t.Errorf("%s, %s, stick %d: %s", name, pp.Name, i+1, wrong)
				}
			}
		}
	}
}

// TestToScaleCanFail holds a drawing against a plan in which one side has been moved, and one from which one is gone.
func TestToScaleCanFail(t *testing.T) {
	p := demoPlan(t)
	pp := p.Document.Profiles[0]
	drawn := NewSticks(pp, model.Millimetres, A4.inner(), "")
	d, alt := drawn.Draw(0)
	stick := pp.Sticks[0]
	stick.Sides = append([]plan.Side{}, stick.Sides...)
	stick.Sides[1].Start += model.Length(0.15 / drawn.scale * 1e6)
	if wrong := misplaced(t, pp, stick, drawn.scale, d.SVG(alt)); len(wrong) == 0 {
		t.Error("a side that is moved by 0.15 mm on paper is not seen")
	}
	stick = pp.Sticks[0]
	stick.Sides = append([]plan.Side{{SideID: model.SideID{Job: "none", Letter: "A"}, Of: 4, LongPoint: mm}}, stick.Sides...)
	if wrong := misplaced(t, pp, stick, drawn.scale, d.SVG(alt)); len(wrong) == 0 {
		t.Error("a side that is not drawn is not seen")
	}
}

// wordsOver says which words of a drawing stand over others, or beyond its edges.
func wordsOver(d *Drawing) (wrong []string) {
	type placed struct {
		text           string
		x0, y0, x1, y1 float64
	}
	var all []placed
	for _, m := range d.marks {
		w, ok := m.(words)
		if !ok {
			continue
		}
		x0, y0, x1, y1 := w.extent()
		// Letters without accents and tails reach from capital height to the base line; those are what must stay apart.
		const capital = 0.72
		if w.Turned {
			x0, x1 = w.At.X-capital*w.Size, w.At.X
		} else {
			y0, y1 = w.At.Y-capital*w.Size, w.At.Y
		}
		all = append(all, placed{w.Text, x0, y0, x1, y1})
		if x0 < -rounding || y0 < -rounding || x1 > d.Width+rounding || y1 > d.Height+rounding {
			wrong = append(wrong, fmt.Sprintf("%q is at %.1f %.1f %.1f %.1f, beyond %.1f × %.1f", w.Text, x0, y0, x1, y1, d.Width, d.Height))
		}
	}
	for i, a := range all {
		for _, b := range all[:i] {
			if a.x0 < b.x1-rounding && b.x0 < a.x1-rounding && a.y0 < b.y1-rounding && b.y0 < a.y1-rounding {
				wrong = append(wrong, fmt.Sprintf("%q stands over %q", a.text, b.text))
			}
		}
	}
	return wrong
}

// TestWordsApart: on no stick does one word stand over another, however short its sides and long its names.
func TestWordsApart(t *testing.T) {
	for name, p := range allPlans(t) {
		for _, pp := range p.Document.Profiles {
			for _, unit := range []model.Unit{model.Millimetres, model.Centimetres, model.Inches} {
				drawn := NewSticks(pp, unit, A4.inner(), "")
				for i := range pp.Sticks {
					d, _ := drawn.Draw(i)
					for _, wrong := range wordsOver(d) {
						t.Errorf("%s, %s, stick %d, in %s: %s", name, pp.Name, i+1, unit, wrong)
					}
				}
			}
		}
	}
}

// TestWordsApartCanFail.
func TestWordsApartCanFail(t *testing.T) {
	d := NewDrawing(50, 10)
	d.write(words{At: Point{1, 5}, Text: "one word", Size: 3})
	d.write(words{At: Point{10, 6}, Text: "another", Size: 3})
	d.write(words{At: Point{48, 9}, Text: "beyond", Size: 3})
	if len(wordsOver(d)) != 2 {
		t.Errorf("found %q", wordsOver(d))
	}
}

// TestEverySideIsNamed: letter, long point and job of each side stand on the drawing, inside or called out, whole or with an
// ellipsis; only of a stick with more tiny sides than there is room for, the drawing says that they are in the list.
func TestEverySideIsNamed(t *testing.T) {
	for name, p := range allPlans(t) {
		for _, pp := range p.Document.Profiles {
			drawn := NewSticks(pp, model.Millimetres, A4.inner(), "")
			for i, stick := range pp.Sticks {
				d, alt := drawn.Draw(i)
				_, _, texts := readSVG(t, d.SVG(alt))
				all := strings.Join(texts, "\n")
				if name == "a hundred and twenty tiny sides" {
					if !strings.Contains(all, "see the list of cuts") {
						t.Errorf("%s: it is not said that the sides are in the list", name)
					}
					continue
				}
				for j, side := range stick.Sides {
					no := fmt.Sprintf("cut %d", drawn.numbers[[2]int{i, j}])
					size := side.Letter + " " + ToCut(side.LongPoint, model.Millimetres)
					job := readable(side.Job)[:2]
					if !strings.Contains(all, no) || !strings.Contains(all, size) || !strings.Contains(all, job) {
						t.Errorf("%s, %s, stick %d: %s, %s of job %s is not on the drawing:\n%s", name, pp.Name, i+1, no, size, side.Job, all)
					}
				}
			}
		}
	}
}

// TestDamageIsCrossedOut: damaged spans of a rack stick are drawn where they are.
func TestDamageIsCrossedOut(t *testing.T) {
	p := handmade(30*mm, 2000*mm, 4, "101", "print", 400*mm, 300*mm)
	p.Document.Profiles[0].Sticks[0].Damage = []model.Span{{From: 1000 * mm, To: 1080 * mm}, {From: 1500 * mm, To: 1501 * mm}}
	pp := p.Document.Profiles[0]
	drawn := NewSticks(pp, model.Millimetres, A4.inner(), "")
	d, alt := drawn.Draw(0)
	_, shapes, _ := readSVG(t, d.SVG(alt))
	var found []svgShape
	for _, s := range shapes {
		if strings.HasPrefix(s.about, "damaged") {
			found = append(found, s)
		}
	}
	if len(found) != 2 {
		t.Fatalf("%d damaged spans are drawn, not 2", len(found))
	}
	if got, want := found[0].points[0].X, stickMargin+1000*drawn.scale; math.Abs(got-want) > 0.1 {
		t.Errorf("the damage starts at %.3f mm, not %.3f", got, want)
	}
	if wide := found[1].points[1].X - found[1].points[0].X; wide < 1 {
		t.Errorf("a narrow damage is %.2f mm wide and cannot be seen", wide)
	}
	if !strings.Contains(alt, "damaged from 1000 mm to 1080 mm") {
		t.Errorf("the words for the picture do not say so: %s", alt)
	}
}

// TestThreeOutputsAgree: the PDF, as another program renders it, and our own PNG show the same.
func TestThreeOutputsAgree(t *testing.T) {
	render := need(t, "pdftoppm")
	page := extremePage(t)
	pdf, err := PDF("all", []*Drawing{page})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	write(t, filepath.Join(dir, "a.pdf"), pdf)
	// Two programs draw lines thinner than a dot each in its own way; where many stand side by side, as in a ruler, that is
	// measured as up to 0.084 at 200 dots per inch.
	const dpi, tolerance = 200, 0.1
	render("-png", "-r", fmt.Sprint(dpi), filepath.Join(dir, "a.pdf"), filepath.Join(dir, "a"))
	theirs := readPNG(t, filepath.Join(dir, "a-1.png"))
	ours, err := page.raster(dpi)
	if err != nil {
		t.Fatal(err)
	}
	off := difference(ours, theirs)
	if off > tolerance {
		t.Errorf("the pictures differ by %.4f", off)
	}
	if off := difference(ours, blankLike(ours)); off < 2*tolerance {
		t.Errorf("a blank page differs by %.4f only: the comparison could not fail", off)
	}
}

func write(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

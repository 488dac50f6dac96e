package model

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// mm gives a length in millimetres.
func mm(n float64) Length { return Length(math.Round(n * 1e6)) }

func inches(t *testing.T, text string) Length {
	t.Helper()
	l, err := ParseLength(text, Inches)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func mustRing(t interface {
	Helper()
	Fatal(...any)
}, p Profile, s Size, allowance Length) RingGeometry {
	t.Helper()
	g, err := p.Ring(s, allowance, Millimetres)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

var rectangle = Shape{4}

// TestRectanglesAgainstOutsideSources holds rectangles against what others printed.
func TestRectanglesAgainstOutsideSources(t *testing.T) {
	for _, row := range []struct {
		name          string
		source        string
		by            Given
		width, height string
		w, r, a       string
		wantA, wantB  string // long points of the width sides and of the height sides
		moulding      string
	}{
		{"sight 300 mm, width 32 mm", "common practice, no source", BySight, "300 mm", "300 mm", "32 mm", "6 mm", "3 mm", "364 mm", "364 mm", "1456 mm"},
		{"sight 400 × 500 mm, width 32 mm", "common practice, no source", BySight, "400 mm", "500 mm", "32 mm", "6 mm", "3 mm", "464 mm", "564 mm", "2056 mm"},
		{"8 × 10 in, 1/2 in moulding", "Lifehacker, on making a picture frame: 9 and 11 in", ByContent, "8", "10", "1/2", "0", "0", "9", "11", "40"},
		{"16 × 20 in, 3 in moulding", "R. Rothing, woodshop102.com: 22 × 26 in", ByContent, "16", "20", "3", "0", "0", "22", "26", "96"},

		// WOOD magazine, "Making the Perfect Frame": moulding = perimeter + 8 × effective width, the effective width being
		// w − r. Its example, 8 × 10 in with stock of 2 3/8 and a rebate of 3/8 in and 1/8 in of play, is printed as 52 1/4 in:
		// there the play is counted once for the width and once for the height, 36 + 1/8 + 1/8 + 8 × 2. With us each of the four
		// sides has it, as the rebate must be wider than the content along all of them: 36 + 4 × 1/8 + 8 × 2 = 52 1/2 in. The
		// printed total is what we give for a play of 1/16 in.
		{"WOOD magazine, play of 1/8 in: ours", "formula of WOOD magazine, play on each side", ByContent, "8", "10", "2 3/8", "3/8", "1/8", "12 1/8", "14 1/8", "52 1/2"},
		{"WOOD magazine, total as printed", "WOOD magazine, example: 52 1/4 in", ByContent, "8", "10", "2 3/8", "3/8", "1/16", "12 1/16", "14 1/16", "52 1/4"},

		// ISO 216:2007, table 1 (from memory): A4 is 210 × 297 mm, A3 297 × 420 mm.
		{"A4 in 20 mm with a rebate of 6 mm", "ISO 216: 210 × 297 mm", ByContent, "210 mm", "297 mm", "20 mm", "6 mm", "3 mm", "241 mm", "328 mm", "1138 mm"},
		{"A3 in 20 mm with a rebate of 6 mm", "ISO 216: 297 × 420 mm", ByContent, "297 mm", "420 mm", "20 mm", "6 mm", "3 mm", "328 mm", "451 mm", "1558 mm"},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := Profile{Name: "p", Width: inches(t, row.w), Rebate: inches(t, row.r)}
			g := mustRing(t, p, Size{Shape: rectangle, By: row.by, Width: inches(t, row.width), Height: inches(t, row.height)}, inches(t, row.a))
			var got []Length
			for _, s := range g.Sides {
				got = append(got, s.LongPoint)
			}
			a, b := inches(t, row.wantA), inches(t, row.wantB)
			if diff := cmp.Diff([]Length{a, b, a, b}, got); diff != "" {
				t.Errorf("long points (want −, got +), source %s:\n%s", row.source, diff)
			}
			if g.Moulding != inches(t, row.moulding) {
				t.Errorf("moulding %s, want %s, source %s", g.Moulding.In(Inches), row.moulding, row.source)
			}
		})
	}
}

// polygonTable is what mathematical handbooks print of regular polygons: interior angle in degrees, circumradius ÷ side
// and inradius ÷ side to three decimals, chord 2 sin(180°/n) ÷ circumradius and tan(180°/n) to seven. (Bronstein and
// Semendjajew, Taschenbuch der Mathematik, table of regular polygons; tangents from Abramowitz and Stegun, Handbook of
// Mathematical Functions, 1964, table 4.10; both from memory.)
var polygonTable = []struct {
	sides            int
	interior         float64
	circumradius     float64 // ÷ side
	inradius         float64 // ÷ side
	chord            float64 // side ÷ circumradius
	tangent          float64
	acrossFlatsGiven bool
}{
	{3, 60, 0.577, 0.289, 1.7320508, 1.7320508, false},
	{4, 90, 0.707, 0.500, 1.4142136, 1.0000000, true},
	{5, 108, 0.851, 0.688, 1.1755705, 0.7265425, false},
	{6, 120, 1.000, 0.866, 1.0000000, 0.5773503, true},
	{8, 135, 1.307, 1.207, 0.7653669, 0.4142136, true},
	{9, 140, 1.462, 1.374, 0.6840403, 0.3639702, false},
	{10, 144, 1.618, 1.539, 0.6180340, 0.3249197, true},
	{12, 150, 1.932, 1.866, 0.5176381, 0.2679492, true},
	{15, 156, 2.405, 2.352, 0.4158234, 0.2125566, false},
	{20, 162, 3.196, 3.157, 0.3128689, 0.1583844, true},
	{24, 165, 3.831, 3.798, 0.2610524, 0.1316525, true},
}

// near is whether got lies within the last printed place of want and the grains that its roundings up may add.
func near(got Length, want, lastPlace float64, grains Length) bool {
	return float64(got) >= want-lastPlace && float64(got) <= want+lastPlace+float64(grains*grain)
}

func TestPolygonsAgainstHandbook(t *testing.T) {
	const half3, half7 = 0.5e-3, 0.5e-7 // half of the last printed place of three and of seven decimals
	w, r := mm(40), mm(8)
	p := Profile{Name: "p", Width: w, Rebate: r}
	for _, row := range polygonTable {
		size := Size{Shape: Shape{row.sides}, By: BySight, Width: mm(500)}
		if row.sides == 4 {
			size.Height = size.Width
		}
		g := mustRing(t, p, size, 0)
		// Both neighbours take half of the corner: the mitre from a square cut is 90° less half the interior angle.
		if want := Angle(math.Round((90 - row.interior/2) * 1e6)); g.Angle != want {
			t.Errorf("n = %d: mitre angle %s, want %s", row.sides, g.Angle, want)
		}
		// A long point is longer than its sight side by 2 w t, and the inradius of the outside less that of the sight is w.
		longer := g.Outside.Width - g.Sight.Width
		if want := 2 * float64(w) * row.tangent; !near(longer, want, 2*float64(w)*half7, 4) {
			t.Errorf("n = %d: long point is longer than sight by %s, want %.2f nm (tangent)", row.sides, longer, want)
		}
		if low, high := float64(w)/(row.inradius+half3), float64(w)/(row.inradius-half3)+float64(4*grain); float64(longer) < low || float64(longer) > high {
			t.Errorf("n = %d: long point is longer than sight by %s, want %.0f to %.0f nm (inradius)", row.sides, longer, low, high)
		}
		// The joint runs from the corner of the outside to that of the sight: circumradius less circumradius, w ÷ cos θ. A saw
		// of kerf w would lose as much between two sides.
		joint := Machine{Type: Saw, Kerf: w}.MitreLoss(size.Shape)
		if want := float64(longer) / row.chord; !near(joint, want, float64(longer)*half7/(row.chord*row.chord)+float64(4*grain)/row.chord, 1) {
			t.Errorf("n = %d: joint %s, want %.0f nm (chord)", row.sides, joint, want)
		}
		if low, high := float64(longer-4*grain)*(row.circumradius-half3), float64(longer)*(row.circumradius+half3)+float64(grain); float64(joint) < low || float64(joint) > high {
			t.Errorf("n = %d: joint %s, want %.0f to %.0f nm (circumradius)", row.sides, joint, low, high)
		}
		if !row.acrossFlatsGiven {
			continue
		}
		// Across flats is twice the inradius.
		flats := mustRing(t, p, Size{Shape: size.Shape, By: ByContent, Width: mm(1000), Across: true}, 0)
		if want := float64(mm(1000)) * row.tangent; !near(flats.Content.Width, want, float64(mm(1000))*half7, 1) {
			t.Errorf("n = %d: 1000 mm across flats have a side of %s, want %.0f nm", row.sides, flats.Content.Width, want)
		}
	}
}

// TestHexagonByHand works a hexagon by hand: tan 30° = 0.577 350 269 (Abramowitz and Stegun as above, from memory).
func TestHexagonByHand(t *testing.T) {
	p := Profile{Name: "p", Width: mm(32), Rebate: mm(6)}
	g := mustRing(t, p, Size{Shape: Shape{6}, By: ByContent, Width: mm(200)}, mm(3))
	rebate := mm(201.74)         // 200 + 3 × 0.577350269 = 200 + 1.73205…
	set := mm(15.02)             // 26 × 0.577350269 = 15.01110…
	long := rebate + 2*set       // 231.78
	sight := mm(201.74 - 2*3.47) // 6 × 0.577350269 = 3.46410…
	want := RingGeometry{
		Profile: "p", Shape: Shape{6}, Angle: 30 * Degree, Allowance: mm(3),
		Content: Opening{Width: mm(200)}, Rebate: Opening{Width: rebate}, Sight: Opening{Width: sight}, Outside: Opening{Width: long},
		Moulding: 6 * long,
	}
	for _, letter := range []string{"A", "B", "C", "D", "E", "F"} {
		want.Sides = append(want.Sides, Side{Letter: letter, LongPoint: long, Angle: 30 * Degree, Measure: rebate, Set: set})
	}
	if diff := cmp.Diff(want, g); diff != "" {
		t.Error(diff)
	}
}

// TestFlatsByHand: a hexagon of side 200 is 200 × √3 across, an octagon of side 100 is 100 × (1 + √2); 66.88 ÷ 0.131652498 = 508.004.
func TestFlatsByHand(t *testing.T) {
	for _, row := range []struct {
		sides        int
		side, across Length
	}{{6, mm(200), mm(346.41)}, {8, mm(100), mm(241.42)}, {24, mm(66.88), mm(508)}} {
		if got, ok := (Opening{Width: row.side}).Flats(Shape{row.sides}); !ok || got != row.across {
			t.Errorf("%d sides of %v: %v across flats, want %v", row.sides, row.side, got, row.across)
		}
	}
	for _, sides := range []int{3, 4, 5, 7} {
		if got, ok := (Opening{Width: mm(200)}).Flats(Shape{sides}); ok {
			t.Errorf("%d sides have %v across flats", sides, got)
		}
	}
}

// TestTwentyFourSidesByHand: 20" across with 1/4" of play. tan 7.5° = 0.131652498; content side 508 × tan = 66.8795 mm, play along it
// 6.35 × tan = 0.83599 mm, each rounded up: 66.88 and 0.84. So the play is 0.84 ÷ tan = 6.380 mm across; added along the side as it is,
// it was 6.35 ÷ tan = 48.23 mm, 1.90".
func TestTwentyFourSidesByHand(t *testing.T) {
	p := Profile{Name: "p", Width: Inch, Rebate: Inch / 4}
	g := mustRing(t, p, Size{Shape: Shape{24}, By: ByContent, Width: 20 * Inch, Across: true}, Inch/4)
	if content, rebate := mm(66.88), mm(67.72); g.Content.Width != content || g.Rebate.Width != rebate {
		t.Errorf("content side %v, rebate side %v, not %v and %v", g.Content.Width, g.Rebate.Width, content, rebate)
	}
}

// TestAllowanceIsAcross: the content has as much play across the frame as was asked for, and no more than what rounding the side up by
// a hundredth of a millimetre gives across, by whatever size the frame is given.
func TestAllowanceIsAcross(t *testing.T) {
	p := Profile{Name: "p", Width: Inch, Rebate: Inch / 4}
	for n := MinSides; n <= MaxSides; n++ {
		for _, by := range []Given{ByContent, ByRebate, BySight, ByOutside} {
			size := Size{Shape: Shape{n}, By: by, Width: timesTan(20*Inch, n)}
			if n == 4 {
				size.Height = 24 * Inch
			}
			g := mustRing(t, p, size, Inch/4)
			across := func(side Length) float64 { return float64(side) / math.Tan(math.Pi/float64(n)) } // twice the apothem
			play, rounding := across(g.Rebate.Width)-across(g.Content.Width), across(grain)
			if play < float64(Inch/4)-1 || play > float64(Inch/4)+rounding+1 {
				t.Errorf("%d sides by %s: play of %.3f mm across, not 6.35", n, by, play/1e6)
			}
			if n == 4 && (g.Rebate.Width-g.Content.Width != Inch/4 || g.Rebate.Height-g.Content.Height != Inch/4) {
				t.Errorf("a rectangle by %s: %v in %v", by, g.Content, g.Rebate)
			}
		}
	}
}

func TestRingRefuses(t *testing.T) {
	good := Profile{Name: "oak", Width: mm(32), Rebate: mm(6)}
	square := Size{Shape: rectangle, By: ByContent, Width: mm(200), Height: mm(200)}
	with := func(change func(*Size)) Size { s := square; change(&s); return s }
	for _, row := range []struct {
		name      string
		profile   Profile
		size      Size
		allowance Length
		column    string
		says      string
	}{
		{"rebate as wide as the profile", Profile{Name: "oak", Width: mm(32), Rebate: mm(32)}, square, 0, "rebate", "not less than its width"},
		{"rebate wider", Profile{Name: "oak", Width: mm(32), Rebate: mm(33)}, square, 0, "rebate", "not less than its width"},
		{"no width", Profile{Name: "oak"}, square, 0, "width", "a width of 0 mm"},
		{"absurd width", Profile{Name: "oak", Width: 2 * Metre}, square, 0, "width", "a width of 2000 mm"},
		{"two sides", good, with(func(s *Size) { s.Shape.Sides = 2 }), 0, "sides", "2 sides cannot be made"},
		{"twenty-five sides", good, with(func(s *Size) { s.Shape.Sides = 25 }), 0, "sides", "25 sides cannot be made"},
		{"given by nothing", good, with(func(s *Size) { s.By = 0 }), 0, "given_by", "not said what the frame is given by"},
		{"no width of the frame", good, with(func(s *Size) { s.Width = 0 }), 0, "width", "missing or nought"},
		{"no height", good, with(func(s *Size) { s.Height = 0 }), 0, "height", "missing or nought"},
		{"negative width", good, with(func(s *Size) { s.Width = -1 }), 0, "width", "not a length from 0"},
		{"negative height", good, with(func(s *Size) { s.Height = -1 }), 0, "height", "not a length from 0"},
		{"absurd width of the frame", good, with(func(s *Size) { s.Width = math.MaxInt64 }), 0, "width", "not a length from 0"},
		{"a kilometre of content", good, with(func(s *Size) { s.Width = MaxLength }), 0, "width", "longer than 1 km"},
		{"negative allowance", good, square, -1, "allowance", "the allowance"},
		{"hexagon with a height", good, with(func(s *Size) { s.Shape.Sides = 6 }), 0, "height", "one measure only"},
		{"square across flats with a height", good, with(func(s *Size) { s.Across = true }), 0, "height", "one measure only"},
		{"pentagon across flats", good, Size{Shape: Shape{5}, By: ByContent, Width: mm(200), Across: true}, 0, "across", "no distance across flats"},
		{"too little across flats", good, Size{Shape: Shape{6}, By: ByContent, Width: mm(10), Across: true}, 0, "across", "leaves no opening"},
		{"nothing across flats", good, Size{Shape: Shape{6}, By: ByContent, Across: true}, 0, "across", "missing or nought"},
		{"outside smaller than the profile", good, with(func(s *Size) { s.By, s.Width = ByOutside, mm(60) }), 0, "width", "leaves no opening"},
		{"content smaller than the lips", good, with(func(s *Size) { s.Height = mm(12) }), 0, "width", "leaves no opening"},
		{"allowance greater than the rebate size", good, with(func(s *Size) { s.By = ByRebate }), mm(200), "width", "leaves no opening"},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := row.profile.Ring(row.size, row.allowance, Millimetres)
			wantRefusal(t, err, row.says)
			if got := err.(*Error).Where.Column; got != row.column {
				t.Errorf("column %q, want %q", got, row.column)
			}
		})
	}
}

func TestNestedFrames(t *testing.T) {
	profiles := map[string]Profile{
		"liner": {Name: "liner", Width: mm(15), Rebate: mm(5)},
		"outer": {Name: "outer", Width: mm(40), Rebate: mm(8)},
	}
	find := func(name string) (Profile, bool) { p, ok := profiles[name]; return p, ok }
	frame := func(size Size) JobFrame {
		return JobFrame{ID: "1", Quantity: 1, Rings: []Ring{{Profile: "liner", Allowance: mm(3), Size: size}, {Profile: "outer", Allowance: mm(2)}}}
	}
	t.Run("rectangle", func(t *testing.T) {
		rings, err := frame(Size{Shape: rectangle, By: ByContent, Width: mm(400), Height: mm(500)}).Geometry(find)
		if err != nil {
			t.Fatal(err)
		}
		// Liner: rebate 403 × 503, outside + 2 (15 − 5) = 423 × 523. Outer: rebate 425 × 525, outside + 2 (40 − 8) = 489 × 589.
		if want := (Opening{mm(489), mm(589)}); len(rings) != 2 || rings[1].Outside != want {
			t.Errorf("got %+v, want an outside of %v", rings, want)
		}
	})
	t.Run("hexagon", func(t *testing.T) {
		rings, err := frame(Size{Shape: Shape{6}, By: BySight, Width: mm(200)}).Geometry(find)
		if err != nil {
			t.Fatal(err)
		}
		if rings[1].Content != rings[0].Outside || rings[1].Shape != rings[0].Shape || len(rings[1].Sides) != 6 {
			t.Errorf("the outer ring does not hold the inner: %+v", rings)
		}
	})
	refused := []struct {
		name   string
		change func(*JobFrame)
		says   string
	}{
		{"no ring", func(f *JobFrame) { f.Rings = nil }, "has 0 rings"},
		{"nine rings", func(f *JobFrame) { f.Rings = make([]Ring, MaxRings+1) }, "has 9 rings"},
		{"unknown profile", func(f *JobFrame) { f.Rings[1].Profile = "elm" }, "no profile “elm”"},
		{"outer ring with a size", func(f *JobFrame) { f.Rings[1].Size.Width = mm(1) }, "a size of its own"},
	}
	for _, row := range refused {
		t.Run(row.name, func(t *testing.T) {
			f := frame(Size{Shape: rectangle, By: ByContent, Width: mm(400), Height: mm(500)})
			row.change(&f)
			_, err := f.Geometry(find)
			wantRefusal(t, err, row.says)
		})
	}
}

// aRing draws a profile and a size that is large enough for it.
func aRing(t *rapid.T) (Profile, Size, Length) {
	p := Profile{Name: "p"}
	p.Width = Length(rapid.Int64Range(1, int64(mm(200))).Draw(t, "width"))
	p.Rebate = Length(rapid.Int64Range(0, int64(p.Width)-1).Draw(t, "rebate"))
	size := Size{
		Shape: Shape{rapid.IntRange(MinSides, MaxSides).Draw(t, "sides")},
		By:    Given(rapid.IntRange(int(ByContent), int(ByOutside)).Draw(t, "by")),
		Width: Length(rapid.Int64Range(int64(mm(1000)), int64(mm(9000))).Draw(t, "size")),
	}
	if size.Shape == rectangle {
		size.Height = Length(rapid.Int64Range(int64(mm(1000)), int64(mm(9000))).Draw(t, "height"))
	}
	return p, size, Length(rapid.Int64Range(0, int64(mm(10))).Draw(t, "allowance"))
}

func TestRingIsConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, size, allowance := aRing(t)
		g := mustRing(t, p, size, allowance)
		n := size.Shape.Sides
		given := map[Given]Opening{ByContent: g.Content, ByRebate: g.Rebate, BySight: g.Sight, ByOutside: g.Outside}[size.By]
		if given != (Opening{size.Width, size.Height}) {
			t.Fatalf("given by %s as %v, came out as %v", size.By, size, given)
		}
		// R = content + a t, rounded up by less than a grain.
		theta := math.Tan(math.Pi / float64(n))
		if n == 4 {
			theta = 1
		}
		for _, play := range []Length{g.Rebate.Width - g.Content.Width, max(g.Rebate.Height-g.Content.Height, g.Rebate.Width-g.Content.Width)} {
			if over := float64(play) - float64(allowance)*theta; over < -1e-3 || over > float64(grain) || n == 4 && over != 0 {
				t.Fatalf("rebate size %v is not content size %v and allowance %v", g.Rebate, g.Content, allowance)
			}
		}
		var sum Length
		for i, s := range g.Sides {
			measure, outside := g.Rebate.Width, g.Outside.Width
			if n == 4 && i%2 == 1 {
				measure, outside = g.Rebate.Height, g.Outside.Height
			}
			if s.Measure != measure || s.LongPoint != outside || s.Measure+2*s.Set != s.LongPoint {
				t.Fatalf("side %+v of %+v", s, g)
			}
			sum += s.LongPoint
		}
		// M = perimeter(R) + 2 n (w − r) t, and (w − r) t is rounded up by less than a grain.
		perimeter := Length(n) * g.Rebate.Width
		if n == 4 {
			perimeter = 2 * (g.Rebate.Width + g.Rebate.Height)
		}
		exact := 2 * float64(n) * float64(p.Width-p.Rebate) * math.Tan(math.Pi/float64(n))
		if over := float64(g.Moulding-perimeter) - exact; len(g.Sides) != n || g.Moulding != sum || over < -1 || over > float64(2*Length(n)*grain) {
			t.Fatalf("moulding %v is off by %.1f nm: %+v", g.Moulding, over, g)
		}
		// sight = outside − 2 w t: the two steps, each rounded up, take less than a grain more than the true width at each end.
		step := float64(g.Outside.Width-g.Sight.Width) - 2*float64(p.Width)*math.Tan(math.Pi/float64(n))
		if step < -1 || step > float64(4*grain) {
			t.Fatalf("outside less sight is off by %.1f nm: %+v", step, g)
		}
	})
}

func TestLongPointGrowsWithSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, size, allowance := aRing(t)
		larger := size
		larger.Width += Length(rapid.Int64Range(1, int64(mm(100))).Draw(t, "more"))
		a, b := mustRing(t, p, size, allowance), mustRing(t, p, larger, allowance)
		if a.Sides[0].LongPoint >= b.Sides[0].LongPoint || a.Moulding >= b.Moulding {
			t.Fatalf("size %v gives %v, size %v gives %v", size.Width, a.Sides[0].LongPoint, larger.Width, b.Sides[0].LongPoint)
		}
	})
}

func TestNestedRingsAreConsistent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inner, size, allowance := aRing(t)
		inner.Name = "inner"
		outer := Profile{Name: "outer", Width: mm(50), Rebate: mm(7)}
		f := JobFrame{Rings: []Ring{{Profile: "inner", Allowance: allowance, Size: size}, {Profile: "outer", Allowance: mm(2)}}}
		rings, err := f.Geometry(func(name string) (Profile, bool) {
			return map[string]Profile{"inner": inner, "outer": outer}[name], strings.HasSuffix(name, "er")
		})
		if err != nil {
			t.Fatal(err)
		}
		o := rings[0].Outside
		if diff := cmp.Diff(mustRing(t, outer, Size{Shape: size.Shape, By: ByContent, Width: o.Width, Height: o.Height}, mm(2)), rings[1]); diff != "" {
			t.Fatal(diff)
		}
	})
}

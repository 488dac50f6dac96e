package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"longpoint/model"
	"longpoint/model/plan"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

const dated = "2027-03-15"

// sourceOf makes ready to print a plan.
func sourceOf(t testing.TB, p planned, paper Paper) *Source {
	t.Helper()
	day, err := model.ParseDate(dated)
	if err != nil {
		t.Fatal(err)
	}
	s, err := NewSource(p.Workshop, p.Document, day, paper)
	if err != nil {
		t.Fatal(err)
	}
	s.Weeks = pastWeeks
	return s
}

// pastWeeks are invented.
var pastWeeks = []Week{{"2027-W06", 871_000}, {"2027-W07", 902_000}, {"2027-W08", 0}, {"2027-W09", 935_500}, {"2027-W10", 941_200}}

// plainLabels are labels on plain paper.
var plainLabels = LabelSheet{Rows: 8, Columns: 3, Width: 60 * mm, Height: 32 * mm, Left: 15 * mm, Top: 15 * mm, Start: 1}

// everyPiece makes all there is of a plan. Tickets need a workshop with jobs, and labels short names.
func everyPiece(t testing.TB, s *Source) (pieces []Piece) {
	t.Helper()
	for i := range s.Plan.Profiles {
		pieces = append(pieces, s.Cuts(i), s.Sticks(i))
	}
	tickets, err := s.Tickets()
	if err != nil {
		t.Fatal(err)
	}
	pieces = append(append(pieces, tickets...), s.Orders()...)
	summary, err := s.Summary()
	if err != nil {
		t.Fatal(err)
	}
	labels, err := s.Labels(plainLabels)
	if err != nil {
		t.Fatal(err)
	}
	return append(pieces, summary, labels)
}

// printed writes a piece as a PDF file and gives the file's name.
func printed(t *testing.T, p Piece) string {
	t.Helper()
	data, err := PDF(p.Title, p.Pages())
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "piece.pdf")
	write(t, name, data)
	return name
}

// lines reads a PDF file's text back, line by line as it lies on the page, blanks being one each.
func lines(t *testing.T, name string) (out []string) {
	t.Helper()
	text := need(t, "pdftotext")("-layout", "-enc", "UTF-8", name, "-")
	for line := range strings.Lines(text) {
		if line = strings.Join(strings.Fields(strings.ReplaceAll(line, "\f", " ")), " "); line != "" {
			out = append(out, line)
		}
	}
	return out
}

// cutLines gives the lines that a cut sheet must have, from the plan document alone: number, stick, stop, long point,
// measure + 2 × set, bites, letter, job, frame, what is left.
func cutLines(pp plan.ProfilePlan, unit model.Unit, several map[string]bool) (want []string) {
	if len(pp.Run.Cuts) == 0 {
		last := model.Length(-1)
		for i, s := range pp.Sticks { // as the sticks stand, with one stop
			left := s.Length - pp.HeadTrim
			for j, side := range s.Sides {
				left -= side.Takes
				if len(s.Damage) > 0 {
					left = s.Length - (side.Start + side.LongPoint + (side.Takes-side.LongPoint)/2)
				}
				pp.Run.Cuts = append(pp.Run.Cuts, plan.Cut{Stick: i, Side: j, Stop: 1, Placed: side.LongPoint != last, Left: left})
				last = side.LongPoint
			}
			if left != s.Left.Length && len(s.Damage) == 0 {
				want = append(want, fmt.Sprintf("the plan's own figure of what is left of %s is %s, not %s", s.ID, s.Left.Length, left))
			}
		}
	}
	show := func(l model.Length) string {
		return strings.TrimSuffix(strings.TrimSuffix(l.Near(unit), `"`), " "+unit.String())
	}
	for n, c := range pp.Run.Cuts {
		side := pp.Sticks[c.Stick].Sides[c.Side]
		stop := fmt.Sprint(c.Stop)
		if c.Placed {
			stop = "set " + stop
		}
		frame := side.Frame
		if several[side.Job+"/"+side.Frame] {
			frame += fmt.Sprintf(" no %d", side.Copy)
		}
		if side.Ring > 1 {
			frame += fmt.Sprintf(", ring %d", side.Ring)
		}
		set := side.Set.Rounded(unit)
		want = append(want, fmt.Sprintf("%d %d %s %s %s + 2 × %s %d %s %s %s %s", n+1, c.Stick+1, stop, show(side.LongPoint), show(side.LongPoint.Rounded(unit)-2*set), show(set),
			len(pp.Bites.Advances), side.Letter, side.Job, frame, show(c.Left)))
	}
	return want
}

// severalOf says of which frames there are several alike.
func severalOf(w *model.Workshop) map[string]bool {
	several := map[string]bool{}
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			if f.Quantity > 1 {
				several[j.ID+"/"+f.ID] = true
			}
		}
	}
	return several
}

var cutLine = regexp.MustCompile(`^\d+ \d+ (set )?\d+ .* \+ 2 × `)

// TestCutSheetSaysThePlan reads the cut sheets back from their PDF files, on both papers, and demands every cut of the plan
// document, with every number, in order, and no other.
func TestCutSheetSaysThePlan(t *testing.T) {
	for _, p := range bothShops(t) {
		for _, paper := range []Paper{A4, Letter} {
			cutSheetsSay(t, p, paper)
		}
	}
}

// cutSheetsSay demands of all cut sheets of a plan that they say it.
func cutSheetsSay(t *testing.T, p planned, paper Paper) {
	t.Helper()
	s := sourceOf(t, p, paper)
	for i, pp := range p.Document.Profiles {
		want := cutLines(pp, p.Workshop.Unit, severalOf(p.Workshop))
		var got []string
		for _, line := range lines(t, printed(t, s.Cuts(i))) {
			if cutLine.MatchString(line) {
				got = append(got, line)
			}
		}
		for n := range max(len(got), len(want)) {
			g, w := "nothing", "nothing"
			if n < len(got) {
				g = got[n]
			}
			if n < len(want) {
				w = want[n]
			}
			if g != w {
				t.Fatalf("%s, %s, %s: line %d says\n%s\nand the plan\n%s", p.Workshop.Name, paper.Name, pp.Name, n+1, g, w)
			}
		}
	}
}

// TestCutSheetCanBeWrong: the comparison sees a long point that is off by 0.1 mm.
func TestCutSheetCanBeWrong(t *testing.T) {
	p := demoPlan(t)
	pp := p.Document.Profiles[0]
	right := cutLines(pp, p.Workshop.Unit, severalOf(p.Workshop))
	pp.Sticks = slices.Clone(pp.Sticks)
	pp.Sticks[0].Sides = slices.Clone(pp.Sticks[0].Sides)
	pp.Sticks[0].Sides[0].LongPoint += mm / 10
	if slices.Equal(right, cutLines(pp, p.Workshop.Unit, severalOf(p.Workshop))) {
		t.Error("a long point that is off by 0.1 mm is not seen")
	}
}

// TestOtherPiecesSayThePlan reads orders, summary, tickets and what is left back from their PDF files.
func TestOtherPiecesSayThePlan(t *testing.T) {
	p := demoPlan(t)
	s := sourceOf(t, p, A4)
	money := func(m model.Money) string { return m.In(p.Workshop.Currency) }
	near := func(l model.Length) string { return Near(l, p.Workshop.Unit) }
	demand := func(what string, got []string, want ...string) {
		t.Helper()
		for _, w := range want {
			if !slices.ContainsFunc(got, func(line string) bool { return strings.Contains(line, w) }) {
				t.Errorf("%s: no line says %q\n%s", what, w, strings.Join(got, "\n"))
			}
		}
	}
	bought := func(b plan.Purchase) string {
		if b.Longest > 0 {
			return near(b.Length) + " or longer"
		}
		return near(b.Length)
	}
	sold := func(b plan.Purchase) string {
		switch n := b.Bundles(); {
		case b.Bundle == 0 && n == 1:
			return "1 stick"
		case b.Bundle == 0:
			return fmt.Sprintf("%d sticks", n)
		case n == 1:
			return fmt.Sprintf("1 bundle of %d", b.Bundle)
		default:
			return fmt.Sprintf("%d bundles of %d", n, b.Bundle)
		}
	}
	orders := s.Orders()
	suppliers := map[string][]string{}
	totals := map[string]model.Money{}
	for _, b := range p.Document.Buy {
		suppliers[b.Supplier] = append(suppliers[b.Supplier], fmt.Sprintf("%s %d %s %s %s %d %s", bought(b), b.Count, sold(b), money(b.Price), money(b.Cost), b.Spare, strings.Join(b.Jobs, " ")))
	}
	for _, o := range p.Document.Orders {
		totals[o.Supplier] = o.Total
	}
	if len(orders) != len(suppliers) {
		t.Fatalf("%d orders for %d suppliers", len(orders), len(suppliers))
	}
	for _, o := range orders {
		supplier := strings.TrimPrefix(o.Title, "Purchase order to ")
		demand(o.Title, lines(t, printed(t, o)), append(suppliers[supplier], money(totals[supplier]))...)
	}
	summary, err := s.Summary()
	if err != nil {
		t.Fatal(err)
	}
	got := lines(t, printed(t, summary))
	for _, pp := range append(p.Document.Profiles, plan.ProfilePlan{Name: "all", Figures: p.Document.Total.Figures, Bound: p.Document.Total.Bound,
		Grade: p.Document.Total.Grade, FirstFit: p.Document.Total.FirstFit}) {
		f, ff := pp.Figures, pp.FirstFit.Figures
		demand("summary", got, fmt.Sprintf("%s %d %d %d %s %s %s %s %d %s %s", pp.Name, f.Sides, f.RackSticks, f.NewSticks, money(f.Cost), money(pp.Bound), pp.Grade,
			percent(f), ff.Sticks(), money(ff.Cost), percent(ff)))
	}
	for _, j := range p.Document.Jobs {
		demand("summary", got, strings.Join(strings.Fields(fmt.Sprintf("%s %s %s %d %s", j.Job, j.Customer, j.Due, j.Sides, money(j.Cost))), " "))
	}
	for i, pp := range p.Document.Profiles {
		got := lines(t, printed(t, s.Cuts(i)))
		for n, stick := range pp.Sticks {
			becomes := map[string]string{plan.Kept: "offcut " + strings.TrimPrefix(stick.Left.ID, "offcut ") + ", back on the rack", plan.Waste: "waste", plan.Nothing: "nothing"}[stick.Left.Becomes]
			demand(pp.Name, got, fmt.Sprintf("%d %s %s %s %s %s", n+1, stick.ID, comesFrom(stick), near(stick.Length), near(stick.Left.Length), becomes))
		}
		for _, b := range p.Document.Buy {
			if b.Profile == pp.Name {
				demand(pp.Name, got, fmt.Sprintf("%s %s %d %s %s %s %d %s", b.Supplier, bought(b), b.Count, sold(b), money(b.Price), money(b.Cost), b.Spare, strings.Join(b.Jobs, " ")))
			}
		}
		if trim := strings.Join(got[:6], " "); !strings.Contains(trim, fmt.Sprintf("Moulding %s wide. %d sides from %d stick", pp.Width.Near(p.Workshop.Unit), pp.Figures.Sides, len(pp.Sticks))) ||
			!strings.Contains(trim, fmt.Sprintf("Trim %s off the head of every stick and leave %s at its tail", pp.HeadTrim.Near(p.Workshop.Unit), pp.TailTrim.Near(p.Workshop.Unit))) {
			t.Errorf("%s: the set-up says %s", pp.Name, trim)
		}
	}
	tickets, err := s.Tickets()
	if err != nil {
		t.Fatal(err)
	}
	if len(tickets) != len(p.Document.Jobs) {
		t.Fatalf("%d tickets for %d jobs", len(tickets), len(p.Document.Jobs))
	}
	jobs := map[string]model.Job{}
	for _, j := range p.Workshop.Jobs {
		jobs[j.ID] = j
	}
	cutNo := map[string]int{} // as the sticks stand
	for i, pp := range p.Document.Profiles {
		for n, c := range s.orders[i].cuts {
			cutNo[SideID(pp.Sticks[c.stick].Sides[c.side])] = n + 1
		}
	}
	for i, ticket := range tickets {
		got := lines(t, printed(t, ticket))
		for _, f := range jobs[p.Document.Jobs[i].Job].Frames {
			rings, err := f.Geometry(p.Workshop.ProfileByName)
			if err != nil {
				t.Fatal(err)
			}
			for n, r := range rings {
				sizes := fmt.Sprint(n + 1)
				for _, o := range []model.Opening{r.Content, r.Rebate, r.Sight, r.Outside} {
					if o.Height == 0 {
						sizes += " side " + near(o.Width)
					} else {
						sizes += " " + near(o.Width) + " × " + near(o.Height)
					}
				}
				demand(ticket.Title, got, sizes)
			}
		}
		for _, pp := range p.Document.Profiles {
			for _, stick := range pp.Sticks {
				for _, side := range stick.Sides {
					if side.Job == p.Document.Jobs[i].Job {
						demand(ticket.Title, got, fmt.Sprintf("(%d)", cutNo[SideID(side)]), fmt.Sprintf("%d %s %s %s", side.Ring, side.Letter, near(side.LongPoint), pp.Name), stick.ID)
					}
				}
			}
		}
	}
}

// TestLabelsSayThePlan: each label says its side's letter, long point, job, frame and profile, or its offcut's id and length.
func TestLabelsSayThePlan(t *testing.T) {
	p := demoPlan(t)
	s := sourceOf(t, p, A4)
	piece, err := s.Labels(plainLabels)
	if err != nil {
		t.Fatal(err)
	}
	labels, _ := piece.labels()
	n := 0
	next := func() (text string) {
		if n == len(labels.Items) {
			t.Fatalf("there are %d labels only", n)
		}
		for _, m := range labels.Items[n].Drawing.marks {
			if w, ok := m.(words); ok {
				text += w.Text + "\n"
			}
		}
		n++
		return text
	}
	for i, pp := range p.Document.Profiles {
		for k, c := range s.orders[i].cuts {
			stick := pp.Sticks[c.stick]
			side := stick.Sides[c.side]
			text := next()
			for _, want := range []string{side.Letter + " " + side.LongPoint.Near(p.Workshop.Unit) + "\n", "job " + side.Job + "\n", side.Frame, pp.Name} {
				if !strings.Contains(text, want) {
					t.Errorf("%s, cut %d: the label does not say %q:\n%s", pp.Name, k+1, want, text)
				}
			}
			if stick.Left.Becomes == plan.Kept && c.side == len(stick.Sides)-1 {
				text := next()
				for _, want := range []string{"offcut " + strings.TrimPrefix(stick.Left.ID, "offcut ") + "\n", stick.Left.Length.Near(p.Workshop.Unit) + "\n", pp.Name} {
					if !strings.Contains(text, want) {
						t.Errorf("%s: the label of an offcut does not say %q:\n%s", pp.Name, want, text)
					}
				}
			}
		}
	}
	if n != len(labels.Items) {
		t.Errorf("%d labels are printed and %d wanted", len(labels.Items), n)
	}
}

// TestTicketIsOnePage: each job of the demo goes on one page, and its diagonals are those of its outside.
func TestTicketIsOnePage(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		tickets, err := sourceOf(t, demoPlan(t), paper).Tickets()
		if err != nil {
			t.Fatal(err)
		}
		for _, ticket := range tickets {
			if n := len(ticket.Pages()); n != 1 {
				t.Errorf("%s, %s: %d pages", paper.Name, ticket.Title, n)
			}
		}
	}
}

// TestDiagonal: 3-4-5, a square's √2, a hexagon's twice its side, an octagon's side · √(4 + 2√2) (geometry); an odd frame has none.
func TestDiagonal(t *testing.T) {
	for _, c := range []struct {
		name string
		o    model.Opening
		n    int
		want model.Length
	}{
		{"3-4-5", model.Opening{Width: 300 * mm, Height: 400 * mm}, 4, 500 * mm},
		{"square", model.Opening{Width: 100 * mm, Height: 100 * mm}, 4, 141_420_000},
		{"hexagon", model.Opening{Width: 150 * mm}, 6, 300 * mm},
		{"octagon", model.Opening{Width: 100 * mm}, 8, 261_310_000},
	} {
		if got, ok := diagonal(c.o, c.n); !ok || got != c.want {
			t.Errorf("%s: %s, not %s", c.name, got, c.want)
		}
	}
	if _, ok := diagonal(model.Opening{Width: 100 * mm}, 5); ok {
		t.Error("a pentagon has a diagonal between opposite corners")
	}
}

// TestPagesAreWhole: on every page of every piece, on both papers, words stand apart and within the margins; each page
// says what it is, of when, and which of how many.
func TestPagesAreWhole(t *testing.T) {
	for name, p := range allPlans(t) {
		for _, paper := range []Paper{A4, Letter} {
			s := sourceOf(t, p, paper)
			var pieces []Piece
			if len(p.Workshop.Jobs) > 0 {
				pieces = everyPiece(t, s)
			} else {
				pieces = []Piece{s.Cuts(0), s.Sticks(0)}
			}
			for _, piece := range pieces {
				pages := piece.Pages()
				_, labels := piece.labels()
				for n, page := range pages {
					for _, wrong := range wordsOver(page) {
						t.Errorf("%s, %s, %s, page %d: %s", name, paper.Name, piece.Title, n+1, wrong)
					}
					if labels {
						continue
					}
					var all []string
					for _, m := range page.marks {
						if w, ok := m.(words); ok {
							all = append(all, w.Text)
							if _, y0, x1, y1 := w.extent(); w.At.X < margin-rounding || x1 > paper.Width-margin+rounding || y0 < margin-rounding && !w.Turned || y1 > paper.Height-margin+2 {
								t.Errorf("%s, %s, %s, page %d: %q stands in the margin", name, paper.Name, piece.Title, n+1, w.Text)
							}
						}
					}
					text := strings.Join(all, "\n")
					for _, want := range []string{fmt.Sprintf("page %d of %d", n+1, len(pages)), dated, strings.SplitN(piece.Title, ",", 2)[0]} {
						if !strings.Contains(text, want) {
							t.Errorf("%s, %s, %s, page %d does not say %q", name, paper.Name, piece.Title, n+1, want)
						}
					}
				}
			}
		}
	}
}

// TestNoCutIsParted: the cells of a row of the list of cuts are all on one page, however long the list.
func TestNoCutIsParted(t *testing.T) {
	s := sourceOf(t, fiveHundredSticks(), A4)
	seen := 0
	for n, page := range s.Cuts(0).Pages() {
		byLine := map[float64]int{}
		for _, m := range page.marks {
			if w, ok := m.(words); ok && strings.Contains(w.Text, " + 2 × ") && !strings.Contains(w.Text, "measure") {
				byLine[w.At.Y]++
				seen++
				if w.At.Y > A4.Height-margin {
					t.Errorf("page %d: a cut stands below the margin", n+1)
				}
			}
		}
		for y, count := range byLine {
			if count != 1 {
				t.Errorf("page %d: %d cuts on one line at %.1f mm", n+1, count, y)
			}
		}
	}
	if seen != 3000 {
		t.Errorf("%d cuts are on paper, not 3000", seen)
	}
}

// TestFewestPages holds random pieces against the fewest pages over all ways to break them, found by dynamic programming.
func TestFewestPages(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		s := &setter{piece: Piece{Paper: A4}, room: 30 + 80*r.Float64()}
		var all [][]slab // what stays together
		var group []slab
		heads := &slab{height: 3, lay: func(*Drawing, float64, float64) {}}
		for range 1 + r.IntN(40) {
			next := slab{height: 1 + 9*r.Float64(), gap: 2 * r.Float64(), keep: r.IntN(4) == 0, lay: func(*Drawing, float64, float64) {}}
			if r.IntN(2) == 0 {
				next.repeat = heads
			}
			if len(group) >= 1 {
				next.keep = false // two at most, so that they fit on a page
			}
			group = append(group, next)
			if !next.keep {
				all = append(all, group)
				group = nil
			}
			s.place(next)
		}
		s.flush()
		if len(group) > 0 {
			all = append(all, group)
		}
		if want := fewest(all, s.room); len(s.pages) != want {
			t.Fatalf("%d pages where %d do", len(s.pages), want)
		}
	}
}

// fewest is the least number of pages on which groups go in order.
func fewest(all [][]slab, room float64) int {
	best := make([]int, len(all)+1) // for the first so many groups
	for end := 1; end <= len(all); end++ {
		best[end] = len(all) + 1
		for start := 0; start < end; start++ {
			used := 0.0
			for k, group := range all[start:end] {
				for n, s := range group {
					top := k == 0 && n == 0
					if top && s.repeat != nil {
						used += s.repeat.height
					}
					if !top || s.repeat != nil {
						used += s.gap
					}
					used += s.height
				}
			}
			if used <= room+rounding {
				best[end] = min(best[end], best[start]+1)
			}
		}
	}
	return best[len(all)]
}

// TestPDFIsValid: every kind of piece passes qpdf's check, all fonts are embedded and map to Unicode, and the text of names
// in Latin and Cyrillic comes out again.
func TestPDFIsValid(t *testing.T) {
	qpdf, fonts := need(t, "qpdf"), need(t, "pdffonts")
	s := sourceOf(t, demoPlan(t), A4)
	tickets, err := s.Tickets()
	if err != nil {
		t.Fatal(err)
	}
	summary, err := s.Summary()
	if err != nil {
		t.Fatal(err)
	}
	labels, err := s.Labels(plainLabels)
	if err != nil {
		t.Fatal(err)
	}
	cyrillic := sourceOf(t, extremes()["Cyrillic"], Letter).Cuts(0)
	odd := sourceOf(t, handmade(30*mm, 1200*mm, 4, "漢字 😀 (\\) \x00", "a\u202eb", 300*mm), A4).Cuts(0)
	for _, piece := range []Piece{s.Cuts(0), tickets[0], s.Orders()[0], summary, labels, cyrillic, odd} {
		name := printed(t, piece)
		if out := qpdf("--check", name); !strings.Contains(out, "No syntax or stream encoding errors found") {
			t.Errorf("%s: qpdf says\n%s", piece.Title, out)
		}
		table := strings.Split(strings.TrimSpace(fonts(name)), "\n")
		for _, font := range table[2:] {
			f := strings.Fields(font)
			if emb, uni := f[len(f)-5], f[len(f)-3]; emb != "yes" || uni != "yes" {
				t.Errorf("%s: a font is not embedded, or not Unicode: %s", piece.Title, font)
			}
		}
		if len(table) < 3 {
			t.Errorf("%s has no fonts", piece.Title)
		}
	}
	text := strings.Join(lines(t, printed(t, cyrillic)), "\n")
	for _, want := range []string{"Заказ 17", "Ўзбекча"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q cannot be read back from\n%s", want, text)
		}
	}
}

// TestPDFIsTheSame: the same plan gives the same bytes.
func TestPDFIsTheSame(t *testing.T) {
	s := sourceOf(t, demoPlan(t), A4)
	var first []byte
	for range 3 {
		data, err := PDF("x", s.Cuts(0).Pages())
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = data
		}
		if string(first) != string(data) {
			t.Fatal("the same plan gives another file")
		}
	}
}

// TestStopByStop: in an order that sets each stop once and takes sticks up again, the list is parted by settings, and says of
// each cut which stick.
func TestStopByStop(t *testing.T) {
	p := handmade(30*mm, 3000*mm, 4, "101", "print", 500*mm, 400*mm, 500*mm, 400*mm)
	s := sourceOf(t, p, A4)
	s.orders[0] = order{name: "stop by stop", stops: 2, cuts: []cut{{0, 0, 1, true, 2466 * mm}, {0, 2, 1, false, 1962 * mm}, {0, 1, 2, true, 1558 * mm}, {0, 3, 2, false, 1154 * mm}}}
	var got []string
	for _, r := range s.cutTable(0).Rows {
		got = append(got, strings.TrimSpace(strings.Join(r.Cells, " ")))
	}
	want := []string{"Set stop 1 to 500 mm", "1 1: R1 set 1 500 452 + 2 × 24 1 A 101 print 2466", "2 1: R1 1 500 452 + 2 × 24 1 C 101 print 1962",
		"Set stop 2 to 400 mm", "3 1: R1 set 2 400 352 + 2 × 24 1 B 101 print 1558", "4 1: R1 2 400 352 + 2 × 24 1 D 101 print 1154"}
	if !slices.Equal(got, want) {
		t.Errorf("the list says\n%s\nnot\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if text := s.howToRead(0); !strings.Contains(text, "stop by stop, with 2 settings") {
		t.Error(text)
	}
}

// TestGoldenPages holds one page of each piece against pictures that somebody has looked at.
func TestGoldenPages(t *testing.T) {
	p := handPlan()
	s := sourceOf(t, p, A4)
	tickets, err := s.Tickets()
	if err != nil {
		t.Fatal(err)
	}
	labels, err := s.Labels(plainLabels)
	if err != nil {
		t.Fatal(err)
	}
	summary, err := s.Summary()
	if err != nil {
		t.Fatal(err)
	}
	pieces := map[string]Piece{"cuts": s.Cuts(0), "labels": labels, "order": s.Orders()[0], "summary": summary}
	for _, ticket := range tickets {
		pieces[ticket.File] = ticket
	}
	for _, name := range slices.Sorted(maps.Keys(pieces)) {
		golden(t, name, pieces[name].Pages()[0])
	}
}

// decoded renders a PDF file of labels at 300 dots per inch, cuts the labels apart as its user would, and reads each one's
// code; sorted.
func decoded(t *testing.T, piece Piece) []string {
	t.Helper()
	return decodedFrom(t, printed(t, piece), piece)
}

// decodedFrom does that with a PDF file of a piece's labels, whoever made it.
func decodedFrom(t *testing.T, pdf string, piece Piece) []string {
	t.Helper()
	const dpi = 300
	render, read := need(t, "pdftoppm"), need(t, "zbarimg")
	dir := filepath.Dir(pdf)
	render("-gray", "-r", fmt.Sprint(dpi), pdf, filepath.Join(dir, "page"))
	names, err := filepath.Glob(filepath.Join(dir, "page-*.pgm"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	slices.Sort(names)
	var pages []*image.Gray
	for _, name := range names {
		pages = append(pages, readPGM(t, name))
	}
	labels, _ := piece.labels()
	args := []string{"--quiet", "--raw", "--nodbus", "-Sdisable", "-Sqrcode.enable"}
	dots := func(mm float64) int { return int(mm / 25.4 * dpi) }
	for n, item := range labels.Items {
		sheet, at := labels.Sheet.place(n)
		r := image.Rect(dots(at.X), dots(at.Y), dots(at.X+item.Drawing.Width), dots(at.Y+item.Drawing.Height))
		var data bytes.Buffer
		if err := png.Encode(&data, pages[sheet].SubImage(r)); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, fmt.Sprintf("label-%d.png", n))
		write(t, name, data.Bytes())
		args = append(args, name)
	}
	ids := strings.Fields(read(args...))
	slices.Sort(ids)
	return ids
}

// labelIDs gives the ids that a plan's labels must carry, sorted.
func labelIDs(d *plan.Document) (ids []string) {
	for _, pp := range d.Profiles {
		for _, stick := range pp.Sticks {
			for _, side := range stick.Sides {
				ids = append(ids, SideID(side))
			}
			if stick.Left.Becomes == plan.Kept {
				ids = append(ids, StickID(stick.Left.ID))
			}
		}
	}
	slices.Sort(ids)
	return ids
}

// TestCodesDecode: another program reads every label's code back to its side's or offcut's id: of the demo on common labels,
// and on the smallest labels that are printed at all, where a square of the code is three dots.
func TestCodesDecode(t *testing.T) {
	t.Run("demo", func(t *testing.T) {
		p := demoPlan(t)
		p.Document = &plan.Document{Format: plan.Format, Workshop: p.Document.Workshop, Unit: p.Document.Unit, Currency: p.Document.Currency, Profiles: p.Document.Profiles[:1]}
		labels, err := sourceOf(t, p, A4).Labels(plainLabels)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := decoded(t, labels), labelIDs(p.Document); !slices.Equal(got, want) {
			t.Errorf("%d codes are read, and %d labels printed:\n%s\nnot\n%s", len(got), len(want), strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	})
	t.Run("smallest", func(t *testing.T) {
		p := extremes()["sixty sides"]
		sheet := LabelSheet{Rows: 10, Columns: 6, Width: 30 * mm, Height: 3 * mm, Left: 10 * mm, Top: 10 * mm, Across: mm, Down: 5 * mm, Start: 1}
		var labels Piece
		var err error
		for ; ; sheet.Height += mm / 10 {
			if labels, err = sourceOf(t, p, A4).Labels(sheet); err == nil {
				break
			}
			if sheet.Height > 15*mm {
				t.Fatalf("no label under 15 mm is printed: %v", err)
			}
		}
		t.Logf("the smallest label is 30 × %s", sheet.Height)
		if got, want := decoded(t, labels), labelIDs(p.Document); !slices.Equal(got, want) {
			t.Errorf("%d codes are read, and %d labels printed", len(got), len(want))
		}
	})
	t.Run("Cyrillic", func(t *testing.T) {
		p := extremes()["Cyrillic"]
		sheet := plainLabels
		sheet.Width, sheet.Columns = 90*mm, 2
		labels, err := sourceOf(t, p, A4).Labels(sheet)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := decoded(t, labels), labelIDs(p.Document); !slices.Equal(got, want) {
			t.Errorf("read %q, not %q", got, want)
		}
	})
}

// TestSideIDs: no two sides of any plan have one id, even where names hold the signs that part them.
func TestSideIDs(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range []plan.Side{
		{SideID: model.SideID{Job: "a/b", Frame: "c", Copy: 1, Ring: 1, Letter: "A"}}, {SideID: model.SideID{Job: "a", Frame: "b/c", Copy: 1, Ring: 1, Letter: "A"}},
		{SideID: model.SideID{Job: "a", Frame: "b", Copy: 1, Ring: 11, Letter: "A"}}, {SideID: model.SideID{Job: "a", Frame: "b", Copy: 11, Ring: 1, Letter: "A"}}, {SideID: model.SideID{Job: "a%2Fb", Frame: "c", Copy: 1, Ring: 1, Letter: "A"}},
	} {
		if id := SideID(s); seen[id] {
			t.Errorf("two sides have the id %s", id)
		} else {
			seen[id] = true
		}
	}
}

// TestLabelsInOrder: labels are drawn side by side, and still come in the order of the cuts, an offcut's behind the last side of
// its stick; of several that are too small, the first is named each time.
func TestLabelsInOrder(t *testing.T) {
	s := sourceOf(t, handPlan(), A4)
	var want []string
	for _, c := range s.orders[0].cuts { // stick by stick
		stick := s.Plan.Profiles[0].Sticks[c.stick]
		want = append(want, SideID(stick.Sides[c.side]))
		for _, r := range remaindersOf(s.Plan.Profiles[0], stick) {
			if c.side == len(stick.Sides)-1 && r.Becomes == plan.Kept {
				want = append(want, r.ID)
			}
		}
	}
	for range 5 {
		piece, err := s.Labels(plainLabels)
		if err != nil {
			t.Fatal(err)
		}
		labels, _ := piece.labels()
		var got []string
		for _, item := range labels.Items {
			_, id, _ := strings.Cut(item.Alt, "Code: ")
			got = append(got, id)
		}
		if !slices.Equal(got, want) {
			t.Fatalf("the labels come as %v, not as %v", got, want)
		}
		small := plainLabels
		small.Height = 5 * mm
		if _, err := s.Labels(small); err == nil || !strings.Contains(err.Error(), want[0]) {
			t.Fatalf("labels of 5 mm: %v", err)
		}
	}
}

// TestLabelSheets: labels lie where the user measured, and what does not fit on the paper is refused.
func TestLabelSheets(t *testing.T) {
	l := LabelSheet{Rows: 4, Columns: 2, Width: 90 * mm, Height: 50 * mm, Left: 12 * mm, Top: 20 * mm, Across: 6 * mm, Down: 4 * mm, Start: 4}
	for _, c := range []struct {
		n, sheet int
		at       Point
	}{{0, 0, Point{108, 74}}, {1, 0, Point{12, 128}}, {4, 0, Point{108, 182}}, {5, 1, Point{12, 20}}} {
		if sheet, at := l.place(c.n); sheet != c.sheet || at != c.at {
			t.Errorf("label %d is at %v on sheet %d, not at %v on %d", c.n, at, sheet, c.at, c.sheet)
		}
	}
	if err := l.check(A4); err != nil {
		t.Error(err)
	}
	for name, spoil := range map[string]func(*LabelSheet){
		"too wide": func(l *LabelSheet) { l.Across = 19 * mm }, "too high": func(l *LabelSheet) { l.Rows = 6 }, "no rows": func(l *LabelSheet) { l.Rows = 0 },
		"start beyond": func(l *LabelSheet) { l.Start = 9 }, "start before": func(l *LabelSheet) { l.Start = 0 }, "no width": func(l *LabelSheet) { l.Width = 0 },
		"negative": func(l *LabelSheet) { l.Top = -mm }, "far too many": func(l *LabelSheet) { l.Columns = 1 << 40 },
	} {
		bad := l
		spoil(&bad)
		if err := bad.check(A4); err == nil {
			t.Errorf("%s: it is not refused", name)
		}
	}
}

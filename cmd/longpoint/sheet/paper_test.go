package sheet

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"maps"
	"math"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/plan"
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
var plainLabels = LabelSheet{PlainLabels, 1}

// everyPiece makes all there is of a plan. Tickets need a workshop with jobs, and labels short names.
func everyPiece(t testing.TB, s *Source) (pieces []Piece) {
	t.Helper()
	for i := range s.Plan.Profiles {
		pieces = append(pieces, s.Cuts(i), s.Sticks(i))
	}
	tickets, err := s.Tickets(4)
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

// cutLines gives the lines that a cut sheet must have, from the plan document alone: number, stick where the order goes stop by
// stop, stop, long point, measure + 2 × set, letter, job, frame, what is left.
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
	bare := func(text string) string {
		return strings.TrimSuffix(strings.TrimSuffix(text, `"`), " "+unit.String())
	}
	for n, c := range pp.Run.Cuts {
		side := pp.Sticks[c.Stick].Sides[c.Side]
		stop := fmt.Sprint(c.Stop)
		if c.Placed {
			stop = "set " + stop
		}
		if pp.Run.Order == plan.StopByStop {
			stop = fmt.Sprintf("%d: %s %s", c.Stick+1, pp.Sticks[c.Stick].ID, stop)
		}
		frame := side.Frame
		if several[side.Job+"/"+side.Frame] {
			frame += fmt.Sprintf(" no %d", side.Copy)
		}
		if side.Ring > 1 {
			frame += fmt.Sprintf(", ring %d", side.Ring)
		}
		long := side.LongPoint + mm/10 - 1 // up to a tenth of a millimetre
		long -= long % (mm / 10)
		set := side.Set.Rounded(unit)
		letter := side.Letter
		if slices.ContainsFunc(pp.Sticks, func(s plan.Stick) bool {
			return slices.ContainsFunc(s.Sides, func(other plan.Side) bool { return other.Angle != 45*model.Degree })
		}) {
			letter += fmt.Sprintf(" %d", side.Angle/model.Degree)
			if half := side.Angle % model.Degree; half != 0 {
				letter += ".5" // of an octagon; the demo has no other
			}
			letter += "°"
		}
		want = append(want, fmt.Sprintf("%d %s %s %s + 2 × %s %s %s %s %s", n+1, stop, bare(long.In(unit)), bare((long-2*set).In(unit)), bare(set.In(unit)),
			letter, side.Job, frame, bare(c.Left.Near(unit))))
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

var cutLine = regexp.MustCompile(`^\d+ (\d+: .* )?(set )?\d+ .* \+ 2 × `)

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

// said fails where none of the lines says what is wanted.
func said(t *testing.T, what string, got []string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !slices.ContainsFunc(got, func(line string) bool { return strings.Contains(line, w) }) {
			t.Errorf("%s: no line says %q\n%s", what, w, strings.Join(got, "\n"))
		}
	}
}

// TestCutSheetSaysTheSticks: besides its cuts the cut sheet says of each stick where it comes from and what of it is kept, and how
// the machine is set.
func TestCutSheetSaysTheSticks(t *testing.T) {
	p := demoPlan(t)
	s := sourceOf(t, p, A4)
	kept := 0
	for i, pp := range p.Document.Profiles {
		got := lines(t, printed(t, s.Cuts(i)))
		for n, stick := range pp.Sticks {
			said(t, pp.Name, got, fmt.Sprintf("Stick %d of %d: %s · %s · %s", n+1, len(pp.Sticks), stick.ID, comesFrom(plan.ProfilePlan{}, stick, ""), lengthOf(stick, p.Workshop.Unit)))
			for _, left := range stick.Lefts() {
				if left.Becomes == plan.Kept {
					kept++
					said(t, pp.Name, got, fmt.Sprintf("Keep of %s: offcut %s, %s, back on the rack", stick.ID, strings.TrimPrefix(left.ID, "offcut "), left.Length.InToFit(p.Workshop.Unit)))
				}
			}
		}
		if mine, _ := p.Workshop.ProfileByName(pp.Name); mine.SetUp != "" {
			said(t, pp.Name, got, "Set up: "+mine.SetUp)
		}
		text := strings.Join(got, " ")
		for _, want := range []string{fmt.Sprintf("%d sides from %d sticks", pp.Figures.Sides, len(pp.Sticks)), fmt.Sprintf("Moulding %s wide", pp.Width.Near(p.Workshop.Unit)),
			fmt.Sprintf("trim %s off each head, leave %s at the tail", pp.HeadTrim.InToCut(p.Workshop.Unit), pp.TailTrim.InToCut(p.Workshop.Unit)),
			fmt.Sprintf("%d bites a cut", pp.Bites.Strokes), "Mind the blades", "cut fingers as easily as moulding"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: the set-up does not say %q", pp.Name, want)
			}
		}
	}
	if kept == 0 {
		t.Error("nothing is kept in the demo, so that nothing of it is tried")
	}
}

// TestCutSheetsTogether: on one piece with all profiles each page says which are on it, and every cut stands there once.
func TestCutSheetsTogether(t *testing.T) {
	p := demoPlan(t)
	s := sourceOf(t, p, A4)
	var want []string
	for _, pp := range p.Document.Profiles {
		want = append(want, cutLines(pp, p.Workshop.Unit, severalOf(p.Workshop))...)
	}
	var got []string
	for _, line := range lines(t, printed(t, s.Cuts())) {
		if cutLine.MatchString(line) {
			got = append(got, line)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("the sheets say %d cuts, and the plan %d", len(got), len(want))
	}
	names := map[string]string{} // of profiles, by their headings
	for _, pp := range p.Document.Profiles {
		names[titled(pp.Name, pp.Title)] = pp.Name
	}
	now := ""
	for n, page := range s.Cuts().Pages() {
		title, on := "", map[string]bool{}
		for _, m := range page.marks {
			w, ok := m.(words)
			switch {
			case !ok:
			case w.Size == titleSize:
				title = w.Text
			case names[w.Text] != "":
				now = names[w.Text]
				on[now] = true
			case w.Size == listSize && now != "":
				on[now] = true
			}
		}
		if len(on) == 0 {
			t.Errorf("page %d has nothing on it", n+1)
		}
		for name := range on {
			if !strings.Contains(title, name) {
				t.Errorf("page %d has something of %s, and its title is %q", n+1, name, title)
			}
		}
	}
}

// TestListIsRead: the list of cuts is set in 12 points at least.
func TestListIsRead(t *testing.T) {
	s := sourceOf(t, demoPlan(t), A4)
	seen := 0
	for _, page := range s.Cuts(0).Pages() {
		for _, m := range page.marks {
			if w, ok := m.(words); ok && strings.Contains(w.Text, " + 2 × ") && !strings.Contains(w.Text, "measure") {
				if seen++; w.Size < 12*point {
					t.Errorf("%q is set in %.1f points", w.Text, w.Size/point)
				}
			}
		}
	}
	if seen != s.Plan.Profiles[0].Figures.Sides {
		t.Errorf("%d cuts were seen", seen)
	}
}

// TestDemoInHalfThePages: the demo's week took 73 pages when each job had one of its own and sticks were drawn behind the list.
func TestDemoInHalfThePages(t *testing.T) {
	const before = 73
	s := sourceOf(t, demoPlan(t), A4)
	s.Weeks = nil
	tickets, err := s.Tickets(4)
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
	pages := 0
	for _, piece := range append(append(tickets, s.Orders()...), s.Cuts(), labels, summary) {
		pages += len(piece.Pages())
	}
	if pages > before/2 {
		t.Errorf("%d pages", pages)
	}
	t.Logf("%d pages", pages)
}

// TestOrdersSayThePlan reads orders back from their PDF files: every line with article, sum, address, terms, number, and nothing
// that is the shop's own.
func TestOrdersSayThePlan(t *testing.T) {
	p := demoPlan(t)
	s := sourceOf(t, p, A4)
	money := func(m model.Money) string { return m.In(p.Workshop.Currency) }
	near := func(l model.Length) string { return Near(l, p.Workshop.Unit) }
	want := map[string][]string{
		"Invented Supplies North": {"To From", "1 Example Quay", "00000 North Nowhere", "3 Example Lane", blank, "least order 120.00 EUR", "expected by 2027-03-18"},
		"Invented Supplies South": {"2 Example Yard", "least order 6 sticks", "expected by 2027-03-20", blank},
		"Invented Sawmill East":   nil,
	}
	lineOf := map[string]int{}
	for _, b := range p.Document.Buy {
		lineOf[b.Supplier]++
		length, sold, title := near(b.Length), "single sticks", ""
		if b.Longest > 0 {
			length += " to " + near(b.Longest)
		}
		if b.Bundle > 0 {
			sold = fmt.Sprintf("%s of %d", count(b.Bundles(), "bundle", "bundles"), b.Bundle)
		}
		if profile, _ := p.Workshop.ProfileByName(b.Profile); profile.Title != "" {
			title = ", " + profile.Title
		}
		article := ""
		for _, o := range p.Workshop.Offers {
			if o.Supplier == b.Supplier && o.Profile == b.Profile && o.Length == b.Length && o.Price == b.Price && o.Article != "" {
				article = o.Article + " "
			}
		}
		want[b.Supplier] = append(want[b.Supplier], fmt.Sprintf("%d %s%s%s %s %d %s %s %s", lineOf[b.Supplier], article, b.Profile, title, length, b.Count, sold, money(b.Price), money(b.Cost)))
	}
	for _, o := range p.Document.Orders {
		want[o.Supplier] = append(want[o.Supplier], money(o.Total))
	}
	orders := s.Orders()
	if len(orders) != len(lineOf) || len(orders) < 3 {
		t.Fatalf("%d orders for %d suppliers", len(orders), len(lineOf))
	}
	i := 0
	for _, b := range p.Document.Buy {
		if b.Supplier != p.Document.Buy[0].Supplier && orders[i].File != fileName("order", b.Supplier) {
			i++
		}
		got := lines(t, printed(t, orders[i]))
		said(t, b.Supplier, got, append(want[b.Supplier], b.Supplier)...)
		text := strings.Join(got, "\n")
		for _, internal := range append(slices.Clone(b.Jobs), "plan", "proven", "open", "bound", "left over", "for jobs", "due up to", "counted against") {
			if regexp.MustCompile(`(^|\s)` + regexp.QuoteMeta(internal) + `(\s|$)`).MatchString(text) {
				t.Errorf("the order to %s says %q:\n%s", b.Supplier, internal, text)
			}
		}
	}
}

// TestSummarySaysThePlan reads the summary back, with plots of past weeks and without a word of them where there are none.
func TestSummarySaysThePlan(t *testing.T) {
	p := demoPlan(t)
	s := sourceOf(t, p, A4)
	money := func(m model.Money) string { return m.In(p.Workshop.Currency) }
	summary, err := s.Summary()
	if err != nil {
		t.Fatal(err)
	}
	got := lines(t, printed(t, summary))
	for _, pp := range append(p.Document.Profiles, plan.ProfilePlan{Name: "all", Figures: p.Document.Total.Figures, Bound: p.Document.Total.Bound,
		Grade: p.Document.Total.Grade, FirstFit: p.Document.Total.FirstFit}) {
		f, ff := pp.Figures, pp.FirstFit.Figures
		said(t, "summary", got, fmt.Sprintf("%s %d %d %d %s %s %s %s %d %s %s", pp.Name, f.Sides, f.RackSticks, f.NewSticks, money(f.Cost), money(pp.Bound), pp.Grade,
			percent(f), ff.Sticks(), money(ff.Cost), percent(ff)))
	}
	for _, j := range p.Document.Jobs {
		said(t, "summary", got, strings.Join(strings.Fields(fmt.Sprintf("%s %s %s %d %s", j.Job, j.Customer, j.Due, j.Sides, money(j.Cost))), " "))
	}
	said(t, "summary", got, "Yield over weeks")
	s.Weeks = nil
	if summary, err = s.Summary(); err != nil {
		t.Fatal(err)
	}
	if text := strings.Join(lines(t, printed(t, summary)), "\n"); strings.Contains(strings.ToLower(text), "week ") || strings.Contains(text, "weeks") {
		t.Errorf("there are no past weeks, and the summary speaks of them:\n%s", text)
	}
}

// ticketOf makes a piece of one job's ticket.
func ticketOf(t *testing.T, s *Source, job model.Job, perPage int) Piece {
	t.Helper()
	card, err := s.ticket(job, perPage)
	if err != nil {
		t.Fatal(err)
	}
	return Piece{File: "ticket", Title: "Ticket " + job.ID, Paper: s.Paper, Blocks: []Block{Cards{PerPage: perPage, Cards: []Card{card}}}}
}

// written gives the words of a piece in the order in which they are laid down, a page or field after the other.
func written(p Piece) string {
	var all []string
	for _, page := range p.Pages() {
		for _, m := range page.marks {
			if w, ok := m.(words); ok {
				all = append(all, w.Text)
			}
		}
	}
	return strings.Join(strings.Fields(strings.Join(all, " ")), " ")
}

// upTo and downTo round a size to tenths of a millimetre.
func upTo(o model.Opening) model.Opening {
	return downTo(model.Opening{Width: o.Width + mm/10 - 1, Height: o.Height + min(o.Height, mm/10-1)})
}

func downTo(o model.Opening) model.Opening {
	return model.Opening{Width: o.Width - o.Width%(mm/10), Height: o.Height - o.Height%(mm/10)}
}

// TestTicketsSayThePlan reads each job's ticket back: sizes, what goes in, every side with its stick and cut number, when it is due.
func TestTicketsSayThePlan(t *testing.T) {
	p := demoPlan(t)
	s := sourceOf(t, p, A4)
	near := func(l model.Length) string { return Near(l, p.Workshop.Unit) }
	size := func(o model.Opening) string {
		if o.Height == 0 {
			return "side " + near(o.Width)
		}
		return near(o.Width) + " × " + near(o.Height)
	}
	tickets, err := s.Tickets(4)
	if err != nil {
		t.Fatal(err)
	}
	if cards := tickets[0].Blocks[0].(Cards).Cards; len(tickets) != 1 || len(cards) != len(p.Document.Jobs) {
		t.Fatalf("%d pieces with %d tickets for %d jobs", len(tickets), len(cards), len(p.Document.Jobs))
	}
	from := map[string][]string{} // by job: "R7 A 3"
	for i, pp := range p.Document.Profiles {
		for n, c := range s.orders[i].cuts {
			stick := pp.Sticks[c.stick]
			side := stick.Sides[c.side]
			from[side.Job] = append(from[side.Job], fmt.Sprintf("%s %s %d", stick.ID, side.Letter, n+1))
		}
	}
	for _, job := range p.Workshop.Jobs {
		got := written(ticketOf(t, s, job, 4))
		want := []string{"Job " + job.ID, "due " + job.Due.String(), job.Customer, job.Note, "glass, mount, backing: 2 mm less", "Mind the blades"}
		for _, f := range job.Frames {
			rings, err := f.Geometry(p.Workshop.ProfileByName)
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range rings {
				want = append(want, size(downTo(r.Content)), size(r.Rebate), size(r.Sight), size(upTo(r.Outside)), r.Profile)
			}
			inner := rings[0].Content
			inner.Width -= 2 * mm
			if n := rings[0].Shape.Sides; n == 4 {
				inner.Height -= 2 * mm
				want = append(want, size(downTo(inner))+" mm")
			} else {
				across := float64(rings[0].Content.Width)/math.Tan(math.Pi/float64(n)) - 2e6 // less 2 mm from side to side opposite
				want = append(want, fmt.Sprintf("side %.1f mm", math.Floor(across*math.Tan(math.Pi/float64(n))/1e5)/10))
			}
		}
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("the ticket of job %s does not say %q:\n%s", job.ID, w, got)
			}
		}
		if missing := notFrom(got, from[job.ID]); len(missing) > 0 && !strings.Contains(got, "more of each") {
			t.Errorf("the ticket of job %s does not say where sides come from: %v\n%s", job.ID, missing, got)
		}
	}
}

// notFrom gives those of "R7 A 3" that a text such as "R7: A 3 5, C 4; R8: A 15" does not say.
func notFrom(text string, want []string) (missing []string) {
	there := map[string]bool{}
	for _, stick := range regexp.MustCompile(`((?:new |offcut )?[A-Z]?\d+): ((?:[A-X](?: \d+)+(?:, )?)+)`).FindAllStringSubmatch(text, -1) {
		for _, letter := range strings.Split(stick[2], ", ") {
			fields := strings.Fields(letter)
			for _, number := range fields[min(1, len(fields)):] {
				there[stick[1]+" "+fields[0]+" "+number] = true
			}
		}
	}
	for _, w := range want {
		if !there[w] {
			missing = append(missing, w)
		}
	}
	return missing
}

// TestNoClearance: where no clearance is set, the ticket gives the content size and says that it does.
func TestNoClearance(t *testing.T) {
	p := handPlan()
	p.Workshop.Defaults.Clearance = 0
	s := sourceOf(t, p, A4)
	got := written(ticketOf(t, s, p.Workshop.Jobs[0], 4))
	rings, err := p.Workshop.Jobs[0].Frames[0].Geometry(p.Workshop.ProfileByName)
	if err != nil {
		t.Fatal(err)
	}
	content := rings[0].Content
	if want := fmt.Sprintf("glass, mount, backing: content size %s × %s", Near(content.Width, s.unit), content.Height.Near(s.unit)); !strings.Contains(got, want) {
		t.Errorf("it does not say %q: %s", want, got)
	}
}

// TestCardsAreWhole: tickets of every size lie within their fields, on both papers, none over another, and each job is there once.
func TestCardsAreWhole(t *testing.T) {
	for name, p := range map[string]planned{"demo": demoPlan(t), "by hand": handPlan()} {
		for _, paper := range []Paper{A4, Letter} {
			s := sourceOf(t, p, paper)
			for _, perPage := range model.TicketsAPage() {
				tickets, err := s.Tickets(perPage)
				if err != nil {
					t.Fatal(err)
				}
				jobs := map[string]int{}
				for n, page := range tickets[0].Pages() {
					for _, wrong := range wordsOver(page) {
						t.Errorf("%s, %s, %d a page, page %d: %s", name, paper.Name, perPage, n+1, wrong)
					}
					for _, m := range page.marks {
						w, ok := m.(words)
						if !ok {
							continue
						}
						if job, found := strings.CutPrefix(w.Text, "Job "); found && w.Size == cardTitle && !strings.Contains(job, " (2 of") {
							jobs[job]++
						}
						wide, high := Cards{PerPage: perPage}.size(paper)
						x0, y0, x1, y1 := w.extent()
						field := func(at, size float64) int { return int((at - cardEdge) / size) }
						if field(x0, wide) != field(x1, wide) || field(y0, high) != field(y1-0.2, high) || x0 < cardEdge || x1 > paper.Width-cardEdge {
							t.Errorf("%s, %s, %d a page, page %d: %q goes over the edge of its field", name, paper.Name, perPage, n+1, w.Text)
						}
					}
				}
				if len(jobs) != len(p.Document.Jobs) {
					t.Errorf("%s, %s, %d a page: tickets of %d jobs, not %d", name, paper.Name, perPage, len(jobs), len(p.Document.Jobs))
				}
			}
		}
	}
}

// TestCardsArePacked: a card that needs two fields has them side by side, one that needs more has pages to itself, and what is left
// over is filled by those after it.
func TestCardsArePacked(t *testing.T) {
	var taken [][]bool
	for n, c := range []struct{ need, page, first int }{{1, 0, 0}, {2, 0, 2}, {4, 1, 0}, {1, 0, 1}, {2, 2, 0}, {1, 2, 2}, {4, 3, 0}} {
		page, first := freeFields(&taken, c.need, 4)
		if page != c.page || first != c.first {
			t.Errorf("card %d goes to page %d, field %d", n, page, first)
		}
		for i := range c.need {
			taken[page][first+i] = true
		}
	}
}

// TestRoll: on a roll each label is a page of its own size.
func TestRoll(t *testing.T) {
	s := sourceOf(t, handPlan(), A4)
	piece, err := s.Labels(LabelSheet{model.LabelSheet{Roll: true, Width: 70 * mm, Height: 30 * mm, Columns: 7}, 5})
	if err != nil {
		t.Fatal(err)
	}
	labels, _ := piece.labels()
	pages := piece.Pages()
	if len(pages) != len(labels.Items) || len(pages) < 20 {
		t.Errorf("%d pages for %d labels", len(pages), len(labels.Items))
	}
	for _, page := range pages {
		if page.Width != 70 || page.Height != 30 {
			t.Errorf("a page is %v × %v mm", page.Width, page.Height)
		}
	}
	if html := string(HTML("labels", piece)); !strings.Contains(html, "@page piece0{size:70mm 30mm;margin:0}") {
		t.Error("the browser is not told how large a label is")
	}
}

// TestLabelsSayThePlan: each label says its side's letter, long point, job, day due, whole customer, frame and profile, or its offcut's id and length.
func TestLabelsSayThePlan(t *testing.T) {
	p := demoPlan(t)
	s := sourceOf(t, p, A4)
	piece, err := s.Labels(plainLabels)
	if err != nil {
		t.Fatal(err)
	}
	labels, _ := piece.labels()
	due, customer := map[string]string{}, map[string]string{}
	for _, j := range p.Workshop.Jobs {
		due[j.ID], customer[j.ID] = j.Due.String(), j.Customer
	}
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
			text, lot := next(), ""
			profile, _ := p.Workshop.ProfileByName(pp.Name)
			job := slices.IndexFunc(p.Workshop.Jobs, func(j model.Job) bool { return j.ID == side.Job })
			if p.Workshop.MatchOf(p.Workshop.Jobs[job], profile) == model.MatchLot {
				lot = stick.Lot
			} else if strings.Contains(text, " · lot ") {
				t.Errorf("%s, cut %d: the label says which lot, and nothing is matched by it:\n%s", pp.Name, k+1, text)
			}
			for _, want := range []string{side.Letter + " " + side.LongPoint.InToCut(p.Workshop.Unit) + "\n", "job " + side.Job + "\n", side.Frame, pp.Name,
				fmt.Sprintf("cut %d · %s", k+1, stick.ID), "due " + due[side.Job], customer[side.Job] + "\n", lot} {
				if !strings.Contains(text, want) {
					t.Errorf("%s, cut %d: the label does not say %q:\n%s", pp.Name, k+1, want, text)
				}
			}
			if stick.Left.Becomes == plan.Kept && c.side == len(stick.Sides)-1 {
				text := next()
				for _, want := range []string{"offcut " + strings.TrimPrefix(stick.Left.ID, "offcut ") + "\n", stick.Left.Length.Near(p.Workshop.Unit) + "\n", pp.Name, stick.Lot} {
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
				_, cards := piece.Blocks[0].(Cards)
				for n, page := range pages {
					for _, wrong := range wordsOver(page) {
						t.Errorf("%s, %s, %s, page %d: %s", name, paper.Name, piece.Title, n+1, wrong)
					}
					if labels || cards { // TestCardsAreWhole
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
		s := newSetter(A4.Width, A4.Height, spot{0, 0, A4.Width, 30 + 80*r.Float64()})
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
		if want := fewest(all, s.at.height); len(s.pages) != want {
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
	tickets, err := s.Tickets(4)
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
	s.orders[0] = order{name: "stop by stop", stops: 2, cuts: []cut{{0, 0, 1, true, 2466 * mm, 1, ""}, {0, 2, 1, false, 1962 * mm, 2, ""}, {0, 1, 2, true, 1558 * mm, 3, ""}, {0, 3, 2, false, 1154 * mm, 4, ""}}}
	var got []string
	for _, r := range s.cutTable(0, nil).Rows {
		got = append(got, strings.TrimSpace(strings.Join(r.Cells, " ")))
	}
	want := []string{"Set stop 1 to 500 mm", "1 1: R1 set 1 500 452 + 2 × 24 A 101 print 2466", "2 1: R1 1 500 452 + 2 × 24 C 101 print 1962",
		"Set stop 2 to 400 mm", "3 1: R1 set 2 400 352 + 2 × 24 B 101 print 1558", "4 1: R1 2 400 352 + 2 × 24 D 101 print 1154",
		"Keep of R1: offcut 7, 1154 mm, back on the rack"}
	if !slices.Equal(got, want) {
		t.Errorf("the list says\n%s\nnot\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if text := s.setting(0); !strings.Contains(text, "stop by stop, 2 settings") {
		t.Error(text)
	}
}

// TestGoldenPages holds one page of each piece against pictures that somebody has looked at.
func TestGoldenPages(t *testing.T) {
	p := handPlan()
	s := sourceOf(t, p, A4)
	tickets, err := s.Tickets(4)
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
		sheet := LabelSheet{model.LabelSheet{Rows: 10, Columns: 6, Width: 30 * mm, Height: 3 * mm, Left: 10 * mm, Top: 10 * mm, Across: mm, Down: 5 * mm}, 1}
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

// TestLeftOf: a run that goes on with what is left of one of its sticks says where that is, and that it does not go back on the rack.
func TestLeftOf(t *testing.T) {
	p := handPlan()
	pp := &p.Document.Profiles[0]
	for i := range pp.Sticks {
		if pp.Sticks[i].Left.Becomes == plan.Kept {
			next := (i + 1) % len(pp.Sticks)
			pp.Sticks[next].From, pp.Sticks[next].Place, pp.Sticks[next].Supplier = plan.FromRack, "bay A", ""
			pp.Sticks[next].ID = pp.Sticks[i].Left.ID
			text := ""
			for _, page := range sourceOf(t, p, A4).Cuts(0).Pages() {
				for _, m := range page.marks {
					if w, ok := m.(words); ok {
						text += w.Text + "\n"
					}
				}
			}
			of := pp.Sticks[i].ID
			if want := pp.Sticks[next].ID + " · what is left of " + of; !strings.Contains(text, want) || strings.Contains(text, "bay A") {
				t.Errorf("it does not say %q, or that the piece is on the rack:\n%s", want, text)
			}
			if want := "What is left of " + of + ", "; !strings.Contains(text, want) || strings.Contains(text, "Keep of "+of) {
				t.Errorf("it does not say %q:\n%s", want, text)
			}
			return
		}
	}
	t.Fatal("nothing is kept")
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
	l := LabelSheet{model.LabelSheet{Rows: 4, Columns: 2, Width: 90 * mm, Height: 50 * mm, Left: 12 * mm, Top: 20 * mm, Across: 6 * mm, Down: 4 * mm}, 4}
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

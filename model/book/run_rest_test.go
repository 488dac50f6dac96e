package book

import (
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/runs"
	"longpoint/model/stock"

	"github.com/google/go-cmp/cmp"
)

// tables gives what stands in a book's tables but for the history.
func tables(t *testing.T, b *Book) string {
	t.Helper()
	var text strings.Builder
	must(t, b.read(t.Context(), func(tx *transaction) error {
		all, err := tablesIn(tx.ctx, tx.tx)
		if err != nil {
			return err
		}
		for _, tb := range all {
			text.WriteString(tb.name + "\n")
			if err := tx.each("SELECT concat_ws('|', "+strings.Replace(tb.names(), "marked", "marked > 0", 1)+") FROM "+tb.name+" ORDER BY id", nil, func(scan func(...any) error) error {
				var row string
				err := scan(&row)
				text.WriteString(row + "\n")
				return err
			}); err != nil {
				return err
			}
		}
		return nil
	}))
	return text.String()
}

// happen makes changes that are mishaps in a run, which then goes over to a plan of its rest: the one that is given, or a new one. There is none
// where the rest cannot be cut.
func happen(t *testing.T, b *Book, run int64, again *plan.Document, changes ...Change) (remade Remade, d *plan.Document) {
	t.Helper()
	rest, err := b.RunRest(t.Context(), run, changes...)
	must(t, err)
	if d = again; d == nil {
		r, err := planner.Remake(t.Context(), rest.Workshop, rest.Plan, rest.Events, planner.Options{MadeWith: "test", TimeLimit: 300 * time.Millisecond, AtMachine: &rest.AtMachine})
		if e := (*model.Error)(nil); errors.As(err, &e) && e.Kind == model.CannotCut {
			_, err = b.Do(t.Context(), tester, changes...)
			must(t, err)
			return remade, nil
		}
		must(t, err)
		d = r.Plan
	}
	_, err = b.Do(t.Context(), tester, append(slices.Clone(changes), GoOver(rest, d, func(m Remade) { remade = m }))...)
	must(t, err)
	return remade, d
}

// mishapShop is a shop of one profile with random jobs, a rack and one offer.
func mishapShop(g *rand.Rand) *model.Workshop {
	mm := model.Millimetre
	w := smallShop()
	w.Suppliers, w.Jobs, w.Rack = nil, nil, nil
	w.Profiles = w.Profiles[:1]
	oak := &w.Profiles[0]
	oak.OffcutShare, w.Defaults.OffcutShare = model.OptionalShare{}, 0 // searches for offcuts that are worth something take long
	oak.Match, oak.Repeat, oak.Keep = "", []model.Length{0, 0, 12 * mm}[g.IntN(3)], []model.Length{0, 300 * mm, 500 * mm}[g.IntN(3)]
	w.Machine.Limits.Stops = 1 + g.IntN(2)
	w.Machine.Limits.StopGap = model.OptionalLength{Length: model.Length(g.IntN(3)) * 60 * mm, Given: true}
	oak.TailTrim = []model.Length{0, 45 * mm}[g.IntN(2)]
	w.Offers = []model.Offer{{Supplier: "Invented Timber", Profile: oak.Name, Length: 3 * model.Metre, Bundle: 1, From: 1, Price: 2100}}
	for n := range 2 + g.IntN(4) {
		s := model.Stick{ID: fmt.Sprintf("S%d", n+1), Profile: oak.Name, Length: model.Length(600+g.IntN(2400)) * mm}
		if g.IntN(4) == 0 {
			from := model.Length(g.IntN(500)) * mm
			s.Damage = []model.Span{{From: from, To: from + model.Length(1+g.IntN(60))*mm}}
		}
		w.Rack = append(w.Rack, s)
	}
	for n := range 2 + g.IntN(3) {
		size := model.Size{Shape: model.Shape{Sides: 4}, By: model.ByOutside, Width: model.Length(250+10*g.IntN(40)) * mm, Height: model.Length(250+10*g.IntN(40)) * mm}
		w.Jobs = append(w.Jobs, model.Job{ID: fmt.Sprintf("J%d", n+1), Match: []model.Match{"", "", model.MatchPair}[g.IntN(3)], Frames: []model.JobFrame{{ID: "f", Quantity: 1 + g.IntN(2),
			Rings: []model.Ring{{Profile: oak.Name, Size: size}}}}})
	}
	return w
}

var mishaps = flag.Int("mishaps", 25, "how many random runs TestRunsWithMishaps cuts")

// TestRunsWithMishaps cuts random runs in which sides are torn and sticks turn out flawed, shorter or missing, and demands after each step that the
// book is sound, that undoing it gives the tables before, and that the run holds together.
func TestRunsWithMishaps(t *testing.T) {
	if testing.Short() {
		*mishaps = 8
	}
	tally := map[string]int{}
	for seed := range *mishaps {
		cutWithMishaps(t, uint64(seed), tally)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	t.Logf("%v", tally)
	for _, what := range []string{"done", "torn", "flawed", "shorter", "missing", "remade twice", "kept marks", "offcut used", "taken in", "half cut", "set by a twin"} {
		if tally[what] == 0 && !testing.Short() {
			t.Errorf("no run had anything %s", what)
		}
	}
}

func cutWithMishaps(t *testing.T, seed uint64, tally map[string]int) {
	g := rand.New(rand.NewPCG(seed, 11))
	ctx := t.Context()
	path := filepath.Join(t.TempDir(), "shop.book")
	must(t, Create(ctx, path, func(b *Book) error { return b.Fill(ctx, mishapShop(g), tester) }))
	b := openBook(t, path)
	b.Now = func() time.Time { return time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC) }
	keepPlan(t, b, planOf(t, b))
	orders := placeOrders(t, b, 0, true)
	for _, o := range orders {
		if g.IntN(3) > 0 { // else the run waits for it
			receive(t, b, o.ID, Receipt{})
		}
	}
	r, _, err := b.StartRun(ctx, "oak-40", 0, tester)
	if err != nil {
		return // nothing is here
	}
	remade := 0
	for range 40 {
		r, err = b.Run(ctx, r.ID)
		must(t, err)
		holdRun(t, b, r)
		d, err := b.RunDocument(ctx, r.ID)
		must(t, err)
		holdStops(t, d, tally)
		if g.IntN(8) == 0 {
			arrive(t, b, g, tally)
			continue
		}
		op, mishap, changes := randomHappening(g, r)
		if changes == nil {
			break
		}
		before := tables(t, b)
		var rest *plan.Document
		do := func() {
			if !mishap {
				_, err := b.Do(ctx, tester, changes...)
				must(t, err)
				return
			}
			was, err := b.RunDocument(ctx, r.ID)
			must(t, err)
			var m Remade
			if m, rest = happen(t, b, r.ID, rest, changes...); rest != nil {
				now, err := b.RunDocument(ctx, r.ID)
				must(t, err)
				holdMarks(t, was, now, m, tally)
				holdLeastSettings(t, now, tally)
				if remade++; remade > 1 {
					tally["remade twice"]++
				}
			}
		}
		do()
		after := tables(t, b)
		_, err = b.Undo(ctx, 0, tester)
		must(t, err)
		if tables(t, b) != before {
			t.Fatalf("undoing %s leaves something", op)
		}
		do()
		if tables(t, b) != after {
			t.Fatalf("%s done again gives something else:\n%s", op, cmp.Diff(after, tables(t, b)))
		}
		sound(t, b)
		tally[op]++
	}
	finishWithMishaps(t, b, r.ID)
}

// arrive receives what is to come of some order, or orders what the plan of the rest wants, and has the run take in what it waited for.
func arrive(t *testing.T, b *Book, g *rand.Rand, tally map[string]int) {
	t.Helper()
	open, err := b.OpenRuns(t.Context())
	must(t, err)
	r, err := b.Run(t.Context(), open[0].ID)
	must(t, err)
	if r.Rest != 0 && g.IntN(2) == 0 {
		placeOrders(t, b, r.Rest, true)
	}
	orders, err := b.Purchases(t.Context(), true)
	must(t, err)
	if len(orders) > 0 {
		receive(t, b, orders[g.IntN(len(orders))].ID, Receipt{})
	}
	here := 0
	if r, err = b.Run(t.Context(), r.ID); err != nil {
		t.Fatal(err)
	}
	for _, a := range r.Waiting {
		if a.Here {
			here++
		}
	}
	hand, next := inHandAndNext(t, b, r.ID)
	now, fresh, err := b.StartRun(t.Context(), r.Profile, 0, tester)
	must(t, err)
	if _, after := inHandAndNext(t, b, r.ID); hand == next && after != next {
		t.Errorf("%s is half cut, and once sticks have come %s is next", hand, after)
	} else if here > 0 && hand == next && hand != "" {
		tally["half cut"]++
	}
	if fresh != (here > 0) || len(now.Waiting) != len(r.Waiting)-here {
		t.Errorf("%d of %d awaited sticks are here, and then %d are awaited", here, len(r.Waiting), len(now.Waiting))
	}
	if here > 0 {
		tally["taken in"]++
	}
	sound(t, b)
}

// inHandAndNext gives the stick that was cut last in a run, and the one that is cut next.
func inHandAndNext(t *testing.T, b *Book, run int64) (hand, next string) {
	t.Helper()
	d, err := b.RunDocument(t.Context(), run)
	must(t, err)
	last := int64(0)
	for _, s := range d.Runs[0].Sticks {
		for _, side := range s.Sides {
			if side.Told > last {
				last, hand = side.Told, s.Stick
			}
		}
	}
	pp := d.Plan.Profiles[0]
	for _, c := range pp.Run.Cuts {
		if d.Became[0][c.Stick][c.Side] == runs.ToCut {
			return hand, pp.Sticks[c.Stick].ID
		}
	}
	return hand, ""
}

// randomHappening makes up what happens next in a run; nothing when all is cut.
func randomHappening(g *rand.Rand, r runs.Run) (op string, mishap bool, changes []Change) {
	var sticks []runs.Stick
	for _, s := range r.Sticks {
		if len(s.ToCut()) > 0 {
			sticks = append(sticks, s)
		}
	}
	if len(sticks) == 0 {
		return "", false, nil
	}
	s := sticks[g.IntN(len(sticks))]
	var toCut []int
	for _, side := range s.ToCut() {
		toCut = append(toCut, side.Place)
	}
	g.Shuffle(len(toCut), func(i, j int) { toCut[i], toCut[j] = toCut[j], toCut[i] })
	some := toCut[:1+g.IntN(len(toCut))]
	end, cut := s.CutEnd(), s.Begun()
	switch k := g.IntN(12); {
	case k < 6:
		return "done", false, []Change{CutSides(r.ID, s.Number, some, runs.Done)}
	case k < 8:
		return "torn", true, []Change{CutSides(r.ID, s.Number, some[:1], []string{runs.Torn, runs.Short}[g.IntN(2)])}
	case k == 8 && end+2 < s.Length:
		from := end + model.Length(g.Int64N(int64(s.Length-end-1)))
		return "flawed", true, []Change{FlawStick(r.ID, s.Number, model.Span{From: from, To: min(s.Length, from+30*model.Millimetre)}, "knot")}
	case k == 9:
		return "flawed", true, []Change{FlawStick(r.ID, s.Number, model.Span{}, "")}
	case k == 10:
		if least := max(end, s.Length-200*model.Millimetre); least < s.Length {
			return "shorter", true, []Change{ShortenStick(r.ID, s.Number, least+model.Length(g.Int64N(int64(s.Length-least))))}
		}
	case !cut:
		return "missing", true, []Change{LoseStick(r.ID, s.Number)}
	}
	return "done", false, []Change{CutSides(r.ID, s.Number, some, runs.Done)}
}

// holdRun demands of a run that each of its sides is to be cut once or is done, under a number of its own, and that what is to be cut lies on its stick.
func holdRun(t *testing.T, b *Book, r runs.Run) {
	t.Helper()
	d, err := b.RunDocument(t.Context(), r.ID)
	must(t, err)
	numbers := map[int]bool{}
	once := map[model.SideID]string{}
	pp := d.Plan.Profiles[0]
	for n, c := range pp.Run.Cuts {
		no := pp.Run.Number(n)
		became := d.Became[0][c.Stick][c.Side]
		id := pp.Sticks[c.Stick].Sides[c.Side].SideID
		if numbers[no] {
			t.Errorf("two cuts are called no %d", no)
		}
		numbers[no] = true
		if was, twice := once[id]; twice && became != runs.Torn && became != runs.Short && became != runs.PutOff {
			t.Errorf("%s is %s and %s", id, was, became)
		} else if became != runs.Torn && became != runs.Short && became != runs.PutOff {
			once[id] = became
		}
	}
	for _, s := range r.Sticks {
		var took model.Length
		for _, side := range s.Sides {
			if side.Place <= s.Earlier {
				took += side.As.Takes
			}
		}
		if s.State == "open" && s.Gone < took {
			t.Errorf("%s is shorter by %s, and what earlier plans had cut from it took %s", s.Stick, s.Gone, took)
		}
	}
	for i, s := range pp.Sticks {
		at := model.Length(0)
		for k, side := range s.Sides {
			from, to := side.Slot().From, side.Slot().To
			if from < at || to > s.Length {
				t.Errorf("%s: side %d lies from %s to %s of %s", s.ID, k+1, from, to, s.Length)
			}
			at = to
			for _, damage := range s.Damage {
				if d.Became[0][i][k] == runs.ToCut && damage.From < to && damage.To > from {
					t.Errorf("%s: side %d, from %s to %s, lies on damage from %s to %s", s.ID, k+1, from, to, damage.From, damage.To)
				}
			}
		}
	}
}

// holdStops follows the stops through what is still to be cut of a run, with sums of its own: a stop that is not set stands at the length, two never stand
// nearer than the machine lets them, and where equal sides of a frame come from two settings the later one is set by a side that is cut by then.
func holdStops(t *testing.T, d *runs.Document, tally map[string]int) {
	t.Helper()
	pp, gap := d.Plan.Profiles[0], d.Workshop.Machine.Limits.StopGap.Length
	type setting struct {
		plan.SideKind
		no int
	}
	type twins struct {
		ring model.SideID
		long model.Length
	}
	from := map[twins]map[string]int{} // by letter: the setting that a side was cut from
	stand, settings := map[int]setting{}, 0
	place := func(stop int, side plan.Side) {
		for n, other := range stand {
			if apart := max(other.LongPoint-side.LongPoint, side.LongPoint-other.LongPoint); apart == 0 || apart < gap {
				delete(stand, n)
			}
		}
		settings++
		stand[stop] = setting{side.Kind(), settings}
	}
	cut := func(stop int, side plan.Side) {
		e := twins{side.OfRing(), side.LongPoint}
		if from[e] == nil {
			from[e] = map[string]int{}
		}
		from[e][side.Letter] = stand[stop].no
	}
	type told struct {
		runs.Side
		stop int
	}
	var was []told
	stops := map[int]int{} // by number of the cut
	for n, c := range pp.Run.Cuts {
		stops[pp.Run.Number(n)] = c.Stop
	}
	for _, side := range d.Runs[0].Sides() {
		if side.IsCut() {
			was = append(was, told{side, stops[side.No]})
		}
	}
	slices.SortFunc(was, func(a, b told) int { return int(a.Told - b.Told) })
	for _, s := range was {
		if stand[s.stop].SideKind != s.As.Kind() {
			place(s.stop, s.As)
		}
		if s.Became == runs.Done {
			cut(s.stop, s.As)
		}
	}
	for _, c := range pp.Run.Cuts {
		side := pp.Sticks[c.Stick].Sides[c.Side]
		if d.Became[0][c.Stick][c.Side] != runs.ToCut {
			continue
		}
		if c.Placed && stand[c.Stop].SideKind != side.Kind() {
			place(c.Stop, side)
		}
		at, stands := stand[c.Stop]
		if !stands || at.SideKind != side.Kind() {
			t.Errorf("%s: stop %d is said to stand at %s and does not", side.SideID, c.Stop, side.LongPoint)
			continue
		}
		here, other := false, ""
		for letter, no := range from[twins{side.OfRing(), side.LongPoint}] {
			here = here || no == at.no
			if no != at.no {
				other += letter
			}
		}
		switch {
		case here && c.By != "":
			t.Errorf("%s: set by side %s, and an equal was cut from this setting", side.SideID, c.By)
		case !here && other != "" && (c.By == "" || !strings.Contains(other, c.By)):
			t.Errorf("%s: its equals %s were cut from another setting, and it is set by %q", side.SideID, other, c.By)
		case !here && other == "" && c.By != "":
			t.Errorf("%s: set by side %s, which is not cut", side.SideID, c.By)
		case c.By != "":
			tally["set by a twin"]++
		}
		cut(c.Stop, side)
	}
}

// holdMarks demands that a stick that is not said to be changed is marked out as it was, and that what stays on its stick keeps its number.
func holdMarks(t *testing.T, was, now *runs.Document, m Remade, tally map[string]int) {
	t.Helper()
	type mark struct {
		stick string
		no    int
	}
	marked := func(d *runs.Document, spoilt map[string]bool) (marks map[model.SideID]mark, sticks map[string]string, kept map[string]string) {
		marks, sticks, kept = map[model.SideID]mark{}, map[string]string{}, map[string]string{}
		pp := d.Plan.Profiles[0]
		no := map[[2]int]int{}
		for n, c := range pp.Run.Cuts {
			no[[2]int{c.Stick, c.Side}] = pp.Run.Number(n)
		}
		for i, s := range pp.Sticks {
			for k, side := range s.Sides {
				if d.Became[0][i][k] == runs.ToCut && !spoilt[s.ID+side.SideID.String()] {
					marks[side.SideID] = mark{s.ID, no[[2]int{i, k}]}
					sticks[s.ID] += fmt.Sprintf("%s no %d; ", side.SideID, no[[2]int{i, k}])
				}
			}
			for _, l := range s.Lefts() {
				if l.Becomes == plan.Kept {
					kept[s.ID] += fmt.Sprintf("%s %d; ", l.ID, l.Length)
				}
			}
		}
		return marks, sticks, kept
	}
	times := map[string]int{}
	for by, d := range map[int]*runs.Document{1: now, -1: was} {
		for i, s := range d.Plan.Profiles[0].Sticks {
			for k, side := range s.Sides {
				if became := d.Became[0][i][k]; became == runs.Torn || became == runs.Short {
					times[s.ID+side.SideID.String()] += by
				}
			}
		}
	}
	spoilt := map[string]bool{} // by this step
	for which, n := range times {
		spoilt[which] = n > 0
	}
	a, before, keptBefore := marked(was, spoilt)
	z, after, keptAfter := marked(now, nil)
	for id, to := range z {
		if from, there := a[id]; there && from.stick == to.stick && from.no != to.no {
			t.Errorf("%s stays on %s and was no %d and is %d", id, to.stick, from.no, to.no)
		}
	}
	for i, s := range now.Plan.Profiles[0].Sticks {
		hand := slices.IndexFunc(now.Runs[0].Sticks, func(h runs.Stick) bool { return h.Stick == s.ID })
		if s.From != plan.FromRack || now.Runs[0].Sticks[hand].State == "cut" { // of which an offcut is in hand
			continue
		}
		changed := slices.Contains(m.Changed, s.ID)
		for k, side := range s.Sides {
			had, there := a[side.SideID]
			same := there && had == z[side.SideID]
			if m.Labels > 0 && now.Became[0][i][k] == runs.ToCut && !same && !now.Anew[0][i][k] { // of the others some have changed before
				t.Errorf("%s of %s: its label is not said to be new, and it was %+v and is %+v", side.SideID, s.ID, had, z[side.SideID])
			}
		}
		if !changed && !slices.Contains(m.Left, s.ID) && (before[s.ID] != after[s.ID] || keptBefore[s.ID] != keptAfter[s.ID]) {
			t.Errorf("%s was marked out as\n%s%s\nand is as\n%s%s\nand is not said to be changed", s.ID, before[s.ID], keptBefore[s.ID], after[s.ID], keptAfter[s.ID])
		}
		if !changed && after[s.ID] != "" {
			tally["kept marks"]++
		}
	}
	for _, s := range now.Runs[0].Sticks {
		if s.State == "cut" {
			tally["offcut used"]++
		}
	}
}

// holdLeastSettings demands of a rest that was just planned, where it is of few sticks that are cut one after another and all here, that no other order of these
// sticks has fewer settings from the stops as they stand: neither among all orders, where the stick in the machine is not to be finished, nor among those that
// finish it first; and it is finished first, unless equal sides of a frame would then be cut from two settings.
func holdLeastSettings(t *testing.T, d *runs.Document, tally map[string]int) {
	t.Helper()
	type cut struct {
		stop int
		plan.Side
	}
	pp := d.Plan.Profiles[0]
	var sticks []string
	cuts := map[string][]cut{}
	for _, c := range pp.Run.Cuts {
		switch name := pp.Sticks[c.Stick].ID; {
		case d.Became[0][c.Stick][c.Side] == runs.Waits:
			return
		case d.Became[0][c.Stick][c.Side] != runs.ToCut:
		case len(cuts[name]) > 0 && sticks[len(sticks)-1] != name:
			return
		default:
			if cuts[name] == nil {
				sticks = append(sticks, name)
			}
			cuts[name] = append(cuts[name], cut{c.Stop, pp.Sticks[c.Stick].Sides[c.Side]})
		}
	}
	hand := d.Runs[0].InHand()
	if len(sticks) < 2 || len(sticks) > 5 || pp.Run.Order != plan.StickByStick {
		return
	}
	settings := func(order []string) (n int, ok bool) {
		stand, from := d.Stand[0].Clone(), map[string]int{}
		for _, name := range order {
			for _, c := range cuts[name] {
				tie := fmt.Sprint(c.OfRing(), c.Kind())
				placed, _ := stand.Cut(c.stop, c.Side)
				if placed {
					n++
					from[fmt.Sprint(c.stop)] = n
				}
				if was, there := from[tie]; there && was != from[fmt.Sprint(c.stop)] {
					return 0, false // equal sides of a frame from two settings
				}
				from[tie] = from[fmt.Sprint(c.stop)]
			}
		}
		return n, true
	}
	got, ok := settings(sticks)
	if !ok {
		return
	}
	least, of := got, sticks
	var all func(done, left []string)
	if at := slices.Index(sticks, hand); at > 0 { // only where every order that begins with it cuts equal sides of a frame from two settings
		tally["laid aside"]++
		var handFirst func(done, left []string)
		handFirst = func(done, left []string) {
			if _, ok := settings(done); ok && len(left) == 0 {
				t.Errorf("%s is in the machine and is laid aside: the sticks come as %v, and could as %v", hand, sticks, done)
			}
			for i, name := range left {
				handFirst(append(slices.Clip(done), name), slices.Concat(left[:i], left[i+1:]))
			}
		}
		handFirst([]string{hand}, slices.Concat(sticks[:at], sticks[at+1:]))
	}
	all = func(done, left []string) {
		if n, ok := settings(done); ok && len(left) == 0 && n < least {
			least, of = n, done
		}
		for i, name := range left {
			if len(done) == 0 && sticks[0] == hand && name != hand {
				continue
			}
			all(append(slices.Clip(done), name), slices.Concat(left[:i], left[i+1:]))
		}
	}
	all(nil, sticks)
	if least < got {
		t.Errorf("%s in hand: the sticks come as %v with %d settings from how the stops stand, and as %v with %d", hand, sticks, got, of, least)
	}
	tally["least settings"]++
}

// finishWithMishaps finishes a run: its offcuts are those that it said, and what is not done is missing.
func finishWithMishaps(t *testing.T, b *Book, run int64) {
	t.Helper()
	d, err := b.RunDocument(t.Context(), run)
	must(t, err)
	said := map[string]model.Length{}
	for i, s := range d.Plan.Profiles[0].Sticks {
		hand := slices.IndexFunc(d.Runs[0].Sticks, func(h runs.Stick) bool { return h.Stick == s.ID && h.State == "open" })
		if slices.Contains(d.Became[0][i], runs.ToCut) || slices.Contains(d.Became[0][i], runs.PutOff) || hand < 0 || !d.Runs[0].Sticks[hand].Begun() {
			continue // nothing, or not all, is cut from it
		}
		for _, l := range s.Lefts() {
			if l.Becomes == plan.Kept {
				said[l.ID] = l.Length
			}
		}
	}
	f := finish(t, b, run, nil)
	for _, o := range f.Offcuts {
		if long, there := said[o.Name]; there && long != o.Length {
			t.Errorf("%s is %s long, and the run said %s", o.Name, o.Length, long)
		}
		delete(said, o.Name)
	}
	if len(said) > 0 {
		t.Errorf("not kept: %v; %+v", said, f.Offcuts)
	}
	sound(t, b)
	w, done, err := b.Rest(t.Context())
	must(t, err)
	left := 0
	for _, j := range w.Jobs {
		for _, fr := range j.Frames {
			left += fr.Quantity * 4
		}
	}
	if left-len(done) != len(f.Missing) {
		t.Errorf("%d sides are left to plan, and %d were missing", left-len(done), len(f.Missing))
	}
}

// TestUnwantedInRest tells the planner that what is cut and not wanted any more is done: nothing of the run is to be made in its place.
func TestUnwantedInRest(t *testing.T) {
	b := squareShop(t)
	ctx := t.Context()
	w, err := b.Workshop(ctx)
	must(t, err)
	more := w.Jobs[slices.IndexFunc(w.Jobs, func(j model.Job) bool { return j.ID == "101" })]
	more.ID = "109"
	_, err = b.TakeIn(ctx, []model.Job{more}, tester)
	must(t, err)
	byHand(t, b, "A", "B", "C", "D")
	d, _, err := b.Plan(ctx, 0)
	must(t, err)
	for n := range 2 { // C and D are those of the other job
		side := &d.Profiles[0].Sticks[0].Sides[2+n]
		side.Job, side.Letter = "109", []string{"A", "B"}[n]
	}
	id := keepPlan(t, b, d)
	r := startRun(t, b, "oak-40", id)
	cut(t, b, r.ID, 1, []int{1, 2}, runs.Done)
	do(t, b, ChangeJob("101", func(j *model.Job) error {
		j.Frames[0].Rings[0].Size.Width += 10 * model.Millimetre
		j.Frames[0].Rings[0].Size.Height += 10 * model.Millimetre
		return nil
	}))
	rest, err := b.RunRest(ctx, r.ID, FlawStick(r.ID, 1, model.Span{From: 2100 * model.Millimetre, To: 2101 * model.Millimetre}, "a knot"))
	must(t, err)
	done := 0
	for _, e := range rest.Events {
		if e.Became != stock.Done && e.Side > 0 {
			t.Errorf("%+v", e)
		}
		if e.Became == stock.Done {
			done++
		}
	}
	if done != 2 {
		t.Errorf("%d sides are done: %+v", done, rest.Events)
	}
}

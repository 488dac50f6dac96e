// Package shoptest has invented workshops, and helpers that plan and audit them, for the tests of the packages below model/.
package shoptest

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/folder"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/sequence"
	"longpoint/model/stock"
	"longpoint/solver/check"
)

// Hall is a workshop with two sticks on the rack and one to buy. Of "r1", 2,000 mm, come two sides of 436 mm and two of 336;
// "r2" is longer than need be; the rest of the jobs takes a new stick.
func Hall(t *testing.T) (*model.Workshop, *plan.Document) {
	t.Helper()
	w := Tiny()
	w.Rack = []model.Stick{{ID: "r1", Profile: "ash-20", Length: 2000 * mm, Place: "bay 2", Lot: "L7", Value: model.OptionalMoney{Amount: 400, Given: true}}}
	w.Jobs = w.Jobs[:1]
	d := MustMake(t, w, planner.Options{})
	if s := d.Profiles[0].Sticks; len(s) != 1 || s[0].ID != "r1" || len(s[0].Sides) != 4 || s[0].Sides[0].Takes != 436*mm {
		t.Fatalf("the plan is %+v", s)
	}
	return w, d
}

func Event(side int, became stock.Became) stock.Event {
	return stock.Event{Profile: "ash-20", Stick: "r1", Side: side, Became: became}
}

// TornAfter is a stick's first sides cut, and the next one torn.
func TornAfter(profile, stick string, torn int) (events []stock.Event) {
	for n := 1; n < torn; n++ {
		events = append(events, stock.Event{Profile: profile, Stick: stick, Side: n, Became: stock.Done})
	}
	return append(events, stock.Event{Profile: profile, Stick: stick, Side: torn, Became: stock.Torn})
}

// EveryValueCounts plants a fault in every value of a document, one at a time: a number raised by one, lowered by one, or made as large
// as can be; one unit moved to the same number of the next in a list, or the two exchanged; a text added to or left out; a yes
// made a no; a list's last element left out, or two neighbours exchanged. Each must be refused by Decode or found by the audit.
func EveryValueCounts(t *testing.T, w *model.Workshop, d *plan.Document, least int) {
	if changes := ValuesCount(t, w, d, func() bool { return true }); changes < least {
		t.Errorf("only %d changes were tried", changes)
	}
}

// ValuesCount does so with the changes that take says yes to, and gives their number. They come in the same order every time.
func ValuesCount(t *testing.T, w *model.Workshop, d *plan.Document, take func() bool) (changes int) {
	var text bytes.Buffer
	if err := d.Encode(&text); err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(&text)
	dec.UseNumber()
	var root map[string]any
	if err := dec.Decode(&root); err != nil {
		t.Fatal(err)
	}
	tools := Tools(remembered(Checker)) // the certificates stay as they are
	if findings, err := audit.Check(t.Context(), w, d, tools); err != nil || len(findings) > 0 {
		t.Fatalf("the document is not good to begin with: %v, %v", findings, err)
	}
	offcut := regexp.MustCompile(`\.id = offcut [0-9]+x$|^\.profiles.*(left|between).* \.id exchanged$`)
	alike := regexp.MustCompile(`^\.profiles\[[0-9]+\]\.sticks\[[0-9]+, [0-9]+\] exchanged$`) // cut alike, two sticks may come in either order
	fewer := regexp.MustCompile(`\.money_multiplier = [0-9]{1,6}$|^\.together\[0\]\.cases`)
	weaker := func(changed *plan.Document) bool { // that there are at least so many settings is true of fewer too
		for i := range min(len(d.Profiles), len(changed.Profiles)) {
			if changed.Profiles[i].Run.Least < d.Profiles[i].Run.Least {
				return true
			}
		}
		return false
	}
	try := func(at string) {
		if !take() {
			return
		}
		changes++
		data, err := json.Marshal(root)
		if err != nil {
			t.Fatal(err)
		}
		changed, err := plan.Decode(data)
		if err != nil || at == ".until = " || offcut.MatchString(at) || fewer.MatchString(at) || alike.MatchString(at) || eitherFirst(d, at) || weaker(changed) {
			return
		}
		if findings, err := audit.Check(t.Context(), w, changed, tools); err != nil {
			t.Fatal(err)
		} else if len(findings) == 0 {
			t.Errorf("%s can be changed and nobody notices", at)
		}
	}
	everyValue(root, "", try)
	return changes
}

// exchangedCuts is how two neighbours in a run are told that were exchanged.
var exchangedCuts = regexp.MustCompile(`^\.profiles\[([0-9]+)\]\.run\.cuts\[([0-9]+), ([0-9]+)\] exchanged$`)

// eitherFirst tells whether two cuts were exchanged that are off two parts of a stick with damage between them: either part may be cut first.
func eitherFirst(d *plan.Document, at string) bool {
	m := exchangedCuts.FindStringSubmatch(at)
	if m == nil {
		return false
	}
	number := func(text string) int { n, _ := strconv.Atoi(text); return n }
	p := d.Profiles[number(m[1])]
	a, b := p.Run.Cuts[number(m[2])], p.Run.Cuts[number(m[3])]
	if a.Stick != b.Stick {
		return false
	}
	s := p.Sticks[a.Stick]
	from, to := min(s.Sides[a.Side].Start, s.Sides[b.Side].Start), max(s.Sides[a.Side].Start, s.Sides[b.Side].Start)
	return slices.ContainsFunc(s.Damage, func(g model.Span) bool { return from < g.From && g.To <= to })
}

// remembered is a verifier that checks each cuts document once.
func remembered(verify plan.Verifier) plan.Verifier {
	type verdict struct {
		grade string
		lower int64
		err   error
	}
	known := map[string]verdict{}
	return func(ctx context.Context, cuts []byte) (string, int64, error) {
		v, ok := known[string(cuts)]
		if !ok {
			v.grade, v.lower, v.err = verify(ctx, cuts)
			known[string(cuts)] = v
		}
		return v.grade, v.lower, v.err
	}
}

// everyValue changes each value below v in turn, calls try, and puts the value back.
func everyValue(v any, at string, try func(at string)) {
	each := func(value any, at string, put func(any)) {
		for _, other := range otherValues(value) {
			put(other)
			try(fmt.Sprintf("%s = %v", at, other))
		}
		put(value)
		everyValue(value, at, try)
	}
	switch v := v.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			value := v[key]
			if !isCertificate(key, value) && key != "made_with" && key != "only" {
				each(value, at+"."+key, func(other any) { v[key] = other })
			}
		}
	case []any:
		for i, value := range v {
			each(value, fmt.Sprintf("%s[%d]", at, i), func(other any) { v[i] = other })
		}
		for i := 1; i < len(v); i++ {
			betweenNeighbours(v, i, fmt.Sprintf("%s[%d, %d]", at, i-1, i), try)
		}
	}
}

// isCertificate tells a profile's certificate from the cuts of its run, which have the same key.
func isCertificate(key string, value any) bool {
	_, isObject := value.(map[string]any)
	return key == "cuts" && isObject
}

// betweenNeighbours exchanges an element of a list with the one before it, and each number in it with that one's: wholly, or by one unit.
func betweenNeighbours(list []any, i int, at string, try func(at string)) {
	if !reflect.DeepEqual(list[i-1], list[i]) {
		list[i-1], list[i] = list[i], list[i-1]
		try(at + " exchanged")
		list[i-1], list[i] = list[i], list[i-1]
	}
	exchangeNumbers(list[i-1], list[i], at, try)
}

// exchangeNumbers exchanges each number of two objects, and of the objects in them.
func exchangeNumbers(a, b any, at string, try func(at string)) {
	x, ok := a.(map[string]any)
	y, also := b.(map[string]any)
	if !ok || !also {
		return
	}
	for _, key := range slices.Sorted(maps.Keys(x)) {
		value := x[key]
		if isCertificate(key, value) {
			continue
		}
		m, ok := value.(json.Number)
		n, also := y[key].(json.Number)
		if !ok || !also {
			exchangeNumbers(value, y[key], at+"."+key, try)
			continue
		}
		p, q := whole(m), whole(n)
		for _, other := range [][2]int64{{p - 1, q + 1}, {p + 1, q - 1}, {q, p}} {
			if other != [2]int64{p, q} {
				x[key], y[key] = other[0], other[1]
				try(fmt.Sprintf("%s.%s = %d, %d", at, key, other[0], other[1]))
			}
		}
		x[key], y[key] = m, n
	}
}

func whole(n json.Number) int64 {
	i, err := n.Int64()
	if err != nil {
		panic(err)
	}
	return i
}

// otherValues gives values that are not v.
func otherValues(v any) []any {
	switch v := v.(type) {
	case json.Number:
		n := whole(v)
		return []any{n + 1, n - 1, int64(math.MaxInt64)}
	case string:
		return []any{v + "x", ""}
	case bool:
		return []any{!v}
	case []any:
		if len(v) > 0 {
			return []any{v[:len(v)-1]}
		}
	}
	return nil
}

// WantFinding demands a finding of a code that says so.
func WantFinding(t *testing.T, w *model.Workshop, d *plan.Document, code, what string) {
	t.Helper()
	findings := MustAudit(t, w, d)
	for _, f := range findings {
		if f.Code == code && strings.Contains(f.What, what) {
			return
		}
	}
	t.Errorf("no finding %s with %q, only %v", code, what, findings)
}

// Change adds to a number of the first profile's cuts document: of the first in a list, or of the document itself.
func Change(d *plan.Document, list, key string, by float64) {
	var cuts map[string]any
	if err := json.Unmarshal(d.Profiles[0].Cuts, &cuts); err != nil {
		panic(err)
	}
	object := cuts
	if list != "" {
		object = cuts[list].([]any)[0].(map[string]any)
	}
	object[key] = object[key].(float64) + by
	data, err := json.Marshal(cuts)
	if err != nil {
		panic(err)
	}
	d.Profiles[0].Cuts = data
}

// SmallWorkshop draws one or two profiles with one frame of three to six sides each.
func SmallWorkshop(r *rand.Rand) *model.Workshop {
	chance := func(percent int) bool { return r.IntN(100) < percent }
	w := Tiny()
	w.Name = "Small"
	w.Rack, w.Offers, w.Jobs = nil, nil, nil
	w.Defaults.RackShare = []int{0, 50, 50, 80, 100}[r.IntN(5)]
	w.Defaults.OffcutShare = []int{0, 0, 30, 80}[r.IntN(4)]
	base := w.Profiles[0]
	w.Profiles = nil
	for n := range 1 + r.IntN(2) {
		p := base
		p.Name = fmt.Sprintf("p%d", n)
		p.Keep = model.Length(r.IntN(4)) * 200 * mm
		p.Match = []model.Match{"", "", model.MatchLot, model.MatchPair, model.MatchStick}[r.IntN(5)]
		if chance(15) {
			p.Repeat = model.Length(20+r.IntN(60)) * mm
		}
		w.Profiles = append(w.Profiles, p)
		for range 1 + r.IntN(2) {
			o := model.Offer{Supplier: []string{"Hill", "Dale", "Moor"}[r.IntN(3)], Profile: p.Name,
				Length: model.Length(9+r.IntN(12)) * 100 * mm, Price: model.Money(100 + r.IntN(900)), Bundle: 1 + r.IntN(3)*r.IntN(2)}
			o.Price *= model.Money(o.Bundle)
			w.Offers = append(w.Offers, o)
			if chance(40) {
				o.From, o.Price = 2+r.IntN(2), o.Price*model.Money(60+r.IntN(40))/100
				w.Offers = append(w.Offers, o)
			}
		}
		for s := range r.IntN(3) {
			stick := model.Stick{ID: fmt.Sprintf("r%d%d", n, s), Profile: p.Name, Length: model.Length(5+r.IntN(14)) * 100 * mm,
				Lot: []string{"", "a", "b"}[r.IntN(3)]}
			if chance(30) {
				stick.Value = model.OptionalMoney{Amount: model.Money(r.IntN(600)), Given: true}
			}
			if chance(40) {
				from := model.Length(r.IntN(int(stick.Length/mm)-100)) * mm
				stick.Damage = []model.Span{{From: from, To: from + model.Length(1+r.IntN(90))*mm}}
			}
			w.Rack = append(w.Rack, stick)
		}
		shape := Ring(p.Name, model.Length(150+r.IntN(300))*mm, model.Length(150+r.IntN(400))*mm)
		if chance(40) {
			shape.Size.Shape.Sides, shape.Size.Height = []int{3, 5, 6}[r.IntN(3)], 0
		}
		w.Jobs = append(w.Jobs, Job(fmt.Sprintf("j%d", n), "", Frame("a", 1, shape)))
	}
	for _, name := range []string{"Hill", "Dale"} {
		offers := slices.ContainsFunc(w.Offers, func(o model.Offer) bool { return o.Supplier == name })
		if offers && chance(60) {
			w.Suppliers = append(w.Suppliers, model.Supplier{Name: name, Delivery: model.Money(r.IntN(3) * 150), LeastSticks: r.IntN(4),
				LeastMoney: model.OptionalMoney{Amount: model.Money(r.IntN(2500)), Given: chance(50)}})
		}
	}
	for n := range w.Suppliers { // last, so that what is drawn before stays as it was
		w.Suppliers[n].FreeFrom = model.OptionalMoney{Amount: model.Money(r.IntN(4000)), Given: chance(50)}
	}
	return w
}

// TwoSticks is the tiny workshop with other offers and nothing on the rack.
func TwoSticks(offers ...model.Offer) *model.Workshop {
	w := Tiny()
	w.Rack = nil
	w.Offers = offers
	for n := range w.Offers {
		o := &w.Offers[n]
		if o.Profile == "" {
			o.Profile = "ash-20"
		}
		if o.Length == 0 {
			o.Length = 3000 * mm
		}
	}
	return w
}

// DemoWorkshop is the demo, read as a user's folder is.
func DemoWorkshop(t *testing.T) *model.Workshop {
	t.Helper()
	dir := t.TempDir() + "/demo"
	if err := folder.WriteDemo(dir); err != nil {
		t.Fatal(err)
	}
	return readWorkshop(t, dir)
}

// PlainWorkshop is as large as the demo, and has none of what binds profiles together or makes buying awkward.
func PlainWorkshop(t *testing.T) *model.Workshop {
	t.Helper()
	return readWorkshop(t, "../folder/testdata/plain")
}

func readWorkshop(t *testing.T, dir string) *model.Workshop {
	t.Helper()
	w, err := folder.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// ReadDemo gives the demo workshop.
func ReadDemo(t testing.TB) *model.Workshop {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	if err := folder.WriteDemo(dir); err != nil {
		t.Fatal(err)
	}
	w, err := folder.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func DayOf(text string) model.Date {
	d, err := model.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

// Market is a workshop where everything that suppliers, the rack and matching ask for decides something: two profiles that
// Dale's delivery binds together, and three that stand alone.
func Market() *model.Workshop {
	w := TwoSticks(
		model.Offer{Supplier: "Hill", Price: 1200},
		model.Offer{Supplier: "Dale", Price: 1000},
		model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 410},
		model.Offer{Supplier: "Dale", Profile: "slip-12", Length: 2400 * mm, Price: 300},
		model.Offer{Supplier: "Hill", Profile: "elm-20", Price: 2700, Bundle: 3},
		model.Offer{Supplier: "Hill", Profile: "elm-20", Price: 2400, Bundle: 3, From: 2},
		model.Offer{Supplier: "Moor", Profile: "elm-20", Price: 1300, Longest: 3500 * mm, Until: DayOf("2027-01-04")},
		model.Offer{Supplier: "Moor", Profile: "yew-20", Price: 1500},
	)
	w.Name = "Market"
	w.Suppliers = []model.Supplier{{Name: "Dale", Delivery: 500, LeastSticks: 3, LeastMoney: model.OptionalMoney{Amount: 2500, Given: true}}}
	w.Defaults.OffcutShare = 40
	slip, elm, yew := w.Profiles[0], w.Profiles[0], w.Profiles[0]
	slip.Name, slip.Width, slip.Rebate = "slip-12", 12*mm, 6*mm
	elm.Name, elm.Match = "elm-20", model.MatchPair
	yew.Name, yew.Match = "yew-20", model.MatchLot
	w.Profiles = append(w.Profiles, slip, elm, yew)
	w.Rack = []model.Stick{
		{ID: "y1", Profile: "yew-20", Length: 1000 * mm, Lot: "a"},
		{ID: "y2", Profile: "yew-20", Length: 1000 * mm, Lot: "a"},
		{ID: "y3", Profile: "yew-20", Length: 1000 * mm, Lot: "b"},
		{ID: "y4", Profile: "yew-20", Length: 2000 * mm, Damage: []model.Span{Span(900, 1000)}, Place: "bay 3"},
	}
	w.Jobs = append(w.Jobs,
		Job("105", "", Frame("a", 1, Ring("slip-12", 598*mm, 598*mm))),
		Job("106", "2027-01-07", Frame("a", 1, Ring("elm-20", 298*mm, 398*mm)), Frame("b", 1, Ring("yew-20", 298*mm, 398*mm))),
		Job("107", "2027-01-06", Frame("a", 1, Ring("yew-20", 298*mm, 398*mm))))
	return w
}

func MarketPlan(t *testing.T) (*model.Workshop, *plan.Document) {
	w := Market()
	return w, MustMake(t, w, planner.Options{On: DayOf("2027-01-05")})
}

// DamagedStick is the damaged one of the market, lotStick the first of lot a.
func DamagedStick(d *plan.Document) *plan.Stick { return namedStick(d, "y4") }

func LotStick(d *plan.Document) *plan.Stick { return namedStick(d, "y1") }

func namedStick(d *plan.Document, id string) *plan.Stick {
	for i := range d.Profiles[3].Sticks {
		if d.Profiles[3].Sticks[i].ID == id {
			return &d.Profiles[3].Sticks[i]
		}
	}
	panic("the market's plan does not use stick " + id)
}

func Span(from, to model.Length) model.Span { return model.Span{From: from * mm, To: to * mm} }

// RandomWorkshop draws a workshop that passes its own check.
func RandomWorkshop(t *rapid.T) *model.Workshop {
	length := func(name string, from, to int) model.Length {
		const tenth = mm / 10
		return model.Length(rapid.IntRange(10*from, 10*to).Draw(t, name)) * tenth
	}
	w := &model.Workshop{Name: "Random", Unit: model.Inches, Currency: model.Currency{Code: "EUR", Decimals: 2},
		Defaults: model.Defaults{RackShare: rapid.IntRange(0, 100).Draw(t, "rack share")},
		Machine: model.Machine{Type: rapid.SampledFrom([]model.MachineType{model.Guillotine, model.Saw}).Draw(t, "machine"),
			Overrun: length("overrun", 0, 2), Kerf: length("kerf", 0, 4), Shave: length("shave", 0, 3),
			HeadTrim: length("head trim", 0, 40), TailTrim: length("tail trim", 0, 40),
			Bite: 8 * mm, FinishingBite: 2 * mm}}
	if rapid.Bool().Draw(t, "limits") {
		w.Machine.Limits.ShortestSide = model.OptionalLength{Length: 300 * mm, Given: true}
		w.Machine.Limits.Stops = 2
		w.Machine.Limits.StopGap = model.OptionalLength{Length: 50 * mm, Given: true}
	}
	for p := range rapid.IntRange(1, 3).Draw(t, "profiles") {
		profile := model.Profile{Name: fmt.Sprintf("p%d", p), Width: length("width", 10, 60)}
		profile.Rebate = profile.Width / 3
		profile.Keep = length("keep", 0, 400)
		w.Profiles = append(w.Profiles, profile)
		for n := range rapid.SampledFrom([]int{2, 3, 1, 0}).Draw(t, "offers") {
			w.Offers = append(w.Offers, model.Offer{Supplier: fmt.Sprintf("s%d", n%2), Profile: profile.Name,
				Length: 10 * length("stick length", 120, 400), Price: model.Money(rapid.IntRange(0, 3000).Draw(t, "price"))})
		}
		for n := range rapid.IntRange(1, 5).Draw(t, "rack") {
			s := model.Stick{ID: fmt.Sprintf("r%d-%d", p, n), Profile: profile.Name, Length: 100 * length("rack length", 1, 30)}
			if rapid.Bool().Draw(t, "valued") {
				s.Value = model.OptionalMoney{Amount: model.Money(rapid.IntRange(0, 1500).Draw(t, "value")), Given: true}
			}
			if rapid.Bool().Draw(t, "on the way") {
				s.Coming = model.Coming{Order: "1", Supplier: "s0", Expected: DayOf("2027-01-06")}
			}
			w.Rack = append(w.Rack, s)
		}
	}
	for j := range rapid.IntRange(1, 3).Draw(t, "jobs") {
		var frames []model.JobFrame
		for f := range rapid.IntRange(1, 2).Draw(t, "frames") {
			frames = append(frames, randomFrame(t, w, fmt.Sprintf("f%d", f), length))
		}
		due := rapid.SampledFrom([]string{"", "2027-01-01", "2027-01-02", "2027-01-03"}).Draw(t, "due")
		w.Jobs = append(w.Jobs, Job(fmt.Sprintf("j%d", j), due, frames...))
	}
	return w
}

// randomFrame draws a frame of one or two rings, rectangular or not.
func randomFrame(t *rapid.T, w *model.Workshop, id string, length func(string, int, int) model.Length) model.JobFrame {
	profile := func() string { return rapid.SampledFrom(w.Profiles).Draw(t, "profile").Name }
	sides := rapid.SampledFrom([]int{4, 4, 4, 3, 6, 8}).Draw(t, "sides")
	r := Ring(profile(), length("side", 150, 600), length("height", 150, 900))
	r.Size.Shape.Sides = sides
	if sides != 4 {
		r.Size.Height = 0
	}
	rings := []model.Ring{r}
	if rapid.Bool().Draw(t, "nested") {
		rings = append(rings, model.Ring{Profile: profile(), Allowance: 1 * mm})
	}
	return Frame(id, rapid.IntRange(1, 3).Draw(t, "quantity"), rings...)
}

// standing says from which setting each side of a run is cut, by stick and side, and how often a stop is placed and a
// stick is picked up again. It fails the test where a stop does not stand at a side's length or stands too near another.
func standing(t interface{ Errorf(string, ...any) }, p *plan.ProfilePlan, gap model.Length) (from map[[2]int]int, settings, pickUps int) {
	type stop struct {
		at      model.Length
		setting int
	}
	stops := map[int]stop{}
	from = map[[2]int]int{}
	taken := map[int]bool{} // by stick
	hand := -1
	for n, c := range p.Run.Cuts {
		side := p.Sticks[c.Stick].Sides[c.Side]
		if c.Stick != hand && taken[c.Stick] {
			pickUps++
		}
		taken[c.Stick], hand = true, c.Stick
		if c.Placed {
			settings++
			for i, s := range stops {
				if d := s.at - side.LongPoint; d == 0 || d > -gap && d < gap {
					delete(stops, i)
				}
			}
			stops[c.Stop] = stop{side.LongPoint, settings}
		}
		if s, ok := stops[c.Stop]; !ok || s.at != side.LongPoint || c.Stop > p.Run.Stops {
			t.Errorf("%s, cut %d: stop %d does not stand at %s", p.Name, n, c.Stop, side.LongPoint)
		}
		from[[2]int{c.Stick, c.Side}] = stops[c.Stop].setting
	}
	return from, settings, pickUps
}

// splitPairs counts the sides that are cut from another setting than an equal side of their frame.
func splitPairs(p *plan.ProfilePlan, from map[[2]int]int) int {
	type equal struct {
		job, frame string
		copy, ring int
		longPoint  model.Length
	}
	first := map[equal]int{}
	split := 0
	for i, s := range p.Sticks {
		for k, side := range s.Sides {
			e := equal{side.Job, side.Frame, side.Copy, side.Ring, side.LongPoint}
			setting := from[[2]int{i, k}]
			if before, ok := first[e]; ok && before != setting {
				split++
			}
			first[e] = setting
		}
	}
	return split
}

// HoldRun checks everything that must hold of a run.
func HoldRun(t interface{ Errorf(string, ...any) }, w *model.Workshop, p *plan.ProfilePlan) {
	from, settings, pickUps := standing(t, p, w.Machine.Limits.StopGap.Length)
	if len(from) != p.Figures.Sides || len(p.Run.Cuts) != p.Figures.Sides {
		t.Errorf("%s: %d cuts of %d sides", p.Name, len(p.Run.Cuts), p.Figures.Sides)
	}
	if n := splitPairs(p, from); n > 0 {
		t.Errorf("%s, %s: %d sides are split from their equals", p.Name, p.Run.Order, n)
	}
	if settings != p.Run.Settings || pickUps != p.Run.PickUps || p.Run.Least > settings {
		t.Errorf("%s: %d settings, %d pick-ups, counted %d and %d; at least %d", p.Name, p.Run.Settings, p.Run.PickUps, settings, pickUps, p.Run.Least)
	}
}

const mm = model.Length(1_000_000)

// Tiny is a workshop small enough to be planned by hand; see TestTinyByHand.
func Tiny() *model.Workshop {
	return &model.Workshop{
		Name: "Tiny", Unit: model.Millimetres, Currency: model.Currency{Code: "EUR", Decimals: 2},
		Machine:  model.Machine{Type: model.Guillotine, Overrun: 1 * mm, Shave: 2 * mm, HeadTrim: 10 * mm, TailTrim: 10 * mm, Bite: 12 * mm, FinishingBite: 2 * mm},
		Defaults: model.Defaults{RackShare: 50},
		Profiles: []model.Profile{{Name: "ash-20", Title: "Ash, plain", Width: 20 * mm, Rebate: 5 * mm, Keep: 150 * mm}},
		Offers: []model.Offer{
			{Supplier: "Hill", Profile: "ash-20", Length: 3000 * mm, Price: 1200},
			{Supplier: "Dale", Profile: "ash-20", Length: 3000 * mm, Price: 1300},
		},
		Rack: []model.Stick{{ID: "r1", Profile: "ash-20", Length: 400 * mm, Place: "bay 2", Value: model.OptionalMoney{Amount: 50, Given: true}, Offcut: true}},
		Jobs: []model.Job{
			Job("101", "2027-01-08", Frame("a", 1, Ring("ash-20", 298*mm, 398*mm))),
			Job("102", "2027-01-05", Frame("a", 1, Ring("ash-20", 298*mm, 398*mm))),
		},
	}
}

// Fair is a workshop where first-fit buys a stick more than is needed, with a nested frame, a hexagon, a second
// profile and stops that are too near each other.
func Fair() *model.Workshop {
	w := Tiny()
	w.Name = "Fair"
	w.Machine.Limits = model.Limits{
		ShortestSide: model.OptionalLength{Length: 200 * mm, Given: true},
		Stops:        2, StopGap: model.OptionalLength{Length: 60 * mm, Given: true},
	}
	w.Profiles = append(w.Profiles, model.Profile{Name: "slip-12", Width: 12 * mm, Rebate: 6 * mm})
	w.Offers = append(w.Offers,
		model.Offer{Supplier: "Hill", Profile: "slip-12", Length: 2400 * mm, Price: 410},
		model.Offer{Supplier: "Dale", Profile: "ash-20", Length: 2200 * mm, Price: 900})
	w.Rack = append(w.Rack,
		model.Stick{ID: "r2", Profile: "ash-20", Length: 1500 * mm},
		model.Stick{ID: "r3", Profile: "ash-20", Length: 1500 * mm},
		model.Stick{ID: "r4", Profile: "slip-12", Length: 20 * mm},
		model.Stick{ID: "offcut 1", Profile: "slip-12", Length: 700 * mm})
	hexagon := Ring("ash-20", 150*mm, 0)
	hexagon.Size.Shape.Sides = 6
	w.Jobs = append(w.Jobs,
		Job("103", "2027-01-06",
			Frame("nest", 2, Ring("slip-12", 300*mm, 420*mm), model.Ring{Profile: "ash-20", Allowance: 1 * mm}),
			Frame("hex", 1, hexagon)),
		Job("104", "", Frame("big", 3, Ring("ash-20", 700*mm, 1000*mm))))
	w.Jobs[2].Customer = "An invented customer"
	return w
}

func Job(id, due string, frames ...model.JobFrame) model.Job {
	j := model.Job{ID: id, Frames: frames}
	if due != "" {
		day, err := model.ParseDate(due)
		if err != nil {
			panic(err)
		}
		j.Due = day
	}
	return j
}

func Frame(id string, quantity int, rings ...model.Ring) model.JobFrame {
	return model.JobFrame{ID: id, Quantity: quantity, Rings: rings}
}

func Ring(profile string, width, height model.Length) model.Ring {
	return model.Ring{Profile: profile, Allowance: 2 * mm,
		Size: model.Size{Shape: model.Shape{Sides: 4}, By: model.ByContent, Width: width, Height: height}}
}

// Checker is the independent checker as a Verifier.
func Checker(ctx context.Context, cuts []byte) (string, int64, error) {
	report, err := check.Document(ctx, cuts)
	switch {
	case err != nil && ctx.Err() != nil, report.Has(check.Unchecked):
		return "", 0, fmt.Errorf("%w: %v", plan.ErrUnchecked, err)
	case err != nil:
		return "", 0, err
	case !report.OK():
		return "", 0, errors.New(report.String())
	}
	return string(report.Grade), report.Bound, nil
}

// Today is the day on which what tests plan is ordered unless they say another: before any of their offers has ended.
var Today = DayOf("2027-01-01")

// Ample is more time than any of the tests' workshops needs, also where other work slows the machine down: what is proven is then a matter of the
// search alone.
const Ample = 5 * time.Minute

// MustMake plans a workshop with the checker and ample time unless the options say another, and fails the test on an error.
func MustMake(t *testing.T, w *model.Workshop, o planner.Options) *plan.Document {
	t.Helper()
	o.Verify, o.MadeWith = Checker, "longpoint test"
	if o.On.IsZero() {
		o.On = Today
	}
	if o.TimeLimit == 0 {
		o.TimeLimit = Ample
	}
	d, err := planner.Make(t.Context(), w, o)
	if err != nil {
		t.Fatal(err)
	}
	Accepted(t, d)
	return d
}

// Accepted demands that the checker has refused no certificate of a plan: the planner goes on with less then, and the shop has a plan, but it is a fault.
func Accepted(t interface{ Errorf(string, ...any) }, d *plan.Document) {
	for _, p := range d.Profiles {
		if strings.Contains(p.Reason, planner.RefusedCertificate) {
			t.Errorf("profile %s: %s", p.Name, p.Reason)
		}
	}
}

// MustAudit audits a document, and fails the test when there is no audit or a certificate was refused.
func MustAudit(t *testing.T, w *model.Workshop, d *plan.Document) []audit.Finding {
	t.Helper()
	Accepted(t, d)
	findings, err := audit.Check(t.Context(), w, d, Tools(Checker))
	if err != nil {
		t.Fatal(err)
	}
	return findings
}

// CopyOf is a deep copy.
func CopyOf(t *testing.T, d *plan.Document) *plan.Document {
	t.Helper()
	data, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var c plan.Document
	if err := json.Unmarshal(data, &c); err != nil {
		t.Fatal(err)
	}
	return &c
}

// Tools are what the audit is handed in these tests.
func Tools(verify plan.Verifier) audit.Tools {
	return audit.Tools{Verify: verify, Warnings: planner.Warnings, Least: func(w *model.Workshop, profile, order string, sticks []plan.Stick) int {
		return sequence.Figures(w, profile, order, sticks).Least
	}}
}

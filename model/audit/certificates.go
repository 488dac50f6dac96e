package audit

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// cutsDocument is what the audit reads of a cuts document. The rest is the verifier's business.
type cutsDocument struct {
	Kinds []cutsKind `json:"kinds"`
	Items []struct {
		Length int64 `json:"length"`
		Demand int64 `json:"demand"`
	} `json:"items"`
	Choices  []cutsChoice `json:"choices"`
	Rows     []cutsRow    `json:"rows"`
	Patterns []struct {
		Kind  int        `json:"kind"`
		Count int64      `json:"count"`
		Take  [][2]int64 `json:"take"`
	} `json:"patterns"`
	Chosen []int64 `json:"chosen"`
	Cost   int64   `json:"cost"`
}

// certificates audits every certificate: those of profiles that stand alone and those of profiles that suppliers' terms
// bind together, and that these are the right ones.
func (a *audit) certificates(ctx context.Context, verify plan.Verifier) error {
	groups := a.bindings()
	next := 0
	for _, names := range groups {
		var plans []*plan.ProfilePlan
		for _, name := range names {
			if n := slices.IndexFunc(a.d.Profiles, func(p plan.ProfilePlan) bool { return p.Name == name }); n >= 0 {
				plans = append(plans, &a.d.Profiles[n])
			}
		}
		if len(plans) < len(names) {
			continue // a profile without a plan, which is reported
		}
		if len(names) > 1 {
			next++
			if next > len(a.d.Together) {
				a.report("together", "together", "profiles %s are bound by suppliers' terms, and not planned together", list(names))
				continue
			}
			if err := a.together(ctx, next, names, plans, verify); err != nil {
				return err
			}
			continue
		}
		if p := plans[0]; p.Together != 0 {
			a.report("together", "profile "+p.Name, "it is down as planned together with others, and no supplier's terms bind it to any")
		}
		if err := a.certificate(ctx, plans[0], verify); err != nil {
			return err
		}
	}
	if len(a.d.Together) > next {
		a.report("together", "together", "%d groups of profiles are planned together, and %d are bound by suppliers' terms", len(a.d.Together), next)
	}
	return nil
}

// together audits what is said of profiles planned together.
func (a *audit) together(ctx context.Context, number int, names []string, plans []*plan.ProfilePlan, verify plan.Verifier) error {
	t := a.d.Together[number-1]
	where := fmt.Sprintf("together %d", number)
	if !slices.Equal(t.Profiles, names) {
		a.report("together", where, "it is of profiles %s, and suppliers' terms bind %s", list(t.Profiles), list(names))
	}
	var suppliers []string
	var cost model.Money
	for _, p := range plans {
		cost += p.Figures.Cost
		for _, l := range a.profiles[p.Name].lists {
			if l.terms != nil && !slices.Contains(suppliers, l.supplier) {
				suppliers = append(suppliers, l.supplier)
			}
		}
		if p.Together != number || len(p.Cuts) > 0 {
			a.report("together", "profile "+p.Name, "it is down as part of group %d instead of %d, or has a certificate of its own", p.Together, number)
		}
		if gap := min(t.Gap, p.Figures.Cost); p.Gap != gap || p.Bound != p.Figures.Cost-gap || p.Grade != t.Grade || p.Reason != t.Reason {
			a.report("bound", "profile "+p.Name, "bound %s, gap %s, %s (%s), and what it is planned together with has gap %s, %s (%s)",
				a.money(p.Bound), a.money(p.Gap), p.Grade, p.Reason, a.money(t.Gap), t.Grade, t.Reason)
		}
	}
	slices.Sort(suppliers)
	if !slices.Equal(t.Suppliers, suppliers) {
		a.report("together", where, "the suppliers are %s instead of %s", list(t.Suppliers), list(suppliers))
	}
	if t.Cost != cost {
		a.report("figures", where, "cost: %s instead of %s", a.money(t.Cost), a.money(cost))
	}
	lower, err := a.togetherBound(ctx, where, t, plans, suppliers, verify)
	if err != nil {
		return err
	}
	a.boundAndGrade(where, claimed{t.Cost, t.Bound, t.Gap, t.Grade, t.Reason}, lower)
	return nil
}

// claimed is what the document says of a cost.
type claimed struct {
	cost, bound, gap model.Money
	grade            plan.Grade
	reason           string
}

// boundAndGrade audits that bound, gap and grade agree with each other and are no better than what is proven.
func (a *audit) boundAndGrade(where string, c claimed, lower model.Money) {
	if gap := c.cost - c.bound; c.gap != gap {
		a.report("bound", where, "the gap is %s, not %s", a.money(gap), a.money(c.gap))
	}
	if c.bound > c.cost {
		a.report("bound", where, "the bound is %s more than the cost", a.money(c.bound-c.cost))
	}
	if c.grade == plan.Proven && c.bound != c.cost {
		a.report("grade", where, "it is called proven with a gap of %s", a.money(c.cost-c.bound))
	}
	if (c.grade == plan.Proven) != (c.reason == "") {
		a.report("grade", where, "the grade is %s and the reason why it is not proven is %q", c.grade, c.reason)
	}
	if excess := c.bound - lower; excess > 0 {
		a.report("bound", where, "the bound is %s better than what the certificate proves", a.money(excess))
	}
}

// bindings derives which profiles belong together, because they can order from one supplier with terms, or can both
// together with a third. Profiles and groups stand in the order of the workshop's table.
func (a *audit) bindings() [][]string {
	var groups [][]string
	for _, p := range a.w.Profiles {
		d := a.profiles[p.Name]
		if d == nil {
			continue
		}
		joined := []string{p.Name}
		var rest [][]string
		at := -1
		for _, g := range groups {
			if !slices.ContainsFunc(g, func(name string) bool { return a.bound(d, a.profiles[name]) }) {
				rest = append(rest, g)
				continue
			}
			if at < 0 {
				at = len(rest)
				rest = append(rest, nil)
			}
			joined = append(joined, g...)
		}
		slices.SortFunc(joined, func(x, y string) int { return a.tableIndex(x) - a.tableIndex(y) })
		if at < 0 {
			rest = append(rest, joined)
		} else {
			rest[at] = joined
		}
		groups = rest
	}
	return groups
}

// bound says whether two profiles can be ordered from one supplier with terms.
func (a *audit) bound(d, e *derived) bool {
	for _, l := range d.lists {
		for _, m := range e.lists {
			if l.terms != nil && l.supplier == m.supplier {
				return true
			}
		}
	}
	return false
}

// certificate audits the cuts document of a profile planned alone: that it is about this profile's problem and this plan,
// that the verifier accepts it, and that bound, gap and grade are no better than it earned.
func (a *audit) certificate(ctx context.Context, p *plan.ProfilePlan, verify plan.Verifier) error {
	where := "profile " + p.Name + ", certificate"
	want := a.profiles[p.Name]
	var cuts cutsDocument
	if err := json.Unmarshal(p.Cuts, &cuts); err != nil {
		a.report("cuts", where, "the cuts document cannot be read: %s", err)
		return nil
	}
	if cuts.Cost != int64(p.Figures.Cost) {
		a.report("plan", where, "it is about a plan for %s and this one costs %s", a.money(model.Money(cuts.Cost)), a.money(p.Figures.Cost))
	}
	if asked := a.ask([]*derived{want}, false); asked.plain() {
		a.sameProblem(where, cuts, want)
		a.samePlan(where, cuts, p, want)
	} else {
		a.sameExactProblem(where, cuts, asked)
		a.sameChoices(where, cuts, asked)
		a.sameExactPlan(where, cuts, asked, p)
	}
	claim := claimed{p.Figures.Cost, p.Bound, p.Gap, p.Grade, p.Reason}
	if verify == nil {
		a.report("unchecked", where, "nobody has checked the certificate")
		a.boundAndGrade(where, claim, p.Bound)
		return nil
	}
	grade, lower, err := verify(ctx, p.Cuts)
	if err != nil {
		if !finished(ctx, err) {
			return fmt.Errorf("%s: %w", where, err)
		}
		a.report("rejected", where, "the checker rejects it: %s", err)
		a.boundAndGrade(where, claim, p.Bound)
		return nil
	}
	a.boundAndGrade(where, claim, max(0, model.Money(lower)))
	if order := []plan.Grade{plan.Proven, plan.Searched, plan.Open}; slices.Index(order, p.Grade) < slices.Index(order, plan.Grade(grade)) {
		a.report("grade", where, "it is called %s and has earned %s", p.Grade, grade)
	}
	return nil
}

// plain says whether the problem is one of kinds and items only, whose order does not matter.
func (p *askedProblem) plain() bool {
	return len(p.choices) == 0 && !slices.ContainsFunc(p.kinds, func(k askedKind) bool { return k.Only != nil || k.Credit != nil }) &&
		!slices.ContainsFunc(p.items, func(it askedItem) bool { return it.sides > 1 })
}

// stickKind is a kind of stick in a cutting problem. Sticks of the rack are limited, new ones are not.
type stickKind struct {
	usable  int64
	cost    int64
	limited bool
}

// sameProblem derives the cutting problem from the workshop and compares: kinds by length, cost and limit, items by
// length, in any order.
func (a *audit) sameProblem(where string, cuts cutsDocument, want *derived) {
	kinds, items := map[stickKind]int64{}, map[int64]int64{}
	if len(cuts.Choices) > 0 || len(cuts.Rows) > 0 {
		a.report("problem", where, "the certificate's problem has %d choices and %d rows, and there is nothing to choose", len(cuts.Choices), len(cuts.Rows))
	}
	for n, k := range cuts.Kinds {
		if k.Only != nil || k.Credit != nil {
			a.report("problem", where, "kind %d of the certificate's problem is for some items only, or is credited for what is left of it", n)
		}
		key := stickKind{usable: k.Length, cost: k.Cost, limited: k.Limit != nil}
		n := int64(1) // an offer
		if k.Limit != nil {
			n = *k.Limit
		}
		kinds[key] += n
	}
	for _, it := range cuts.Items {
		items[it.Length] += it.Demand
	}
	trims := want.head + want.tail + want.profile.Repeat
	for _, s := range a.w.Rack {
		if parts := partsOf(s.Length, s.Damage, want); s.Profile == want.profile.Name && len(parts) > 0 {
			value, _ := a.worth(s, want)
			kinds[stickKind{int64(parts[0].to - parts[0].from), int64(value), true}]--
		}
	}
	for _, l := range want.lists {
		kinds[stickKind{int64(l.length - trims), int64(l.cost(1)), false}]--
	}
	for _, w := range want.sides {
		items[int64(w.takes)]--
	}
	for _, k := range sortedKeys(kinds, func(x, y stickKind) int {
		return cmp.Or(cmp.Compare(x.usable, y.usable), cmp.Compare(x.cost, y.cost))
	}) {
		if n := kinds[k]; n != 0 {
			a.report("problem", where, "sticks of usable length %s at %s: %s", a.in(model.Length(k.usable)), a.money(model.Money(k.cost)), tooMany(n))
		}
	}
	for _, length := range sortedKeys(items, cmp.Compare[int64]) {
		if n := items[length]; n != 0 {
			a.report("problem", where, "sides that take %s: %s", a.in(model.Length(length)), tooMany(n))
		}
	}
}

// tooMany says how the certificate's problem differs from the workshop's.
func tooMany(n int64) string {
	if n > 0 {
		return fmt.Sprintf("%d too many in the certificate's problem", n)
	}
	return fmt.Sprintf("%d too few in the certificate's problem", -n)
}

func sortedKeys[K comparable, V any](m map[K]V, order func(x, y K) int) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, order)
	return keys
}

// samePlan compares the certificate's patterns with the sticks: what is cut from what, and how often.
func (a *audit) samePlan(where string, cuts cutsDocument, p *plan.ProfilePlan, want *derived) {
	count := map[string]int64{}
	for n, pattern := range cuts.Patterns {
		if pattern.Kind < 0 || pattern.Kind >= len(cuts.Kinds) {
			a.report("plan", where, "pattern %d is of kind %d, which does not exist", n, pattern.Kind)
			continue
		}
		k := cuts.Kinds[pattern.Kind]
		takes := map[int64]int64{}
		for _, take := range pattern.Take {
			if take[0] < 0 || take[0] >= int64(len(cuts.Items)) {
				a.report("plan", where, "pattern %d takes item %d, which does not exist", n, take[0])
				continue
			}
			takes[cuts.Items[take[0]].Length] += take[1]
		}
		count[patternText(stickKind{k.Length, k.Cost, k.Limit != nil}, takes)] += pattern.Count
	}
	for _, s := range p.Sticks {
		takes := map[int64]int64{}
		for _, side := range s.Sides {
			takes[int64(side.Takes)]++
		}
		var usable model.Length
		if parts := a.parts(&s, want); len(parts) > 0 {
			usable = parts[0].to - parts[0].from
		}
		count[patternText(stickKind{int64(usable), int64(s.Cost), s.From != plan.Bought}, takes)]--
	}
	a.differences(where, count)
}

// differences reports patterns of which the certificate's plan has more sticks, or fewer, than the profile.
func (a *audit) differences(where string, count map[string]int64) {
	for _, text := range sortedKeys(count, cmp.Compare[string]) {
		switch n := count[text]; {
		case n > 0:
			a.report("plan", where, "%d sticks of its plan are not in this one: %s", n, text)
		case n < 0:
			a.report("plan", where, "%d sticks are not in its plan: %s", -n, text)
		}
	}
}

// patternText is equal for equal patterns only.
func patternText(k stickKind, takes map[int64]int64) string {
	from := "new"
	if k.limited {
		from = "rack"
	}
	text := fmt.Sprintf("%s, usable %d nm, cost %d:", from, k.usable, k.cost)
	for _, length := range sortedKeys(takes, cmp.Compare[int64]) {
		text += fmt.Sprintf(" %d × %d nm", takes[length], length)
	}
	return text
}

// sameExactPlan compares the certificate's patterns with the profile's sticks, kind by kind: what is cut from what,
// and how often. Sides that must lie next to each other count as one.
func (a *audit) sameExactPlan(where string, cuts cutsDocument, asked *askedProblem, p *plan.ProfilePlan) {
	count := map[string]int64{}
	for n, pattern := range cuts.Patterns {
		if pattern.Kind < 0 || pattern.Kind >= len(cuts.Kinds) {
			a.report("plan", where, "pattern %d is of kind %d, which does not exist", n, pattern.Kind)
			continue
		}
		takes := map[int64]int64{}
		for _, take := range pattern.Take {
			if take[0] < 0 || take[0] >= int64(len(cuts.Items)) {
				a.report("plan", where, "pattern %d takes item %d, which does not exist", n, take[0])
				continue
			}
			takes[cuts.Items[take[0]].Length] += take[1]
		}
		count[exactText(pattern.Kind, takes)] += pattern.Count
	}
	for at, takes := range a.unitsOn(asked, p.Name) {
		if at.stick < len(p.Sticks) {
			if kind := asked.kindOf(p.Name, &p.Sticks[at.stick], at.part); kind >= 0 {
				count[exactText(kind, takes)]--
			}
		}
	}
	a.differences(where, count)
}

// exactText is equal for equal patterns only.
func exactText(kind int, takes map[int64]int64) string {
	text := fmt.Sprintf("kind %d:", kind)
	for _, length := range sortedKeys(takes, cmp.Compare[int64]) {
		text += fmt.Sprintf(" %d × %d nm", takes[length], length)
	}
	return text
}

// partOf is one part of one stick of a profile's plan.
type partOf struct{ stick, part int }

// unitsOn counts what is cut from each part of a profile's sticks, by what it takes in the problem.
func (a *audit) unitsOn(asked *askedProblem, profile string) map[partOf]map[int64]int64 {
	out := map[partOf]map[int64]int64{}
	for _, r := range a.profiles[profile].rings {
		units := r.units()
		if asked.whole[r] {
			units = [][]*wantedSide{r.sides}
		}
		for _, unit := range units {
			if !unit[0].cut {
				continue // reported elsewhere
			}
			takes := int64(0)
			for _, w := range unit {
				takes += int64(w.takes)
			}
			at := partOf{unit[0].at.stick, unit[0].at.part}
			if out[at] == nil {
				out[at] = map[int64]int64{}
			}
			out[at][takes]++
		}
	}
	return out
}

// kindOf finds the kind of a part of a stick, or gives -1.
func (p *askedProblem) kindOf(profile string, s *plan.Stick, part int) int {
	return slices.IndexFunc(p.kinds, func(k askedKind) bool {
		if k.profile != profile {
			return false
		}
		if s.From != plan.Bought {
			return slices.Contains(k.ids, s.ID) && k.part == part
		}
		return k.list != nil && k.list.listKey == keyOf(s.Supplier, profile, s.Length, s.Longest, s.Bundle)
	})
}

package plan

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"longpoint/model"
)

// cutsDocument is what the audit reads of a cuts document. The rest is the verifier's business.
type cutsDocument struct {
	Kinds []struct {
		Length int64  `json:"length"`
		Cost   int64  `json:"cost"`
		Limit  *int64 `json:"limit"`
	} `json:"kinds"`
	Items []struct {
		Length int64 `json:"length"`
		Demand int64 `json:"demand"`
	} `json:"items"`
	Patterns []struct {
		Kind  int        `json:"kind"`
		Count int64      `json:"count"`
		Take  [][2]int64 `json:"take"`
	} `json:"patterns"`
	Cost int64 `json:"cost"`
}

// certificate audits the cuts document: that it is about this profile's problem and this plan, that the verifier
// accepts it, and that bound, gap and grade are no better than it earned.
func (a *audit) certificate(ctx context.Context, p *ProfilePlan, want *derived, verify Verifier) error {
	where := "profile " + p.Name + ", certificate"
	var cuts cutsDocument
	if err := json.Unmarshal(p.Cuts, &cuts); err != nil {
		a.report("cuts", where, "the cuts document cannot be read: %s", err)
		return nil
	}
	a.sameProblem(where, cuts, p, want)
	a.samePlan(where, cuts, p, want)
	if gap := p.Figures.Cost - p.Bound; p.Gap != gap {
		a.report("bound", where, "the gap is %s, not %s", a.money(gap), a.money(p.Gap))
	}
	if p.Bound > p.Figures.Cost {
		a.report("bound", where, "the bound is %s more than the cost", a.money(p.Bound-p.Figures.Cost))
	}
	if p.Grade == Proven && p.Bound != p.Figures.Cost {
		a.report("grade", where, "it is called proven with a gap of %s", a.money(p.Figures.Cost-p.Bound))
	}
	if (p.Grade == Proven) != (p.Reason == "") {
		a.report("grade", where, "the grade is %s and the reason why it is not proven is %q", p.Grade, p.Reason)
	}
	if verify == nil {
		a.report("unchecked", where, "nobody has checked the certificate")
		return nil
	}
	grade, lower, err := verify(ctx, p.Cuts)
	if err != nil {
		if !finished(ctx, err) {
			return fmt.Errorf("%s: %w", where, err)
		}
		a.report("rejected", where, "the checker rejects it: %s", err)
		return nil
	}
	if excess := p.Bound - model.Money(lower); excess > 0 {
		a.report("bound", where, "the bound is %s better than what the certificate proves", a.money(excess))
	}
	if order := []Grade{Proven, Searched, Open}; slices.Index(order, p.Grade) < slices.Index(order, Grade(grade)) {
		a.report("grade", where, "it is called %s and has earned %s", p.Grade, grade)
	}
	return nil
}

// stickKind is a kind of stick in a cutting problem. Sticks of the rack are limited, new ones are not.
type stickKind struct {
	usable  int64
	cost    int64
	limited bool
}

// sameProblem derives the cutting problem from the workshop and compares: kinds by length, cost and limit, items by
// length, in any order.
func (a *audit) sameProblem(where string, cuts cutsDocument, p *ProfilePlan, want *derived) {
	kinds, items := map[stickKind]int64{}, map[int64]int64{}
	for _, k := range cuts.Kinds {
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
	trims := want.head + want.tail
	for _, s := range a.w.Rack {
		if s.Profile == p.Name && s.Length > trims {
			kinds[stickKind{int64(s.Length - trims), int64(a.w.StickValue(s)), true}]--
		}
	}
	cheapest := map[model.Length]model.Money{}
	for _, o := range a.w.Offers {
		if price, ok := cheapest[o.Length]; o.Profile == p.Name && o.Length > trims && (!ok || o.Price < price) {
			cheapest[o.Length] = o.Price
		}
	}
	for length, price := range cheapest {
		kinds[stickKind{int64(length - trims), int64(price), false}]--
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
func (a *audit) samePlan(where string, cuts cutsDocument, p *ProfilePlan, want *derived) {
	if cuts.Cost != int64(p.Figures.Cost) {
		a.report("plan", where, "it is about a plan for %s and this one costs %s", a.money(model.Money(cuts.Cost)), a.money(p.Figures.Cost))
	}
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
		usable := s.Length - want.head - want.tail
		count[patternText(stickKind{int64(usable), int64(s.Cost), s.From == FromRack}, takes)]--
	}
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

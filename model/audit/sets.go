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

// togetherBound audits the cases of profiles planned together and their problem as one, and gives the bound that they
// prove: of all sets of suppliers the least sum of the profiles' bounds and the deliveries, or that of the one problem
// where it is better. Where a certificate is missing or does not hold, nothing is proven by it.
func (a *audit) togetherBound(ctx context.Context, where string, t plan.Together, plans []*plan.ProfilePlan, suppliers []string, verify plan.Verifier) (model.Money, error) {
	var members []*derived
	for _, p := range plans {
		members = append(members, a.profiles[p.Name])
	}
	bound := model.Money(0)
	if len(t.Cuts) > 0 {
		lower, err := a.jointBound(ctx, where, t, members, verify)
		if err != nil {
			return 0, err
		}
		bound = lower
	}
	if len(t.Cases) == 0 {
		return bound, nil
	}
	cases, bounds, err := a.soundCases(ctx, where, t, members, verify)
	if err != nil {
		return bound, err
	}
	s := setsBound{a: a, members: members, cases: cases, bounds: bounds, claimed: t.Bound, steps: mostSets}
	return max(bound, s.least(nil, suppliers)), nil
}

// mostSets bounds the sets of suppliers that are looked at. Beyond, the bound of those not looked at is that of all of them together.
const mostSets = 1 << 13

// setsBound is the work on the least, over all sets of suppliers, of what a plan costs that orders from just these.
type setsBound struct {
	a       *audit
	members []*derived
	cases   []plan.Case
	bounds  []model.Money // by case
	claimed model.Money
	steps   int // that are left
}

// least bounds the plans that order in all ways of one list, from any suppliers of another, and from no others: by what the profiles cost with all of them
// open, and the deliveries of the first. Where that is less than what is claimed, it looks at the plans that order from one of the others in each of
// its ways, and at those that do not.
func (s *setsBound) least(from []way, any []string) model.Money {
	s.steps--
	delivery := model.Money(0)
	open := slices.Clone(any)
	for _, w := range from {
		delivery += w.delivery
		open = append(open, w.supplier)
	}
	slices.Sort(open)
	slices.SortFunc(from, func(x, y way) int { return cmp.Compare(x.supplier, y.supplier) })
	offerings, sum := s.profiles(open)
	sum += delivery
	switch {
	case sum >= s.claimed:
		return sum
	case len(any) == 0:
		sum = max(sum, delivery+s.a.weightedBound(s.members, offerings, s.cases, s.bounds, from))
		if sum < s.claimed {
			sum = max(sum, delivery+s.a.orderedBound(s.members, offerings, s.cases, s.bounds, from, s.claimed-delivery))
		}
		return sum
	case s.steps <= 0:
		return sum
	}
	at, most := 0, model.Money(-1) // the supplier without whom the profiles cost most
	for n := range any {
		if _, without := s.profiles(slices.DeleteFunc(slices.Clone(open), func(name string) bool { return name == any[n] })); without > most {
			at, most = n, without
		}
	}
	others := slices.Delete(slices.Clone(any), at, at+1)
	best := s.least(slices.Clone(from), others)
	for _, w := range ways(s.a.terms(any[at])) {
		best = min(best, s.least(append(slices.Clone(from), w), others))
	}
	return best
}

// profiles returns which of the open suppliers offer each profile, and what all profiles cost at least.
func (s *setsBound) profiles(open []string) (offerings [][]string, sum model.Money) {
	for _, d := range s.members {
		offering := slices.DeleteFunc(slices.Clone(open), func(name string) bool {
			return !slices.ContainsFunc(d.lists, func(l *priceList) bool { return l.supplier == name })
		})
		sum += leastIn(s.cases, s.bounds, d.profile.Name, offering)
		offerings = append(offerings, offering)
	}
	return offerings, sum
}

// soundCases audits a group's cases and their certificates, and gives those that are sound, with what each of them proves.
func (a *audit) soundCases(ctx context.Context, where string, t plan.Together, members []*derived, verify plan.Verifier) (cases []plan.Case, bounds []model.Money, err error) {
	for n, c := range t.Cases {
		at := fmt.Sprintf("%s, case %d", where, n+1)
		k := slices.IndexFunc(members, func(d *derived) bool { return d.profile.Name == c.Profile })
		if k < 0 {
			a.report("case", at, "it is of profile %s, which is not of the group", c.Profile)
			continue
		}
		if !a.soundCase(at, c, members[k]) {
			continue
		}
		lower, err := a.caseBound(ctx, at, c, members[k], verify)
		if err != nil {
			return nil, nil, err
		}
		if c.Bound > lower {
			a.report("bound", at, "the bound is %s better than what the certificate proves", a.money(c.Bound-lower))
		}
		cases, bounds = append(cases, c), append(bounds, min(c.Bound, lower))
	}
	return cases, bounds, nil
}

// leastIn is what a profile costs at least when these suppliers are open, whatever it orders: the greatest bound of its cases
// in which they all are, for with more of them a profile costs no more.
func leastIn(cases []plan.Case, bounds []model.Money, profile string, open []string) (least model.Money) {
	for n, c := range cases {
		closed := func(name string) bool { return !slices.Contains(c.Open, name) }
		if c.Profile == profile && len(c.Orders) == 0 && !slices.ContainsFunc(open, closed) {
			least = max(least, bounds[n])
		}
	}
	return least
}

// caseBound audits one case's certificate, and gives the bound that it proves: 0 where it does not hold.
func (a *audit) caseBound(ctx context.Context, where string, c plan.Case, d *derived, verify plan.Verifier) (model.Money, error) {
	alone := *d
	alone.lists = nil
	for _, l := range d.lists {
		if l.terms != nil && !slices.Contains(c.Open, l.supplier) {
			continue
		}
		alone.lists = append(alone.lists, supposed(c, l))
	}
	alone.lists = cheapestSold(alone.lists)
	if c.StandIn > 0 { // it takes the place of no list
		l := &priceList{listKey: listKey{profile: d.profile.Name, bundle: 1}, price: map[int64]model.Money{1: c.StandIn}, steps: []int64{1}}
		for _, other := range d.lists {
			l.length = max(l.length, other.length)
		}
		alone.lists = append(alone.lists, l)
	}
	var cuts cutsDocument
	if err := json.Unmarshal(c.Cuts, &cuts); err != nil {
		a.report("cuts", where, "the cuts document cannot be read: %s", err)
		return 0, nil
	}
	before := len(a.findings)
	if asked := a.ask([]*derived{&alone}, true); asked.plain() {
		a.sameProblem(where, cuts, &alone)
	} else {
		a.sameExactProblem(where, cuts, asked)
	}
	return a.verified(ctx, where, c.Cuts, len(a.findings) == before, verify)
}

// jointBound audits the certificate of all profiles as one problem, and gives the bound that it proves: 0 where it does
// not hold.
func (a *audit) jointBound(ctx context.Context, where string, t plan.Together, members []*derived, verify plan.Verifier) (model.Money, error) {
	at := where + ", certificate"
	var cuts cutsDocument
	if err := json.Unmarshal(t.Cuts, &cuts); err != nil {
		a.report("cuts", at, "the cuts document cannot be read: %s", err)
		return 0, nil
	}
	before := len(a.findings)
	a.sameExactProblem(at, cuts, a.ask(members, false))
	return a.verified(ctx, at, t.Cuts, len(a.findings) == before, verify)
}

// verified gives the bound that the verifier finds in a cuts document about the right problem.
func (a *audit) verified(ctx context.Context, where string, cuts []byte, right bool, verify plan.Verifier) (model.Money, error) {
	if verify == nil {
		a.report("unchecked", where, "nobody has checked the certificate")
		return 0, nil
	}
	_, lower, err := verify(ctx, cuts)
	switch {
	case err != nil && !finished(ctx, err):
		return 0, fmt.Errorf("%s: %w", where, err)
	case err != nil:
		a.report("rejected", where, "the checker rejects it: %s", err)
		return 0, nil
	case !right:
		return 0, nil
	}
	return max(0, model.Money(lower)), nil
}

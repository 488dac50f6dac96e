package audit

import (
	"cmp"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// maxSumAudit bounds every sum of lengths and of money: a quarter of what an int64 holds.
const maxSumAudit = 1 << 61

// askedProblem is the cutting problem of profiles that are planned together, derived from the workshop, with what its parts stand for. Its choices stand
// in this order: orders, by supplier; then for each profile what is bought, list by list in the order of the table; damaged sticks, in the order of
// the rack; lots, by groups of equal frames in the order of their days.
type askedProblem struct {
	kinds   []askedKind
	items   []askedItem
	choices []askedChoice
	rows    []int64              // what each must come to at least
	whole   map[*wantedRing]bool // rings of one lot that the plan cuts from a stick alone of its lot, and so as one item
}

type askedKind struct {
	cutsKind
	profile string
	list    *priceList   // of new sticks
	ids     []string     // of the rack's
	part    int          // which sound part of a damaged stick with several; 0 for any other stick
	lot     string       // equal for sticks that match; aloneLot
	length  model.Length // of the whole stick
	value   model.Money  // of the whole stick; of new ones as inProblem has it
	bounds  model.Money  // the value of its offcuts by length; of the rack's
}

type askedItem struct {
	length, demand int64
	profile        string
	longPoint      model.Length
	sides          int
	lot            string // that its sides must come from; "" for any
}

type askedChoice struct {
	cutsChoice
	times int64 // how often the document's plan makes it
}

// cutsKind, cutsChoice and cutsRow are parts of a cuts document as the audit reads and derives them.
type cutsKind struct {
	Length int64       `json:"length"`
	Cost   int64       `json:"cost"`
	Limit  *int64      `json:"limit"`
	Only   *[]int64    `json:"only"`
	Credit *cutsCredit `json:"credit"`
}

type cutsCredit struct {
	Keep  int64 `json:"keep"`
	Extra int64 `json:"extra"`
	Num   int64 `json:"num"`
	Den   int64 `json:"den"`
}

type cutsChoice struct {
	Cost  int64      `json:"cost"`
	Most  int64      `json:"most"`
	Gives [][2]int64 `json:"gives"`
	Asks  [][2]int64 `json:"asks"`
	In    [][2]int64 `json:"in"`
}

type cutsRow struct {
	Least int64 `json:"least"`
}

// text is equal for equal kinds only.
func (k cutsKind) text() string {
	text := fmt.Sprintf("length %d at %d", k.Length, k.Cost)
	if k.Limit != nil {
		text += fmt.Sprintf(", at most %d", *k.Limit)
	}
	if k.Only != nil {
		text += fmt.Sprintf(", only items %d", *k.Only)
	}
	if k.Credit != nil && k.Credit.Num != 0 {
		text += fmt.Sprintf(", credit %d", *k.Credit)
	}
	return text
}

// text is equal for equal choices only.
func (c cutsChoice) text() string {
	return fmt.Sprintf("cost %d, at most %d, gives %d, asks %d, in rows %d", c.Cost, c.Most, c.Gives, c.Asks, c.In)
}

// sameExactProblem compares a certificate's problem with the derived one part by part.
func (a *audit) sameExactProblem(where string, cuts cutsDocument, want *askedProblem) {
	number := func(what string, got, asked int) bool {
		if got != asked {
			a.report("problem", where, "%d %s in the certificate's problem instead of %d", got, what, asked)
		}
		return got == asked
	}
	if number("kinds of stick", len(cuts.Kinds), len(want.kinds)) {
		for n, k := range cuts.Kinds {
			if asked := want.kinds[n].cutsKind; k.text() != asked.text() {
				a.report("problem", where, "kind %d is %s instead of %s", n, k.text(), asked.text())
			}
		}
	}
	if number("items", len(cuts.Items), len(want.items)) {
		for n, it := range cuts.Items {
			if asked := want.items[n]; it.Length != asked.length || it.Demand != asked.demand {
				a.report("problem", where, "item %d is %d × %s instead of %d × %s", n, it.Demand, a.in(model.Length(it.Length)), asked.demand, a.in(model.Length(asked.length)))
			}
		}
	}
	if number("choices", len(cuts.Choices), len(want.choices)) {
		for n, c := range cuts.Choices {
			if asked := want.choices[n].cutsChoice; c.text() != asked.text() {
				a.report("problem", where, "choice %d is %s instead of %s", n, c.text(), asked.text())
			}
		}
	}
	if number("rows", len(cuts.Rows), len(want.rows)) {
		for n, r := range cuts.Rows {
			if r.Least != want.rows[n] {
				a.report("problem", where, "row %d must come to %d instead of %d", n, r.Least, want.rows[n])
			}
		}
	}
}

// sameChoices compares how often each choice is made with what follows from the document's plan.
func (a *audit) sameChoices(where string, cuts cutsDocument, want *askedProblem) {
	if len(cuts.Chosen) != len(want.choices) {
		a.report("plan", where, "it says how often %d choices are made instead of %d", len(cuts.Chosen), len(want.choices))
		return
	}
	for n, times := range cuts.Chosen {
		if times != want.choices[n].times {
			a.report("plan", where, "choice %d is made %d times in its plan and %d times in this one", n, times, want.choices[n].times)
		}
	}
}

// ask derives the problem of profiles that are planned together. With forced all suppliers that ask for something are ordered from.
func (a *audit) ask(members []*derived, forced bool) *askedProblem {
	p := &askedProblem{whole: map[*wantedRing]bool{}}
	orders := map[string][]int{} // choices of ordering, by supplier
	var names []string
	asking := map[string]*model.Supplier{}
	for _, d := range members {
		for _, l := range d.lists {
			if l.terms != nil && !slices.Contains(names, l.supplier) {
				names = append(names, l.supplier)
				asking[l.supplier] = l.terms
			}
		}
	}
	slices.Sort(names)
	leastRows := map[string][2]int{} // of money and of sticks, -1 for none
	for _, name := range names {
		orders[name], leastRows[name] = a.askOrder(p, members, ways(asking[name]), forced)
	}
	for _, d := range members {
		a.askProfile(p, d, len(members) > 1, orders, leastRows)
	}
	return p
}

// askOrder derives the choices of ordering from a supplier, one for each way, and the rows by which the order comes to what the way asks.
func (a *audit) askOrder(p *askedProblem, members []*derived, ways []way, forced bool) (choices []int, rows [2]int) {
	var ordered model.Money
	placed := false
	for _, b := range a.d.Buy {
		if b.Supplier == ways[0].supplier && b.Count > 0 && slices.ContainsFunc(members, func(d *derived) bool { return d.profile.Name == b.Profile }) {
			placed = true
			ordered += b.Cost
		}
	}
	made := 0
	for n, w := range ways {
		choices = append(choices, len(p.choices))
		p.choices = append(p.choices, askedChoice{cutsChoice: cutsChoice{Cost: int64(w.delivery), Most: 1}})
		if ordered >= w.money {
			made = n
		}
	}
	if placed {
		p.choices[choices[made]].times = 1
	}
	for kind := range rows {
		rows[kind] = -1
		for n, w := range ways {
			must := w.sticks
			if kind == 0 {
				must = int64(w.money)
			}
			if must == 0 {
				continue
			}
			if rows[kind] < 0 {
				rows[kind] = len(p.rows)
				p.rows = append(p.rows, 0)
			}
			c := &p.choices[choices[n]]
			c.In = append(c.In, [2]int64{int64(rows[kind]), -must})
		}
	}
	if forced {
		for _, at := range choices {
			p.choices[at].In = append(p.choices[at].In, [2]int64{int64(len(p.rows)), 1})
		}
		p.rows = append(p.rows, 1)
	}
	return choices, rows
}

// askProfile adds one profile's part.
func (a *audit) askProfile(p *askedProblem, d *derived, several bool, orders map[string][]int, leastRows map[string][2]int) {
	kinds := a.askKinds(d)
	groups, bound := a.askGroups(d, kinds)
	items := a.askItems(d, groups, bound)
	firstKind, firstItem := int64(len(p.kinds)), int64(len(p.items))
	anyLot := slices.ContainsFunc(items, func(it askedItem) bool { return it.lot != "" })
	for n := range kinds {
		if several || anyLot {
			only := []int64{}
			for i, it := range items {
				if it.lot == "" || it.lot == kinds[n].lot {
					only = append(only, firstItem+int64(i))
				}
			}
			kinds[n].Only = &only
		}
	}
	p.kinds = append(p.kinds, kinds...)
	p.items = append(p.items, items...)
	for _, l := range d.lists {
		if !l.sold() {
			k := slices.IndexFunc(kinds, func(k askedKind) bool { return k.list == l })
			a.askBuying(p, d, l, kinds[k], firstKind+int64(k), orders, leastRows)
		}
	}
	for _, s := range a.w.Rack {
		a.askOpening(p, d, s, kinds, firstKind)
	}
	a.askLots(p, groups, items, firstItem)
}

// askKinds derives the profile's kinds of stick: of the rack, longest and then of least value first, then what can be
// bought, longest and then cheapest first.
func (a *audit) askKinds(d *derived) []askedKind {
	rack := a.askRack(d)
	var bought []askedKind
	for _, l := range d.lists {
		k := askedKind{profile: d.profile.Name, list: l, length: l.length, value: l.inProblem()}
		k.lot = plan.Stick{From: plan.Bought, Supplier: l.supplier, Length: l.length, Longest: l.longest, Bundle: int(l.bundle)}.LotName()
		part := partsOf(l.length, nil, d)[0]
		k.Length, k.Cost = int64(part.to-part.from), int64(l.inProblem())
		k.Credit = d.askCredit(l.length, l.spare, part)
		if !l.sold() {
			k.Limit = new(int64)
		}
		bought = append(bought, k)
	}
	for _, kinds := range [][]askedKind{rack, bought} {
		slices.SortStableFunc(kinds, func(x, y askedKind) int {
			return cmp.Or(cmp.Compare(y.length, x.length), cmp.Compare(x.value, y.value))
		})
	}
	return append(rack, bought...)
}

// aloneLot is the lot of every stick of the rack that is the only one of its lot, in one sound part: the sides of a ring that must come from one lot
// come from such a stick all together, and so are one item for all such sticks.
const aloneLot = "alone"

// askRack derives the kinds of stick of the rack, in its order.
func (a *audit) askRack(d *derived) (rack []askedKind) {
	byLot := slices.ContainsFunc(d.rings, func(r *wantedRing) bool { return r.match == model.MatchLot })
	lotOf := func(s model.Stick) string { return plan.Stick{ID: s.ID, From: plan.FromRack, Lot: s.Lot}.LotName() }
	ofLot := map[string]int{}
	for _, s := range a.w.Rack {
		if s.Profile == d.profile.Name {
			ofLot[lotOf(s)]++
		}
	}
	for _, s := range a.w.Rack {
		if s.Profile != d.profile.Name {
			continue
		}
		value, bounds := a.worth(s, d)
		parts := partsOf(s.Length, s.Damage, d)
		lot := lotOf(s)
		if ofLot[lot] == 1 && len(parts) == 1 {
			lot = aloneLot
		}
		same := slices.IndexFunc(rack, func(k askedKind) bool {
			return len(s.Damage) == 0 && !a.damaged(k.ids[0]) && k.length == s.Length && k.value == value && k.bounds == bounds && (!byLot || k.lot == lot)
		})
		if same >= 0 && len(parts) > 0 {
			rack[same].ids = append(rack[same].ids, s.ID)
			*rack[same].Limit++
			continue
		}
		for n, part := range parts {
			k := askedKind{profile: d.profile.Name, ids: []string{s.ID}, lot: lot, length: s.Length, value: value, bounds: bounds}
			k.Length, k.Cost = int64(part.to-part.from), int64(value)
			k.Credit = d.askCredit(s.Length, bounds, part)
			limit := int64(1)
			if len(parts) > 1 {
				k.part, limit = n, 0
				k.Cost = 0
				if left := part.behind - part.from; k.Credit != nil && left >= d.profile.Keep {
					k.Cost = int64(d.offcutValue(left, s.Length, bounds))
				}
			}
			k.Limit = &limit
			rack = append(rack, k)
		}
	}
	return rack
}

// damaged says whether a stick of the rack is.
func (a *audit) damaged(id string) bool { return len(a.rack[id].Damage) > 0 }

// askCredit derives the credit for what is left of a part of a stick.
func (d *derived) askCredit(length model.Length, cost model.Money, p part) *cutsCredit {
	num, den := d.byLength(length, cost)
	if num == 0 || p.behind-p.from < d.profile.Keep {
		return nil
	}
	return &cutsCredit{Keep: int64(d.profile.Keep), Extra: int64(p.behind - p.to), Num: num, Den: den}
}

// askedGroup is rings of equal sides that must each come from one lot.
type askedGroup struct {
	sides []askedItem // longest first, demand 0
	rings []*wantedRing
	lots  []string // that can give one
}

// askGroups derives the rings that lots bind, in the order of the jobs' days, with the lots that can give them; and which
// group a ring belongs to.
func (a *audit) askGroups(d *derived, kinds []askedKind) ([]*askedGroup, map[*wantedRing]*askedGroup) {
	bound := map[*wantedRing]*askedGroup{}
	if !d.manyLots(a) {
		return nil, bound
	}
	var groups []*askedGroup
	for _, r := range a.byDay(d.rings) {
		if r.match != model.MatchLot {
			continue
		}
		var sides []askedItem
		for _, w := range r.sides {
			sides = append(sides, askedItem{length: int64(w.takes), profile: d.profile.Name, longPoint: w.side.LongPoint, sides: 1})
		}
		slices.SortFunc(sides, byItem)
		n := slices.IndexFunc(groups, func(g *askedGroup) bool { return slices.Equal(g.sides, sides) })
		if n < 0 {
			n = len(groups)
			groups = append(groups, &askedGroup{sides: sides})
		}
		groups[n].rings = append(groups[n].rings, r)
		bound[r] = groups[n]
	}
	var lots []string
	for _, k := range kinds {
		if !slices.Contains(lots, k.lot) {
			lots = append(lots, k.lot)
		}
	}
	for _, g := range groups {
		for _, lot := range lots {
			var all, longest, need int64
			for _, k := range kinds {
				if k.lot == lot {
					longest = max(longest, k.Length)
					all += k.Length * int64(len(k.ids))
					if k.list != nil {
						all = maxSumAudit
					}
				}
			}
			for _, s := range g.sides {
				need += s.length
			}
			if lot == aloneLot {
				all = longest
			}
			if g.sides[0].length <= longest && need <= all {
				g.lots = append(g.lots, lot)
			}
		}
	}
	return groups, bound
}

// byDay orders rings by the days of their jobs, then as they are.
func (a *audit) byDay(rings []*wantedRing) []*wantedRing {
	out := slices.Clone(rings)
	slices.SortStableFunc(out, func(x, y *wantedRing) int {
		return a.w.Jobs[a.jobIndex(x.key.Job)].Due.Compare(a.w.Jobs[a.jobIndex(y.key.Job)].Due.Time)
	})
	return out
}

// byItem orders items: what takes most first, of those the longest, then of fewest sides; of lots nothing is said.
func byItem(x, y askedItem) int {
	return cmp.Or(cmp.Compare(y.length, x.length), cmp.Compare(y.longPoint, x.longPoint), cmp.Compare(x.sides, y.sides))
}

// askItems derives the profile's items.
func (a *audit) askItems(d *derived, groups []*askedGroup, bound map[*wantedRing]*askedGroup) []askedItem {
	var items []askedItem
	add := func(it askedItem, demand int64) {
		it.profile = d.profile.Name
		for n := range items {
			if byItem(items[n], it) == 0 && items[n].lot == it.lot {
				items[n].demand += demand
				return
			}
		}
		it.demand = demand
		items = append(items, it)
	}
	var lots []string // in the order in which they first occur among the kinds, which is that of each group's
	for _, g := range groups {
		for _, lot := range g.lots {
			for _, s := range g.from(lot) {
				add(s, 0)
			}
		}
	}
	for _, k := range a.askKinds(d) {
		if !slices.Contains(lots, k.lot) {
			lots = append(lots, k.lot)
		}
	}
	for _, r := range d.rings {
		if bound[r] != nil {
			continue
		}
		for _, part := range r.units() {
			it := askedItem{}
			for _, w := range part {
				it.length += int64(w.takes)
				it.longPoint += w.side.LongPoint
				it.sides++
			}
			add(it, 1)
		}
	}
	slices.SortStableFunc(items, func(x, y askedItem) int {
		return cmp.Or(byItem(x, y), cmp.Compare(slices.Index(lots, x.lot), slices.Index(lots, y.lot)))
	})
	return items
}

// askBuying derives the choices of buying from one list. Where a price holds from the first bundle on, it is one choice;
// else one of the first bundles together, and one of those that follow, which only goes with it. All go with an order. In
// an order that must come to so much money, or is delivered free then, the prices of a list exclude each other, and each ends where the next begins.
func (a *audit) askBuying(p *askedProblem, d *derived, l *priceList, k askedKind, kind int64, orders map[string][]int, leastRows map[string][2]int) {
	left := a.boughtOf(l.listKey)
	most := a.mostBundles(d, l, k)
	holds := int64(0) // the step from which the plan's price holds
	for _, s := range l.steps {
		if s <= left {
			holds = s
		}
	}
	money := mostMoney(l.terms)
	apart := int64(-1) // row by which prices of the list exclude each other
	if len(l.steps) > 1 && money > 0 {
		apart = int64(len(p.rows))
		p.rows = append(p.rows, -1)
	}
	for n, s := range l.steps {
		end := most
		if apart >= 0 && n+1 < len(l.steps) {
			end = min(end, l.steps[n+1]-1)
		}
		anyNumber := s == 1 && apart < 0
		c := l.purchase(kind, s, s, leastRows)
		c.Most = 1
		if anyNumber {
			c.Most = end
		}
		switch {
		case s == holds && anyNumber:
			c.times = left
		case s == holds:
			c.times = 1
		}
		if apart >= 0 {
			c.In = append(c.In, [2]int64{apart, -1})
		}
		if l.terms != nil {
			p.goesWith(&c, orders[l.supplier]...)
		}
		p.choices = append(p.choices, c)
		if anyNumber || end <= s {
			continue
		}
		c = l.purchase(kind, 1, s, leastRows)
		c.Most = end - s
		if s == holds {
			c.times = left - s
		}
		p.goesWith(&c, len(p.choices)-1)
		p.choices = append(p.choices, c)
	}
}

// purchase derives the choice of buying so many bundles at once, at the price that holds from a step on.
func (l *priceList) purchase(kind, bundles, step int64, leastRows map[string][2]int) (c askedChoice) {
	price, sticks := int64(l.price[step]), bundles*l.bundle
	c.Cost = bundles*int64(l.cost(step)) - sticks*int64(l.spare)
	c.Gives = [][2]int64{{kind, sticks}}
	if l.terms == nil {
		return c
	}
	rows := leastRows[l.supplier]
	if rows[0] >= 0 && price > 0 {
		c.In = append(c.In, [2]int64{int64(rows[0]), bundles * price})
	}
	if rows[1] >= 0 {
		c.In = append(c.In, [2]int64{int64(rows[1]), sticks})
	}
	return c
}

// goesWith adds the row by which a choice is made only where one of others is.
func (p *askedProblem) goesWith(c *askedChoice, others ...int) {
	row := int64(len(p.rows))
	p.rows = append(p.rows, 0)
	for _, other := range others {
		p.choices[other].In = append(p.choices[other].In, [2]int64{row, c.Most})
	}
	c.In = append(c.In, [2]int64{row, -1})
}

// mostBundles is how many bundles of a list a cheapest plan may buy: as many as hold all the profile's sides by
// first-fit, as reach the list's last price, or as make up the supplier's least order, and the one that is delivered free. Where offcuts are credited, sticks
// may be cheaper the emptier they are: then as many as cost, each with the smallest side only, what first-fit's do.
func (a *audit) mostBundles(d *derived, l *priceList, k askedKind) int64 {
	var rooms []int64
	smallest, pieces := k.Length, int64(0)
	start, before := 0, int64(-1)
	for _, u := range a.firstFitUnits(d) {
		takes := int64(u.takes)
		if takes > k.Length {
			continue
		}
		smallest = takes
		pieces++
		if takes != before {
			start, before = 0, takes
		}
		for start < len(rooms) && rooms[start] < takes {
			start++
		}
		if start == len(rooms) {
			rooms = append(rooms, k.Length)
		}
		rooms[start] -= takes
	}
	sticks := int64(len(rooms))
	_, leastSticks := least(l.terms)
	money := mostMoney(l.terms)
	last := l.steps[len(l.steps)-1]
	lowest := int64(l.price[last])
	if k.Credit != nil {
		each := int64(l.cost(last)) / l.bundle
		if left := k.Length - smallest + k.Credit.Extra; left >= k.Credit.Keep {
			each -= int64(d.offcutValue(model.Length(left), l.length, l.spare))
		}
		many := int64(1 << 24) // what the cutting problem can hold
		if each > 0 {
			bundles := max(l.bundlesFor(sticks), l.bundlesFor(leastSticks))
			if money > 0 && lowest > 0 {
				bundles = max(bundles, (int64(money)+lowest-1)/lowest)
			}
			whole := bundles * int64(l.cost(l.steps[0]))
			many = min(many, (whole+each-1)/each)
		}
		sticks = min(pieces, many)
	}
	most := max(l.bundlesFor(sticks), last)
	most = max(most, l.bundlesFor(leastSticks))
	if money > 0 && lowest > 0 {
		most = max(most, (int64(money)+lowest-1)/lowest)
	}
	return most
}

// askOpening derives the choice of opening a damaged stick with several sound parts.
func (a *audit) askOpening(p *askedProblem, d *derived, s model.Stick, kinds []askedKind, firstKind int64) {
	if s.Profile != d.profile.Name || len(partsOf(s.Length, s.Damage, d)) < 2 {
		return
	}
	value, _ := a.worth(s, d)
	c := askedChoice{cutsChoice: cutsChoice{Cost: int64(value), Most: 1}}
	for n, k := range kinds {
		if k.list == nil && k.ids[0] == s.ID {
			c.Cost -= k.Cost
			c.Gives = append(c.Gives, [2]int64{firstKind + int64(n), 1})
		}
	}
	if a.used[s.ID] {
		c.times = 1
	}
	p.choices = append(p.choices, c)
}

// askLots derives the choices of cutting rings from a lot: of each group of equal rings as many as there are, in all.
func (a *audit) askLots(p *askedProblem, groups []*askedGroup, items []askedItem, firstItem int64) {
	for _, g := range groups {
		rings := int64(len(g.rings))
		row := int64(len(p.rows))
		p.rows = append(p.rows, rings, -rings)
		for _, lot := range g.lots {
			c := askedChoice{cutsChoice: cutsChoice{Most: rings, In: [][2]int64{{row, 1}, {row + 1, -1}}}}
			for _, r := range g.rings {
				if a.lotCut(p, r) == lot {
					c.times++
					p.whole[r] = lot == aloneLot
				}
			}
			for _, s := range g.from(lot) {
				i := firstItem + int64(slices.IndexFunc(items, func(it askedItem) bool { return it.lot == lot && byItem(it, s) == 0 }))
				if last := len(c.Asks) - 1; last >= 0 && c.Asks[last][0] == i {
					c.Asks[last][1]++
				} else {
					c.Asks = append(c.Asks, [2]int64{i, 1})
				}
			}
			p.choices = append(p.choices, c)
		}
	}
}

// lotCut is the lot of the stick that a ring's first side is cut from; "" where it is cut from none.
func (a *audit) lotCut(p *askedProblem, r *wantedRing) string {
	first := r.sides[0]
	for n := range a.d.Profiles {
		if pp := &a.d.Profiles[n]; first.cut && pp.Name == first.profile && first.at.stick < len(pp.Sticks) {
			if k := p.kindOf(pp.Name, &pp.Sticks[first.at.stick], first.at.part); k >= 0 {
				return p.kinds[k].lot
			}
		}
	}
	return ""
}

// from gives the items that a ring of the group takes from a lot: its sides, or all of them as one.
func (g *askedGroup) from(lot string) []askedItem {
	if lot == aloneLot {
		whole := askedItem{profile: g.sides[0].profile, lot: lot}
		for _, s := range g.sides {
			whole.length += s.length
			whole.longPoint += s.longPoint
			whole.sides++
		}
		return []askedItem{whole}
	}
	sides := slices.Clone(g.sides)
	for n := range sides {
		sides[n].lot = lot
	}
	return sides
}

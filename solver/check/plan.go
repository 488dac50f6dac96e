package check

import "math/big"

// Plan is the answer: which patterns to cut and how often, and how often to make each
// choice. It may repeat a pattern.
type Plan struct {
	Patterns []Pattern
	Chosen   []int64 // one entry a choice
}

// Pattern is one way to cut one stick, and how many sticks to cut that way.
type Pattern struct {
	Kind  int // index into Instance.Kinds
	Count int64
	Take  []Take // each item at most once
}

// Take is how many pieces of one item come off one stick.
type Take struct {
	Item     int // index into Instance.Items
	Quantity int64
}

// tally is what the patterns and the choices add up to.
type tally struct {
	used        []*big.Int // sticks, one entry a kind
	given       []*big.Int // sticks that choices give, one entry a kind
	cut         []*big.Int // pieces, one entry an item
	asked       []*big.Int // pieces that choices ask for, one entry an item
	cost        *big.Int
	cutLength   *big.Int
	stickLength *big.Int
}

// checkPlan adds the patterns and the choices up, looks at each on its own, then at the limits,
// the demands and the rows. What makes no sense is reported and left out of the sums.
func (v *verifier) checkPlan(plan Plan) {
	kinds, items := len(v.instance.Kinds), len(v.instance.Items)
	sum := tally{
		used: zeros(kinds), given: zeros(kinds), cut: zeros(items), asked: zeros(items),
		cost: new(big.Int), cutLength: new(big.Int), stickLength: new(big.Int),
	}
	for p, pattern := range plan.Patterns {
		if v.isPattern(p, pattern) {
			v.addPattern(&sum, p, pattern)
		}
	}
	v.addChoices(&sum, plan.Chosen)
	v.checkLimits(sum)
	v.checkCover(sum)

	sticks := new(big.Int)
	for _, used := range sum.used {
		sticks.Add(sticks, used)
	}
	r := &v.report
	r.Cost = v.figure(sum.cost, "cost")
	r.Sticks = v.figure(sticks, "number of sticks")
	r.CutLength = v.figure(sum.cutLength, "length cut")
	r.StickLength = v.figure(sum.stickLength, "length of the sticks used")
	r.Waste = v.figure(sum.stickLength.Sub(sum.stickLength, sum.cutLength), "waste")
}

// isPattern reports indexes, counts and repeats that make no sense.
func (v *verifier) isPattern(p int, pattern Pattern) bool {
	ok := v.isIndex(pattern.Kind, len(v.instance.Kinds), at("pattern", p), "kind")
	ok = v.atLeast(1, pattern.Count, at("pattern", p), "count") && ok
	seen := make(map[int]bool, len(pattern.Take))
	for _, take := range pattern.Take {
		ok = v.isIndex(take.Item, len(v.instance.Items), at("pattern", p), "item") && ok
		ok = v.atLeast(1, take.Quantity, at("pattern", p, "item", take.Item), "quantity") && ok
		if seen[take.Item] {
			v.violate(Repeated, at("pattern", p, "item", take.Item), nil, "the item is taken twice; name it once with the sum")
			ok = false
		}
		seen[take.Item] = true
	}
	return ok
}

// addPattern adds one pattern to the sums and reports a stick that is too full or holds what
// it may not.
func (v *verifier) addPattern(sum *tally, p int, pattern Pattern) {
	kind := v.instance.Kinds[pattern.Kind]
	count := big.NewInt(pattern.Count)
	length := new(big.Int)
	for _, take := range pattern.Take {
		length.Add(length, product(v.instance.Items[take.Item].Length, take.Quantity))
		cut := product(take.Quantity, pattern.Count)
		sum.cut[take.Item].Add(sum.cut[take.Item], cut)
		if !kind.mayHold(take.Item) {
			v.violate(Barred, at("pattern", p, "item", take.Item), cut, "%d pieces come off sticks of kind %d, which may not hold the item", cut, pattern.Kind)
		}
	}
	left := new(big.Int).Sub(big.NewInt(kind.Length), length)
	if over := new(big.Int).Sub(length, big.NewInt(kind.Length)); over.Sign() > 0 {
		v.violate(TooLong, at("pattern", p), over, "the pieces are %d long together, the stick (kind %d) holds %d: %d too much",
			length, pattern.Kind, kind.Length, over)
	}
	sum.used[pattern.Kind].Add(sum.used[pattern.Kind], count)
	sum.cost.Add(sum.cost, product(kind.Cost, pattern.Count))
	if left.Sign() >= 0 {
		sum.cost.Sub(sum.cost, product(kind.Credit.of(left.Int64()), pattern.Count))
	}
	sum.stickLength.Add(sum.stickLength, product(kind.Length, pattern.Count))
	sum.cutLength.Add(sum.cutLength, length.Mul(length, count))
}

// checkLimits reports every kind of which more is used than there is.
func (v *verifier) checkLimits(sum tally) {
	for k, kind := range v.instance.Kinds {
		if kind.Limit == nil {
			continue
		}
		there := new(big.Int).Add(sum.given[k], big.NewInt(*kind.Limit))
		if over := new(big.Int).Sub(sum.used[k], there); over.Sign() > 0 {
			v.violate(OverLimit, at("kind", k), over, "%d sticks are used, there are only %d: %d too many", sum.used[k], there, over)
		}
	}
}

// checkCover reports every demand that is not met exactly.
func (v *verifier) checkCover(sum tally) {
	for i, item := range v.instance.Items {
		asked := new(big.Int).Add(sum.asked[i], big.NewInt(item.Demand))
		surplus := new(big.Int).Sub(sum.cut[i], asked)
		switch surplus.Sign() {
		case +1:
			v.violate(Surplus, at("item", i), surplus, "%d pieces are cut, %d are asked for: %d too many", sum.cut[i], asked, surplus)
		case -1:
			short := surplus.Neg(surplus)
			v.violate(Short, at("item", i), short, "%d pieces are cut, %d are asked for: %d too few", sum.cut[i], asked, short)
		}
	}
}

// figure gives a sum as an int64 and reports one that does not fit.
func (v *verifier) figure(sum *big.Int, what string) int64 {
	if !sum.IsInt64() {
		v.violate(TooLarge, "plan", nil, "the %s is %d, too large to state", what, sum)
		return 0
	}
	return sum.Int64()
}

func zeros(n int) []*big.Int {
	list := make([]*big.Int, n)
	for i := range list {
		list[i] = new(big.Int)
	}
	return list
}

// product is a · b, exactly.
func product(a, b int64) *big.Int {
	return new(big.Int).Mul(big.NewInt(a), big.NewInt(b))
}

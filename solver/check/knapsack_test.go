package check

import (
	"context"
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
)

// allPatterns calls visit with every pattern of a kind: 0 <= a_i <= d_i and what choices can
// ask for besides, as long as the stick at most, nothing the kind may not hold, the
// empty one included. The slice is reused.
func allPatterns(instance Instance, k int, visit func(a []int64)) {
	a := make([]int64, len(instance.Items))
	most := make([]int64, len(instance.Items))
	for i, item := range instance.Items {
		most[i] = item.Demand
		if only := instance.Kinds[k].Only; only != nil && !slices.Contains(only, i) {
			most[i] = -1 << 40
		}
	}
	for _, choice := range instance.Choices {
		for _, ask := range choice.Asks {
			most[ask.Item] += ask.Quantity * choice.Most
		}
	}
	var fill func(i int, free int64)
	fill = func(i int, free int64) {
		if i == len(a) {
			visit(a)
			return
		}
		item := instance.Items[i]
		for a[i] = 0; a[i] <= max(0, most[i]) && a[i]*item.Length <= free; a[i]++ {
			fill(i+1, free-a[i]*item.Length)
		}
		a[i] = 0
	}
	fill(0, instance.Kinds[k].Length)
}

// creditOf is what is paid back for a stick of kind k cut to a, read off the definition.
func creditOf(instance Instance, k int, a []int64) int64 {
	kind := instance.Kinds[k]
	if kind.Credit == nil {
		return 0
	}
	left := kind.Length + kind.Credit.Extra
	for i, quantity := range a {
		left -= quantity * instance.Items[i].Length
	}
	if left < kind.Credit.Keep {
		return 0
	}
	value := new(big.Int).Div(product(kind.Credit.Num, left), big.NewInt(kind.Credit.Den))
	return value.Int64()
}

// satisfies says whether a stick of kind k cut to a counts for the condition.
func satisfies(condition Condition, k int, a []int64) bool {
	if condition.Choice != nil || condition.Kind != nil && *condition.Kind != k {
		return false
	}
	for _, hold := range condition.Holds {
		if a[hold.Item] < hold.AtLeast {
			return false
		}
	}
	return true
}

// patternValue is the dual value of a pattern of kind k in a leaf, read off the definition.
func patternValue(leaf Leaf, k int, a []int64) int64 {
	var sum int64
	for i, quantity := range a {
		sum += leaf.DualValues[i] * quantity
	}
	for _, condition := range leaf.Branch {
		if satisfies(condition, k, a) {
			sum += condition.DualValue
		}
	}
	return sum
}

// greatestValue is the greatest dual value of a pattern of kind k with its credit times scale, by trying all.
func greatestValue(instance Instance, leaf Leaf, k int, scale int64) int64 {
	most := int64(math.MinInt64)
	allPatterns(instance, k, func(a []int64) {
		most = max(most, patternValue(leaf, k, a)+scale*creditOf(instance, k, a))
	})
	return most
}

// overBy is by how much the knapsack finds a pattern of kind k above what is allowed.
func overBy(t testing.TB, instance Instance, leaf Leaf, k int, may int64) int64 {
	t.Helper()
	return overByScaled(t, instance, leaf, k, 1, may)
}

// overByScaled is overBy with a scale, which counts where there is a credit.
func overByScaled(t testing.TB, instance Instance, leaf Leaf, k int, scale, may int64) int64 {
	t.Helper()
	q, target, err := newKnapsack(instance, instance.wanted(), leaf, k, scale, big.NewInt(may))
	if err != nil {
		t.Fatal(err)
	}
	over, err := q.excess(context.Background(), target)
	if err != nil {
		t.Fatal(err)
	}
	return over
}

// randomLeaf makes a small question with dual values of either sign and branch entries of every sort.
func randomLeaf(random *rand.Rand) (Instance, Leaf) {
	between := func(low, high int64) int64 { return low + random.Int64N(high-low+1) }
	unit := []int64{1, 3, 396_875, 1_000_000_007}[random.IntN(4)]
	value := []int64{1, 1000, 1 << 40, 1 << 50}[random.IntN(4)] // of a dual value
	var instance Instance
	for range between(1, 2) {
		instance.Kinds = append(instance.Kinds, Kind{Length: between(5, 30)*unit + between(0, unit-1), Cost: 1})
	}
	var leaf Leaf
	for range between(1, 5) {
		instance.Items = append(instance.Items, Item{Length: between(1, 12) * unit, Demand: between(0, 5)})
		leaf.DualValues = append(leaf.DualValues, between(-8, 30)*value+between(-3, 3))
	}
	for range between(0, 8) {
		condition := Condition{Sense: Least, DualValue: between(0, 25) * value}
		if random.IntN(2) == 0 {
			condition.Sense, condition.DualValue = Most, between(-25, 0)*value
		}
		if random.IntN(2) == 0 {
			condition.Kind = new(random.IntN(len(instance.Kinds)))
		}
		items := random.Perm(len(instance.Items))
		for _, i := range items[:random.IntN(min(4, len(items)+1))] {
			condition.Holds = append(condition.Holds, Hold{i, between(1, 3)})
		}
		leaf.Branch = append(leaf.Branch, condition)
	}
	leaf.LimitDualValues = make([]int64, len(instance.Kinds))
	return instance, leaf
}

// The knapsack finds the same as trying all patterns, whatever it is asked to beat.
func TestKnapsackAgainstAllPatterns(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	joints, overs := 0, 0
	for n := range 6000 {
		instance, leaf := randomLeaf(random)
		for k := range instance.Kinds {
			most := greatestValue(instance, leaf, k, 1)
			for _, may := range []int64{most - 1000, most - 7, most - 1, most, most + 1, most + 50} {
				want := max(0, most-may)
				if got := overBy(t, instance, leaf, k, may); got != want {
					t.Fatalf("question %d, kind %d: a pattern may have the value %d; the knapsack finds %d more, all patterns give %d more\n%+v\n%+v",
						n, k, may, got, want, instance, leaf)
				}
				if want > 0 {
					overs++
				}
			}
			q, _, _ := newKnapsack(instance, instance.wanted(), leaf, k, 1, big.NewInt(0))
			joints += len(q.conjunctions)
		}
	}
	if joints < 1000 || overs < 1000 {
		t.Errorf("the questions are too easy: %d joint conditions, %d patterns of too great a dual value", joints, overs)
	}
}

func TestCompareProducts(t *testing.T) {
	random := rand.New(rand.NewPCG(21, 22))
	for range 10_000 {
		var n [4]int64
		for i := range n {
			n[i] = random.Int64N(1 << (1 + random.IntN(62)))
		}
		if random.IntN(8) == 0 {
			n[2], n[3] = n[1], n[0]
		}
		if got, want := compareProducts(n[0], n[1], n[2], n[3]), product(n[0], n[1]).Cmp(product(n[2], n[3])); got != want {
			t.Fatalf("%d·%d against %d·%d: got %d, want %d", n[0], n[1], n[2], n[3], got, want)
		}
	}
}

// Many branch entries on the same few items, as a deep leaf has them.
func TestKnapsackWithSixtyEntries(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		instance, leaf := randomLeaf(random)
		for len(leaf.Branch) < 60 {
			_, more := randomLeaf(random)
			for _, condition := range more.Branch {
				condition.Kind = nil
				known := condition.Holds[:0]
				for _, hold := range condition.Holds {
					if hold.Item < len(instance.Items) {
						known = append(known, hold)
					}
				}
				condition.Holds = known
				leaf.Branch = append(leaf.Branch, condition)
			}
		}
		for k := range instance.Kinds {
			most := greatestValue(instance, leaf, k, 1)
			if got := overBy(t, instance, leaf, k, most-3); got != 3 {
				t.Fatalf("found %d more, want 3\n%+v\n%+v", got, instance, leaf)
			}
			if got := overBy(t, instance, leaf, k, most); got != 0 {
				t.Fatalf("found %d more, want none\n%+v\n%+v", got, instance, leaf)
			}
		}
	}
}

func TestKnapsackRefusesNumbersTooLarge(t *testing.T) {
	instance := Instance{Kinds: []Kind{{Length: 10, Cost: 1}}, Items: []Item{{Length: 5, Demand: 2}}}
	for _, row := range []struct {
		name     string
		instance Instance
		leaf     Leaf
		may      int64
	}{
		{"dual value", instance, Leaf{DualValues: []int64{largest / 2}}, 1},
		{"negative dual value", instance, Leaf{DualValues: []int64{-largest}}, 1},
		{"target", instance, Leaf{DualValues: []int64{1}}, largest},
		{"entries", instance, Leaf{DualValues: []int64{1}, Branch: []Condition{
			{Sense: Least, DualValue: largest / 2, Holds: []Hold{{0, 1}}}, {Sense: Least, DualValue: largest / 2, Holds: []Hold{{0, 2}}}}}, 1},
		{"constants that cancel", instance, Leaf{DualValues: []int64{1}, Branch: []Condition{
			{Sense: Least, DualValue: largest / 2}, {Sense: Most, DualValue: -largest / 2}}}, 1},
		{"length", Instance{Kinds: []Kind{{Length: largest}}, Items: []Item{{Length: largest / 2, Demand: 1}}}, Leaf{DualValues: []int64{1}}, 1},
	} {
		t.Run(row.name, func(t *testing.T) {
			if _, _, err := newKnapsack(row.instance, row.instance.wanted(), row.leaf, 0, 1, big.NewInt(row.may)); !errors.Is(err, errTooLarge) {
				t.Errorf("got %v, want %v", err, errTooLarge)
			}
		})
	}
	// Just below: everything still comes out exactly.
	leaf := Leaf{DualValues: []int64{largest/2 - 1}}
	if got, want := overBy(t, instance, leaf, 0, -largest+1), int64(2*largest-3); got != want {
		t.Errorf("at the edge: got %d, want %d", got, want)
	}
}

func TestKnapsackStops(t *testing.T) {
	instance, leaf, may := benchmarkQuestion(40, 10_000)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	q, target, err := newKnapsack(instance, instance.wanted(), leaf, 0, 1, big.NewInt(may))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := q.excess(ctx, target); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want %v", err, context.Canceled)
	}
	if err := mayGoOn(ctx, 0); !errors.Is(err, context.Canceled) {
		t.Errorf("it goes on: %v", err)
	}
}

// Where leftovers and pieces have the stick's price by length, every pattern has the value of its stick, and
// none is dominated. That none has a greater value must show at once all the same.
func TestKnapsackWithFullCreditIsQuick(t *testing.T) {
	const scale, price, capacity = 1 << 20, 1850, 3_000_000_000
	random := rand.New(rand.NewPCG(35, 36))
	instance := Instance{Kinds: []Kind{{Length: capacity, Cost: price, Credit: &Credit{Num: price, Den: capacity}}}}
	leaf := Leaf{LimitDualValues: []int64{0}}
	for range 40 {
		length := capacity/15 + random.Int64N(capacity/3)
		instance.Items = append(instance.Items, Item{Length: length, Demand: 1 + random.Int64N(8)})
		dual := product(scale*price, length)
		leaf.DualValues = append(leaf.DualValues, dual.Quo(dual, big.NewInt(capacity)).Int64())
	}
	q, target, err := newKnapsack(instance, instance.wanted(), leaf, 0, scale, big.NewInt(scale*price))
	if err != nil {
		t.Fatal(err)
	}
	s := newDynamicProgram(q, target)
	groups := map[string]front{"": {state{}}}
	s.record(groups)
	s.prune(groups, 0)
	if len(groups) != 0 || s.best != target {
		t.Errorf("%d partial patterns are gone on with; the best has the value %d of %d", held(groups), s.best, target)
	}
}

func TestKnapsackGivesUpWhenTooMuchToHold(t *testing.T) {
	if err := mayGoOn(context.Background(), stateLimit); err != nil {
		t.Errorf("at the limit: %v", err)
	}
	var unchecked *UncheckedError
	if err := mayGoOn(context.Background(), stateLimit+1); !errors.As(err, &unchecked) {
		t.Errorf("past the limit: got %v, want an UncheckedError", err)
	}
	// Lengths 2^j, values likewise: every length can be made, none is dominated, and only the
	// longest parts, gone through last, fill the stick.
	instance := Instance{Kinds: []Kind{{Length: 1<<30 - 2}}}
	leaf := Leaf{LimitDualValues: []int64{0}}
	for j := range 30 {
		instance.Items = append(instance.Items, Item{Length: 1 << j, Demand: 2})
		leaf.DualValues = append(leaf.DualValues, 1<<j)
	}
	q, target, err := newKnapsack(instance, instance.wanted(), leaf, 0, 1, big.NewInt(1<<30-3))
	if err != nil {
		t.Fatal(err)
	}
	if over, err := q.excess(context.Background(), target); !errors.As(err, &unchecked) {
		t.Errorf("got %d, %v, want an UncheckedError", over, err)
	}
}

// benchmarkQuestion is one stick and items between a fiftieth and half of it, each
// whose value is its share of the stick, rounded down: no bound but the exact one decides.
func benchmarkQuestion(items int, capacity int64) (Instance, Leaf, int64) {
	random := rand.New(rand.NewPCG(5, 6))
	instance := Instance{Kinds: []Kind{{Length: capacity, Cost: 1}}}
	leaf := Leaf{LimitDualValues: []int64{0}}
	const scale = 100_000
	for range items {
		length := capacity/50 + random.Int64N(capacity/2-capacity/50)
		instance.Items = append(instance.Items, Item{Length: length, Demand: 1 + random.Int64N(3)})
		leaf.DualValues = append(leaf.DualValues, length*scale/capacity+random.Int64N(scale/100))
	}
	return instance, leaf, denseValue(instance, leaf)
}

// denseValue is the greatest value by a dense table, a third way to find it.
func denseValue(instance Instance, leaf Leaf) int64 {
	table := make([]int64, instance.Kinds[0].Length+1)
	for i, item := range instance.Items {
		for range item.Demand {
			for used := len(table) - 1; used >= int(item.Length); used-- {
				table[used] = max(table[used], table[used-int(item.Length)]+leaf.DualValues[i])
			}
		}
	}
	return table[len(table)-1]
}

func TestKnapsackAgainstDenseTable(t *testing.T) {
	for _, size := range []int{5, 20, 60, 400} {
		instance, leaf, most := benchmarkQuestion(size, 10_000)
		if got := overBy(t, instance, leaf, 0, most); got != 0 {
			t.Errorf("%d items: found %d more than the most", size, got)
		}
		if got := overBy(t, instance, leaf, 0, most-1); got != 1 {
			t.Errorf("%d items: found %d more than one less than the most", size, got)
		}
	}
}

// hardQuestion is one stick and items whose dual values come from a step function of their length that lets no
// stick have a value above 1 (u^(k) of S. P. Fekete, J. Schepers, "New classes of fast lower
// bounds for bin packing problems", Mathematical Programming 91, 2001; from memory), mixed with the
// length itself: nearly the same value per length everywhere, so that little can be dropped early.
func hardQuestion(random *rand.Rand, items int, capacity, shortest, longest, entries, together int64) (Instance, Leaf) {
	const k, scale = 9, 1 << 30
	instance := Instance{Kinds: []Kind{{Length: capacity, Cost: scale}}}
	leaf := Leaf{LimitDualValues: []int64{0}}
	for range items {
		length := shortest + random.Int64N(longest-shortest)
		share := new(big.Int).Quo(product(length, scale), big.NewInt(capacity)).Int64()
		step := share
		if (k+1)*length%capacity != 0 {
			step = (k + 1) * length / capacity * scale / k
		}
		instance.Items = append(instance.Items, Item{Length: length, Demand: 1 + random.Int64N(8)})
		leaf.DualValues = append(leaf.DualValues, (7*share+step)/8)
	}
	for range entries {
		condition := Condition{Sense: Least, DualValue: random.Int64N(scale / 50)}
		if random.IntN(2) == 0 {
			condition = Condition{Sense: Most, DualValue: -condition.DualValue}
		}
		for _, i := range random.Perm(items)[:1+random.Int64N(together)] {
			condition.Holds = append(condition.Holds, Hold{i, 1 + random.Int64N(2)})
		}
		leaf.Branch = append(leaf.Branch, condition)
	}
	return instance, leaf
}

func BenchmarkKnapsack(b *testing.B) {
	const mm = 1_000_000 // nm
	for _, row := range []struct {
		name                        string
		items                       int
		capacity, shortest, longest int64
		entries, together           int64
		share                       int64 // of the price by length that is credited, in percent
	}{
		{"400 items", 400, 10_000, 1_000, 3_500, 0, 1, 0},
		{"400 items, 20 entries", 400, 10_000, 1_000, 3_500, 20, 1, 0},
		{"30 sides", 30, 3_000 * mm, 200 * mm, 1_200 * mm, 0, 1, 0},
		{"30 sides, 60 entries", 30, 3_000 * mm, 200 * mm, 1_200 * mm, 60, 1, 0},
		{"30 sides, 20 entries on two", 30, 3_000 * mm, 200 * mm, 1_200 * mm, 20, 2, 0},
		{"12 sides, 60 entries on two", 12, 3_000 * mm, 200 * mm, 1_200 * mm, 60, 2, 0},
		{"30 sides, credit 50%", 30, 3_000 * mm, 200 * mm, 1_200 * mm, 0, 1, 50},
		{"30 sides, credit 90%", 30, 3_000 * mm, 200 * mm, 1_200 * mm, 0, 1, 90},
		{"30 sides, credit 100%", 30, 3_000 * mm, 200 * mm, 1_200 * mm, 0, 1, 100},
		{"30 sides, 60 entries, credit 50%", 30, 3_000 * mm, 200 * mm, 1_200 * mm, 60, 1, 50},
	} {
		b.Run(row.name, func(b *testing.B) {
			instance, leaf := hardQuestion(rand.New(rand.NewPCG(17, 18)), row.items, row.capacity, row.shortest, row.longest, row.entries, row.together)
			if row.share > 0 {
				instance.Kinds[0].Credit = &Credit{Keep: row.capacity / 6, Num: instance.Kinds[0].Cost * row.share, Den: row.capacity * 100}
			}
			// As tight as a certificate can be: the value of the best pattern, exactly.
			most := 1 + overBy(b, instance, leaf, 0, 1)
			for b.Loop() {
				if over := overBy(b, instance, leaf, 0, most); over != 0 {
					b.Fatal(over)
				}
			}
		})
	}
}

// TestHeld counts the states of all groups, by which a search that has too many is given up.
func TestHeld(t *testing.T) {
	for want, groups := range map[int]map[string]front{0: nil, 5: {"a": make(front, 2), "b": make(front, 3)}} {
		if got := held(groups); got != want {
			t.Errorf("%d states, want %d", got, want)
		}
	}
}

// TestShorten leaves off what no pattern can use, for all are as long as a multiple of what divides the items.
func TestShorten(t *testing.T) {
	for _, c := range []struct {
		lengths        []int64
		capacity, want int64
	}{{[]int64{6, 10}, 25, 24}, {[]int64{9, 6, 12}, 25, 24}, {[]int64{7}, 6, 0}, {[]int64{5, 7}, 23, 23}, {nil, 5, 5}} {
		q := &knapsack{capacity: c.capacity}
		for _, l := range c.lengths {
			q.items = append(q.items, knapsackItem{length: l})
		}
		if q.shorten(); q.capacity != c.want {
			t.Errorf("%d with %v is %d, want %d", c.capacity, c.lengths, q.capacity, c.want)
		}
	}
}

package check

import (
	"encoding/json"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// lpTolerance is what two bounds of the linear relaxation may differ by, as a share: lpBound
// promises a millionth.
const lpTolerance = 1e-6

func near(a, b float64) bool { return math.Abs(a-b) <= lpTolerance*math.Max(1, math.Abs(b)) }

func TestLPBound(t *testing.T) {
	for _, row := range []struct {
		name     string
		instance Instance
		value    float64
		patterns int
		ok       bool
	}{
		{"worked example", Instance{Kinds: []Kind{{Length: 10, Cost: 10}, {Length: 6, Cost: 5, Limit: new(int64(1))}}, Items: []Item{{5, 3}, {3, 2}}}, 20, 5, true},
		// Two halves fill a stick, but only one is wanted.
		{"a demand below what fits", Instance{Kinds: []Kind{{Length: 10, Cost: 1}}, Items: []Item{{5, 1}}}, 1, 1, true},
		{"nothing wanted", Instance{Kinds: []Kind{{Length: 10, Cost: 1}}, Items: []Item{{5, 0}}}, 0, 0, true},
		{"no stick long enough", Instance{Kinds: []Kind{{Length: 10, Cost: 1}}, Items: []Item{{11, 1}}}, 0, 0, false},
		{"not enough sticks", Instance{Kinds: []Kind{{Length: 10, Cost: 1, Limit: new(int64(2))}}, Items: []Item{{6, 3}}}, 0, 1, false},
		{"just enough sticks", Instance{Kinds: []Kind{{Length: 10, Cost: 4, Limit: new(int64(3))}}, Items: []Item{{6, 3}}}, 12, 1, true},
		{"a kind of which there is none", Instance{Kinds: []Kind{{Length: 10, Cost: 4, Limit: new(int64(0))}, {Length: 9, Cost: 5}}, Items: []Item{{6, 3}}}, 15, 1, true},
		{"free sticks", Instance{Kinds: []Kind{{Length: 10, Cost: 0}}, Items: []Item{{6, 3}}}, 0, 1, true},
		{"a dear last resort", Instance{Kinds: []Kind{{Length: 10, Cost: 1, Limit: new(int64(1))}, {Length: 10, Cost: 1000}}, Items: []Item{{10, 2}}}, 1001, 2, true},
		// The one long stick could give the twenty short pieces instead: leaving its piece out saves 20 sticks.
		{"a piece that costs twenty sticks", Instance{Kinds: []Kind{{Length: 20, Cost: 1, Limit: new(int64(1))}, {Length: 1, Cost: 1}}, Items: []Item{{20, 1}, {1, 20}}}, 21, 3, true},
		{"not an instance", Instance{Kinds: []Kind{{Length: 0, Cost: 1}}, Items: []Item{{1, 1}}}, 0, 0, false},
		// Two pieces a stick, three sticks a bundle of 24: 5/6 of one.
		{"a bundle", Instance{Kinds: []Kind{{Length: 10, Limit: new(int64(0))}}, Items: []Item{{5, 5}},
			Choices: []Choice{{Cost: 24, Most: 5, Gives: []Give{{0, 3}}}}}, 20, 1, true},
		{"a bundle of which there is none", Instance{Kinds: []Kind{{Length: 10, Limit: new(int64(0))}}, Items: []Item{{5, 5}},
			Choices: []Choice{{Cost: 24, Most: 0, Gives: []Give{{0, 3}}}}}, 0, 0, false},
		// One stick, and a ninth of an order.
		{"a delivery", Instance{Kinds: []Kind{{Length: 10, Limit: new(int64(0))}}, Items: []Item{{5, 2}}, Rows: []Row{{0}},
			Choices: []Choice{{Cost: 8, Most: 9, Gives: []Give{{0, 1}}, In: []Entry{{0, -1}}}, {Cost: 5, Most: 1, In: []Entry{{0, 9}}}}}, 8 + 5.0/9, 1, true},
		// Half of either choice, the cheaper one: four pieces of its item a time, two a stick.
		{"pieces asked for by a row", Instance{Kinds: []Kind{{Length: 10, Cost: 4, Only: []int{0}}, {Length: 10, Cost: 3, Only: []int{1}}}, Items: []Item{{5, 0}, {5, 0}}, Rows: []Row{{1}},
			Choices: []Choice{{Most: 1, Asks: []Take{{0, 4}}, In: []Entry{{0, 1}}}, {Most: 1, Asks: []Take{{1, 4}}, In: []Entry{{0, 1}}}}}, 6, 2, true},
		{"a row that cannot be met", Instance{Rows: []Row{{2}}, Choices: []Choice{{Cost: 1, Most: 1, In: []Entry{{0, 1}}}}}, 0, 0, false},
		{"a row without choices", Instance{Rows: []Row{{1}}}, 0, 0, false},
		{"nothing but a choice that earns", Instance{Choices: []Choice{{Cost: -3, Most: 2}}}, -6, 0, true},
		// One piece a stick nets 10 − 4, two 10 − 2: all patterns count, not only the longest.
		{"a credit", Instance{Kinds: []Kind{{Length: 10, Cost: 10, Credit: &Credit{4, 1, 1, 2}}}, Items: []Item{{3, 2}}}, 8, 2, true},
		{"a credit that makes short patterns cheap", Instance{Kinds: []Kind{{Length: 10, Cost: 10, Credit: &Credit{7, 0, 1, 1}}}, Items: []Item{{3, 2}}}, 6, 2, true},
		// gonum's simplex goes round in a circle here when nothing is nudged. 14.75 is 9/36
		// of all 59 to be cut, which no solution can be below.
		{"many bases for one solution", Instance{Kinds: []Kind{{Length: 10, Cost: 4}, {Length: 36, Cost: 9, Limit: new(int64(2))}},
			Items: []Item{{2, 1}, {10, 1}, {8, 1}, {7, 1}, {2, 1}, {3, 1}, {3, 1}, {7, 1}, {12, 1}, {5, 1}}}, 14.75, -1, true},
	} {
		t.Run(row.name, func(t *testing.T) {
			value, patterns, ok := lpBound(row.instance)
			if ok != row.ok || !near(value, row.value) || row.patterns >= 0 && patterns != row.patterns {
				t.Errorf("got %v over %d patterns, %v; want %v over %d, %v", value, patterns, ok, row.value, row.patterns, row.ok)
			}
		})
	}
}

func TestLPBoundCountsTooManyPatterns(t *testing.T) {
	instance := Instance{Kinds: []Kind{{Length: 1000, Cost: 1}}}
	for i := range int64(40) {
		instance.Items = append(instance.Items, Item{Length: 100 + i, Demand: 9})
	}
	if _, patterns, ok := lpBound(instance); ok || patterns > patternLimit+1 {
		t.Errorf("got %d patterns, %v", patterns, ok)
	}
}

// The linear relaxation is never above the cheapest plan, and a certified bound of one
// leaf is, before it is rounded, never above the relaxation.
func TestLPBoundLiesBetween(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 16))
	for range 1500 {
		instance := randomInstance(random)
		value, _, ok := lpBound(instance)
		if !ok {
			t.Fatalf("no bound for %+v", instance)
		}
		if best := float64(cheapest(instance)); value > best && !near(value, best) {
			t.Fatalf("bound %v, the cheapest plan costs %v\n%+v", value, best, instance)
		}
		leaves := randomLeaves(random, instance, nil, 0)
		if scale, any := dearEnough(instance, leaves); any {
			leaf := leaves[0]
			sum := leafBound(instance, leaf, 1)
			exact, _ := new(big.Rat).SetFrac(sum, big.NewInt(scale)).Float64()
			if exact > value && !near(exact, value) {
				t.Fatalf("dual values give %v, the relaxation %v\n%+v\n%+v", exact, value, instance, leaf)
			}
		}
	}
}

// Small whole lengths and demands of one give programs with many bases for one solution. The
// simplex goes through all the same, and never says less than the cost per length of the
// cheapest stuff.
func TestLPBoundOfDegeneratePrograms(t *testing.T) {
	random := rand.New(rand.NewPCG(19, 20))
	for range 200 {
		instance := Instance{Kinds: []Kind{{Length: 24, Cost: 1 + random.Int64N(12)}}}
		for range random.IntN(3) {
			instance.Kinds = append(instance.Kinds, Kind{Length: 10 + random.Int64N(20), Cost: 1 + random.Int64N(12), Limit: new(random.Int64N(4))})
		}
		total := int64(0)
		for range 1 + random.IntN(11) {
			item := Item{Length: 2 + random.Int64N(10), Demand: 1 + random.Int64N(2)}
			instance.Items = append(instance.Items, item)
			total += item.Length * item.Demand
		}
		value, patterns, ok := lpBound(instance)
		if !ok {
			t.Fatalf("no bound over %d patterns for %+v", patterns, instance)
		}
		least := math.Inf(1)
		for _, kind := range instance.Kinds {
			least = math.Min(least, float64(total)*float64(kind.Cost)/float64(kind.Length))
		}
		if value < least && !near(value, least) {
			t.Fatalf("bound %v, below %v by length alone, for %+v", value, least, instance)
		}
	}
}

// The bounds of the textbook examples, both ways: over patterns within the demands, and over
// patterns that may take more, as lpBound says to ask for them. The sources are in the file.
func TestLPBoundOfTextbooks(t *testing.T) {
	data, err := os.ReadFile("../../testdata/textbook.json")
	if err != nil {
		t.Fatal(err)
	}
	var textbook struct {
		Examples []struct {
			ID           string
			Kinds, Items [][2]int64
			Free         string `json:"relaxation"`
			Within       string `json:"relaxation_within_demand"`
		}
	}
	if err := json.Unmarshal(data, &textbook); err != nil {
		t.Fatal(err)
	}
	if len(textbook.Examples) < 29 {
		t.Errorf("only %d examples", len(textbook.Examples))
	}
	for _, example := range textbook.Examples {
		t.Run(example.ID, func(t *testing.T) {
			var instance, widened Instance
			longest := int64(0)
			for _, kind := range example.Kinds {
				longest = max(longest, kind[0])
				instance.Kinds = append(instance.Kinds, Kind{Length: kind[0], Cost: kind[1]})
			}
			widened.Kinds = instance.Kinds
			fit := int64(1)
			for _, item := range example.Items {
				fit = max(fit, longest/item[0])
			}
			for _, item := range example.Items {
				instance.Items = append(instance.Items, Item{item[0], item[1]})
				widened.Items = append(widened.Items, Item{item[0], item[1] * fit})
			}
			if value, patterns, ok := lpBound(instance); !ok || !near(value, fraction(t, example.Within)) {
				t.Errorf("within the demands: %v over %d patterns, %v; want %s", value, patterns, ok, example.Within)
			}
			if value, patterns, ok := lpBound(widened); !ok || !near(value/float64(fit), fraction(t, example.Free)) {
				t.Errorf("free: %v over %d patterns, %v; want %s", value/float64(fit), patterns, ok, example.Free)
			}
		})
	}
}

func fraction(t *testing.T, text string) float64 {
	t.Helper()
	value, ok := new(big.Rat).SetString(text)
	if !ok {
		t.Fatalf("%q is no fraction", text)
	}
	number, _ := value.Float64()
	return number
}

// The limit to the simplex's steps does stop it: a matrix that may be looked at no more panics
// within the simplex, and that comes out as an error.
func TestSimplexIsStopped(t *testing.T) {
	a := mat.NewDense(2, 4, []float64{2, 1, 1, 0, 1, 3, 0, 1})
	b, c := []float64{4, 6}, []float64{-1, -1, 0, 0}
	value, _, err := simplex(c, a, b, []int{2, 3})
	if want := -14.0 / 5; err != nil || !near(value, want) { // x = 6/5, 8/5
		t.Errorf("got %v, %v, want %v", value, err, want)
	}
	defer func() {
		if recover() == nil {
			t.Error("the matrix can be looked at for ever")
		}
	}()
	w := watch(a)
	for range 1_000_000 {
		w.At(0, 0)
	}
}

package check

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"
)

// mixesDocument has sticks of 10 at 10 and of 6 at 7, three pieces of 5 and two of 3, and a plan that costs 24: two fives, a five, two threes. As to lengths,
// a stick of 10 holds 10 at most and one of 6 holds 6, which two of 10 at 20 do not meet, nor three of 6 at 21, nor one of either at 17.
func mixesDocument(mixes, leaves string) []byte {
	return fmt.Appendf(nil, `{"format":"longpoint-cuts/2","kinds":[{"length":10,"cost":10},{"length":6,"cost":7}],"items":[{"length":5,"demand":3},{"length":3,"demand":2}],
		"patterns":[{"kind":0,"count":1,"take":[[0,2]]},{"kind":1,"count":1,"take":[[0,1]]},{"kind":1,"count":1,"take":[[1,2]]}],
		"cost":24,"lower":24,"grade":"proven","certificate":{"scale":1,"leaves":[%s],"mixes":%s}}`, leaves, mixes)
}

const (
	byLength = `{"dual_values":[5,3],"most":[10,6]}`
	// By counts, which exclude all mixes below 24 but two sticks of 10.
	byCount = `{"dual_values":[2,1],"most":[4,2]}`
	// Of at most two sticks of 10 and none of 6: 20 · 3 + 12 · 2 − 30 · 2 = 24.
	twoOfTen = `{"branch":[{"kind":0,"most":2,"dual_value":-30},{"kind":1,"most":0,"dual_value":-17}],"dual_values":[20,12],"limit_dual_values":[0,0]}`
)

func mixesOf(bound int, order string, cuts string) string {
	return fmt.Sprintf(`{"bound":%d,"order":[%s],"cuts":[%s]}`, bound, order, cuts)
}

// TestMixes has certificates by numbers of sticks that hold, and such as say too much.
func TestMixes(t *testing.T) {
	for _, tc := range []struct {
		name          string
		mixes, leaves string
		want          Code // empty: it is accepted
	}{
		{"by length", mixesOf(24, "0,1", byLength), "", ""},
		{"in the other order", mixesOf(24, "1,0", byLength), "", ""},
		{"with a group of leaves", mixesOf(24, "0,1", byCount), twoOfTen, ""},
		{"no cut", mixesOf(24, "0,1", ""), "", WrongMixes},
		{"the group is missing", mixesOf(24, "0,1", byCount), "", WrongMixes},
		{"the group is of fewer sticks", mixesOf(24, "0,1", byCount),
			`{"branch":[{"kind":0,"most":1,"dual_value":-30},{"kind":1,"most":0,"dual_value":-17}],"dual_values":[20,12],"limit_dual_values":[0,0]}`, WrongMixes},
		{"the group's leaf proves less", mixesOf(24, "0,1", byCount),
			`{"branch":[{"kind":0,"most":2,"dual_value":0},{"kind":1,"most":0,"dual_value":0}],"dual_values":[5,3],"limit_dual_values":[0,0]}`, WrongBound},
		{"half of the group's tree", mixesOf(24, "0,1", byCount),
			`{"branch":[{"kind":0,"most":2,"dual_value":-30},{"kind":1,"most":0,"dual_value":-17},{"holds":[[0,1]],"most":1,"dual_value":0}],"dual_values":[20,12],"limit_dual_values":[0,0]}`, WrongTree},
		{"a leaf of no group", mixesOf(24, "0,1", byLength), `{"branch":[],"dual_values":[0,0],"limit_dual_values":[0,0]}`, WrongTree},
		{"a leaf that says at least", mixesOf(24, "0,1", byCount),
			`{"branch":[{"kind":0,"least":2,"dual_value":0},{"kind":1,"most":0,"dual_value":0}],"dual_values":[0,0],"limit_dual_values":[0,0]}`, WrongTree},
		{"a leaf of the kinds in another order", mixesOf(24, "0,1", byCount),
			`{"branch":[{"kind":1,"most":0,"dual_value":-17},{"kind":0,"most":2,"dual_value":-30}],"dual_values":[20,12],"limit_dual_values":[0,0]}`, WrongTree},
		{"a leaf of sticks that hold something", mixesOf(24, "0,1", byCount),
			`{"branch":[{"kind":0,"holds":[[0,1]],"most":2,"dual_value":0},{"kind":1,"most":0,"dual_value":0}],"dual_values":[0,0],"limit_dual_values":[0,0]}`, WrongTree},
		{"a pattern has more than the cut says", mixesOf(24, "0,1", `{"dual_values":[5,3],"most":[9,6]}`), "", DualInfeasible},
		{"below 0", mixesOf(24, "0,1", `{"dual_values":[5,3],"most":[10,-1]}`), "", OutOfRange},
		{"the bound is too great", mixesOf(25, "0,1", byLength), "", WrongMixes},
		{"the bound is too small", mixesOf(20, "0,1", byLength), "", WrongBound},
		{"a bound below 0", mixesOf(-1, "0,1", byLength), "", OutOfRange},
		{"a kind is not gone through", mixesOf(24, "0", byLength), "", WrongVector},
		{"a kind twice", mixesOf(24, "0,0", byLength), "", Repeated},
		{"a kind that there is not", mixesOf(24, "0,2", byLength), "", BadIndex},
		{"a dual value too few", mixesOf(24, "0,1", `{"dual_values":[5],"most":[10,6]}`), "", WrongVector},
		{"a kind's greatest too few", mixesOf(24, "0,1", `{"dual_values":[5,3],"most":[10]}`), "", WrongVector},
		{"dual values past 64 bits", mixesOf(24, "0,1", `{"dual_values":[5000000000000000000,3],"most":[9000000000000000000,6]}`), "", TooLarge},
	} {
		t.Run(tc.name, func(t *testing.T) {
			report, err := Document(context.Background(), mixesDocument(tc.mixes, tc.leaves))
			if err != nil {
				t.Fatal(err)
			}
			if tc.want == "" && !report.OK() || tc.want != "" && (report.OK() || !report.Has(tc.want)) {
				t.Errorf("got %v, want %q", report, tc.want)
			}
		})
	}
}

// TestMixesAreForSticksAlone refuses them where numbers of sticks do not give the cost.
func TestMixesAreForSticksAlone(t *testing.T) {
	cuts, err := Parse(mixesDocument(mixesOf(24, "0,1", byLength), ""))
	if err != nil {
		t.Fatal(err)
	}
	with := func(change func(*Instance)) Report {
		instance := cuts.Instance
		instance.Kinds = append([]Kind(nil), instance.Kinds...)
		change(&instance)
		report, err := Verify(context.Background(), instance, cuts.Plan, cuts.Certificate, cuts.Claims)
		if err != nil {
			t.Fatal(err)
		}
		return report
	}
	if report := with(func(*Instance) {}); !report.OK() {
		t.Fatalf("without anything: %v", report)
	}
	for name, change := range map[string]func(*Instance){
		"credit": func(n *Instance) { n.Kinds[1].Credit = &Credit{Keep: 6, Num: 1, Den: 1} },
		"choice": func(n *Instance) { n.Choices = []Choice{{Cost: 1}} },
		"row":    func(n *Instance) { n.Rows = []Row{{}} },
	} {
		if report := with(change); report.OK() {
			t.Errorf("with a %s it is accepted", name)
		}
	}
}

// TestMixesThatAreTooMany gives up where cuts exclude nothing among more mixes than are gone through, and where the context ends.
func TestMixesThatAreTooMany(t *testing.T) {
	instance := Instance{Items: []Item{{Length: 1, Demand: 1 << 20}}}
	m := &Mixes{Bound: 1 << 20}
	cut := Cut{DualValues: []int64{1 << 21}}
	for k := range 4 {
		instance.Kinds = append(instance.Kinds, Kind{Length: 1, Cost: 1 + int64(k)})
		m.Order, cut.Most = append(m.Order, k), append(cut.Most, 1<<21)
	}
	m.Bound += 500
	m.Cuts = []Cut{cut}
	instance.Kinds[0].Limit = new(int64(1 << 19))
	e, ok := newMixEnumeration(instance, m, 1, [][]int64{{1 << 20, 1 << 20, 1 << 20, 1 << 20}})
	if !ok {
		t.Fatal("numbers are too large")
	}
	ended, end := context.WithCancel(context.Background())
	end()
	e.top = 1 << 21
	if _, err := e.find(ended, 0, 0); !errors.Is(err, context.Canceled) {
		t.Errorf("with a context that has ended: %v", err)
	}
	e.looks = mixLimit - 10
	var unchecked *UncheckedError
	if _, err := e.find(context.Background(), 0, 0); !errors.As(err, &unchecked) || !unchecked.Mixes {
		t.Errorf("with too many: %v", err)
	}
}

// TestMixEnumerationMissesNone compares it with trying all mixes, on cuts at random, also such as must be made coarser.
func TestMixEnumerationMissesNone(t *testing.T) {
	found := 0
	for seed := range uint64(4000) {
		random := rand.New(rand.NewPCG(seed, 17))
		instance := Instance{Items: []Item{{Length: 1, Demand: 1 + random.Int64N(6)}}}
		m := &Mixes{Bound: random.Int64N(30)}
		large := int64(1)
		if random.IntN(4) == 0 {
			large = 1<<55 - 1
		}
		kinds := 1 + random.IntN(3)
		m.Order = random.Perm(kinds)
		for range kinds {
			kind := Kind{Length: 1, Cost: random.Int64N(8)}
			if random.IntN(3) == 0 {
				kind.Limit = new(random.Int64N(4))
			}
			instance.Kinds = append(instance.Kinds, kind)
		}
		for range random.IntN(4) {
			cut := Cut{DualValues: []int64{large * (random.Int64N(9) - 1)}}
			for range kinds {
				cut.Most = append(cut.Most, large*random.Int64N(8)+random.Int64N(2))
			}
			m.Cuts = append(m.Cuts, cut)
		}
		var groups [][]int64
		for range random.IntN(2) {
			group := make([]int64, kinds)
			for k := range group {
				group[k] = random.Int64N(4)
			}
			groups = append(groups, group)
		}
		e, ok := newMixEnumeration(instance, m, large*(1+random.Int64N(3)), groups)
		if !ok {
			t.Fatalf("seed %d: the numbers are too large", seed)
		}
		got, err := e.find(context.Background(), 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		want := anyMix(instance, m, e, make([]int64, kinds), 0)
		if want {
			found++
		}
		// Rounded cuts ask for less, so that more mixes satisfy them.
		if want && !got || got && !want && large == 1 {
			t.Fatalf("seed %d: found %v, trying all %v; %+v %+v %v", seed, got, want, instance, m, groups)
		}
	}
	if found < 500 || found > 3500 {
		t.Errorf("%d of 4000 have a mix, which says little", found)
	}
}

// anyMix tries all numbers of the kinds from k on.
func anyMix(instance Instance, m *Mixes, e *mixEnumeration, mix []int64, k int) bool {
	if k < len(mix) {
		most := instance.Items[0].Demand
		if limit := instance.Kinds[k].Limit; limit != nil {
			most = min(most, *limit)
		}
		for mix[k] = 0; mix[k] <= most; mix[k]++ {
			if anyMix(instance, m, e, mix, k+1) {
				return true
			}
		}
		return false
	}
	var cost int64
	for k, n := range mix {
		cost += n * instance.Kinds[k].Cost
	}
	if cost >= m.Bound {
		return false
	}
	for _, cut := range m.Cuts {
		sum := product(0, 0)
		for k, n := range mix {
			sum.Add(sum, product(cut.Most[k], n))
		}
		if sum.Cmp(product(cut.DualValues[0], instance.Items[0].Demand)) < 0 {
			return false
		}
	}
	copy(e.mix, mix)
	return !e.inGroup()
}

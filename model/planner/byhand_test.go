package planner

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"

	"longpoint/model"
)

// TestLean leaves out just the sums that order no more than one as cheap.
func TestLean(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 80))
	for range 300 {
		var sums []sum
		for n := range 1 + r.IntN(12) {
			sums = append(sums, sum{amounts: amounts{r.Int64N(4), r.Int64N(4), r.Int64N(2)}, cost: model.Money(r.IntN(5)), n: n})
		}
		want := map[amounts]model.Money{}
		for _, s := range sums {
			better := slices.ContainsFunc(sums, func(o sum) bool {
				return o.amounts[2] == s.amounts[2] && o.amounts[0] >= s.amounts[0] && o.amounts[1] >= s.amounts[1] && o.cost <= s.cost && (o.amounts != s.amounts || o.cost != s.cost)
			})
			if !better {
				want[s.amounts] = s.cost
			}
		}
		got := map[amounts]model.Money{}
		kept := counting{}.lean(slices.Clone(sums))
		for _, s := range kept {
			got[s.amounts] = s.cost
		}
		if len(kept) != len(want) || len(got) != len(want) {
			t.Fatalf("of %v it keeps %v, want %v", sums, kept, want)
		}
		for a, cost := range want {
			if got[a] != cost {
				t.Fatalf("of %v it keeps %v, want %v", sums, kept, want)
			}
		}
	}
}

// TestAddAny fills the table of the longest sticks by trying all numbers of two kinds.
func TestAddAny(t *testing.T) {
	const sticks, cells = 5, 14
	kinds := []struct{ length, cost int64 }{{10, 2}, {17, 3}}
	table := make([][]int64, sticks)
	for n := range table {
		table[n] = make([]int64, cells)
	}
	for _, k := range kinds {
		addAny(table, k.length, k.cost)
	}
	for n := range int64(sticks) {
		for c := range int64(cells) {
			want := int64(0)
			for first := range n + 1 {
				if second := n - first; n > 0 && first*kinds[0].cost+second*kinds[1].cost == c {
					want = max(want, first*kinds[0].length+second*kinds[1].length)
				}
			}
			if table[n][c] != want {
				t.Errorf("%d sticks at %d are %d long, want %d", n, c, table[n][c], want)
			}
		}
	}
}

// TestSumsOfBundles refuses prices of which all that could be bought would come to more than can be written down.
func TestSumsOfBundles(t *testing.T) {
	of := func(most int64, bundle int) error {
		return checkSums([]*profileProblem{{supplies: []supply{{bundle: bundle, most: most, tiers: []tier{{from: 1, price: 1 << 40}}}}}})
	}
	if of(1<<12, 1<<10) == nil {
		t.Error("a sum of 2^62 is taken")
	}
	if err := of(1<<12, 1<<8); err != nil {
		t.Error(err)
	}
}

// TestOrderableFromThree orders nothing of what is not sold in so small a quantity.
func TestOrderableFromThree(t *testing.T) {
	dims := []dim{{supplier: "Hill", sticks: true, least: 5}}
	own, ok := supply{supplier: "Hill", bundle: 1, most: 9, tiers: []tier{{from: 3, price: 100}}}.orderable(dims, exactBits)
	var got []int64
	for to := range own {
		got = append(got, to[0])
	}
	slices.SortFunc(got, cmp.Compare[int64])
	if !ok || !slices.Equal(got, []int64{3, 4, 5}) {
		t.Errorf("%v, %t", got, ok)
	}
}

// searchAmong begins a search among so many suppliers who all offer two profiles and ask for something.
func searchAmong(t *testing.T, suppliers int) *setSearch {
	t.Helper()
	w := forgedShop(2)
	for n := range suppliers {
		name := string(rune('A' + n))
		w.Suppliers = append(w.Suppliers, model.Supplier{Name: name, Delivery: model.Money(300 + 10*n), LeastMoney: model.OptionalMoney{Amount: 2500, Given: true}})
		for _, p := range w.Profiles {
			w.Offers = append(w.Offers, model.Offer{Supplier: name, Profile: p.Name, Length: 3000 * forgedMM, Price: model.Money(1000 + 7*n)})
		}
	}
	o := Options{Verify: forgedCheck}.withDefaults()
	groups, err := gather(w, o)
	if err != nil {
		t.Fatal(err)
	}
	var profiles []*profileProblem
	for _, g := range groups {
		profiles = append(profiles, newProfileProblem(w, g, o))
	}
	return newJointProblem(w, profiles, false).newSearch(o)
}

// TestDivides divides the set of all suppliers and says that it did.
func TestDivides(t *testing.T) {
	ss := searchAmong(t, 7)
	if len(ss.sets) != 1 || len(ss.sets[0].undecided) != 7 {
		t.Fatalf("%d sets", len(ss.sets))
	}
	did, err := ss.divide(t.Context(), ss.sets[0])
	if err != nil || !did || len(ss.sets) < 2 || len(ss.sets[0].undecided) != 6 {
		t.Errorf("%t, %v: %d sets, of the first %d are undecided", did, err, len(ss.sets), len(ss.sets[0].undecided))
	}
}

// TestNothingToFill solves nothing more for a set whose bound is no lower than what the best plan costs.
func TestNothingToFill(t *testing.T) {
	ss := searchAmong(t, 2)
	s := ss.sets[len(ss.sets)-1]
	if err := ss.try(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		cost model.Money
		more bool
	}{{0, false}, {1 << 40, true}} {
		ss.best = &setPlan{cost: row.cost}
		before := ss.rounds
		did, err := ss.fill(t.Context(), s)
		if err != nil || !did || (ss.rounds > before) != row.more {
			t.Errorf("at %d: %t, %v, %d rounds and then %d", row.cost, did, err, before, ss.rounds)
		}
	}
}

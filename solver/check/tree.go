package check

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// checkTree reports leaves that do not form a full binary tree, that is: part of the
// plans in no leaf, or in two.
func (v *verifier) checkTree(leaves []Leaf) bool {
	all := make([]int, len(leaves))
	for n := range leaves {
		all[n] = n
	}
	where, fault := treeFault(leaves, all, 0)
	if fault == "" {
		return true
	}
	v.violate(WrongTree, where, nil, "%s", fault)
	return false
}

// treeFault looks at a set of leaves (indexes, not empty) that agree on their first
// depth entries. Either it is one leaf that ends there, or all go on with one
// measure and split into "at most b" and "at least b+1", both sides covering in their
// turn. It returns where the rule is broken and how, or two empty strings.
func treeFault(leaves []Leaf, set []int, depth int) (where, fault string) {
	for _, n := range set {
		if len(leaves[n].Branch) > depth {
			continue
		}
		if len(set) == 1 {
			return "", ""
		}
		return at("leaf", n), fmt.Sprintf("its branch list ends after %d entries where %d leaves share them: plans would be in two leaves", depth, len(set))
	}
	first := leaves[set[0]].Branch[depth]
	var most, least []int
	var mostCount, leastCount int64
	for _, n := range set {
		entry := leaves[n].Branch[depth]
		if measure(entry) != measure(first) {
			return at("leaf", n, "branch", depth), fmt.Sprintf("it splits on another measure than leaf %d at the same place", set[0])
		}
		side, count := &most, &mostCount
		if entry.Sense == Least {
			side, count = &least, &leastCount
		}
		if len(*side) > 0 && *count != entry.Count {
			return at("leaf", n, "branch", depth), fmt.Sprintf("it says %d where leaf %d says %d of the same side", entry.Count, (*side)[0], *count)
		}
		*side, *count = append(*side, n), entry.Count
	}
	switch {
	case len(most) == 0:
		return at("leaf", least[0], "branch", depth), fmt.Sprintf("no leaf covers the plans with fewer than %d %s", leastCount, counted(first))
	case len(least) == 0:
		return at("leaf", most[0], "branch", depth), fmt.Sprintf("no leaf covers the plans with more than %d %s", mostCount, counted(first))
	case leastCount-1 != mostCount: // leastCount >= 0, so this cannot overflow
		return at("leaf", least[0], "branch", depth), fmt.Sprintf("\"at least %d\" does not follow \"at most %d\"", leastCount, mostCount)
	}
	if where, fault = treeFault(leaves, most, depth+1); fault != "" {
		return where, fault
	}
	return treeFault(leaves, least, depth+1)
}

// counted says what a condition counts, for a sentence.
func counted(condition Condition) string {
	if condition.Choice != nil {
		return fmt.Sprintf("times of choice %d", *condition.Choice)
	}
	return "such sticks"
}

// measure names what a condition counts, the same for the same choice, or the same kind, the
// same set of holds, and credits or not.
func measure(condition Condition) string {
	holds := slices.Clone(condition.Holds)
	slices.SortFunc(holds, func(a, b Hold) int { return cmp.Compare(a.Item, b.Item) })
	var name strings.Builder
	if condition.Choice != nil {
		fmt.Fprintf(&name, "choice %d; ", *condition.Choice)
	}
	if condition.Kind != nil {
		fmt.Fprintf(&name, "kind %d", *condition.Kind)
	}
	if condition.Credited {
		name.WriteString("; credited")
	}
	for _, hold := range holds {
		fmt.Fprintf(&name, "; item %d at least %d", hold.Item, hold.AtLeast)
	}
	return name.String()
}

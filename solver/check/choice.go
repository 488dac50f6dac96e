package check

import "math/big"

// Choice is a decision that may be made up to Most times, at a cost each time.
type Choice struct {
	Cost  int64 // of either sign
	Most  int64 // >= 0
	Gives []Give
	Asks  []Take // pieces to be cut besides the demands, an item at most once
	In    []Entry
}

// Give adds sticks to those that there are of a kind.
type Give struct {
	Kind     int // index into Instance.Kinds; a kind with a limit, each at most once
	Quantity int64
}

// Entry is a choice's coefficient in a row.
type Entry struct {
	Row         int   // index into Instance.Rows, each at most once
	Coefficient int64 // not 0
}

// Row is a constraint on how often choices are made: Σ coefficient · times >= Least.
type Row struct {
	Least int64 // of either sign
}

// checkChoice reports every number of a choice that makes no sense.
func (v *verifier) checkChoice(where string, choice Choice) {
	v.atLeast(0, choice.Most, where, "most")
	given, asked, in := make(map[int]bool), make(map[int]bool), make(map[int]bool)
	for _, give := range choice.Gives {
		v.once(given, give.Kind, where, "kind")
		v.atLeast(1, give.Quantity, where, "number of sticks given")
		if v.isIndex(give.Kind, len(v.instance.Kinds), where, "kind") && v.instance.Kinds[give.Kind].Limit == nil {
			v.violate(OutOfRange, where, nil, "it gives sticks of kind %d, which has no limit", give.Kind)
		}
	}
	for _, ask := range choice.Asks {
		v.once(asked, ask.Item, where, "item")
		v.isIndex(ask.Item, len(v.instance.Items), where, "item")
		v.atLeast(1, ask.Quantity, where, "number of pieces asked for")
	}
	for _, entry := range choice.In {
		v.once(in, entry.Row, where, "row")
		v.isIndex(entry.Row, len(v.instance.Rows), where, "row")
		if entry.Coefficient == 0 {
			v.violate(OutOfRange, where, nil, "its coefficient in row %d is 0; leave it out", entry.Row)
		}
	}
}

// once reports an index named before.
func (v *verifier) once(seen map[int]bool, index int, where, what string) {
	if seen[index] {
		v.violate(Repeated, where, nil, "%s %d is named twice in one list; name it once with the sum", what, index)
	}
	seen[index] = true
}

// floor is the least cost that any plan can have: no stick's credit is above its cost, so only choices can earn
// anything.
func (n Instance) floor() *big.Int {
	sum := new(big.Int)
	for _, choice := range n.Choices {
		if choice.Cost < 0 {
			sum.Add(sum, product(choice.Cost, choice.Most))
		}
	}
	return sum
}

// addChoices adds what is chosen to a plan's sums and reports what may not be.
func (v *verifier) addChoices(sum *tally, chosen []int64) {
	if len(chosen) != len(v.instance.Choices) {
		v.violate(WrongVector, "chosen", nil, "it has %d numbers for %d choices", len(chosen), len(v.instance.Choices))
		return
	}
	reached := zeros(len(v.instance.Rows))
	for j, times := range chosen {
		choice := v.instance.Choices[j]
		if !v.atLeast(0, times, at("choice", j), "number of times chosen") {
			continue
		}
		if times > choice.Most {
			over := difference(times, choice.Most)
			v.violate(OverLimit, at("choice", j), over, "it is made %d times, at most %d are allowed: %d too many", times, choice.Most, over)
		}
		sum.cost.Add(sum.cost, product(choice.Cost, times))
		for _, give := range choice.Gives {
			sum.given[give.Kind].Add(sum.given[give.Kind], product(give.Quantity, times))
		}
		for _, ask := range choice.Asks {
			sum.asked[ask.Item].Add(sum.asked[ask.Item], product(ask.Quantity, times))
		}
		for _, entry := range choice.In {
			reached[entry.Row].Add(reached[entry.Row], product(entry.Coefficient, times))
		}
	}
	for r, row := range v.instance.Rows {
		if short := new(big.Int).Sub(big.NewInt(row.Least), reached[r]); short.Sign() > 0 {
			v.violate(RowShort, at("row", r), short, "the choices made come to %d, at least %d is asked for: %d too little", reached[r], row.Least, short)
		}
	}
}

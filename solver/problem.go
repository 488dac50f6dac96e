package solver

import (
	"errors"
	"fmt"
	"math/bits"
)

// Item is a length that is wanted Demand times. Length is positive, Demand not negative.
type Item struct {
	Length int64
	Demand int64
}

// Kind is a kind of stick. There is any number of equal sticks or, where Limited is set, at most Limit and those that
// choices give. Length is positive, Cost not negative.
type Kind struct {
	Length  int64
	Cost    int64 // of one stick
	Limit   int64
	Limited bool
	// Only lists the items that the kind may hold, rising; nil: all of them.
	Only []int
	// Credit is subtracted from the cost of each stick by its leftover. It is never more than Cost.
	Credit Credit
}

// Credit values the leftover of a stick: its length less its pieces' lengths. The credit is Num·(leftover +
// Extra)/Den, rounded down, and nothing where leftover + Extra is below Keep. The zero Credit values nothing. Where
// Num is not 0, Den is positive and Keep and Extra are not negative.
type Credit struct {
	Keep, Extra int64
	Num, Den    int64
}

// Choice is a decision that can be made up to Most times, at a cost each time: buying a bundle, opening a damaged
// stick, placing an order, cutting from one lot. Cost may be negative.
type Choice struct {
	Cost int64
	Most int64
	// Gives adds to the limits of kinds: Quantity sticks of Kind each time.
	Gives []Give
	// Asks adds to the demands of items: Quantity pieces of Item each time.
	Asks []Take
	// In gives the choice's coefficients in Problem.Rows.
	In []Coef
}

// Give is Quantity sticks of a kind.
type Give struct {
	Kind     int // index in Problem.Kinds, a limited one
	Quantity int64
}

// Coef is a coefficient in a row.
type Coef struct {
	Row   int // index in Problem.Rows
	Value int64
}

// Row is a constraint on choices: Σ coefficient · times ≥ Least.
type Row struct {
	Least int64
}

// Problem is what to cut from what. Two items may have equal lengths, and two kinds may be equal. The cost of a plan
// is that of its sticks, less their credits, and of its choices. Solve does not change a Problem.
type Problem struct {
	Items   []Item
	Kinds   []Kind
	Choices []Choice
	Rows    []Row
}

// Take is a number of pieces of one item in a pattern.
type Take struct {
	Item     int // index in Problem.Items
	Quantity int64
}

// Pattern is Count sticks of one kind, cut alike. Take has each item at most once, in the order of Problem.Items.
type Pattern struct {
	Kind  int // index in Problem.Kinds
	Count int64
	Take  []Take
}

// The greatest numbers a problem may contain, so that no sum overflows.
const (
	MaxLength = 1 << 46 // 70 km in nanometres
	MaxCost   = 1 << 40
	MaxDemand = 1 << 24 // in all
	MaxItems  = 1 << 16
	MaxCoef   = 1 << 50 // in a row, or a row's least
)

// ErrProblem is wrapped by every error about a problem's own numbers.
var ErrProblem = errors.New("not a cutting problem")

// Validate says what is wrong with the numbers, or nil. It does not say whether there is a plan.
func (p Problem) Validate() error {
	if len(p.Items) > MaxItems || len(p.Kinds) > MaxItems {
		return fmt.Errorf("%w: more than %d items or kinds", ErrProblem, MaxItems)
	}
	var demand int64
	for i, it := range p.Items {
		if it.Length <= 0 || it.Length > MaxLength {
			return fmt.Errorf("%w: item %d has length %d", ErrProblem, i, it.Length)
		}
		if it.Demand < 0 || it.Demand > MaxDemand {
			return fmt.Errorf("%w: item %d has demand %d", ErrProblem, i, it.Demand)
		}
		demand += it.Demand
	}
	if demand > MaxDemand {
		return fmt.Errorf("%w: %d pieces in all, more than %d", ErrProblem, demand, MaxDemand)
	}
	for k, kind := range p.Kinds {
		if err := p.validateHolding(k, kind); err != nil {
			return err
		}
		if kind.Length <= 0 || kind.Length > MaxLength {
			return fmt.Errorf("%w: kind %d has length %d", ErrProblem, k, kind.Length)
		}
		if kind.Cost < 0 || kind.Cost > MaxCost {
			return fmt.Errorf("%w: kind %d has cost %d", ErrProblem, k, kind.Cost)
		}
		if kind.Limited && kind.Limit < 0 {
			return fmt.Errorf("%w: kind %d has limit %d", ErrProblem, k, kind.Limit)
		}
	}
	return p.validateChoices(demand)
}

// validateHolding checks what a kind may hold and its credit.
func (p Problem) validateHolding(k int, kind Kind) error {
	for n, i := range kind.Only {
		if i < 0 || i >= len(p.Items) || n > 0 && i <= kind.Only[n-1] {
			return fmt.Errorf("%w: kind %d may hold only %v, which do not rise within the items", ErrProblem, k, kind.Only)
		}
	}
	c := kind.Credit
	if c.Num == 0 {
		return nil
	}
	if c.Num < 0 || c.Den <= 0 || c.Keep < 0 || c.Keep > MaxLength || c.Extra < 0 || c.Extra > MaxLength {
		return fmt.Errorf("%w: kind %d has credit %+v", ErrProblem, k, c)
	}
	high, low := bits.Mul64(uint64(c.Num), uint64(kind.Length+c.Extra))
	if kind.Length > 0 && kind.Length <= MaxLength && high < uint64(c.Den) {
		if q, _ := bits.Div64(high, low, uint64(c.Den)); kind.Cost >= 0 && q <= uint64(kind.Cost) {
			return nil
		}
	}
	return fmt.Errorf("%w: kind %d may earn more than it costs", ErrProblem, k)
}

// validateChoices checks the choices and rows. demand is the number of pieces wanted without choices.
func (p Problem) validateChoices(demand int64) error {
	if len(p.Choices) > MaxItems || len(p.Rows) > MaxItems {
		return fmt.Errorf("%w: more than %d choices or rows", ErrProblem, MaxItems)
	}
	for r, row := range p.Rows {
		if row.Least > MaxCoef || row.Least < -MaxCoef {
			return fmt.Errorf("%w: row %d asks for %d", ErrProblem, r, row.Least)
		}
	}
	for j, c := range p.Choices {
		if c.Most < 0 || c.Most > MaxDemand || c.Cost > MaxCost || c.Cost < -MaxCost {
			return fmt.Errorf("%w: choice %d costs %d, at most %d times", ErrProblem, j, c.Cost, c.Most)
		}
		seen := map[int]bool{}
		for _, g := range c.Gives {
			if g.Kind < 0 || g.Kind >= len(p.Kinds) || seen[g.Kind] || !p.Kinds[g.Kind].Limited || g.Quantity <= 0 || g.Quantity > MaxDemand {
				return fmt.Errorf("%w: choice %d gives %+v", ErrProblem, j, g)
			}
			seen[g.Kind] = true
		}
		clear(seen)
		for _, t := range c.Asks {
			if t.Item < 0 || t.Item >= len(p.Items) || seen[t.Item] || t.Quantity <= 0 || t.Quantity > MaxDemand {
				return fmt.Errorf("%w: choice %d asks for %+v", ErrProblem, j, t)
			}
			seen[t.Item] = true
			if demand += t.Quantity * c.Most; demand > MaxDemand {
				return fmt.Errorf("%w: choices may ask for more than %d pieces in all", ErrProblem, MaxDemand)
			}
		}
		clear(seen)
		for _, in := range c.In {
			if in.Row < 0 || in.Row >= len(p.Rows) || seen[in.Row] || in.Value == 0 || in.Value > MaxCoef || in.Value < -MaxCoef {
				return fmt.Errorf("%w: choice %d has coefficient %+v", ErrProblem, j, in)
			}
			seen[in.Row] = true
		}
	}
	return nil
}

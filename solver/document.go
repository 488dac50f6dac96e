package solver

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
)

// CutsFormat names the cuts document's format and version.
const CutsFormat = "longpoint-cuts/2"

// cutsDocument is the JSON form of a problem, a plan and its certificate. Package check documents the format.
type cutsDocument struct {
	Format      string          `json:"format"`
	Kinds       []cutsKind      `json:"kinds"`
	Items       []cutsItem      `json:"items"`
	Choices     []cutsChoice    `json:"choices,omitempty"`
	Rows        []cutsRow       `json:"rows,omitempty"`
	Patterns    []cutsPattern   `json:"patterns"`
	Chosen      []int64         `json:"chosen,omitempty"`
	Cost        int64           `json:"cost"`
	Lower       int64           `json:"lower"`
	Grade       string          `json:"grade"`
	Certificate cutsCertificate `json:"certificate"`
}

type cutsKind struct {
	Length int64       `json:"length"`
	Cost   int64       `json:"cost"`
	Limit  *int64      `json:"limit,omitempty"`
	Only   *[]int      `json:"only,omitempty"` // absent: all items; empty: none
	Credit *cutsCredit `json:"credit,omitempty"`
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
	Gives [][2]int64 `json:"gives,omitempty"`
	Asks  [][2]int64 `json:"asks,omitempty"`
	In    [][2]int64 `json:"in,omitempty"`
}

type cutsRow struct {
	Least int64 `json:"least"`
}

type cutsItem struct {
	Length int64 `json:"length"`
	Demand int64 `json:"demand"`
}

type cutsPattern struct {
	Kind  int        `json:"kind"`
	Count int64      `json:"count"`
	Take  [][2]int64 `json:"take"`
}

type cutsCertificate struct {
	Scale  int64      `json:"scale"`
	Leaves []cutsLeaf `json:"leaves"`
	Mixes  *cutsMixes `json:"mixes,omitempty"`
}

type cutsMixes struct {
	Bound int64     `json:"bound"`
	Order []int     `json:"order"`
	Cuts  []cutsCut `json:"cuts"`
}

type cutsCut struct {
	DualValues []int64 `json:"dual_values"`
	Most       []int64 `json:"most"`
}

// cutsLeaf is a leaf, without what it shares with leaves before it.
type cutsLeaf struct {
	Same            int             `json:"same,omitempty"` // so many entries are those of the leaf just before
	SameDualValues  [][2]int64      `json:"same_dual_values,omitempty"`
	Branch          []cutsCondition `json:"branch"`
	As              *int            `json:"as,omitempty"` // the dual values are those of this leaf
	DualValues      []int64         `json:"dual_values,omitzero"`
	LimitDualValues []int64         `json:"limit_dual_values,omitzero"`
	RowDualValues   []int64         `json:"row_dual_values,omitempty"`
}

type cutsCondition struct {
	Choice    *int       `json:"choice,omitempty"`
	Kind      *int       `json:"kind,omitempty"`
	Holds     [][2]int64 `json:"holds,omitempty"`
	Credited  bool       `json:"credited,omitempty"`
	Most      *int64     `json:"most,omitempty"`
	Least     *int64     `json:"least,omitempty"`
	DualValue int64      `json:"dual_value"`
}

// ErrNoPlan says that a result has no plan to write down.
var ErrNoPlan = errors.New("no plan to write down")

// Document writes the cuts document of a result. Its grade is "proven" for Certified, "searched" or "open". Its lower
// bound is the certified one, even where the search knows a better. It returns ErrNoPlan where the result has no
// plan.
func Document(p Problem, r Result) ([]byte, error) {
	if !r.HasPlan {
		return nil, ErrNoPlan
	}
	d := cutsDocument{
		Format: CutsFormat, Kinds: make([]cutsKind, len(p.Kinds)), Items: make([]cutsItem, len(p.Items)),
		Lower:       r.CertifiedBound,
		Grade:       map[Status]string{Certified: "proven", Searched: "searched"}[r.Status],
		Certificate: cutsCertificate{Scale: r.Certificate.Scale, Leaves: leafDocuments(r.Certificate.Leaves)},
	}
	if d.Grade == "" {
		d.Grade = "open"
	}
	if m := r.Certificate.Mixes; m != nil {
		d.Certificate.Mixes = &cutsMixes{Bound: m.Bound, Order: m.Order, Cuts: []cutsCut{}}
		for _, c := range m.Cuts {
			d.Certificate.Mixes.Cuts = append(d.Certificate.Mixes.Cuts, cutsCut(c))
		}
	}
	for k, kind := range p.Kinds {
		d.Kinds[k] = kindDocument(kind)
	}
	for i, it := range p.Items {
		d.Items[i] = cutsItem(it)
	}
	for _, c := range p.Choices {
		d.Choices = append(d.Choices, choiceDocument(c))
	}
	for _, row := range p.Rows {
		d.Rows = append(d.Rows, cutsRow(row))
	}
	d.setPlan(r)
	return json.Marshal(d)
}

// setPlan states a result's plan.
func (d *cutsDocument) setPlan(r Result) {
	d.Patterns, d.Chosen, d.Cost = make([]cutsPattern, len(r.Patterns)), r.Choices, r.Cost
	for j, pat := range r.Patterns {
		d.Patterns[j] = cutsPattern{pat.Kind, pat.Count, pairs(pat.Take)}
	}
}

// parse reads a cuts document.
func parse(cuts []byte) (d cutsDocument, err error) {
	if err := json.Unmarshal(cuts, &d); err != nil {
		return d, err
	}
	if d.Format != CutsFormat {
		return d, fmt.Errorf("the cuts document is of format %q", d.Format)
	}
	return d, nil
}

// WithPlan gives a cuts document with the plan of another result for its problem, and the certificate that it has. An error: it cannot
// be read.
func WithPlan(cuts []byte, r Result) ([]byte, error) {
	d, err := parse(cuts)
	if err != nil {
		return nil, err
	}
	d.setPlan(r)
	return json.Marshal(d)
}

// ParseProblem reads the problem of a cuts document. Whether it is one that can be solved, Problem.Validate says.
func ParseProblem(cuts []byte) (p Problem, err error) {
	d, err := parse(cuts)
	if err != nil {
		return p, err
	}
	for _, k := range d.Kinds {
		kind := Kind{Length: k.Length, Cost: k.Cost}
		if k.Limit != nil {
			kind.Limit, kind.Limited = *k.Limit, true
		}
		if k.Only != nil {
			kind.Only = append([]int{}, *k.Only...)
		}
		if k.Credit != nil {
			kind.Credit = Credit(*k.Credit)
		}
		p.Kinds = append(p.Kinds, kind)
	}
	for _, it := range d.Items {
		p.Items = append(p.Items, Item(it))
	}
	for _, c := range d.Choices {
		choice := Choice{Cost: c.Cost, Most: c.Most}
		for _, g := range c.Gives {
			choice.Gives = append(choice.Gives, Give{Kind: int(g[0]), Quantity: g[1]})
		}
		for _, a := range c.Asks {
			choice.Asks = append(choice.Asks, Take{Item: int(a[0]), Quantity: a[1]})
		}
		for _, in := range c.In {
			choice.In = append(choice.In, Coef{Row: int(in[0]), Value: in[1]})
		}
		p.Choices = append(p.Choices, choice)
	}
	for _, row := range d.Rows {
		p.Rows = append(p.Rows, Row(row))
	}
	return p, nil
}

func kindDocument(kind Kind) cutsKind {
	d := cutsKind{Length: kind.Length, Cost: kind.Cost}
	if kind.Limited {
		d.Limit = &kind.Limit
	}
	if kind.Only != nil {
		only := append([]int{}, kind.Only...)
		d.Only = &only
	}
	if kind.Credit.Num != 0 {
		credit := cutsCredit(kind.Credit)
		d.Credit = &credit
	}
	return d
}

func choiceDocument(c Choice) cutsChoice {
	d := cutsChoice{Cost: c.Cost, Most: c.Most, Asks: pairs(c.Asks)}
	for _, g := range c.Gives {
		d.Gives = append(d.Gives, [2]int64{int64(g.Kind), g.Quantity})
	}
	for _, in := range c.In {
		d.In = append(d.In, [2]int64{int64(in.Row), in.Value})
	}
	return d
}

// leafDocuments writes leaves in the order of their tree, so that neighbours share most of their branches, and what is shared once.
func leafDocuments(leaves []Leaf) []cutsLeaf {
	leaves = slices.Clone(leaves)
	slices.SortStableFunc(leaves, func(a, b Leaf) int {
		t := sharedEntries(a, b)
		if t == len(a.Branch) || t == len(b.Branch) || a.Branch[t].AtLeast == b.Branch[t].AtLeast {
			return 0 // in a tree only a leaf beside itself
		}
		if b.Branch[t].AtLeast {
			return -1
		}
		return 1
	})
	d := make([]cutsLeaf, len(leaves))
	first := map[string]int{} // the leaf that has these dual values first
	for l, leaf := range leaves {
		before := Leaf{}
		if l > 0 {
			before = leaves[l-1]
		}
		d[l] = leafDocument(leaf, sharedEntries(leaf, before))
		if at, found := first[leaf.key()]; found {
			d[l].As, d[l].DualValues, d[l].LimitDualValues, d[l].RowDualValues = &at, nil, nil, nil
		} else {
			first[leaf.key()] = l
		}
	}
	return d
}

// key is the same for leaves of the same dual values.
func (l Leaf) key() string {
	key := make([]byte, 0, 8*(len(l.DualValues)+len(l.LimitDualValues)+len(l.RowDualValues)))
	for _, values := range [][]int64{l.DualValues, l.LimitDualValues, l.RowDualValues} {
		for _, value := range values {
			key = binary.NativeEndian.AppendUint64(key, uint64(value))
		}
	}
	return string(key)
}

// sharedEntries counts the branch entries with which two leaves both begin, dual values apart.
func sharedEntries(a, b Leaf) int {
	for t := range a.Branch {
		if t == len(b.Branch) {
			return t
		}
		x, y := a.Branch[t], b.Branch[t]
		if x.OnChoice != y.OnChoice || x.Choice != y.Choice || x.Kind != y.Kind || x.AnyKind != y.AnyKind || x.Credited != y.Credited ||
			x.AtLeast != y.AtLeast || x.Bound != y.Bound || !slices.Equal(x.Holds, y.Holds) {
			return t
		}
	}
	return len(a.Branch)
}

// leafDocument writes a leaf that shares its first entries with the leaf before it.
func leafDocument(leaf Leaf, shared int) cutsLeaf {
	d := cutsLeaf{Same: shared, Branch: make([]cutsCondition, 0, len(leaf.Branch)-shared),
		DualValues: append([]int64{}, leaf.DualValues...), LimitDualValues: append([]int64{}, leaf.LimitDualValues...), RowDualValues: leaf.RowDualValues}
	for t, c := range leaf.Branch {
		if t >= shared {
			d.Branch = append(d.Branch, conditionDocument(c))
		} else if c.DualValue != 0 {
			d.SameDualValues = append(d.SameDualValues, [2]int64{int64(t), c.DualValue})
		}
	}
	return d
}

func conditionDocument(c Condition) cutsCondition {
	b := cutsCondition{DualValue: c.DualValue, Credited: c.Credited}
	switch {
	case c.OnChoice:
		b.Choice = &c.Choice
	case c.AnyKind:
		b.Holds = pairs(c.Holds)
	default:
		b.Kind, b.Holds = &c.Kind, pairs(c.Holds)
	}
	if c.AtLeast {
		b.Least = &c.Bound
	} else {
		b.Most = &c.Bound
	}
	return b
}

func pairs(takes []Take) [][2]int64 {
	out := make([][2]int64, len(takes))
	for i, t := range takes {
		out[i] = [2]int64{int64(t.Item), t.Quantity}
	}
	return out
}

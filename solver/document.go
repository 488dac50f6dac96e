package solver

import (
	"encoding/json"
	"errors"
)

// CutsFormat names the cuts document's format and version.
const CutsFormat = "longpoint-cuts/2"

// cutsDocument is the JSON form of a problem, a plan and its certificate. Every number is an integer, indexes count
// from 0. The leaves' branch lists, in order, form a full binary tree of conditions; a leaf bounds every plan that
// meets its conditions by
//
//	⌈(Σ worth·demand + Σ conditions' worth·bound − Σ limit_worth·limit + Σ row_worth·least + Σ min(0, reduced·most)) / scale⌉
//
// because no pattern of kind k is worth more, its conditions' worth and its credit included, than scale·cost +
// limit_worth; reduced is what a choice costs, times scale, less the worths of what it gives and brings and more that of
// what it asks for.
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
}

type cutsLeaf struct {
	Branch          []cutsCondition `json:"branch"`
	DualValues      []int64         `json:"dual_values"`
	LimitDualValues []int64         `json:"limit_dual_values"`
	RowDualValues   []int64         `json:"row_dual_values,omitempty"`
}

type cutsCondition struct {
	Choice    *int       `json:"choice,omitempty"`
	Kind      *int       `json:"kind,omitempty"`
	Holds     [][2]int64 `json:"holds,omitempty"`
	Most      *int64     `json:"most,omitempty"`
	Least     *int64     `json:"least,omitempty"`
	DualValue int64      `json:"dual_value"`
}

// ErrNoPlan says that a result has no plan to write down.
var ErrNoPlan = errors.New("no plan to write down")

// Document writes the cuts document of a result. Its grade is "proven" for Certified, "searched" or "open"; its lower
// bound is the certified one, whatever more the search may know.
func Document(p Problem, r Result) ([]byte, error) {
	if !r.HasPlan {
		return nil, ErrNoPlan
	}
	d := cutsDocument{
		Format: CutsFormat, Kinds: make([]cutsKind, len(p.Kinds)), Items: make([]cutsItem, len(p.Items)),
		Patterns: make([]cutsPattern, len(r.Patterns)), Cost: r.Cost, Lower: r.CertifiedBound,
		Grade: map[Status]string{Certified: "proven", Searched: "searched"}[r.Status],
	}
	if d.Grade == "" {
		d.Grade = "open"
	}
	for k, kind := range p.Kinds {
		d.Kinds[k] = cutsKind{Length: kind.Length, Cost: kind.Cost}
		if kind.Limited {
			limit := kind.Limit
			d.Kinds[k].Limit = &limit
		}
		if kind.Only != nil {
			only := append([]int{}, kind.Only...)
			d.Kinds[k].Only = &only
		}
		if kind.Credit.Num != 0 {
			credit := cutsCredit(kind.Credit)
			d.Kinds[k].Credit = &credit
		}
	}
	for i, it := range p.Items {
		d.Items[i] = cutsItem(it)
	}
	for _, c := range p.Choices {
		choice := cutsChoice{Cost: c.Cost, Most: c.Most, Asks: pairs(c.Asks)}
		for _, g := range c.Gives {
			choice.Gives = append(choice.Gives, [2]int64{int64(g.Kind), g.Quantity})
		}
		for _, in := range c.In {
			choice.In = append(choice.In, [2]int64{int64(in.Row), in.Value})
		}
		d.Choices = append(d.Choices, choice)
	}
	for _, row := range p.Rows {
		d.Rows = append(d.Rows, cutsRow(row))
	}
	d.Chosen = r.Choices
	for j, pat := range r.Patterns {
		d.Patterns[j] = cutsPattern{pat.Kind, pat.Count, pairs(pat.Take)}
	}
	d.Certificate = cutsCertificate{Scale: r.Certificate.Scale, Leaves: make([]cutsLeaf, len(r.Certificate.Leaves))}
	for l, leaf := range r.Certificate.Leaves {
		out := cutsLeaf{Branch: make([]cutsCondition, len(leaf.Branch)), DualValues: leaf.DualValues, LimitDualValues: leaf.LimitDualValues, RowDualValues: leaf.RowDualValues}
		for t, c := range leaf.Branch {
			b := cutsCondition{Holds: pairs(c.Holds), DualValue: c.DualValue}
			switch {
			case c.OnChoice:
				choice := c.Choice
				b.Choice, b.Holds = &choice, nil
			case !c.AnyKind:
				kind := c.Kind
				b.Kind = &kind
			}
			bound := c.Bound
			if c.AtLeast {
				b.Least = &bound
			} else {
				b.Most = &bound
			}
			out.Branch[t] = b
		}
		d.Certificate.Leaves[l] = out
	}
	return json.Marshal(d)
}

func pairs(takes []Take) [][2]int64 {
	out := make([][2]int64, len(takes))
	for i, t := range takes {
		out[i] = [2]int64{int64(t.Item), t.Quantity}
	}
	return out
}

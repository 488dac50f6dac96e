package solver

import (
	"encoding/json"
	"errors"
)

// CutsFormat names the cuts document's format and version.
const CutsFormat = "longpoint-cuts/1"

// cutsDocument is the JSON form of a problem, a plan and its certificate. Every number is an integer, indexes count
// from 0. The leaves' branch lists, in order, form a full binary tree of conditions; a leaf bounds every plan that
// meets its conditions by
//
//	⌈(Σ worth·demand + Σ conditions' worth·bound − Σ limit_worth·limit) / scale⌉
//
// because no pattern of kind k is worth more, its conditions' worth included, than scale·cost + limit_worth.
type cutsDocument struct {
	Format      string          `json:"format"`
	Kinds       []cutsKind      `json:"kinds"`
	Items       []cutsItem      `json:"items"`
	Patterns    []cutsPattern   `json:"patterns"`
	Cost        int64           `json:"cost"`
	Lower       int64           `json:"lower"`
	Grade       string          `json:"grade"`
	Certificate cutsCertificate `json:"certificate"`
}

type cutsKind struct {
	Length int64  `json:"length"`
	Cost   int64  `json:"cost"`
	Limit  *int64 `json:"limit,omitempty"`
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
	Branch     []cutsCondition `json:"branch"`
	Worth      []int64         `json:"worth"`
	LimitWorth []int64         `json:"limit_worth"`
}

type cutsCondition struct {
	Kind  *int       `json:"kind,omitempty"`
	Holds [][2]int64 `json:"holds,omitempty"`
	Most  *int64     `json:"most,omitempty"`
	Least *int64     `json:"least,omitempty"`
	Worth int64      `json:"worth"`
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
		Patterns: make([]cutsPattern, len(r.Patterns)), Cost: r.Cost, Lower: r.Certified,
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
	}
	for i, it := range p.Items {
		d.Items[i] = cutsItem(it)
	}
	for j, pat := range r.Patterns {
		d.Patterns[j] = cutsPattern{pat.Kind, pat.Count, pairs(pat.Take)}
	}
	d.Certificate = cutsCertificate{Scale: r.Certificate.Scale, Leaves: make([]cutsLeaf, len(r.Certificate.Leaves))}
	for l, leaf := range r.Certificate.Leaves {
		out := cutsLeaf{Branch: make([]cutsCondition, len(leaf.Branch)), Worth: leaf.Worth, LimitWorth: leaf.LimitWorth}
		for t, c := range leaf.Branch {
			b := cutsCondition{Holds: pairs(c.Holds), Worth: c.Worth}
			if !c.AnyKind {
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

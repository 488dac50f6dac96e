package check

import (
	"context"
	"fmt"
)

// Format is what a cuts document calls itself.
const Format = "longpoint-cuts/2"

// documentLimit is the largest document that is read, in bytes. A plan of a thousand
// frames is well below a hundredth of it.
const documentLimit = 64 << 20

// Cuts is what a cuts document holds.
type Cuts struct {
	Instance    Instance
	Plan        Plan
	Certificate Certificate
	Claims      Claims
}

// Document reads a cuts document and verifies everything in it. The error is an
// *[InputError] when the document cannot be read, otherwise one of a check that was not
// finished; with either, the report is not OK.
func Document(ctx context.Context, data []byte) (Report, error) {
	cuts, err := Parse(data)
	if err != nil {
		return Report{Grade: None}, err
	}
	return Verify(ctx, cuts.Instance, cuts.Plan, cuts.Certificate, cuts.Claims)
}

// Parse reads a cuts document: JSON in UTF-8, all numbers whole. Names that are unknown,
// missing or there twice are errors, and so is anything after the end. Which may be left out, the package
// comment says; in place of those of an instance and of a condition null may stand. What the numbers
// mean, and whether a list has as many as it must, is for [Verify] to judge. The error is an *[InputError].
func Parse(data []byte) (Cuts, error) {
	if len(data) > documentLimit {
		return Cuts{}, &InputError{Line: 1, Column: 1, Sentence: fmt.Sprintf("the document has %d bytes, more than the %d that are read", len(data), documentLimit)}
	}
	var cuts Cuts
	if err := read(data, cuts.read); err != nil {
		return Cuts{}, err
	}
	return cuts, nil
}

func (c *Cuts) read(r *reader) {
	names := []string{"format", "kinds", "items", "patterns", "cost", "lower", "grade", "certificate"}
	r.object("the document", names, func(name string) bool {
		switch name {
		case "format":
			if format := r.text(name); format != Format {
				r.fail("the format is %.40q; only %q can be checked", format, Format)
			}
		case "kinds":
			r.list(name, func() { c.Instance.Kinds = append(c.Instance.Kinds, readKind(r)) })
		case "items":
			r.list(name, func() { c.Instance.Items = append(c.Instance.Items, readItem(r)) })
		case "choices":
			r.optionalList(name, func() { c.Instance.Choices = append(c.Instance.Choices, readChoice(r)) })
		case "rows":
			r.optionalList(name, func() { c.Instance.Rows = append(c.Instance.Rows, readRow(r)) })
		case "chosen":
			r.optionalList(name, func() { c.Plan.Chosen = append(c.Plan.Chosen, r.integer(name)) })
		case "patterns":
			r.list(name, func() { c.Plan.Patterns = append(c.Plan.Patterns, readPattern(r)) })
		case "cost":
			c.Claims.Cost = r.integer(name)
		case "lower":
			c.Claims.Lower = r.integer(name)
		case "grade":
			c.Claims.Grade = Grade(r.text(name))
		case "certificate":
			c.Certificate = readCertificate(r)
		default:
			return false
		}
		return true
	})
}

func readKind(r *reader) (kind Kind) {
	r.object("a kind", []string{"length", "cost"}, func(name string) bool {
		switch name {
		case "length":
			kind.Length = r.integer(name)
		case "cost":
			kind.Cost = r.integer(name)
		case "limit":
			kind.Limit = r.optionalInteger(name)
		case "only":
			only := []int{}
			if r.optionalList(name, func() { only = append(only, r.index(name)) }) {
				kind.Only = only
			}
		case "credit":
			kind.Credit = readCredit(r)
		default:
			return false
		}
		return true
	})
	return kind
}

func readCredit(r *reader) *Credit {
	var credit Credit
	there := r.optionalObject("a credit", []string{"keep", "extra", "num", "den"}, func(name string) bool {
		switch name {
		case "keep":
			credit.Keep = r.integer(name)
		case "extra":
			credit.Extra = r.integer(name)
		case "num":
			credit.Num = r.integer(name)
		case "den":
			credit.Den = r.integer(name)
		default:
			return false
		}
		return true
	})
	if !there {
		return nil
	}
	return &credit
}

func readChoice(r *reader) (choice Choice) {
	r.object("a choice", []string{"cost", "most"}, func(name string) bool {
		switch name {
		case "cost":
			choice.Cost = r.integer(name)
		case "most":
			choice.Most = r.integer(name)
		case "gives":
			r.optionalList(name, func() {
				kind, quantity := r.pair("a give")
				choice.Gives = append(choice.Gives, Give{r.place("the kind", kind), quantity})
			})
		case "asks":
			r.optionalList(name, func() {
				item, quantity := r.pair("an ask")
				choice.Asks = append(choice.Asks, Take{r.place("the item", item), quantity})
			})
		case "in":
			r.optionalList(name, func() {
				row, coefficient := r.pair("an entry of a row")
				choice.In = append(choice.In, Entry{r.place("the row", row), coefficient})
			})
		default:
			return false
		}
		return true
	})
	return choice
}

func readRow(r *reader) (row Row) {
	r.object("a row", []string{"least"}, func(name string) bool {
		if name != "least" {
			return false
		}
		row.Least = r.integer(name)
		return true
	})
	return row
}

func readItem(r *reader) (item Item) {
	r.object("an item", []string{"length", "demand"}, func(name string) bool {
		switch name {
		case "length":
			item.Length = r.integer(name)
		case "demand":
			item.Demand = r.integer(name)
		default:
			return false
		}
		return true
	})
	return item
}

func readPattern(r *reader) (pattern Pattern) {
	r.object("a pattern", []string{"kind", "count", "take"}, func(name string) bool {
		switch name {
		case "kind":
			pattern.Kind = r.index(name)
		case "count":
			pattern.Count = r.integer(name)
		case "take":
			r.list(name, func() {
				item, quantity := r.pair("a take")
				pattern.Take = append(pattern.Take, Take{r.place("the item", item), quantity})
			})
		default:
			return false
		}
		return true
	})
	return pattern
}

func readCertificate(r *reader) (certificate Certificate) {
	r.object("the certificate", []string{"scale", "leaves"}, func(name string) bool {
		switch name {
		case "scale":
			certificate.Scale = r.integer(name)
		case "leaves":
			leaves := leafReader{reader: r, room: entriesLimit}
			r.list(name, leaves.next)
			certificate.Leaves = leaves.leaves
		case "mixes":
			certificate.Mixes = new(readMixes(r))
		default:
			return false
		}
		return true
	})
	return certificate
}

func readMixes(r *reader) (mixes Mixes) {
	r.object("the mixes", []string{"bound", "order", "cuts"}, func(name string) bool {
		switch name {
		case "bound":
			mixes.Bound = r.integer(name)
		case "order":
			r.list(name, func() { mixes.Order = append(mixes.Order, r.index("a kind")) })
		case "cuts":
			r.list(name, func() { mixes.Cuts = append(mixes.Cuts, readCut(r)) })
		default:
			return false
		}
		return true
	})
	return mixes
}

func readCut(r *reader) (cut Cut) {
	r.object("a cut", []string{"dual_values", "most"}, func(name string) bool {
		switch name {
		case "dual_values":
			r.list(name, func() { cut.DualValues = append(cut.DualValues, r.integer(name)) })
		case "most":
			r.list(name, func() { cut.Most = append(cut.Most, r.integer(name)) })
		default:
			return false
		}
		return true
	})
	return cut
}

func readCondition(r *reader) (condition Condition) {
	var most, least *int64
	r.object("a branch entry", []string{"dual_value"}, func(name string) bool {
		switch name {
		case "kind":
			if kind := r.optionalInteger(name); kind != nil {
				condition.Kind = new(r.place(name, *kind))
			}
		case "holds":
			r.optionalList(name, func() {
				item, atLeast := r.pair("a hold")
				condition.Holds = append(condition.Holds, Hold{r.place("the item", item), atLeast})
			})
		case "credited":
			condition.Credited = r.boolean(name)
		case "choice":
			if choice := r.optionalInteger(name); choice != nil {
				condition.Choice = new(r.place(name, *choice))
			}
		case "most":
			most = r.optionalInteger(name)
		case "least":
			least = r.optionalInteger(name)
		case "dual_value":
			condition.DualValue = r.integer(name)
		default:
			return false
		}
		return true
	})
	switch {
	case most != nil && least == nil:
		condition.Sense, condition.Count = Most, *most
	case least != nil && most == nil:
		condition.Sense, condition.Count = Least, *least
	default:
		r.fail("a branch entry must have one of \"most\" and \"least\", and not both")
	}
	return condition
}

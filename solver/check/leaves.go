package check

// entriesLimit is how many branch entries all leaves of a document may have together, what they share with each other written out. A small
// document could otherwise fill the memory.
const entriesLimit = 1 << 23

// leafReader reads a certificate's leaves one after another. A leaf may share with those before it: the beginning of its branch with the
// leaf just before, and its dual values with any.
type leafReader struct {
	*reader
	leaves []Leaf
	room   int // so many more branch entries may come
}

// leafText is a leaf as it is written.
type leafText struct {
	Leaf                   // what is written out; Branch is what follows the shared entries
	same   int64           // so many entries are those of the leaf before
	values map[int64]int64 // dual values of shared entries, by place; of the others 0
	as     *int64          // the leaf whose dual values are taken
	own    map[string]bool // the names that are there
}

// next reads a leaf.
func (r *leafReader) next() {
	text := leafText{values: map[int64]int64{}, own: map[string]bool{}}
	r.object("a leaf", []string{"branch"}, func(name string) bool {
		text.own[name] = true
		switch name {
		case "same":
			text.same = r.integer(name)
		case "same_dual_values":
			r.list(name, func() {
				place, value := r.pair("a shared entry's dual value")
				if _, twice := text.values[place]; twice {
					r.fail("the shared entry %d has two dual values", place)
				}
				text.values[place] = value
			})
		case "branch":
			r.list(name, func() { text.Branch = append(text.Branch, readCondition(r.reader)) })
		case "as":
			text.as = new(r.integer(name))
		case "dual_values":
			r.list(name, func() { text.DualValues = append(text.DualValues, r.integer(name)) })
		case "limit_dual_values":
			r.list(name, func() { text.LimitDualValues = append(text.LimitDualValues, r.integer(name)) })
		case "row_dual_values":
			r.optionalList(name, func() { text.RowDualValues = append(text.RowDualValues, r.integer(name)) })
		default:
			return false
		}
		return true
	})
	r.leaves = append(r.leaves, Leaf{Branch: r.branch(text)})
	r.dualValues(text, &r.leaves[len(r.leaves)-1])
}

// branch gives a leaf's whole branch.
func (r *leafReader) branch(text leafText) []Condition {
	var before []Condition
	if n := len(r.leaves); n > 0 {
		before = r.leaves[n-1].Branch
	}
	if text.same < 0 || text.same > int64(len(before)) {
		r.fail("a leaf shares %d branch entries with the leaf before, which has %d", text.same, len(before))
	}
	if r.room -= int(text.same) + len(text.Branch); r.room < 0 {
		r.fail("all leaves together have more branch entries than are read")
	}
	if text.same == 0 && len(text.values) == 0 {
		return text.Branch
	}
	branch := make([]Condition, 0, int(text.same)+len(text.Branch))
	for _, entry := range before[:text.same] {
		entry.DualValue = 0
		branch = append(branch, entry)
	}
	for place, value := range text.values {
		if place < 0 || place >= text.same {
			r.fail("a leaf that shares %d branch entries gives a dual value to shared entry %d", text.same, place)
		}
		branch[place].DualValue = value
	}
	return append(branch, text.Branch...)
}

// dualValues sets a leaf's dual values, its own or those of the leaf that it names.
func (r *leafReader) dualValues(text leafText, leaf *Leaf) {
	own := text.own["dual_values"] || text.own["limit_dual_values"] || text.own["row_dual_values"]
	switch {
	case text.as == nil:
		for _, name := range []string{"dual_values", "limit_dual_values"} {
			if !text.own[name] {
				r.fail("a leaf lacks %q", name)
			}
		}
		leaf.DualValues, leaf.LimitDualValues, leaf.RowDualValues = text.DualValues, text.LimitDualValues, text.RowDualValues
	case own:
		r.fail("a leaf has dual values and takes those of leaf %d as well", *text.as)
	case *text.as < 0 || *text.as >= int64(len(r.leaves)-1):
		r.fail("a leaf takes the dual values of leaf %d, which is not before it", *text.as)
	default:
		like := r.leaves[*text.as]
		leaf.DualValues, leaf.LimitDualValues, leaf.RowDualValues = like.DualValues, like.LimitDualValues, like.RowDualValues
	}
}

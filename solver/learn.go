package solver

import "slices"

// rootColumns are the columns with which the relaxation of a search's root ended, and the problem that they are of.
type rootColumns struct {
	problem Problem
	columns []*column
}

// Learn has a search begin its root with the columns with which the root of another ended, as far as they are patterns of its own problem too.
// Items and kinds are those of the same length. Where two problems differ in offers, in prices or in a few items only, little is left to generate. It does
// nothing once the search has run, or where the other has not.
func (x *Search) Learn(from *Search) {
	if x.s == nil || x.s.started {
		return
	}
	other := from.root.problem
	items := likeItems(x.s.problem.Items, other.Items)
	for _, c := range from.root.columns {
		for k, kind := range x.s.problem.Kinds {
			if kind.Length == other.Kinds[c.kind].Length {
				x.s.translate(c, k, items)
			}
		}
	}
}

// likeItems gives for each item of another problem the one that is like it: the n-th of a length is like the other's n-th of that length; -1: there is none.
func likeItems(items, others []Item) []int {
	ofLength := map[int64][]int{}
	for i, it := range items {
		ofLength[it.Length] = append(ofLength[it.Length], i)
	}
	like := make([]int, len(others))
	for n, it := range others {
		like[n] = -1
		if own := ofLength[it.Length]; len(own) > 0 {
			like[n], ofLength[it.Length] = own[0], own[1:]
		}
	}
	return like
}

// translate pools a column of another problem as one of kind k, without the pieces that this problem does not want there.
func (s *search) translate(c *column, k int, items []int) {
	own := &column{kind: k}
	for _, t := range c.take {
		if i := items[t.Item]; i >= 0 {
			if quantity := min(t.Quantity, s.in.maxQuantity(i, k)); quantity > 0 {
				own.take = append(own.take, Take{i, quantity})
			}
		}
	}
	if len(own.take) > 0 && s.in.maxLimit[k] > 0 {
		slices.SortFunc(own.take, func(a, b Take) int { return a.Item - b.Item })
		s.pooled(own)
	}
}

package check

// column is a pattern without a count.
type column struct {
	kind     int
	cost     int64   // of one stick, the credit of what is left taken off
	quantity []int64 // one entry an item, at most what can be wanted of it
}

// usefulPatterns lists the patterns to which no piece can be added that may be wanted, may be
// held and fits, and where the kind has a credit all others too, since more may be left of them;
// for the kinds of which there can be any. The empty pattern is left out. It stops, and
// is not ok, when there are more than limit, or when it has looked at a hundred times as
// many beginnings of patterns.
func usefulPatterns(instance Instance, limit int) (columns []column, ok bool) {
	looks := 100 * limit
	wanted := instance.wanted()
	quantity := make([]int64, len(instance.Items))
	var fill func(k, i int, free int64) bool
	fill = func(k, i int, free int64) bool {
		kind := instance.Kinds[k]
		if looks--; looks < 0 {
			return false
		}
		if i == len(quantity) {
			if free < kind.Length && (kind.Credit != nil || isMaximal(instance, k, wanted, quantity, free)) {
				columns = append(columns, column{k, kind.Cost - kind.Credit.of(free), append([]int64(nil), quantity...)})
			}
			return len(columns) <= limit
		}
		item := instance.Items[i]
		most := min(wanted[i], free/item.Length)
		if !kind.mayHold(i) {
			most = 0
		}
		for q := most; q >= 0; q-- {
			quantity[i] = q
			if !fill(k, i+1, free-q*item.Length) {
				return false
			}
		}
		return true
	}
	for k, kind := range instance.Kinds {
		supply := instance.supply(k)
		none := supply != nil && supply.Sign() == 0
		if !none && !fill(k, 0, kind.Length) {
			return columns, false
		}
	}
	return columns, true
}

// isMaximal says whether nothing that may be wanted and held fits into what is free.
func isMaximal(instance Instance, k int, wanted, quantity []int64, free int64) bool {
	for i, item := range instance.Items {
		if quantity[i] < wanted[i] && item.Length <= free && instance.Kinds[k].mayHold(i) {
			return false
		}
	}
	return true
}

package check

// column is a pattern without a count.
type column struct {
	kind     int
	quantity []int64 // one entry an item, at most its demand
}

// maximalPatterns lists the patterns to which no piece can be added that is wanted and
// fits, for the kinds of which there are any; the empty one is left out. It stops, and
// is not ok, when there are more than limit, or when it has looked at a hundred times as
// many beginnings of patterns.
func maximalPatterns(instance Instance, limit int) (columns []column, ok bool) {
	looks := 100 * limit
	quantity := make([]int64, len(instance.Items))
	var fill func(k, i int, free int64) bool
	fill = func(k, i int, free int64) bool {
		if looks--; looks < 0 {
			return false
		}
		if i == len(quantity) {
			if free < instance.Kinds[k].Length && isMaximal(instance, quantity, free) {
				columns = append(columns, column{k, append([]int64(nil), quantity...)})
			}
			return len(columns) <= limit
		}
		item := instance.Items[i]
		for q := min(item.Demand, free/item.Length); q >= 0; q-- {
			quantity[i] = q
			if !fill(k, i+1, free-q*item.Length) {
				return false
			}
		}
		return true
	}
	for k, kind := range instance.Kinds {
		none := kind.Limit != nil && *kind.Limit == 0
		if !none && !fill(k, 0, kind.Length) {
			return columns, false
		}
	}
	return columns, true
}

// isMaximal says whether nothing wanted fits into what is free.
func isMaximal(instance Instance, quantity []int64, free int64) bool {
	for i, item := range instance.Items {
		if quantity[i] < item.Demand && item.Length <= free {
			return false
		}
	}
	return true
}

package check

// optimum is the cost of the cheapest plan, by trying all counts of all choices and, for each, all
// counts of all patterns; false when there is no plan. Only for very small instances.
func optimum(instance Instance) (best int64, any bool) {
	times := make([]int64, len(instance.Choices))
	var choose func(j int, cost int64)
	choose = func(j int, cost int64) {
		if j < len(times) {
			for times[j] = 0; times[j] <= instance.Choices[j].Most; times[j]++ {
				choose(j+1, cost+times[j]*instance.Choices[j].Cost)
			}
			times[j] = 0
			return
		}
		if !rowsMet(instance, times) {
			return
		}
		if sticks, possible := cheapestCut(chosen(instance, times)); possible && (!any || cost+sticks < best) {
			best, any = cost+sticks, true
		}
	}
	choose(0, 0)
	return best, any
}

// rowsMet says whether choices made so often satisfy every row.
func rowsMet(instance Instance, times []int64) bool {
	for r, row := range instance.Rows {
		var sum int64
		for j, choice := range instance.Choices {
			for _, entry := range choice.In {
				if entry.Row == r {
					sum += entry.Coefficient * times[j]
				}
			}
		}
		if sum < row.Least {
			return false
		}
	}
	return true
}

// chosen is what is left to cut, and from what, once choices are made so often.
func chosen(instance Instance, times []int64) Instance {
	var made Instance
	for _, kind := range instance.Kinds {
		if kind.Limit != nil {
			kind.Limit = new(*kind.Limit)
		}
		made.Kinds = append(made.Kinds, kind)
	}
	made.Items = append(made.Items, instance.Items...)
	for j, choice := range instance.Choices {
		for _, give := range choice.Gives {
			*made.Kinds[give.Kind].Limit += give.Quantity * times[j]
		}
		for _, ask := range choice.Asks {
			made.Items[ask.Item].Demand += ask.Quantity * times[j]
		}
	}
	return made
}

// cheapestCut is the cost of the cheapest plan of an instance without choices.
func cheapestCut(instance Instance) (best int64, any bool) {
	left := make([]int64, len(instance.Items))
	for i, item := range instance.Items {
		left[i] = item.Demand
	}
	type cut struct {
		cost     int64
		quantity []int64
	}
	patterns := make([][]cut, len(instance.Kinds))
	for k, kind := range instance.Kinds {
		allPatterns(instance, k, func(a []int64) {
			patterns[k] = append(patterns[k], cut{kind.Cost - creditOf(instance, k, a), append([]int64(nil), a...)})
		})
	}
	used := make([]int64, len(instance.Kinds))
	var next func(cost int64)
	next = func(cost int64) {
		if any && cost >= best {
			return // no stick costs less than nothing
		}
		first := 0
		for first < len(left) && left[first] <= 0 {
			first++
		}
		if first == len(left) {
			best, any = cost, true
			return
		}
		for k, kind := range instance.Kinds {
			if kind.Limit != nil && used[k] == *kind.Limit {
				continue
			}
			for _, pattern := range patterns[k] {
				if pattern.quantity[first] == 0 { // the next stick is one that takes of the first item left
					continue
				}
				for i, quantity := range pattern.quantity {
					left[i] -= quantity
				}
				used[k]++
				next(cost + pattern.cost)
				used[k]--
				for i, quantity := range pattern.quantity {
					left[i] += quantity
				}
			}
		}
	}
	next(0)
	return best, any
}

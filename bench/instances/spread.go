package instances

// Spread picks count instances evenly from the first to the last, or all of them where count is 0 or there are no more.
func Spread(ins []Instance, count int) []Instance {
	if count <= 0 || count >= len(ins) {
		return ins
	}
	if count == 1 {
		return ins[:1]
	}
	picked := make([]Instance, count)
	for i := range picked {
		picked[i] = ins[i*(len(ins)-1)/(count-1)]
	}
	return picked
}

package stops

import "slices"

// Pack says which of the groups make up count pieces, largest first: how many of each size are taken, given how many
// there are. sizes fall strictly. Where each size divides the one before it, it finds a way where there is one, and the
// groups that are left can make up whatever those of another choice could.
func Pack(sizes, have []int32, count int32) (taken []int32, ok bool) {
	taken = make([]int32, len(sizes))
	return taken, pack(sizes, have, taken, count)
}

func pack(sizes, have, taken []int32, count int32) bool {
	if count == 0 {
		return true
	}
	if len(sizes) == 0 {
		return false
	}
	for n := min(have[0], count/sizes[0]); n >= 0; n-- {
		taken[0] = n
		if pack(sizes[1:], have[1:], taken[1:], count-n*sizes[0]) {
			return true
		}
	}
	taken[0] = 0
	return false
}

// Sizes gives the different sizes of groups, largest first, and how many there are of each.
func Sizes(groups []int) (sizes, have []int32) {
	sorted := slices.Clone(groups)
	slices.Sort(sorted)
	slices.Reverse(sorted)
	for _, g := range sorted {
		if n := len(sizes); n > 0 && sizes[n-1] == int32(g) {
			have[n-1]++
			continue
		}
		sizes, have = append(sizes, int32(g)), append(have, 1)
	}
	return sizes, have
}

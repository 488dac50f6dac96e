package instances

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"

	"longpoint/solver"
)

// MaxFile is the greatest size of a file of instances in bytes, so that a wrong file name fails early.
const MaxFile = 16 << 20

// ReadText reads one instance in one of the three common text formats, numbers parted by white space:
//
//	cutting stock   m, c, then m times: length demand
//	bin packing     n, c, then n times: length
//	several kinds   n, k and more that is not used, on a line of their own; then k times: capacity cost; then n times: length
//
// The count of numbers tells them apart. Equal lengths of a bin-packing file become one item, longest first; a
// cutting-stock file keeps its items as they are. Errors are FormatErrors, file standing for the name.
func ReadText(r io.Reader, file string) (solver.Problem, error) {
	numbers, first, err := readNumbers(r, file)
	if err != nil {
		return solver.Problem{}, err
	}
	if p, ok := severalKinds(numbers, first); ok {
		return p, validated(file, 0, p)
	}
	fail := func(what string) (solver.Problem, error) {
		return solver.Problem{}, &FormatError{File: file, What: what,
			Do: "give the number of items, the capacity, and then a length, or a length and a demand, for each item"}
	}
	if len(numbers) < 2 {
		return fail("fewer than two numbers")
	}
	m, capacity, rest := numbers[0], numbers[1], numbers[2:]
	if m < 1 || m > solver.MaxDemand {
		return fail(fmt.Sprintf("%d items", m))
	}
	var items []solver.Item
	switch int64(len(rest)) {
	case m:
		items = merge(rest)
	case 2 * m:
		for i := 0; i < len(rest); i += 2 {
			items = append(items, solver.Item{Length: rest[i], Demand: rest[i+1]})
		}
	default:
		return fail(fmt.Sprintf("%d numbers after the capacity, where %d items need %d or %d", len(rest), m, m, 2*m))
	}
	p := oneKind(capacity, items)
	return p, validated(file, 0, p)
}

// severalKinds reads a problem with several kinds from numbers of which the first line has so many. It reports false where they are of another form.
func severalKinds(numbers []int64, first int) (p solver.Problem, ok bool) {
	const least = 3 // numbers on the first line: n, k and at least one more
	if first < least {
		return p, false
	}
	n, k, rest := numbers[0], numbers[1], numbers[first:]
	if n < 1 || k < 1 || k > int64(len(rest))/2 || int64(len(rest))-2*k != n {
		return p, false
	}
	for ; k > 0; k, rest = k-1, rest[2:] {
		p.Kinds = append(p.Kinds, solver.Kind{Length: rest[0], Cost: rest[1]})
	}
	p.Items = merge(rest)
	return p, true
}

// readNumbers gives all numbers of a text, and how many its first line with any has. They must be whole and not negative.
func readNumbers(r io.Reader, file string) (numbers []int64, first int, err error) {
	data, err := readBounded(r, file)
	if err != nil {
		return nil, 0, err
	}
	line := 0
	for row := range bytes.Lines(data) {
		line++
		for _, field := range bytes.Fields(row) {
			v, err := strconv.ParseInt(string(field), 10, 64)
			if err != nil || v < 0 {
				return nil, 0, &FormatError{File: file, Line: line, What: fmt.Sprintf("%q is not a whole number", clip(field)), Do: "use digits only"}
			}
			numbers = append(numbers, v)
		}
		if first == 0 {
			first = len(numbers)
		}
	}
	return numbers, first, nil
}

// readBounded reads all of r, or fails when it is larger than MaxFile.
func readBounded(r io.Reader, file string) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxFile+1))
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", file, err)
	}
	if len(data) > MaxFile {
		return nil, &FormatError{File: file, What: fmt.Sprintf("larger than %d bytes", MaxFile), Do: "name a file of instances"}
	}
	return data, nil
}

// merge makes one item of all equal lengths, longest first. It sorts lengths in place.
func merge(lengths []int64) []solver.Item {
	slices.SortFunc(lengths, func(a, b int64) int { return cmp.Compare(b, a) })
	var items []solver.Item
	for _, l := range lengths {
		if n := len(items); n > 0 && items[n-1].Length == l {
			items[n-1].Demand++
		} else {
			items = append(items, solver.Item{Length: l, Demand: 1})
		}
	}
	return items
}

// clip shortens what goes into a message.
func clip(field []byte) []byte {
	const most = 32
	return field[:min(len(field), most)]
}

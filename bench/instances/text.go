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

// ReadText reads one instance in either of the two common text formats, numbers parted by white space:
//
//	cutting stock   m, c, then m times: length demand
//	bin packing     n, c, then n times: length
//
// The count of numbers tells them apart. Equal lengths of a bin-packing file become one item, longest first; a
// cutting-stock file keeps its items as they are. Errors are FormatErrors, file standing for the name.
func ReadText(r io.Reader, file string) (solver.Problem, error) {
	numbers, err := readNumbers(r, file)
	if err != nil {
		return solver.Problem{}, err
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

// readNumbers gives all numbers of a text. They must be whole and not negative.
func readNumbers(r io.Reader, file string) ([]int64, error) {
	data, err := readBounded(r, file)
	if err != nil {
		return nil, err
	}
	var numbers []int64
	line := 0
	for row := range bytes.Lines(data) {
		line++
		for _, field := range bytes.Fields(row) {
			v, err := strconv.ParseInt(string(field), 10, 64)
			if err != nil || v < 0 {
				return nil, &FormatError{File: file, Line: line, What: fmt.Sprintf("%q is not a whole number", clip(field)), Do: "use digits only"}
			}
			numbers = append(numbers, v)
		}
	}
	return numbers, nil
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

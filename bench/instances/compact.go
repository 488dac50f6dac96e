package instances

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"longpoint/solver"
)

// CompactFormat is the first line of a file in our compact format.
const CompactFormat = "longpoint-lengths/1"

// compactName is what an instance may be called: something that can also be a file's name.
var compactName = regexp.MustCompile(`^[A-Za-z0-9_-][A-Za-z0-9_.-]*$`)

// ReadCompact reads many instances in our compact format. After the line CompactFormat, and lines that are blank or
// begin with #, each line is one instance:
//
//	name capacity [=cost] length[xdemand] …
//
// The least number of sticks, where it is known, follows an equals sign; a demand of one is left out; lengths fall
// strictly. Names become prefix/name and are unique in the file. Errors are FormatErrors.
func ReadCompact(r io.Reader, file, prefix string) ([]Instance, error) {
	data, err := readBounded(r, file)
	if err != nil {
		return nil, err
	}
	var found []Instance
	seen := map[string]bool{}
	line, started := 0, false
	for row := range bytes.Lines(data) {
		line++
		text := strings.TrimSpace(string(row))
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		if !started {
			if text != CompactFormat {
				return nil, &FormatError{File: file, Line: line, What: "not a file of compact instances", Do: "begin it with the line " + CompactFormat}
			}
			started = true
			continue
		}
		in, err := parseCompact(text, file, line)
		if err != nil {
			return nil, err
		}
		if seen[in.Name] {
			return nil, &FormatError{File: file, Line: line, What: fmt.Sprintf("a second instance called %q", in.Name), Do: "give each its own name"}
		}
		seen[in.Name] = true
		in.Name = prefix + "/" + in.Name
		found = append(found, in)
	}
	if len(found) == 0 {
		return nil, &FormatError{File: file, What: "no instances", Do: "write one a line after " + CompactFormat}
	}
	return found, nil
}

// parseCompact reads one line.
func parseCompact(text, file string, line int) (Instance, error) {
	fail := func(what string) (Instance, error) {
		return Instance{}, &FormatError{File: file, Line: line, What: what, Do: "write: name capacity [=cost] length[xdemand] …, lengths falling"}
	}
	fields := strings.Fields(text)
	if len(fields) < 3 {
		return fail("fewer than three fields")
	}
	in := Instance{Name: fields[0]}
	if !compactName.MatchString(in.Name) {
		return fail(fmt.Sprintf("name %q has more in it than letters, digits, _, - and dots inside", clip([]byte(in.Name))))
	}
	capacity, err := strconv.ParseInt(fields[1], 10, 64)
	if err != nil {
		return fail(fmt.Sprintf("capacity %q is not a whole number", clip([]byte(fields[1]))))
	}
	fields = fields[2:]
	if cost, ok := strings.CutPrefix(fields[0], "="); ok {
		least, err := strconv.ParseInt(cost, 10, 64)
		if err != nil || least < 1 {
			return fail(fmt.Sprintf("least cost %q is not a positive whole number", clip([]byte(cost))))
		}
		in.Known = Known{Given: true, Lower: least, Upper: least}
		fields = fields[1:]
	}
	var items []solver.Item
	for _, field := range fields {
		it, err := parseRun(field)
		if err != nil {
			return fail(err.Error())
		}
		if n := len(items); n > 0 && items[n-1].Length <= it.Length {
			return fail(fmt.Sprintf("length %d after %d", it.Length, items[n-1].Length))
		}
		items = append(items, it)
	}
	if len(items) == 0 {
		return fail("no lengths")
	}
	in.Problem = oneKind(capacity, items)
	return in, validated(file, line, in.Problem)
}

// parseRun reads "length" or "lengthxdemand".
func parseRun(field string) (solver.Item, error) {
	length, demand, several := strings.Cut(field, "x")
	it := solver.Item{Demand: 1}
	var err error
	if it.Length, err = strconv.ParseInt(length, 10, 64); err == nil && several {
		it.Demand, err = strconv.ParseInt(demand, 10, 64)
	}
	if err != nil || it.Demand < 1 {
		return it, fmt.Errorf("%q is not a length, or a length and a demand of at least 1", clip([]byte(field)))
	}
	return it, nil
}

// WriteCompact writes instances in our compact format, comment lines first. Each must have one kind of stick of cost 1
// and no two equal lengths. The name written is what follows the last slash.
func WriteCompact(w io.Writer, comments []string, ins []Instance) error {
	var b bytes.Buffer
	for _, c := range comments {
		fmt.Fprintln(&b, strings.TrimRight("# "+c, " "))
	}
	fmt.Fprintln(&b, CompactFormat)
	for _, in := range ins {
		kinds := in.Problem.Kinds
		if len(kinds) != 1 || kinds[0].Cost != 1 || kinds[0].Limited {
			return fmt.Errorf("%s has no place in the compact format: it needs one unlimited kind of stick of cost 1", in.Name)
		}
		fmt.Fprintf(&b, "%s %d", in.Name[strings.LastIndex(in.Name, "/")+1:], kinds[0].Length)
		if in.Known.Given && in.Known.Lower == in.Known.Upper {
			fmt.Fprintf(&b, " =%d", in.Known.Lower)
		}
		items := slices.Clone(in.Problem.Items)
		slices.SortFunc(items, func(x, y solver.Item) int { return cmp.Compare(y.Length, x.Length) })
		for _, it := range items {
			fmt.Fprintf(&b, " %d", it.Length)
			if it.Demand > 1 {
				fmt.Fprintf(&b, "x%d", it.Demand)
			}
		}
		fmt.Fprintln(&b)
	}
	_, err := w.Write(b.Bytes())
	return err
}

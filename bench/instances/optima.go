package instances

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// optimaHeader is the first line of a table of published bounds.
const optimaHeader = "file\tlower\tupper\troot_bound\tstatus\tpublished_seconds"

// ReadOptima reads a table of published bounds, one file of an instance a line. Where the status is Optimal the least
// cost is the upper bound, and the lower one is only the relaxation rounded up.
func ReadOptima(r io.Reader, file string) (map[string]Known, error) {
	data, err := readBounded(r, file)
	if err != nil {
		return nil, err
	}
	known := map[string]Known{}
	line := 0
	for row := range bytes.Lines(data) {
		line++
		text := strings.TrimRight(string(row), "\r\n")
		if line == 1 {
			if text != optimaHeader {
				return nil, &FormatError{File: file, Line: line, What: "not a table of published bounds", Do: "begin it with the columns " + optimaHeader}
			}
			continue
		}
		fields := strings.Split(text, "\t")
		if len(fields) != strings.Count(optimaHeader, "\t")+1 {
			return nil, &FormatError{File: file, Line: line, What: fmt.Sprintf("%d columns", len(fields)), Do: "part the columns by tabs"}
		}
		lower, e1 := strconv.ParseInt(fields[1], 10, 64)
		upper, e2 := strconv.ParseInt(fields[2], 10, 64)
		if err := errors.Join(e1, e2); err != nil || lower > upper {
			return nil, &FormatError{File: file, Line: line, What: "the bounds are not whole numbers, lower before upper", Do: "correct them from the source"}
		}
		if fields[4] == "Optimal" {
			lower = upper
		}
		known[fields[0]] = Known{Given: true, Lower: lower, Upper: upper}
	}
	return known, nil
}

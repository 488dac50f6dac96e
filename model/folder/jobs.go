package folder

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
)

// jobColumns are the columns of jobs.csv: one row a ring of a frame. The rows of a job stand together.
var jobColumns = []column{
	{"job", true},        // its name or number
	{"due", true},        // year-month-day, in the job's first row; blank or the same in its others
	{"customer", false},  // likewise
	{"match", false},     // likewise: free, lot, pair or stick; blank: as each profile says
	{"frame", true},      // the frame's name in its job; rows with the same name are the rings of one frame
	{"ring", false},      // 1, blank: the innermost, or the only one; 2: the next one round it; and so on
	{"profile", true},    // as in profiles.csv
	{"quantity", false},  // how many equal frames; blank: 1
	{"sides", false},     // 3 to 24, blank: 4
	{"given_by", false},  // which size is given: content, rebate, sight or outside; blank: content
	{"width", true},      // of a rectangle; of any other frame the length of a side
	{"height", false},    // of a rectangle
	{"across", false},    // of a frame that is no rectangle, in place of width: the distance across flats
	{"allowance", false}, // play between this ring and what goes in; blank: the workshop's
	{"note", false},      // for people
}

// innermost is the number of the innermost ring; maxRings is far more than are ever nested.
const (
	innermost = 1
	maxRings  = 9
)

// jobs makes jobs of the rows. allowance is the workshop's own.
func jobs(t table, allowance model.Length, c *converter) []model.Job {
	var out []model.Job
	first := map[string]int{} // line of a job's first row
	for start := 0; start < len(t.records); {
		id := oneLine(row{t, t.records[start]}.cell("job").text)
		end := start + 1
		for end < len(t.records) && oneLine(row{t, t.records[end]}.cell("job").text) == id {
			end++
		}
		rows := make([]row, 0, end-start)
		for _, rec := range t.records[start:end] {
			rows = append(rows, row{t, rec})
		}
		start = end
		if line, twice := first[id]; twice && id != "" {
			c.problems.add(rows[0].cell("job").where, fmt.Sprintf("job %s stands here again; its rows start in line %d", show(id), line),
				"put a job's rows together, or give this job another name")
			continue
		}
		first[id] = rows[0].line
		out = append(out, job(rows, allowance, c))
	}
	return out
}

// job makes one job of its rows, of which there is at least one.
func job(rows []row, allowance model.Length, c *converter) model.Job {
	j := model.Job{
		ID:       c.name(rows[0].cell("job")),
		Customer: sameAll(rows, "customer", c),
		Where:    rows[0].where(),
	}
	sameAll(rows, "due", c)
	sameAll(rows, "match", c)
	j.Match = c.match(rows[0].cell("match"))
	if due := rows[0].cell("due"); c.given(due) {
		j.Due = c.date(due)
	}
	var notes []string
	for _, r := range rows {
		if note := r.cell("note").text; note != "" {
			notes = append(notes, note)
		}
	}
	j.Note = strings.Join(notes, "; ")
	var ids []string
	frames := map[string][]row{}
	for _, r := range rows {
		id := c.name(r.cell("frame"))
		if _, known := frames[id]; !known {
			ids = append(ids, id)
		}
		frames[id] = append(frames[id], r)
	}
	for _, id := range ids {
		j.Frames = append(j.Frames, frame(id, frames[id], allowance, c))
	}
	return j
}

// sameAll gives the cell of a job's first row, and reports the rows whose own cell is neither blank nor the same.
func sameAll(rows []row, column string, c *converter) string {
	text := rows[0].cell(column).text
	for _, r := range rows[1:] {
		if cell := r.cell(column); !cell.blank() && cell.text != text {
			c.problems.add(cell.where,
				fmt.Sprintf("%s is not what line %d says of the same job, which is %s", show(cell.text), rows[0].line, show(text)),
				"make them the same, or give this row a job of its own")
		}
	}
	return text
}

// frame makes one frame of the rows of its rings, of which there is at least one.
func frame(id string, rows []row, allowance model.Length, c *converter) model.JobFrame {
	rings := make([]numberedRing, len(rows))
	numbered := true
	for i, r := range rows {
		var ok bool
		rings[i], ok = ring(r, allowance, c)
		numbered = numbered && ok
	}
	slices.SortStableFunc(rings, func(a, b numberedRing) int { return cmp.Compare(a.number, b.number) })
	if numbered {
		checkNumbers(id, rings, c)
	}
	for i := range rings {
		switch number := rings[i].number; {
		case i == 0 && number == innermost:
			rings[i].ring.Size = size(rings[i].row, c)
		case innermost < number && number <= maxRings:
			outerRing(rings[i].row, c)
		}
	}
	f := model.JobFrame{ID: id, Where: rows[0].where()}
	for _, r := range rings {
		f.Rings = append(f.Rings, r.ring)
	}
	f.Quantity, _ = c.count(rings[0].row.cell("quantity"), 1, model.MaxQuantity, 1)
	return f
}

// numberedRing is a ring with its number from the inside out, and its row.
type numberedRing struct {
	number int
	ring   model.Ring
	row    row
}

// ring makes one ring of its row, as yet without a size. ok = false: its number makes no sense, which is
// reported; the ring is then held to be beyond all others.
func ring(r row, allowance model.Length, c *converter) (out numberedRing, ok bool) {
	out.row = r
	out.ring = model.Ring{
		Profile:   c.name(r.cell("profile")),
		Allowance: c.amountOr(r.cell("allowance"), allowance),
		Where:     r.where(),
	}
	out.number, ok = c.count(r.cell("ring"), innermost, maxRings, innermost)
	if !ok {
		out.number = maxRings + 1
	}
	return out, ok
}

// checkNumbers reports the first ring that breaks the count 1, 2, …, and any that stands there twice.
func checkNumbers(id string, rings []numberedRing, c *converter) {
	const do = "number its rings 1, 2, … from the inside out"
	for i, r := range rings {
		cell := r.row.cell("ring")
		switch want := innermost + i; {
		case i > 0 && r.number == rings[i-1].number:
			c.problems.add(cell.where,
				fmt.Sprintf("frame %s has ring %d twice in this job, in line %d and here", show(id), r.number, rings[i-1].row.line),
				do+", or give this frame another name")
		case r.number > want && (i == 0 || rings[i-1].number == want-1):
			c.problems.add(cell.where, fmt.Sprintf("frame %s has a ring %d but no ring %d", show(id), r.number, want), do)
		}
	}
}

// outerRing reports what only an innermost ring has.
func outerRing(r row, c *converter) {
	for _, column := range []string{"quantity", "sides", "given_by", "width", "height", "across"} {
		if cell := r.cell(column); !cell.blank() {
			c.problems.add(cell.where, "an outer ring takes this from the innermost one", "leave it blank here")
		}
	}
}

// size reads the size of a frame.
func size(r row, c *converter) model.Size {
	const least, greatest, rectangle = 3, 24, 4
	sides, ok := c.count(r.cell("sides"), least, greatest, rectangle)
	s := model.Size{
		Shape: model.Shape{Sides: sides},
		By: choice(c, r.cell("given_by"), []string{"content", "rebate", "sight", "outside"},
			[]model.Given{model.ByContent, model.ByRebate, model.BySight, model.ByOutside}),
	}
	if s.By == 0 {
		s.By = model.ByContent
	}
	if !ok {
		return s // nobody knows which measures belong to it
	}
	width, height, across := r.cell("width"), r.cell("height"), r.cell("across")
	switch {
	case s.Shape.Sides == rectangle:
		s.Width, s.Height = c.size(width), c.size(height)
		if !across.blank() {
			c.problems.add(across.where, "a frame of four sides has no distance across flats", "give its width and height instead")
		}
		return s
	case !height.blank():
		c.problems.add(height.where, "only a frame of four sides has a height", "leave it blank and give the side in width, or the distance across flats in across")
		return s
	case !width.blank() && !across.blank():
		c.problems.add(across.where, "the size is given twice, by the side in width and across flats", "leave one of them blank")
	case !across.blank():
		s.Width, s.Across = c.size(across), true
		if s.Shape.Sides%2 != 0 {
			c.problems.add(across.where, "a frame with an odd number of sides has no distance across flats", "give the length of a side in width")
		}
		return s
	}
	s.Width = c.size(width)
	return s
}

package folder

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"longpoint/model"
	"longpoint/model/table"
)

// jobSet has the columns of jobs.csv: one row a ring of a frame. The rows of a job stand together.
var jobSet = table.Set{Name: "jobs", Called: jobHeadings, Columns: []table.Column{
	{Name: "job", Kind: table.Name, Need: table.Each, Key: true, Instead: "customer"}, // its name or number
	{Name: "due", Kind: table.Date, Need: table.Must},                                 // year-month-day or none, in the job's first row; blank or the same in its others
	{Name: "customer"},                                    // likewise
	{Name: "match", Words: matches()},                     // likewise: free, lot, pair or stick; blank: as each profile says
	{Name: "frame", Kind: table.Name, Key: true},          // the frame's name in its job; rows with the same name are the rings of one frame; blank: its number in the job
	{Name: "ring", Kind: table.Count, Key: true},          // 1, blank: the innermost, or the only one; 2: the next one round it; and so on
	{Name: "profile", Kind: table.Name, Need: table.Each}, // as in profiles.csv
	{Name: "quantity", Kind: table.Count},                 // how many equal frames; blank: 1
	{Name: "sides", Kind: table.Count},                    // 3 to 24, blank: 4
	{Name: "given_by", Words: givenWords},                 // which size is given: content, rebate, sight or outside; blank: content
	{Name: "width", Kind: table.Length, Need: table.Must}, // of a rectangle, or its width and height in one such as 40 x 50 cm; of any other frame the length of a side
	{Name: "height", Kind: table.Length},                  // of a rectangle
	{Name: "across", Kind: table.Length},                  // of a frame that is no rectangle, in place of width: the distance across flats
	{Name: "allowance", Kind: table.Length},               // play between this ring and what goes in; blank: the workshop's
	{Name: "note"},                                        // for people
}}

// givenWords are which size can be given.
var givenWords = []string{"content", "rebate", "sight", "outside"}

func matches() (words []string) {
	for _, m := range model.Matches() {
		words = append(words, string(m))
	}
	return words
}

// noDay stands for the day of a job that has none: it is always due.
const noDay = "none"

// innermost is the number of the innermost ring; maxRings is far more than are ever nested. A rectangle has four sides.
const (
	innermost = 1
	maxRings  = 9
	rectangle = 4
)

// jobs makes jobs of the rows. allowance is the workshop's own.
func jobs(t *table.Table, allowance model.Length, c *table.Converter) []model.Job {
	var out []model.Job
	first := map[string]int{} // line of a job's first row
	var rows []table.Row      // of one job
	done := func() {
		if len(rows) == 0 {
			return
		}
		cell := rows[0].Cell("job")
		id := table.OneLine(cell.Text)
		if line, twice := first[id]; twice && id != "" {
			c.Problems.Add(cell.Where, fmt.Sprintf("job %s stands here again; its rows start in line %d", model.Quote(id), line),
				"put a job's rows together, or give this job another name")
		} else {
			first[id] = rows[0].Line()
			out = append(out, job(rows, allowance, c))
		}
		rows = nil
	}
	for r := range t.Rows() {
		if len(rows) > 0 && table.OneLine(r.Cell("job").Text) != table.OneLine(rows[0].Cell("job").Text) {
			done()
		}
		rows = append(rows, r)
	}
	done()
	return out
}

// job makes one job of its rows, of which there is at least one.
func job(rows []table.Row, allowance model.Length, c *table.Converter) model.Job {
	j := model.Job{
		ID:       c.Name(rows[0].Cell("job")),
		Customer: sameAll(rows, "customer", c),
		Where:    rows[0].Where(),
	}
	sameAll(rows, "due", c)
	sameAll(rows, "match", c)
	j.Match = c.Match(rows[0].Cell("match"))
	if due := rows[0].Cell("due"); c.Given(due) && due.Text != noDay {
		j.Due = c.Date(due)
	}
	var notes []string
	for _, r := range rows {
		if note := r.Cell("note").Text; note != "" {
			notes = append(notes, note)
		}
	}
	j.Note = strings.Join(notes, "; ")
	var ids []string
	frames := map[string][]table.Row{}
	last := ""
	for n, r := range rows {
		id := last // of an outer ring that names no frame
		if cell := r.Cell("frame"); !cell.Blank() {
			id = c.Name(cell)
		} else if text := r.Cell("ring").Text; n == 0 || text == "" || text == strconv.Itoa(innermost) {
			id = freeFrame(rows, frames)
		}
		last = id
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

// freeFrame names a frame of a job that has no name by its number in the job, or the next one that is free.
func freeFrame(rows []table.Row, frames map[string][]table.Row) string {
	for n := len(frames) + 1; ; n++ {
		name := strconv.Itoa(n)
		if _, taken := frames[name]; !taken && !slices.ContainsFunc(rows, func(r table.Row) bool { return table.OneLine(r.Cell("frame").Text) == name }) {
			return name
		}
	}
}

// sameAll gives the cell of a job's first row, and reports the rows whose own cell is neither blank nor the same.
func sameAll(rows []table.Row, column string, c *table.Converter) string {
	text := rows[0].Cell(column).Text
	for _, r := range rows[1:] {
		if cell := r.Cell(column); !cell.Blank() && cell.Text != text {
			c.Problems.Add(cell.Where,
				fmt.Sprintf("%s is not what line %d says of the same job, which is %s", model.Quote(cell.Text), rows[0].Line(), model.Quote(text)),
				"make them the same, or give this row a job of its own")
		}
	}
	return text
}

// frame makes one frame of the rows of its rings, of which there is at least one.
func frame(id string, rows []table.Row, allowance model.Length, c *table.Converter) model.JobFrame {
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
			outerRing(rings[i].row, rings[0].row, c)
		}
	}
	f := model.JobFrame{ID: id, Where: rows[0].Where()}
	for _, r := range rings {
		f.Rings = append(f.Rings, r.ring)
	}
	f.Quantity, _ = c.Count(rings[0].row.Cell("quantity"), 1, model.MaxQuantity, 1)
	return f
}

// numberedRing is a ring with its number from the inside out, and its row.
type numberedRing struct {
	number int
	ring   model.Ring
	row    table.Row
}

// ring makes one ring of its row, as yet without a size. ok = false: its number makes no sense, which is
// reported; the ring is then held to be beyond all others.
func ring(r table.Row, allowance model.Length, c *table.Converter) (out numberedRing, ok bool) {
	out.row = r
	out.ring = model.Ring{
		Profile:   c.Name(r.Cell("profile")),
		Allowance: c.AmountOr(r.Cell("allowance"), allowance),
		Where:     r.Where(),
	}
	out.number, ok = c.Count(r.Cell("ring"), innermost, maxRings, innermost)
	if !ok {
		out.number = maxRings + 1
	}
	return out, ok
}

// checkNumbers reports the first ring that breaks the count 1, 2, …, and any that stands there twice.
func checkNumbers(id string, rings []numberedRing, c *table.Converter) {
	const do = "number its rings 1, 2, … from the inside out"
	for i, r := range rings {
		cell := r.row.Cell("ring")
		switch want := innermost + i; {
		case i > 0 && r.number == rings[i-1].number:
			c.Problems.Add(cell.Where,
				fmt.Sprintf("frame %s has ring %d twice in this job, in line %d and here", model.Quote(id), r.number, rings[i-1].row.Line()),
				do+", or give this frame another name")
		case r.number > want && (i == 0 || rings[i-1].number == want-1):
			c.Problems.Add(cell.Where, fmt.Sprintf("frame %s has a ring %d but no ring %d", model.Quote(id), r.number, want), do)
		}
	}
}

// outerRing reports what only an innermost ring has: its size, and how many there are of what where that is not what the innermost ring says.
func outerRing(r, inner table.Row, c *table.Converter) {
	blank := map[string]string{"quantity": "1", "sides": strconv.Itoa(rectangle), "given_by": givenWords[0]} // what a blank cell means
	for _, column := range []string{"quantity", "sides", "given_by", "width", "height", "across"} {
		cell := r.Cell(column)
		means, repeats := blank[column]
		means = cmp.Or(inner.Cell(column).Text, means)
		switch {
		case cell.Blank() || repeats && model.FoldName(cell.Text) == model.FoldName(means):
		case repeats:
			c.Problems.Add(cell.Where, "an outer ring takes this from the innermost one, which has "+model.Quote(means), "leave it blank here, or write the same")
		default:
			c.Problems.Add(cell.Where, "an outer ring takes this from the innermost one", "leave it blank here")
		}
	}
}

// size reads the size of a frame.
func size(r table.Row, c *table.Converter) model.Size {
	const least, greatest = 3, 24
	sides, ok := c.Count(r.Cell("sides"), least, greatest, rectangle)
	s := model.Size{
		Shape: model.Shape{Sides: sides},
		By: table.Choice(c, r.Cell("given_by"), givenWords,
			[]model.Given{model.ByContent, model.ByRebate, model.BySight, model.ByOutside}),
	}
	if s.By == 0 {
		s.By = model.ByContent
	}
	if !ok {
		return s // nobody knows which measures belong to it
	}
	width, height, across := r.Cell("width"), r.Cell("height"), r.Cell("across")
	switch {
	case s.Shape.Sides == rectangle:
		if height.Blank() && width.IsSize() {
			s.Width, s.Height = c.WidthAndHeight(width)
		} else {
			s.Width, s.Height = c.Size(width), c.Size(height)
		}
		if !across.Blank() {
			c.Problems.Add(across.Where, "a frame of four sides has no distance across flats", "give its width and height instead")
		}
		return s
	case !height.Blank():
		c.Problems.Add(height.Where, "only a frame of four sides has a height", "leave it blank and give the side in width, or the distance across flats in across")
		return s
	case !width.Blank() && !across.Blank():
		c.Problems.Add(across.Where, "the size is given twice, by the side in width and across flats", "leave one of them blank")
	case !across.Blank():
		s.Width, s.Across = c.Size(across), true
		if s.Shape.Sides%2 != 0 {
			c.Problems.Add(across.Where, "a frame with an odd number of sides has no distance across flats", "give the length of a side in width")
		}
		return s
	}
	s.Width = c.Size(width)
	return s
}

// notAllTiny reports a table of which every frame is smaller than any photograph, and no size has a unit: what was meant is most likely another one.
func notAllTiny(t *table.Table, jobs []model.Job, c *table.Converter) {
	first, more, all := (&model.Workshop{Unit: c.Unit, Jobs: jobs}).Tiny()
	if first == nil || !all || !c.Problems.None() || t.InUnit("width") {
		return
	}
	if more > 0 {
		first.What += fmt.Sprintf(", and so is every other of this table: %d", more)
	}
	first.Do = "if centimetres are meant, " + t.HowToSayUnit("width", "cm") + "; if millimetres are, mm likewise"
	c.Problems.Keep(first.Error)
}

// jobRows gives a job as rows of the table, one a ring. What is the job's stands in the first of them.
func jobRows(j *model.Job, f format) (rows [][]string) {
	due, customer, match, note := cmp.Or(j.Due.String(), noDay), j.Customer, string(j.Match), j.Note
	for _, frame := range j.Frames {
		for i, r := range frame.Rings {
			number, quantity, sides, by, width, height, across := "", "", "", "", "", "", ""
			if len(frame.Rings) > 1 {
				number = strconv.Itoa(innermost + i)
			}
			if i == 0 {
				quantity, sides, by = strconv.Itoa(frame.Quantity), count(r.Size.Shape.Sides, rectangle), r.Size.By.String()
				width, height = f.length(r.Size.Width), f.some(r.Size.Height)
				if r.Size.Across {
					width, across = "", width
				}
			}
			rows = append(rows, []string{j.ID, due, customer, match, frame.ID, number, r.Profile, quantity, sides, by, width, height, across, f.length(r.Allowance), note})
			due, customer, match, note = "", "", "", ""
		}
	}
	return rows
}

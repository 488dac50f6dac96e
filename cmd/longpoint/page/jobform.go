package page

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/model/quote"
)

// Columns of the table of jobs that the form has fields of: of the job, and of each of its frames. match comes first, for it is chosen
// from a list: what begins a row and looks like a note would not be read.
var (
	jobColumns   = []string{"match", "job", "due", "customer", "note"}
	frameColumns = []string{"frame", "ring", "profile", "quantity", "sides", "given_by", "width", "height", "across", "allowance"}
)

// typedJob is the form of a job as it was typed.
type typedJob struct {
	Job  map[string]string
	Rows []typedRow
}

// typedRow is a row of the form: a ring of a frame.
type typedRow map[string]string

// mostRows is more than anybody types.
const mostRows = 200

// blank tells a row in which nothing was typed but what stands there at first.
func (r typedRow) blank() bool {
	return r["width"]+r["height"]+r["across"] == "" && cmp.Or(r["ring"], "1") == "1"
}

func newJobTyped() *typedJob {
	t := &typedJob{Job: map[string]string{}}
	t.Rows = []typedRow{t.emptyRow()}
	return t
}

// emptyRow is a row to type in; its profile is that of the row before.
func (t *typedJob) emptyRow() typedRow {
	r := typedRow{"frame": strconv.Itoa(len(t.Rows) + 1), "given_by": "content"}
	if len(t.Rows) > 0 {
		last := t.Rows[len(t.Rows)-1]
		r["profile"], r["given_by"] = last["profile"], last["given_by"]
	}
	return r
}

// typedJob reads the form.
func (c *call) typedJob() *typedJob {
	t := &typedJob{Job: map[string]string{}}
	for _, name := range jobColumns {
		t.Job[name] = oneLine(c.r.PostForm.Get(name))
	}
	if name := c.r.PathValue("job"); name != "" {
		t.Job["job"] = name
	}
	rows := min(len(c.r.PostForm["frame"]), mostRows)
	for i := range rows {
		r := typedRow{}
		for _, name := range frameColumns {
			if values := c.r.PostForm[name]; i < len(values) {
				r[name] = oneLine(values[i])
			}
		}
		t.Rows = append(t.Rows, r)
	}
	return t
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// typedOf gives a job of the book as it would be typed.
func (c *call) typedOf(j book.JobDetails) *typedJob {
	t := &typedJob{Job: map[string]string{"match": string(j.Match), "job": j.Name, "due": j.Due, "customer": j.Customer, "note": j.Note}}
	for _, f := range j.Frames {
		if f.Dropped {
			continue
		}
		for n, ring := range f.Rings {
			r := typedRow{"frame": f.ID, "profile": ring.Profile, "allowance": ring.Allowance.Bare(c.unit)}
			if len(f.Rings) > 1 {
				r["ring"] = strconv.Itoa(n + 1)
			}
			if n == 0 {
				r["quantity"], r["given_by"] = strconv.Itoa(f.Quantity), ring.Size.By.String()
				c.typeSize(r, ring.Size)
			}
			t.Rows = append(t.Rows, r)
		}
	}
	return t
}

// typeSize writes a size into a row.
func (c *call) typeSize(r typedRow, s model.Size) {
	if s.Shape.Sides != 4 {
		r["sides"] = strconv.Itoa(s.Shape.Sides)
	}
	switch {
	case s.Across:
		r["across"] = s.Width.Bare(c.unit)
	default:
		r["width"] = s.Width.Bare(c.unit)
		if s.Height != 0 {
			r["height"] = s.Height.Bare(c.unit)
		}
	}
}

// table makes the table of jobs that the form is read as. Row i of those that are not blank stands in line i + 2.
func (t *typedJob) table(only ...int) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Write(slices.Concat(jobColumns, frameColumns))
	first := true
	for i, r := range t.Rows {
		if r.blank() || len(only) > 0 && !slices.Contains(only, i) {
			continue
		}
		var cells []string
		for _, name := range jobColumns {
			cell := t.Job[name]
			if name == "note" && !first {
				cell = ""
			}
			cells = append(cells, cell)
		}
		for _, name := range frameColumns {
			cell := r[name]
			if cmp.Or(r["ring"], "1") != "1" && slices.Contains([]string{"quantity", "sides", "given_by"}, name) {
				cell = "" // of the innermost ring alone
			}
			cells = append(cells, cell)
		}
		w.Write(cells)
		first = false
	}
	w.Flush()
	return b.Bytes()
}

// lines gives the row of the form of each line of its table.
func (t *typedJob) lines() map[int]int {
	line, of := 2, map[int]int{}
	for i, r := range t.Rows {
		if !r.blank() {
			of[line] = i
			line++
		}
	}
	return of
}

// jobForm is the form as it is shown.
type jobForm struct {
	typed    *typedJob
	Job      map[string]string
	Rows     []formRow
	Slips    map[string]string // by field of the job
	Wrong    []*model.Error
	Change   bool
	Profiles []string
	Matches  []string
	Givens   []string
	Today    string
	Nested   bool
	Why      string
	// Lost is what finished sides a change makes useless, to be asked before it is made; empty: none.
	Lost      string
	LostSides int
	Quote     *quote.Quotation // what the frames come to, where that was asked
}

// formRow is a row of the form with its slips and its frame.
type formRow struct {
	N     int
	Cells typedRow
	Slips map[string]string
	Frame *shownFrame
}

// jobForm makes the form of what was typed, each of its frames drawn as far as it makes sense.
func (c *call) jobForm(w *model.Workshop, t *typedJob) *jobForm {
	f := &jobForm{typed: t, Job: t.Job, Why: c.form("why"), Slips: map[string]string{}, Change: c.r.PathValue("job") != "", Givens: []string{"content", "rebate", "sight", "outside"},
		Today: c.s.Book.Now().Format(time.DateOnly)}
	for _, p := range w.Profiles {
		f.Profiles = append(f.Profiles, p.Name)
	}
	for _, m := range model.Matches() {
		f.Matches = append(f.Matches, string(m))
	}
	drawn := map[string]bool{}
	for i, r := range t.Rows {
		row := formRow{N: i, Cells: r, Slips: map[string]string{}}
		f.Nested = f.Nested || cmp.Or(r["ring"], "1") != "1"
		if !r.blank() && !drawn[r["frame"]] {
			drawn[r["frame"]] = true
			row.Frame = c.drawTyped(w, t, i)
		}
		f.Rows = append(f.Rows, row)
	}
	return f
}

// drawTyped draws the frame of a row, with the rings that stand in other rows, or gives nothing where it makes no sense.
func (c *call) drawTyped(w *model.Workshop, t *typedJob, row int) *shownFrame {
	var rows []int
	for i, r := range t.Rows {
		if r["frame"] == t.Rows[row]["frame"] {
			rows = append(rows, i)
		}
	}
	alone := &typedJob{Job: map[string]string{"job": "typed", "due": c.s.Book.Now().Format(time.DateOnly)}, Rows: t.Rows}
	jobs, _, err := folder.JobsOf(folder.TypedTable, alone.table(rows...), w)
	if err != nil || len(jobs) != 1 || len(jobs[0].Frames) != 1 {
		return nil
	}
	f := c.shownFrame(w, jobs[0].Frames[0], row)
	return &f
}

// wrong puts each slip beside its field, and the others above the form.
func (f *jobForm) wrong(err error) {
	row := f.typed.lines()
	for _, e := range onPages(text.Leaves(err)) {
		said := e.What
		if e.Do != "" {
			said += ": " + e.Do
		}
		i, known := row[e.Where.Line]
		switch {
		case e.Where.File == folder.TypedTable && known && slices.Contains(frameColumns, e.Where.Column):
			f.Rows[i].Slips[e.Where.Column] = said
		case e.Where.File == folder.TypedTable && slices.Contains(jobColumns, e.Where.Column):
			f.Slips[e.Where.Column] = said
		default:
			one := *e
			one.Where = model.Place{}
			f.Wrong = append(f.Wrong, &one)
			continue
		}
	}
}

// SlipCount is how many slips stand beside fields.
func (f *jobForm) SlipCount() int {
	n := len(f.Slips)
	for _, r := range f.Rows {
		n += len(r.Slips)
	}
	return n
}

// shownFrame is a frame in words and as a picture.
type shownFrame struct {
	ID       string
	Quantity int
	Dropped  bool
	Picture  template.HTML
	Rings    []shownRing
	Moulding string // of all copies
	Price    string // of so much moulding, as the quotation has it; "" where a profile has no price
}

// shownRing is a ring's sizes.
type shownRing struct{ Profile, Content, Rebate, Sight, Outside, LongPoints string }

// shownFrame makes a frame ready to be shown; where it cannot be worked out it has no picture.
func (c *call) shownFrame(w *model.Workshop, f model.JobFrame, n int) shownFrame {
	out := shownFrame{ID: f.ID, Quantity: f.Quantity}
	rings, err := f.Geometry(w.ProfileByName)
	if err != nil {
		return out
	}
	out.Picture = c.framePicture(rings, fmt.Sprintf("frame-%d", n))
	net, err := quote.Net(w, model.Date{Time: c.s.Book.Now()}, f)
	if err != nil {
		return out
	}
	for _, r := range rings {
		size := func(o model.Opening, by model.Given) string {
			return sheet.WithUnit(sheet.Opening(o, by, c.unit), c.unit)
		}
		out.Rings = append(out.Rings, shownRing{r.Profile, size(r.Content, model.ByContent), size(r.Rebate, model.ByRebate), size(r.Sight, model.BySight),
			size(r.Outside, model.ByOutside), c.longPoints(r.Sides)})
	}
	if out.Moulding = net.Length.Near(c.unit); net.Cost != nil {
		out.Price = net.Cost.With(c.currency)
	}
	return out
}

// longPoints gives "A C 464 mm, B D 564 mm".
func (c *call) longPoints(sides []model.Side) string {
	var lengths []model.Length
	letters := map[model.Length][]string{}
	for _, s := range sides {
		if letters[s.LongPoint] == nil {
			lengths = append(lengths, s.LongPoint)
		}
		letters[s.LongPoint] = append(letters[s.LongPoint], s.Letter)
	}
	var parts []string
	for _, l := range lengths {
		names := strings.Join(letters[l], " ")
		if all := letters[l]; len(all) > 6 {
			names = all[0] + " to " + all[len(all)-1]
		}
		parts = append(parts, names+" "+l.InToCut(c.unit))
	}
	return strings.Join(parts, ", ")
}

// mostOf bounds the whole numbers of forms. Of sticks there are no more than somebody carries in on a day.
var mostOf = map[string]int{"sticks": 1000, "copies": model.MaxQuantity, "edges": 2, "edge": 2, "days": 10_000, "chops": 10_000_000,
	"line": math.MaxInt32, "plan": math.MaxInt32, "step": math.MaxInt32, "to": math.MaxInt32, "no": math.MaxInt32}

// count reads a whole number that may be left blank.
func (c *call) count(field string, blank int) (int, error) {
	typed := c.form(field)
	if typed == "" {
		return blank, nil
	}
	n, err := strconv.Atoi(typed)
	if err != nil || n < 0 || n > mostOf[field] {
		return 0, usage(fmt.Sprintf("%s is no number from 0 to %d for %s", model.Quote(typed), mostOf[field], field), "write a whole number")
	}
	return n, nil
}

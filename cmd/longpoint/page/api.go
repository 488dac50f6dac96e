package page

import (
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	"longpoint/model/plan"
	"longpoint/model/planner"
)

//go:embed openapi.json
var openAPI []byte

var apiRoutes = []route{
	{method: "GET", path: "/api/jobs", do: (*call).apiJobs},
	{method: "POST", path: "/api/jobs", do: (*call).apiTakeJobs, shop: true},
	{method: "POST", path: "/api/draw", do: (*call).apiDraw, shop: true},
	{method: "GET", path: "/api/rack", do: (*call).apiRack},
	{method: "GET", path: "/api/orders", do: (*call).apiOrders},
	{method: "GET", path: "/api/plans/{plan}", do: (*call).apiPlan},
	{method: "POST", path: "/api/planning", do: (*call).apiMakePlan},
	{method: "GET", path: "/api/diary", do: (*call).apiDiary},
	{method: "POST", path: "/api/undo", do: (*call).apiUndo},
	{method: "GET", path: "/api/yield", do: (*call).apiYield},
	{method: "GET", path: "/api/blades", do: (*call).apiBlades},
}

// apiError is an error as JSON gives it. Its kind and exit status are those of the command line.
type apiError struct {
	Kind   string `json:"kind"`
	Exit   int    `json:"exit_status"`
	What   string `json:"what"`
	Do     string `json:"do,omitempty"`
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column string `json:"column,omitempty"`
}

type apiErrorList struct {
	Errors []apiError `json:"errors"`
}

// kinds names the kinds of error; their numbers are the exit statuses.
var kinds = map[model.ErrorKind]struct {
	word string
	exit int
}{model.Fault: {"fault", 1}, model.BadUsage: {"usage", 2}, model.BadInput: {"input", 3}, model.CannotCut: {"cannot be cut", 4}, model.CheckFailed: {"check failed", 5}}

func apiErrors(leaves []*model.Error) apiErrorList {
	out := apiErrorList{Errors: []apiError{}}
	for _, e := range leaves {
		k := kinds[e.Kind]
		out.Errors = append(out.Errors, apiError{k.word, k.exit, e.What, e.Do, e.Where.File, e.Where.Line, e.Where.Column})
	}
	return out
}

// body reads JSON that was sent: one value, of known keys, and nothing behind it.
func (c *call) body(into any) error {
	kind, _, _ := strings.Cut(c.r.Header.Get("Content-Type"), ";")
	if strings.TrimSpace(kind) != "application/json" {
		return &answerError{http.StatusUnsupportedMediaType, usage("this is not sent as application/json", "send JSON, and say so in Content-Type")}
	}
	return readJSON(c.r.Body, into)
}

// readJSON decodes one value strictly.
func readJSON(from io.Reader, into any) error {
	d := json.NewDecoder(from)
	d.DisallowUnknownFields()
	err := d.Decode(into)
	if err == nil {
		if _, more := d.Token(); !errors.Is(more, io.EOF) {
			err = errors.New("there is something behind the value")
		}
	}
	var large *http.MaxBytesError
	if err == nil || errors.As(err, &large) {
		return bodyError(err)
	}
	return &answerError{http.StatusBadRequest, usage("the JSON cannot be read: "+model.Quote(err.Error()), "see /api/openapi.json for what is expected")}
}

// signature is who sends a change and why, and under which key.
type signature struct {
	Who string `json:"who"`
	Why string `json:"why"`
	Key string `json:"key"`
}

// by says who makes a step; a name that is sent counts before the one that the browser remembers.
func (g signature) by(c *call) (book.By, error) {
	who := cleanName(g.Who)
	if who == "" {
		who = c.who()
	}
	if !keyForm.MatchString(g.Key) {
		return book.By{}, usage("there is no key", "send 16 to 64 letters, figures and hyphens that nobody has used, and the same ones when you send this again")
	}
	return book.By{Who: who, Why: g.Why, Key: g.Key}, nil
}

func (c *call) openAPI() error {
	c.w.Header().Set("Content-Type", "application/json")
	c.w.Write(openAPI)
	return nil
}

// list answers with a list, which is never null.
func list[T any](c *call, all []T, err error) error {
	if err != nil {
		return err
	}
	c.json(http.StatusOK, append([]T{}, all...))
	return nil
}

func (c *call) apiJobs() error {
	all, err := c.s.Book.Jobs(c.ctx, c.query("all") != "")
	return list(c, all, err)
}

// apiTakeJobs takes in a table of jobs.
func (c *call) apiTakeJobs() error {
	var sent struct {
		signature
		Table string `json:"table"`
	}
	if err := c.body(&sent); err != nil {
		return err
	}
	by, err := sent.by(c)
	if err != nil {
		return err
	}
	jobs, _, err := folder.JobsOf("jobs.csv", []byte(sent.Table), c.workshop)
	if err != nil {
		return err
	}
	taken, err := c.s.Book.TakeIn(c.ctx, jobs, by)
	if err := unlessSent(err); err != nil {
		return err
	}
	c.json(http.StatusOK, map[string][]string{"taken": append([]string{}, taken...)})
	return nil
}

// unlessSent passes over the error of what was sent before.
func unlessSent(err error) error {
	if errors.Is(err, book.ErrSent) {
		return nil
	}
	return err
}

func (c *call) apiRack() error {
	all, err := c.s.Book.Rack(c.ctx)
	return list(c, all, err)
}

func (c *call) apiOrders() error {
	all, err := c.s.Book.Purchases(c.ctx, c.query("all") == "")
	return list(c, all, err)
}

func (c *call) apiDiary() error {
	all, err := c.s.Book.Steps(c.ctx, 100)
	return list(c, all, err)
}

func (c *call) apiBlades() error {
	all, err := c.s.Book.Blades(c.ctx)
	return list(c, all, err)
}

func (c *call) apiYield() error {
	by := c.query("by")
	if by == "" {
		by = string(book.ByProfile)
	}
	all, err := c.s.Book.Yields(c.ctx, book.YieldBy(by))
	return list(c, all, err)
}

// apiUndo takes back the last step, which is named.
func (c *call) apiUndo() error {
	var sent struct {
		signature
		Step int64 `json:"step"`
	}
	if err := c.body(&sent); err != nil {
		return err
	}
	by, err := sent.by(c)
	if err != nil {
		return err
	}
	if sent.Step < 1 {
		return usage("it is not said which step to take back", "send its number")
	}
	s, err := c.s.Book.Undo(c.ctx, sent.Step, by)
	if err := unlessSent(err); err != nil {
		return err
	}
	c.json(http.StatusOK, s)
	return nil
}

// apiPlan answers with a plan of the book.
func (c *call) apiPlan() error {
	d, _, err := c.s.Book.Plan(c.ctx, c.id)
	if err != nil {
		return err
	}
	return c.document(d)
}

func (c *call) document(d *plan.Document) error {
	var b strings.Builder
	if err := d.Encode(&b); err != nil {
		return err
	}
	c.w.Header().Set("Content-Type", "application/json")
	io.WriteString(c.w, b.String())
	return nil
}

// planWanted is what is asked of a plan.
type planWanted struct {
	Until   string `json:"until"`
	On      string `json:"on"`
	Here    bool   `json:"here"`
	Order   string `json:"order"`
	Seconds int    `json:"seconds"`
}

// mostSeconds is the longest search that is begun for somebody.
const mostSeconds = 120

// options are the planner's.
func (p planWanted) options(s *Server, now time.Time) (planner.Options, error) {
	if p.Seconds == 0 {
		p.Seconds = int(planner.DefaultTimeLimit.Seconds())
	}
	if p.Seconds < 1 || p.Seconds > mostSeconds {
		return planner.Options{}, usage(fmt.Sprintf("%d is no number of seconds from 1 to %d", p.Seconds, mostSeconds), "search for less long")
	}
	if p.On != "" {
		on, err := model.ParseDate(p.On)
		if err != nil {
			return planner.Options{}, err
		}
		now = on.Time
	}
	return s.options(p.Until, p.Here, p.Order, time.Duration(p.Seconds)*time.Second, now)
}

// apiMakePlan starts a plan of what the book says is left to cut.
func (c *call) apiMakePlan() error {
	var sent struct {
		signature
		planWanted
	}
	if err := c.body(&sent); err != nil {
		return err
	}
	by, err := sent.by(c)
	if err != nil {
		return err
	}
	o, err := sent.options(c.s, c.s.Book.Now())
	if err != nil {
		return err
	}
	if err := c.startPlan(o, by); err != nil {
		return err
	}
	c.json(http.StatusAccepted, c.s.lastTask().now())
	return nil
}

// fileName is what the files of a workshop that is sent may be called.
var fileName = regexp.MustCompile(`^[a-z]{1,20}\.(toml|csv|tsv)$`)

// mostWaiting is how many wait for their plan at a time; a load balancer is told at once to try another server.
const mostWaiting = 8

// apiPlanAlone plans a workshop that is sent, without a book and without keeping anything.
func (c *call) apiPlanAlone() error {
	var sent struct {
		planWanted
		Files map[string]string `json:"files"`
	}
	if err := c.body(&sent); err != nil {
		return err
	}
	for name := range sent.Files {
		if !fileName.MatchString(name) {
			return usage(model.Quote(name)+" is no file of a workshop", "send workshop.toml and its tables")
		}
	}
	dir, err := os.MkdirTemp("", "longpoint-plan-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	at := filepath.Join(dir, "workshop")
	if err := writeFiles(at, sent.Files); err != nil {
		return err
	}
	w, err := folder.Read(at)
	if err != nil {
		return without(err, dir)
	}
	o, err := sent.options(c.s, time.Now())
	if err != nil {
		return err
	}
	limit := o.TimeLimit
	http.NewResponseController(c.w).SetWriteDeadline(time.Now().Add(mostWaiting*limit + writeTime))
	select {
	case c.s.waiting <- struct{}{}:
		defer func() { <-c.s.waiting }()
	default:
		c.w.Header().Set("Retry-After", "5")
		return &answerError{http.StatusServiceUnavailable, usage("too many plans are waited for", "ask again later, or another server")}
	}
	c.s.making.planner.Lock()
	defer c.s.making.planner.Unlock()
	asked := c.r.Context()
	if asked.Err() != nil {
		return asked.Err() // nobody waits any more
	}
	ctx, cancel := context.WithTimeout(asked, limit)
	defer cancel()
	defer context.AfterFunc(c.s.stop, cancel)()
	d, err := planner.Make(ctx, w, o)
	if err != nil {
		return without(err, dir)
	}
	return c.document(d)
}

// drawn is what the job form gets back as one types: each row's frame, and each slip beside its field.
type drawn struct {
	Rows  []drawnRow        `json:"rows"`
	Slips map[string]string `json:"slips"`
}

type drawnRow struct {
	HTML  template.HTML     `json:"html"`
	Slips map[string]string `json:"slips"`
}

// apiDraw draws the frames of the job form, and names its slips. A field that is still blank is no slip.
func (c *call) apiDraw() error {
	typed := c.typedJob()
	f := c.jobForm(c.workshop, typed)
	if _, _, err := folder.JobsOf(folder.TypedTable, typed.table(), c.workshop); err != nil {
		f.wrong(err)
	}
	out := drawn{Slips: map[string]string{}}
	for field, slip := range f.Slips {
		if typed.Job[field] != "" {
			out.Slips[field] = slip
		}
	}
	t, err := c.template("jobform")
	if err != nil {
		return err
	}
	for _, r := range f.Rows {
		var b strings.Builder
		if r.Frame != nil {
			if err := t.ExecuteTemplate(&b, "shown", r.Frame); err != nil {
				return err
			}
		}
		row := drawnRow{HTML: template.HTML(b.String()), Slips: map[string]string{}}
		for field, slip := range r.Slips {
			if r.Cells[field] != "" {
				row.Slips[field] = slip
			}
		}
		out.Rows = append(out.Rows, row)
	}
	c.json(http.StatusOK, out)
	return nil
}

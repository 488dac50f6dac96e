package page

import (
	"bytes"
	"cmp"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"net/url"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/quote"
)

//go:embed templates
var templateFiles embed.FS

// pageTemplate is a page's own template within the layout.
type pageTemplate = template.Template

// call is one request and its answer.
type call struct {
	s   *Server
	w   http.ResponseWriter
	r   *http.Request
	ctx context.Context
	api bool // the answer is JSON
	// What run reads for a route before it is done.
	by       book.By         // who sends a form and why, and under which key
	id       int64           // of the order, run or plan that the address names
	workshop *model.Workshop // as it stands, where the route needs the shop
	// unit, currency and dates are the workshop's once shop has read them.
	unit     model.Unit
	currency model.Currency
	dates    model.DateOrder
}

func (s *Server) newCall(w http.ResponseWriter, r *http.Request) *call {
	return &call{s: s, w: w, r: r, ctx: r.Context(), unit: model.Millimetres, api: strings.HasPrefix(r.URL.Path, "/api/")}
}

// answer answers one request.
func (s *Server) answer(t route, w http.ResponseWriter, r *http.Request) {
	c := s.newCall(w, r)
	defer func() {
		if what := recover(); what != nil {
			if what == http.ErrAbortHandler {
				panic(what)
			}
			s.Log.Printf("a fault of ours: %v", model.Broken(what))
			c.fail(&model.Error{Kind: model.Fault, What: "a fault of ours", Do: "please report this, and what you did before it"})
		}
	}()
	if err := c.run(t); err != nil {
		c.fail(err)
	}
}

// run does what is asked for, where it may be done.
func (c *call) run(t route) error {
	if !t.open && !c.signedIn() || !t.open && !t.bookless && c.who() == "" {
		if c.api || c.r.Method != http.MethodGet {
			return &answerError{http.StatusUnauthorized, usage("nobody is signed in here", "go to the first page and sign in")}
		}
		c.redirect("/sign-in?next=" + url.QueryEscape(c.r.URL.RequestURI()))
		return nil
	}
	if !t.bookless && !c.s.sameFile() {
		return &answerError{http.StatusServiceUnavailable, &model.Error{Kind: model.BadInput,
			What: "the book's file was taken away or put in place of another while the server was running", Where: model.Place{File: c.s.Book.Path()},
			Do: "stop the server, see which file is the right one, and start it again; nothing was written"}}
	}
	if c.r.Method == http.MethodPost {
		most := int64(formBytes)
		if t.large {
			most = uploadBytes
			select {
			case c.s.uploads <- struct{}{}:
				defer func() { <-c.s.uploads }()
			case <-c.ctx.Done():
				return c.ctx.Err()
			}
		}
		c.r.Body = http.MaxBytesReader(c.w, c.r.Body, most)
		if err := c.readForm(); err != nil {
			return err
		}
		c.ctx = context.WithoutCancel(c.ctx) // what has come whole is done, whether or not its sender still waits for the answer
	}
	if err := c.prepare(t); err != nil {
		return err
	}
	return t.do(c)
}

// readForm reads the body of a form. What is no form is read by whoever wants it.
func (c *call) readForm() (err error) {
	const inMemory = 4 << 20
	kind, _, _ := strings.Cut(c.r.Header.Get("Content-Type"), ";")
	switch strings.TrimSpace(kind) {
	case "multipart/form-data":
		err = c.r.ParseMultipartForm(inMemory)
	case "application/x-www-form-urlencoded":
		err = c.r.ParseForm()
	}
	return bodyError(err)
}

// bodyError says what is wrong with a request's body.
func bodyError(err error) error {
	var large *http.MaxBytesError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &large):
		return &answerError{http.StatusRequestEntityTooLarge, usage("what was sent is too large", "send less at a time")}
	}
	return &answerError{http.StatusBadRequest, usage("what was sent cannot be read", "send it again from our page")}
}

// form gives a field of the form that was sent, trimmed.
func (c *call) form(name string) string { return strings.TrimSpace(c.r.PostForm.Get(name)) }

// query gives a parameter of the address, trimmed.
func (c *call) query(name string) string { return strings.TrimSpace(c.r.URL.Query().Get(name)) }

// keyForm is what keys look like.
var keyForm = regexp.MustCompile(`^[0-9A-Za-z-]{16,64}$`)

// prepare reads what a route needs: the key of a form, the shop, and the number of what its address names.
func (c *call) prepare(t route) (err error) {
	if t.method == http.MethodPost && !t.keyless && !c.api {
		c.by = book.By{Who: c.who(), Why: c.form("why"), Key: c.form("key")}
		if !keyForm.MatchString(c.by.Key) {
			return usage("the form has no key", "open the page again and send it from there")
		}
	}
	if t.shop {
		if c.workshop, err = c.shop(); err != nil {
			return err
		}
	}
	for _, what := range []string{"order", "run", "plan"} {
		if strings.Contains(t.path, "{"+what+"}") {
			c.id, err = c.number(what, what)
		}
	}
	return err
}

// number reads a number of the address, such as an order's.
func (c *call) number(name, what string) (int64, error) {
	n, err := strconv.ParseInt(c.r.PathValue(name), 10, 64)
	if err != nil || n < 1 {
		return 0, notFound("there is no "+what+" "+model.Quote(c.r.PathValue(name)), "go back and choose one")
	}
	return n, nil
}

// shop reads the workshop, and notes its units.
func (c *call) shop() (*model.Workshop, error) {
	w, err := c.s.Book.Workshop(c.ctx)
	if err != nil {
		return nil, err
	}
	c.setIn(w)
	return w, nil
}

// setIn notes what pages about a workshop are set in.
func (c *call) setIn(w *model.Workshop) {
	c.unit, c.currency, c.dates = w.Unit, w.Currency, w.Habits.Dates
}

// newKey gives a key that nobody has used.
func newKey() string {
	var b [16]byte
	rand.Read(b[:]) // never fails
	return hex.EncodeToString(b[:])
}

// layout is what a page's template is given.
type layout struct {
	Title, Who, Place, Said, Key, Version string
	Places                                []place
	Data                                  any
	Quit                                  bool // the program can be ended here
}

// place is an entry of the list of places.
type place struct{ Name, Path, Under string }

// places are the pages that every page leads to, by what their addresses begin with.
var places = []place{{"Jobs", "/", "/jobs"}, {"Plan", "/plan", "/plan"}, {"Orders", "/orders", "/orders"}, {"Bench", "/bench", "/bench"}, {"Rack", "/rack", "/rack"},
	{"Diary", "/diary", "/diary"}, {"Yield", "/yield", "/yield"}, {"Blades", "/blades", "/blades"}, {"Tables", "/tables", "/tables"},
	{"Settings", "/settings", "/settings"}, {"Help", "/help", "/help"}}

// at gives the place that an address is in.
func at(path string) string {
	for _, p := range places {
		if path == p.Path || path == p.Under || strings.HasPrefix(path, p.Under+"/") {
			return p.Path
		}
	}
	return ""
}

// show answers with a page.
func (c *call) show(name, title string, data any) error {
	return c.showAs(http.StatusOK, name, title, data)
}

func (c *call) showAs(status int, name, title string, data any) error {
	l := layout{Title: title, Who: c.who(), Place: at(c.r.URL.Path), Said: c.cookie(saidCookie), Key: newKey(), Version: c.s.version, Places: places, Data: data, Quit: c.s.Quit != nil && name != "stopped"}
	if c.s.Book == nil {
		l.Places = places[len(places)-1:]
	}
	if l.Said != "" {
		c.setCookie(saidCookie, "", 0)
	}
	t, err := c.template(name)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, "layout", l); err != nil {
		return err
	}
	c.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	c.w.WriteHeader(status)
	c.w.Write(b.Bytes())
	return nil
}

// redirect leads on to a page of ours.
func (c *call) redirect(path string) { http.Redirect(c.w, c.r, path, http.StatusSeeOther) }

// done says what was done, on the page that it leads to. What was sent before was done then.
func (c *call) done(err error, path, said string, args ...any) error {
	switch {
	case errors.Is(err, book.ErrSent):
		said, args = "This was sent before, and was done then.", nil
	case err != nil:
		return err
	}
	if len(args) > 0 {
		said = fmt.Sprintf(said, args...)
	}
	const most = 1500 // bytes: a cookie is kept up to 4,096 of them once it is escaped
	if len(said) > most {
		said = strings.ToValidUTF8(said[:most], "") + " …"
	}
	if said != "" {
		c.setCookie(saidCookie, said, time.Minute)
	}
	c.redirect(path)
	return nil
}

// answerError is an error with a status of its own.
type answerError struct {
	status int
	error
}

func (e *answerError) Unwrap() error { return e.error }

// usage is an error in what was asked for.
func usage(what, do string) *model.Error {
	return &model.Error{Kind: model.BadUsage, What: what, Do: do}
}

func notFound(what, do string) error { return &answerError{http.StatusNotFound, usage(what, do)} }

// statusOf is the one table from kinds of error to statuses of HTTP, beside that of exit statuses.
var statusOf = map[model.ErrorKind]int{
	model.Fault:       http.StatusInternalServerError,
	model.BadUsage:    http.StatusBadRequest,
	model.BadInput:    http.StatusUnprocessableEntity,
	model.CannotCut:   http.StatusConflict,
	model.CheckFailed: http.StatusConflict,
}

// status gives an error's status: its own, or the gravest of its kinds.
func status(err error) int {
	if own, ok := errors.AsType[*answerError](err); ok {
		return own.status
	}
	out := 0
	for _, e := range text.Leaves(err) {
		out = max(out, statusOf[e.Kind])
	}
	return out
}

// fail answers with an error.
func (c *call) fail(err error) {
	if errors.Is(err, context.Canceled) && c.r.Context().Err() != nil {
		return // nobody waits for the answer
	}
	at := status(err)
	leaves := c.leaves(err)
	for _, e := range leaves {
		if e.Kind == model.Fault {
			c.s.Log.Printf("%s %s: %v", c.r.Method, c.r.URL.Path, e)
		}
	}
	if c.api {
		c.json(at, apiErrors(leaves))
		return
	}
	if err := c.showAs(at, "error", "That did not work", leaves); err != nil {
		c.s.Log.Print(err)
		http.Error(c.w, "longpoint: a fault of ours", http.StatusInternalServerError)
	}
}

// leaves takes an error apart, in the words of the pages. Where the book's file lies is nobody's business on the shop's network.
func (c *call) leaves(err error) []*model.Error {
	all := onPages(text.Leaves(err))
	for i, e := range all {
		if c.s.Book == nil || !strings.HasPrefix(e.Where.File, c.s.Book.Path()) {
			continue
		}
		all[i].Where.File = strings.TrimPrefix(strings.TrimPrefix(e.Where.File, c.s.Book.Path()), ", ")
	}
	return all
}

// json answers with a value as JSON.
func (c *call) json(status int, v any) {
	data, err := json.Marshal(v)
	if err != nil {
		c.s.Log.Print(err)
		http.Error(c.w, `{"errors":[]}`, http.StatusInternalServerError)
		return
	}
	c.w.Header().Set("Content-Type", "application/json")
	c.w.WriteHeader(status)
	c.w.Write(append(data, '\n'))
}

// setIn is what a page's template is made for: its name, and the units that it writes.
type setIn struct {
	page     string
	unit     model.Unit
	currency model.Currency
	dates    model.DateOrder
}

// template gives a page's template for the workshop's units. It is made once for each of them: html/template works out how to escape
// when a template is first used.
func (c *call) template(page string) (*pageTemplate, error) {
	in := setIn{page, c.unit, c.currency, c.dates}
	if t, ok := c.s.ready.Load(in); ok {
		return t.(*pageTemplate), nil
	}
	t, err := c.s.pages[page].Clone()
	if err != nil {
		return nil, err
	}
	ready, _ := c.s.ready.LoadOrStore(in, t.Funcs(in.words()))
	return ready.(*pageTemplate), nil
}

// words are the functions that templates call, in the workshop's units.
func (in setIn) words() template.FuncMap {
	u, m := in.unit, in.currency
	return template.FuncMap{
		"near":    func(l model.Length) string { return l.Near(u) },
		"bare":    func(l model.Length) string { return sheet.Near(l, u) },
		"exact":   func(l model.Length) string { return l.Bare(u) },
		"tocut":   func(l model.Length) string { return l.InToCut(u) },
		"money":   func(a model.Money) string { return a.With(m) },
		"amount":  func(a model.Money) string { return a.In(m) },
		"code":    func() string { return m.Code },
		"unit":    func() string { return unitWord(u) },
		"date":    in.dates.Rewrite,
		"unspent": text.Unspent, "quotedfor": text.QuotedFor,
		"noworth": text.NoWorth,
		"adds":    func(q quote.Marginal) []string { return text.JobAdds(q, m) },
		"day":     func(at string) string { day, _ := text.LocalTime(at, in.dates); return day },
	}
}

// unitWord names a unit in a sentence: "in" alone would be read as another word.
func unitWord(u model.Unit) string {
	if u.IsInches() {
		return "inches"
	}
	return u.String()
}

// fixedWords are those that are alike for everybody.
var fixedWords = template.FuncMap{
	"count":   text.Count,
	"joinand": text.JoinAnd,
	"among":   func(name string, names []string) bool { return slices.Contains(names, name) },
	"escape":  url.PathEscape,
	"percent": func(ppm int64) string { return fmt.Sprintf("%d.%d %%", ppm/10_000, ppm/1_000%10) },
	"clock":   func(at string) string { _, clock := text.LocalTime(at, ""); return clock },
	"caution": func() string { return sheet.Caution },
	"laidin":  func() string { return sheet.LaidIn },
	"has":     func(s string, all []string) bool { return slices.Contains(all, s) },
	"add":     func(a, b int) int { return a + b },
	"cellOf":  cellOf,
	"papers":  func(of string) []paper { return papers[of] },
	"coded":   coded,
	"linked":  linked,
	"pair":    func(a, b any) []any { return []any{a, b} },
}

// noTime is no time of change, for what is made as it is asked for.
var noTime time.Time

// formCell is a field of a row of the job form.
type formCell struct{ Name, Class, Words string }

// cellOf takes a field's name and class apart.
func cellOf(text string) formCell {
	name, class, _ := strings.Cut(text, " ")
	words := map[string]string{"quantity": "how many", "across": "distance across flats", "allowance": "play", "sides": "number of sides", "ring": "number of ring"}[name]
	return formCell{name, class, cmp.Or(words, name)}
}

// readTemplates reads the pages, each within the layout, and gives a version of all that a browser keeps.
func readTemplates() (map[string]*pageTemplate, string, error) {
	whole := template.New("").Funcs(fixedWords).Funcs(setIn{}.words())
	whole, err := whole.ParseFS(templateFiles, "templates/layout.html", "templates/parts.html")
	if err != nil {
		return nil, "", err
	}
	all := map[string]*pageTemplate{}
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, "", err
	}
	for _, name := range names {
		one, err := whole.Clone()
		if err != nil {
			return nil, "", err
		}
		if one, err = one.ParseFS(templateFiles, name); err != nil {
			return nil, "", err
		}
		all[strings.TrimSuffix(path.Base(name), ".html")] = one
	}
	sum := sha256.New()
	err = fs.WalkDir(static, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := static.ReadFile(name)
		sum.Write(data)
		return err
	})
	return all, hex.EncodeToString(sum.Sum(nil))[:12], err
}

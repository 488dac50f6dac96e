package page

import (
	"context"
	"errors"
	"html/template"
	"net/http"
	"path/filepath"
	"slices"
	"strings"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

// Beginning is what a server without a book may do about that: it shows what Longpoint is and asks the first questions, and goes on with
// the book that comes of it. It is for this computer alone.
type Beginning struct {
	Path  string   // where the shop's own book will be
	Books []string // that are there already and can be opened, by their files' names
	// Make makes a book and opens it: the shop's own, or that of a demo of some kind.
	Make func(ctx context.Context, kind string, fill func(*book.Book) error) (*book.Book, error)
	// Open opens one of Books.
	Open func(ctx context.Context, name string) (*book.Book, error)
}

// beginRoutes are what a server without a book answers until it has one.
var beginRoutes = []route{
	{method: "GET", path: "/{$}", do: (*call).beginPage, bookless: true},
	{method: "POST", path: "/fill", do: (*call).fill, bookless: true, large: true},
	{method: "GET", path: "/start", do: (*call).questionsPage, bookless: true},
	{method: "POST", path: "/start", do: (*call).answerQuestions, bookless: true},
	{method: "POST", path: "/start/open", do: (*call).openBook, keyless: true, bookless: true},
}

// goOn serves a book from here on.
func (s *Server) goOn(b *book.Book) error {
	c := s.Config
	c.Book, c.Begin = b, nil
	next, err := s.with(c)
	if err != nil {
		return err
	}
	s.next.Store(next)
	return nil
}

// put fills the book with a workshop: the one that is served, or a new one of a kind.
func (c *call) put(kind string, w *model.Workshop, by book.By) error {
	if c.s.Begin == nil {
		return c.s.Book.Fill(c.ctx, w, by)
	}
	return c.beginWith(func() (*book.Book, error) {
		return c.s.Begin.Make(c.ctx, kind, func(b *book.Book) error { return b.Fill(c.ctx, w, by) })
	})
}

// beginWith goes on with the book that f gives. Who comes second finds it open.
func (c *call) beginWith(f func() (*book.Book, error)) error {
	c.s.begun.Lock()
	defer c.s.begun.Unlock()
	if c.s.next.Load() != nil {
		return book.ErrSent
	}
	b, err := f()
	if err != nil {
		return err
	}
	return c.s.goOn(b)
}

// beginPage shows what can be begun with: a demo, the questions, a workshop's files, or a book that is there.
func (c *call) beginPage() error { return c.fillPage(http.StatusOK, nil) }

// openBook goes on with a book that is there.
func (c *call) openBook() error {
	name := c.form("book")
	if !slices.Contains(c.s.Begin.Books, name) {
		return usage("there is no book "+model.Quote(name)+" here", "choose one of the list")
	}
	err := c.beginWith(func() (*book.Book, error) { return c.s.Begin.Open(c.ctx, name) })
	return c.done(err, "/", "")
}

// asked is a question as the page shows it.
type asked struct {
	text.Question
	N        int
	Pictures []template.HTML
	Fields   []askedField
}

// askedField is one of its fields, with what was typed.
type askedField struct {
	text.Answer
	ID, Typed, Slip string
}

// questionsPage asks the first questions.
func (c *call) questionsPage() error {
	if c.s.Book != nil {
		if _, err := c.shop(); err == nil {
			c.redirect("/")
			return nil
		} else if !isEmpty(err) {
			return err
		}
	}
	return c.askPage(http.StatusOK, map[string]string{}, nil)
}

// askPage shows the questions with what was typed, and what is wrong with it beside its field.
func (c *call) askPage(status int, typed map[string]string, err error) error {
	slips := map[string]string{}
	var found, wrong []*model.Error
	if err != nil {
		found = c.leaves(err)
	}
	for _, e := range found {
		if key := e.Where.Column; slices.Contains(folder.Answered, key) {
			slips[key] = e.What + "; " + strings.ReplaceAll(e.Do, "machine.type", "the answer to question 3")
		} else {
			wrong = append(wrong, e)
		}
	}
	var all []asked
	for n, q := range text.Questions {
		a := asked{Question: q, N: n + 1}
		for i, f := range sheet.AskedPictures(q.Name) {
			a.Pictures = append(a.Pictures, inline(f, q.Name+"-picture-"+string(rune('a'+i))))
		}
		for _, f := range q.Fields {
			a.Fields = append(a.Fields, askedField{f, strings.ReplaceAll(f.Key, ".", "-"), typed[f.Key], slips[f.Key]})
		}
		all = append(all, a)
	}
	return c.showAs(status, "questions", "Six questions about your shop",
		map[string]any{"Questions": all, "Wrong": wrong, "Slips": len(slips), "Share": folder.RackShareAtFirst})
}

// answerQuestions makes the book of the answers.
func (c *call) answerQuestions() error {
	typed := map[string]string{}
	for _, key := range folder.Answered {
		typed[key] = c.form(key)
	}
	w, err := folder.FromAnswers(typed)
	if err == nil {
		err = c.put("", w, c.by)
	}
	if err != nil && !errors.Is(err, book.ErrSent) {
		return c.askPage(status(err), typed, err)
	}
	return c.done(err, "/start/next", "The book is made.")
}

// nextPage says what comes after the questions.
func (c *call) nextPage() error {
	return c.show("begun", "What comes next", map[string]any{"W": c.workshop, "Path": c.ownPath(), "Share": folder.RackShareAtFirst, "Name": folder.NameAtFirst})
}

// ownPath gives the book's file to whoever sits at its computer.
func (c *call) ownPath() string {
	if c.s.Quit == nil || c.s.Book == nil {
		return ""
	}
	path, err := filepath.Abs(c.s.Book.Path())
	if err != nil {
		return c.s.Book.Path()
	}
	return path
}

// stopServer ends the program, for who has no window to end it in.
func (c *call) stopServer() error {
	err := c.show("stopped", "Longpoint has stopped", map[string]any{"Path": c.ownPath()})
	c.s.Quit()
	return err
}

package page

import (
	"context"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"longpoint/model/book"
)

// newBeginning serves nothing yet, in a folder of its own, where a demo lies already.
func newBeginning(t testing.TB) (s *site, dir string) {
	t.Helper()
	dir = t.TempDir()
	open := func(ctx context.Context, name string) (*book.Book, error) {
		b, err := book.Open(ctx, filepath.Join(dir, name))
		if err == nil {
			t.Cleanup(func() { b.Close() })
		}
		return b, err
	}
	b := &Beginning{Path: filepath.Join(dir, "shop.book"), Books: []string{"old.book"}, Open: open,
		Make: func(ctx context.Context, kind string, fill func(*book.Book) error) (*book.Book, error) {
			name := "shop.book"
			if kind != "" {
				name = "demo-" + kind + ".book"
			}
			if err := book.Create(ctx, filepath.Join(dir, name), fill); err != nil {
				return nil, err
			}
			return open(ctx, name)
		}}
	must(t, book.Create(t.Context(), filepath.Join(dir, "old.book"), nil))
	return newSite(t, Config{Begin: b, Who: "Ada", Quit: func() {}}), dir
}

// sixAnswers are right ones.
func sixAnswers() url.Values {
	return url.Values{"units": {"in"}, "currency": {"USD"}, "machine.type": {"saw"}, "machine.kerf": {"1/8"}, "machine.shave": {"0"},
		"defaults.allowance": {"1/8"}, "defaults.keep": {"12"}}
}

func TestBeginWithQuestions(t *testing.T) {
	s, dir := newBeginning(t)
	s.wants(s.get(200, "/"), "Yours will be "+filepath.Join(dir, "shop.book"), "old.book", "museum")
	s.get(404, "/jobs")
	page := s.get(200, "/start")
	s.wants(page, "1. In what do you measure?", "6. From what length on", "none stands here at first", "In the machine's manual"[7:])
	if strings.Contains(page, `role="alert"`) || strings.Contains(page, "a fault of ours") {
		t.Errorf("something is wrong before anything was answered: %s", plainText(page))
	}
	if n := strings.Count(page, "<svg "); n != 9 {
		t.Errorf("%d pictures", n)
	}
	for _, line := range strings.Split(page, "\n") {
		if strings.Contains(line, `name="machine.`) && (strings.Contains(line, "checked") || !strings.Contains(line, `type="radio"`) && !strings.Contains(line, `value=""`)) {
			t.Errorf("a figure of the machine is preset: %s", line)
		}
	}

	// What is wrong is said beside its field, and all that was typed stays.
	for _, row := range []struct{ key, typed, says string }{
		{"units", "", "this is missing; add it"},
		{"currency", "Dollars", "is not a currency; write its ISO 4217 code"},
		{"machine.type", "", "this is missing; add it"},
		{"machine.kerf", "an eighth", "is not a length"},
		{"machine.kerf", "0", "is not more than zero; give the length it really has"},
		{"machine.kerf", "", "this is missing; add it"},
		{"machine.overrun", "1/64", "a saw has no overrun; take it out, or change the answer to question 3"},
		{"machine.shave", "-1", "has a sign; write lengths without one"},
		{"defaults.keep", "", "this is missing; add it"},
		{"defaults.keep", "<b>", "is not a length"},
	} {
		form := sixAnswers()
		form.Set("key", key())
		form.Set(row.key, row.typed)
		form.Set("defaults.allowance", "3/16")
		again := s.send(422, "/start", form)
		s.wants(again, row.says, "cannot be taken as it is")
		if !strings.Contains(again, `value="3/16"`) || row.key != "machine.type" && !strings.Contains(again, `value="saw" checked`) {
			t.Errorf("%s %q: what was typed is gone", row.key, row.typed)
		}
		if strings.Contains(again, "<b>") {
			t.Error("what was typed is not escaped")
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "shop.book")); err == nil {
		t.Fatal("a book was made of wrong answers")
	}

	form := sixAnswers()
	form.Set("key", key())
	s.wants(s.send(200, "/start", form), "The book is made.", "What comes next", "profile,width,rebate", "50 %")
	s.wants(s.send(200, "/start", form), "This was sent before, and was done then.")
	form.Set("key", key())
	s.wants(s.send(400, "/start", form), "the book has a workshop in it already")
	s.wants(s.get(200, "/"), "There are no such jobs.")
	b, err := book.OpenToRead(t.Context(), filepath.Join(dir, "shop.book"))
	must(t, err)
	defer b.Close()
	w, err := b.Workshop(t.Context())
	must(t, err)
	if got := w.Machine.Kerf.In(w.Unit) + ", " + w.Defaults.Keep.Length.In(w.Unit) + ", " + w.Defaults.Allowance.In(w.Unit) + ", " + w.Machine.Type.String() + ", " + w.Currency.Code; got != `1/8", 12", 1/8", saw, USD` {
		t.Errorf("the book has %s", got)
	}
	if w.Printing.Paper != "Letter" {
		t.Errorf("a shop in inches prints on %q", w.Printing.Paper)
	}
	// A profile that does not say from what length on its offcuts are kept takes the shop's.
	s.wants(s.post(200, "/tables", "table", "profiles", "cells", "profile\twidth\trebate\noak\t1 1/2\t1/4\n", "do", "take", "why", "ours"), "Tables taken in")
	if w, err = b.Workshop(t.Context()); err != nil || len(w.Profiles) != 1 || w.Profiles[0].Keep != w.Defaults.Keep.Length {
		t.Errorf("profiles: %v %+v", err, w.Profiles)
	}
	s.wants(s.post(200, "/stop"), "Longpoint has stopped", filepath.Join(dir, "shop.book"))
}

func TestBeginWithDemo(t *testing.T) {
	s, dir := newBeginning(t)
	s.wants(s.post(400, "/fill", "from", "demo", "kind", "zoo"), `there is no demo "zoo"`)
	s.wants(s.post(200, "/fill", "from", "demo", "kind", "museum"), "The book is filled.", "M1", "Dutch room")
	if _, err := os.Stat(filepath.Join(dir, "demo-museum.book")); err != nil {
		t.Error(err)
	}
	s.get(404, "/start/open")
	s.wants(s.get(200, "/start"), "M1")
}

func TestBeginWithBookThatIsThere(t *testing.T) {
	s, _ := newBeginning(t)
	s.wants(s.post(400, "/start/open", "book", "../old.book"), "there is no book “../old.book” here")
	s.wants(s.post(200, "/start/open", "book", "old.book"), "Nothing is in this book yet.")
	form := sixAnswers()
	form.Set("key", key())
	s.wants(s.send(200, "/start", form), "The book is made.")
}

// TestBeginAtOnce sends the answers many times at once: one book comes of it.
func TestBeginAtOnce(t *testing.T) {
	s, dir := newBeginning(t)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			form := sixAnswers()
			form.Set("key", key())
			r, err := s.client.PostForm(s.url+"/start", form)
			if err != nil {
				t.Error(err)
				return
			}
			defer r.Body.Close()
			text, err := io.ReadAll(r.Body)
			if err != nil || r.StatusCode != 200 && r.StatusCode != 400 || strings.Contains(string(text), "something of this name") {
				t.Errorf("%v, status %d: %s", err, r.StatusCode, plainText(string(text)))
			}
		})
	}
	all.Wait()
	b, err := book.OpenToRead(t.Context(), filepath.Join(dir, "shop.book"))
	must(t, err)
	defer b.Close()
	if steps, err := b.Steps(t.Context(), 10); err != nil || len(steps) != 1 {
		t.Errorf("%d steps, %v", len(steps), err)
	}
}

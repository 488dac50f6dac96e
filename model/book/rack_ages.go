package book

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// Ages says how long things have been as they are.
type Ages struct {
	Sticks map[string]StickAge // of those on the rack, by their names
	Prices map[string]string   // the day on which a supplier's offers were last taken in or changed, by its name
	Copies []Copy              // of the book, in its folder, and the last that it made by itself
	Steps  int64               // that were made in the book
}

// StickAge is what is known of a stick on the rack.
type StickAge struct {
	Since    string // the day on which it was last put there, moved, measured or counted
	AsBought bool   // it has the very length that was ordered
	Measured bool   // or counted, since it came
}

// Copy is another file that has this book's beginning: a backup, or what was put aside.
type Copy struct {
	Path  string
	Until string // the day of its last step
	Steps int64  // that it has
}

// Ages looks at the book's history, and for copies at the folder that it is in.
func (b *Book) Ages(ctx context.Context) (a Ages, err error) {
	a = Ages{Sticks: map[string]StickAge{}, Prices: map[string]string{}}
	var began string
	err = b.read(ctx, func(t *transaction) error {
		if err := t.each(`SELECT name, at, as_bought,
			measured OR EXISTS (SELECT 1 FROM step AS q WHERE q.kind = 'count' AND q.at >= o.at AND instr(q.what, 'counted ' || o.profile || ':') > 0)
			FROM (SELECT s.name, s.profile, max(p.at) AS at, max(p.kind IN ('measure', 'count')) AS measured,
				coalesce(s.origin = 'bought' AND s.length_nm = (SELECT l.length_nm FROM purchase_line AS l JOIN delivery AS d ON d.purchase = l.purchase
					WHERE d.id = s.delivery AND l.number = s.line), 0) AS as_bought
				FROM stick AS s JOIN change AS c ON c.tab = 'stick' AND c.row = s.id JOIN step AS p ON p.id = c.step WHERE s.state = 'rack' GROUP BY s.id) AS o`, nil, func(scan func(...any) error) error {
			var name, at string
			var age StickAge
			err := scan(&name, &at, &age.AsBought, &age.Measured)
			age.Since = localDay(at)
			a.Sticks[name] = age
			return err
		}); err != nil {
			return err
		}
		if err := t.each(`SELECT o.supplier, max(p.at) FROM offer AS o JOIN change AS c ON c.tab = 'offer' AND c.row = o.id JOIN step AS p ON p.id = c.step
			GROUP BY o.supplier`, nil, func(scan func(...any) error) error {
			var supplier, at string
			err := scan(&supplier, &at)
			a.Prices[supplier] = localDay(at)
			return err
		}); err != nil {
			return err
		}
		_, err := t.one("SELECT at, (SELECT count(*) FROM step) FROM step ORDER BY id LIMIT 1", nil, &began, &a.Steps)
		return err
	})
	if err == nil && a.Steps > 0 {
		a.Copies, err = b.copies(ctx, began)
	}
	return a, err
}

// localDay gives the day of a step by this computer's clock.
func localDay(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.Local().Format(time.DateOnly)
}

// copies finds the files of the book's folder that are books with the same first step. One that cannot be read is none.
func (b *Book) copies(ctx context.Context, began string) (all []Copy, err error) {
	own, err := os.Stat(b.path)
	if err != nil {
		return nil, explain(b.path, err)
	}
	dir := filepath.Dir(b.path)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, explain(dir, err)
	}
	var files []string
	for _, e := range entries {
		files = append(files, filepath.Join(dir, e.Name()))
	}
	s, err := b.Backups(ctx)
	if err != nil {
		return nil, err
	}
	if s.File != "" && !slices.Contains(files, s.File) {
		files = append(files, s.File)
	}
	for _, path := range files {
		if info, err := os.Stat(path); err != nil || os.SameFile(own, info) || identify(path) != nil {
			continue
		}
		c, err := connect(path, frozen)
		if err != nil {
			continue
		}
		one, first, last := Copy{Path: path}, "", ""
		err = c.db.QueryRowContext(ctx, "SELECT min(at), max(at), count(*) FROM step").Scan(&first, &last, &one.Steps)
		c.db.Close()
		if err == nil && first == began {
			one.Until = localDay(last)
			all = append(all, one)
		}
	}
	return all, explain(b.path, ctx.Err())
}

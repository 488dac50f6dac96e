package book

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
)

// readers are all that is read of a book at work, each as JSON.
var readers = map[string]func(context.Context, *Book) (any, error){
	"workshop":  func(ctx context.Context, b *Book) (any, error) { return b.Workshop(ctx) },
	"jobs":      func(ctx context.Context, b *Book) (any, error) { return b.Jobs(ctx, true) },
	"job":       func(ctx context.Context, b *Book) (any, error) { return b.Job(ctx, "102") },
	"job life":  func(ctx context.Context, b *Book) (any, error) { return b.JobLife(ctx, "102") },
	"rack":      func(ctx context.Context, b *Book) (any, error) { return b.Rack(ctx) },
	"stick":     func(ctx context.Context, b *Book) (any, error) { return b.StickLife(ctx, "S1") },
	"steps":     func(ctx context.Context, b *Book) (any, error) { return b.Steps(ctx, 100) },
	"purchases": func(ctx context.Context, b *Book) (any, error) { return b.Purchases(ctx, false) },
	"blades":    func(ctx context.Context, b *Book) (any, error) { return b.Blades(ctx) },
	"runs":      func(ctx context.Context, b *Book) (any, error) { return b.OpenRuns(ctx) },
	"run":       func(ctx context.Context, b *Book) (any, error) { return b.Run(ctx, 1) },
	"document":  func(ctx context.Context, b *Book) (any, error) { return b.RunDocument(ctx) },
	"mixed":     func(ctx context.Context, b *Book) (any, error) { return b.MixedLots(ctx) },
	"cut from":  func(ctx context.Context, b *Book) (any, error) { return plain(b.CutFrom(ctx)) },
	"short":     func(ctx context.Context, b *Book) (any, error) { return b.ShortOrders(ctx) },
	"since":     func(ctx context.Context, b *Book) (any, error) { return b.Since(ctx, 1) },
	"rest": func(ctx context.Context, b *Book) (any, error) {
		w, done, err := b.Rest(ctx)
		return []any{w, done}, err
	},
	"plan": func(ctx context.Context, b *Book) (any, error) {
		d, _, err := b.Plan(ctx, 1)
		return d, err
	},
}

// plain gives a map by sides as one that JSON has.
func plain(from map[model.SideID][]string, err error) (any, error) {
	out := map[string][]string{}
	for id, sticks := range from {
		out[fmt.Sprint(id)] = sticks
	}
	return out, err
}

// TestTornTables takes the tables of a book away, one at a time. Whatever is read then is what it was before, or an error: never less.
func TestTornTables(t *testing.T) {
	b := runningShop(t)
	read := func(name string) (string, error) {
		b.lastPlan.Store(nil) // which it would not read again
		v, err := readers[name](t.Context(), b)
		if err != nil {
			return "", err
		}
		data, err := json.Marshal(v)
		must(t, err)
		return string(data), nil
	}
	whole := map[string]string{}
	for name := range readers {
		text, err := read(name)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		whole[name] = text
	}
	failed := 0
	var tables []string
	rows, err := b.db.QueryContext(t.Context(), "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
	must(t, err)
	for rows.Next() {
		var name string
		must(t, rows.Scan(&name))
		tables = append(tables, name)
	}
	must(t, rows.Err())
	other := openBook(t, b.path)
	exec := func(statement string) {
		_, err := other.db.ExecContext(t.Context(), statement)
		must(t, err)
	}
	for _, table := range tables {
		exec(fmt.Sprintf("PRAGMA legacy_alter_table = ON; ALTER TABLE %q RENAME TO torn", table))
		for name := range readers {
			text, err := read(name)
			if err != nil {
				failed++
			} else if d := cmp.Diff(whole[name], text); d != "" {
				t.Errorf("without %s, %s is something else, and nobody says so: %s", table, name, d)
			}
		}
		exec(fmt.Sprintf("ALTER TABLE torn RENAME TO %q", table))
	}
	if failed < 100 {
		t.Errorf("only %d answers failed of %d tables", failed, len(tables))
	}
}

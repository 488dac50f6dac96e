package book

import (
	"strings"
	"testing"
)

// fillOld fills a book of an older version with the small shop, as far as that version has columns for it.
func fillOld(t *testing.T, old *Book) {
	t.Helper()
	fresh := newShop(t)
	tables, err := tablesIn(t.Context(), old.db)
	must(t, err)
	_, err = old.write(t.Context(), "fill", tester, func(to *transaction) error {
		return fresh.read(t.Context(), func(from *transaction) error {
			for _, table := range tables {
				values := make([]any, len(table.columns))
				into := make([]any, len(table.columns))
				for i := range values {
					into[i] = &values[i]
				}
				if err := from.each("SELECT "+table.names()+" FROM "+table.name+" ORDER BY id", nil, func(scan func(...any) error) error {
					if err := scan(into...); err != nil {
						return err
					}
					var pairs []any
					for i, c := range table.columns {
						pairs = append(pairs, c.name, values[i])
					}
					_, err := to.insert(table.name, pairs...)
					return err
				}); err != nil {
					return err
				}
			}
			return nil
		})
	})
	must(t, err)
}

// TestMigrationNumbers: each migration's file has a number of its own, so that of two that were written side by side it is plain
// which comes first.
func TestMigrationNumbers(t *testing.T) {
	entries, err := migrationFiles.ReadDir("migrations")
	must(t, err)
	seen := map[string]string{}
	for _, e := range entries {
		number, _, _ := strings.Cut(e.Name(), "_")
		if other := seen[number]; other != "" || len(number) != 5 {
			t.Errorf("%s has not a number of its own: %s", e.Name(), other)
		}
		seen[number] = e.Name()
	}
}

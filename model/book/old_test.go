package book

import (
	"fmt"
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

// TestMigrationNumbers: a migration's file is named after the version that it makes, so that two of one number, written side by
// side, do not change places without a word.
func TestMigrationNumbers(t *testing.T) {
	entries, err := migrationFiles.ReadDir("migrations") // by name
	must(t, err)
	for i, e := range entries {
		if want := fmt.Sprintf("%05d_", i+1); !strings.HasPrefix(e.Name(), want) {
			t.Errorf("migration %d is in %s, whose name does not start with %s", i+1, e.Name(), want)
		}
	}
}

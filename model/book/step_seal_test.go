package book

import (
	"path/filepath"
	"strings"
	"testing"

	"longpoint/model"
)

// TestNewestSchema holds the digest that opening a book compares with.
func TestNewestSchema(t *testing.T) {
	made, err := madeSchema(t.Context())
	must(t, err)
	if got := schemaSum(made); got != newestSchema {
		t.Errorf("newestSchema is to be %q", got)
	}
}

// TestNotTrusted makes sure that a book is refused, with what to do, and not called sound, where a guard of it is gone or its history was changed.
func TestNotTrusted(t *testing.T) {
	b := usedShop(t)
	whole := filepath.Join(t.TempDir(), "whole.book")
	_, err := b.Backup(t.Context(), whole)
	must(t, err)
	for _, c := range []struct {
		name, do, finding string
		opens             bool // the cheap look at opening does not see it
	}{
		{"triggers dropped", "DROP TRIGGER log_job_insert; DROP TRIGGER log_frame_insert", "the trigger log_job_insert: it is not there", false},
		{"a foreign trigger", "CREATE TRIGGER helper AFTER INSERT ON step BEGIN DELETE FROM change; END", "the trigger helper: no program of ours", false},
		{"a view in place of a table", "ALTER TABLE press RENAME TO press_2; CREATE VIEW press AS SELECT * FROM press_2", "the view press: no program of ours", false},
		{"a step left open", "INSERT INTO open_step (id, step) SELECT 1, max(id) FROM step", "it was left open", false},
		{"a change taken out of the last step", "DELETE FROM change WHERE id = (SELECT max(id) FROM change)", "not as it was written", false},
		{"a step from the middle lost", "PRAGMA foreign_keys = OFF; DELETE FROM change WHERE step = 4; DELETE FROM seal WHERE step = 4; DELETE FROM step WHERE id = 4", "step 4: it is missing", true},
		{"the last step lost", "PRAGMA foreign_keys = OFF; DELETE FROM change WHERE step = (SELECT max(id) FROM step); DELETE FROM step WHERE id = (SELECT max(id) FROM step)", "", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "shop.book")
			must(t, copyFile(whole, path))
			d, err := connect(path, readWrite)
			must(t, err)
			_, err = d.db.Exec(c.do)
			must(t, err)
			must(t, d.db.Close())
			if o, err := Open(t.Context(), path); !c.opens {
				wantError(t, err, model.BadInput, "longpoint book check")
			} else {
				must(t, err)
				must(t, o.Close())
			}
			o, err := OpenToCheck(t.Context(), path)
			must(t, err)
			defer o.Close()
			found, err := o.Check(t.Context())
			must(t, err)
			for _, f := range found {
				if strings.Contains(f.String(), c.finding) {
					return
				}
			}
			t.Errorf("found %v", found)
		})
	}
}

// TestStateKeptUp makes sure that the sum that steps keep up is that of all rows, after every step and after each is taken back.
func TestStateKeptUp(t *testing.T) {
	b := usedShop(t)
	for {
		sound(t, b)
		_, err := b.Undo(t.Context(), 0, tester)
		if err != nil {
			wantError(t, err, model.BadUsage, "nothing to undo")
			return
		}
	}
}

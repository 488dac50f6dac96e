package book

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"strings"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/*.sql
var migrationFiles embed.FS

// migrations gives the texts of the schema's versions, the first first.
func migrations() []string {
	names, err := fs.Glob(migrationFiles, "migrations/*.sql") // in order
	if err != nil {
		panic(err) // the pattern is ours
	}
	var texts []string
	for _, name := range names {
		text, err := migrationFiles.ReadFile(name)
		if err != nil {
			panic(err) // the files are built into the program
		}
		texts = append(texts, string(text))
	}
	return texts
}

// migrate brings a database to the newest version. Each version is one transaction that changes the schema, writes the triggers
// anew, and marks the file. A new book, which nobody else has and nothing stands in, gets its triggers with the newest version alone: SQLite reads
// them all again at every change of the schema.
func migrate(ctx context.Context, db *sql.DB) error {
	var from int64
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&from); err != nil {
		return err
	}
	texts := migrations()
	var steps []*goose.Migration
	for i, text := range texts {
		number := int64(i + 1)
		steps = append(steps, goose.NewGoMigration(number, &goose.GoFunc{RunTx: func(ctx context.Context, tx *sql.Tx) error {
			var version int64
			if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
				return err
			}
			if version != number-1 { // within the write lock: some versions can be written twice without an error, and must not be
				return fmt.Errorf("the book has version %d already", version)
			}
			has, right, err := sealed(ctx, tx)
			if err != nil {
				return err
			}
			if _, err := tx.ExecContext(ctx, text); err != nil {
				return err
			}
			if from > 0 || number == int64(len(texts)) {
				if err := writeTriggers(ctx, tx); err != nil {
					return err
				}
			}
			if err := sealAfter(ctx, tx, has, right); err != nil {
				return err
			}
			_, err = tx.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, number))
			return err
		}}, nil))
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, nil, goose.WithGoMigrations(steps...),
		goose.WithDisableGlobalRegistry(true), goose.WithLogger(goose.NopLogger()), goose.WithTableName("version"))
	if err != nil {
		return err
	}
	_, err = p.Up(ctx)
	return err
}

// sealAfter seals what a migration has changed: all steps of a book that had no seals, else the last. Seals that were not right before
// stay so, for Check to find.
func sealAfter(ctx context.Context, tx *sql.Tx, had, right bool) error {
	t := &transaction{tx: tx, ctx: ctx}
	has, err := t.has("seal.link")
	switch {
	case err != nil || !has:
		return err
	case !had:
		return t.sealAll()
	case !right:
		return nil
	}
	state, err := t.state()
	if err != nil {
		return err
	}
	return t.sealAnew(state)
}

// writeTriggers gives every table of the book the triggers that write its changes down and refuse one outside a step.
func writeTriggers(ctx context.Context, tx *sql.Tx) error {
	tables, err := tablesIn(ctx, tx)
	if err != nil {
		return err
	}
	for _, t := range tables {
		for _, on := range []struct{ event, row, before string }{
			{"INSERT", "NEW.id", "NULL"}, {"UPDATE", "NEW.id", t.image("OLD.")}, {"DELETE", "OLD.id", t.image("OLD.")},
		} {
			name := "log_" + t.name + "_" + strings.ToLower(on.event)
			text := fmt.Sprintf(`DROP TRIGGER IF EXISTS %[1]s;
CREATE TRIGGER %[1]s AFTER %[2]s ON %[3]s BEGIN
  SELECT RAISE(ABORT, 'a change outside a step') WHERE NOT EXISTS (SELECT 1 FROM open_step);
  INSERT INTO change (step, tab, row, before) SELECT step, '%[3]s', %[4]s, %[5]s FROM open_step;
END`, name, on.event, t.name, on.row, on.before)
			if _, err := tx.ExecContext(ctx, text); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
		}
	}
	return nil
}

package book

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"longpoint/model"
)

// Backups says how a book is backed up by itself, and when it last was.
type Backups struct {
	Folder string `json:"folder"`
	Every  int    `json:"every"` // so many steps
	Keep   int    `json:"keep"`  // so many backups; the oldest go
	Step   int64  `json:"step"`  // that the last one has; 0: there is none yet
	At     string `json:"at"`    // UTC
	File   string `json:"file"`
}

// Backups gives how the book is backed up by itself; an Every of 0: it is not.
func (b *Book) Backups(ctx context.Context) (Backups, error) {
	return look(ctx, b, (*transaction).backups)
}

func (t *transaction) backups() (s Backups, err error) {
	_, err = t.one("SELECT folder, every, keep, step, at, file FROM backup", nil, &s.Folder, &s.Every, &s.Keep, &s.Step, &s.At, &s.File)
	return s, err
}

// SetBackups says how the book is to be backed up by itself from now on: after every so many steps, into a folder, which may be on another drive. An Every of 0 ends
// it.
func (b *Book) SetBackups(ctx context.Context, s Backups) error {
	if s.Every == 0 {
		_, err := b.db.ExecContext(ctx, "DELETE FROM backup")
		return explain(b.path, err)
	}
	folder, err := filepath.Abs(s.Folder)
	if err != nil {
		return explain(s.Folder, err)
	}
	if info, err := os.Stat(folder); err != nil {
		return explain(s.Folder, err)
	} else if !info.IsDir() {
		return usageError(s.Folder, "this is not a folder", "name the folder that backups are to be put in")
	}
	_, err = b.db.ExecContext(ctx, `INSERT INTO backup (id, folder, every, keep) VALUES (1, ?, ?, ?)
		ON CONFLICT (id) DO UPDATE SET folder = excluded.folder, every = excluded.every, keep = excluded.keep`, folder, s.Every, s.Keep)
	return explain(b.path, err)
}

// BackUp makes the backup that is due, and gives where it is; nothing where none is. One that is not sound is kept under its name and
// is an error.
func (b *Book) BackUp(ctx context.Context) (file string, err error) {
	var last int64
	s, err := look(ctx, b, func(t *transaction) (Backups, error) {
		if err := t.row("SELECT coalesce(max(id), 0) FROM step").Scan(&last); err != nil {
			return Backups{}, err
		}
		return t.backups()
	})
	if err != nil || s.Every == 0 || last < s.Step+int64(s.Every) {
		return "", err
	}
	beginning := filepath.Join(s.Folder, strings.TrimSuffix(filepath.Base(b.path), ".book")+"-step-")
	file = fmt.Sprintf("%s%d.book", beginning, last)
	found, err := b.Backup(ctx, file)
	if err != nil && !isThere(err) {
		return "", err
	}
	if len(found) > 0 {
		return "", &model.Error{Kind: model.CheckFailed, What: "the backup is not sound: " + found[0].String(), Where: model.Place{File: file}, Do: checkIt(b.path)}
	}
	if _, err := b.db.ExecContext(ctx, "UPDATE backup SET step = ?, at = ?, file = ?", last, b.Now().UTC().Format(time.RFC3339), file); err != nil {
		return "", explain(b.path, err)
	}
	return file, thin(beginning, s.Keep)
}

// thin takes the oldest of the backups away whose names have the same beginning, beyond so many.
func thin(beginning string, keep int) error {
	type backup struct {
		path string
		step int64
	}
	var all []backup
	files, err := filepath.Glob(filepath.Join(filepath.Dir(beginning), "*.book"))
	if err != nil {
		return explain(beginning, err)
	}
	for _, path := range files {
		number, ours := strings.CutPrefix(strings.TrimSuffix(path, ".book"), beginning)
		if step, err := strconv.ParseInt(number, 10, 64); ours && err == nil {
			all = append(all, backup{path, step})
		}
	}
	slices.SortFunc(all, func(a, b backup) int { return cmp.Compare(b.step, a.step) })
	for _, old := range all[min(keep, len(all)):] {
		if err := os.Remove(old.path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return explain(old.path, err)
		}
	}
	return nil
}

package folder

import (
	"bufio"
	"os"
	"path/filepath"
	"strings"

	"longpoint/model"
	"longpoint/model/table"
)

// Export writes a whole book to a new folder, or to a new workbook where the path ends in .xlsx: the workshop's tables, as Read and OpenIncoming
// read them, and what else the book has, below history/ or as sheets whose names begin so. w is nil where the book has no settings. What is
// written is there whole or, after an error, not at all. The same tables give the same bytes.
func Export(path string, w *model.Workshop, past []table.Written) error {
	if strings.EqualFold(filepath.Ext(path), ".xlsx") {
		return writeNew(path, func(young string) error { return exportWorkbook(young, w, past) })
	}
	return writeNew(path, func(young string) error { return exportFolder(young, w, past) })
}

func exportFolder(dir string, w *model.Workshop, past []table.Written) error {
	if err := os.MkdirAll(filepath.Join(dir, history), 0o755); err != nil {
		return err
	}
	if w != nil {
		text, err := SettingsText(w)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, settingsFile), []byte(text), 0o644); err != nil {
			return err
		}
		for _, t := range Tables(w) {
			if err := exportTable(filepath.Join(dir, t.Set.Name+".csv"), w.Habits, t); err != nil {
				return err
			}
		}
	}
	for _, t := range past {
		if err := exportTable(historyFile(dir, t.Set), model.Habits{Decimal: "."}, t); err != nil {
			return err
		}
	}
	return nil
}

func exportTable(path string, h model.Habits, t table.Written) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	b := bufio.NewWriter(f)
	if err := table.WriteCSV(b, h, t.Set, t.Rows); err != nil {
		return err
	}
	if err := b.Flush(); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return f.Close()
}

func exportWorkbook(path string, w *model.Workshop, past []table.Written) error {
	habits := model.Habits{}
	var all []table.Written
	if w != nil {
		habits = w.Habits
		all = append([]table.Written{SettingsTable(w)}, Tables(w)...)
	}
	book := table.NewWorkbook(habits)
	defer book.Close()
	for _, t := range all {
		book.Add(t.Set, t.Rows)
	}
	for _, t := range past {
		book.Add(inHistory(t.Set), t.Rows)
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := book.Write(f); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return f.Close()
}

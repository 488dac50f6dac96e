package record

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"time"
)

// Note says how rows of a table came to be: what a reader must know to repeat the measurement, and how far to trust it.
type Note struct {
	Command string `json:"command"` // as it was typed
	Commit  string `json:"commit"`  // of the checkout; empty: not known
	Changed bool   `json:"changed"` // the checkout had changes that were not committed
	Machine string `json:"machine"`
	Load    string `json:"load"` // how many processes wanted to run when it began; empty: not known
	Day     string `json:"day"`
}

// notesOf is the file beside a table that its notes are in, one a line.
func notesOf(table string) string { return table + ".notes" }

// takeNote adds a note about this process to those of the table. The folder that it works in is taken to lie in the checkout.
func takeNote(table string) error {
	n := Note{Command: "go run ./bench " + strings.Join(os.Args[1:], " "), Machine: machine(), Load: load(), Day: time.Now().Format(time.DateOnly)}
	git := func(args ...string) (string, bool) {
		out, err := exec.Command("git", args...).Output()
		return strings.TrimSpace(string(out)), err == nil
	}
	if commit, ok := git("rev-parse", "--short=12", "HEAD"); ok {
		n.Commit = commit
		changes, _ := git("status", "--porcelain", "--untracked-files=no")
		n.Changed = changes != ""
	}
	data, err := json.Marshal(n)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(notesOf(table), os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(append(data, '\n'))
	return errors.Join(err, f.Close())
}

// Notes gives the notes of a table, the first first; none where none were taken.
func Notes(table string) (notes []Note, err error) {
	data, err := os.ReadFile(notesOf(table))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	for line := range bytes.Lines(data) {
		var n Note
		if err := json.Unmarshal(line, &n); err != nil {
			return nil, fmt.Errorf("%s: %w; take it away together with its table, and measure anew", notesOf(table), err)
		}
		notes = append(notes, n)
	}
	return notes, nil
}

// String says it in one sentence.
func (n Note) String() string {
	commit := "commit not known"
	if n.Commit != "" {
		commit = "commit " + n.Commit
	}
	if n.Changed {
		commit += " with changes"
	}
	load := ""
	if n.Load != "" {
		load = ", load " + n.Load + " when it began"
	}
	return fmt.Sprintf("`%s` on %s, %s, %s%s.", n.Command, n.Day, commit, n.Machine, load)
}

// machine gives the processor, how many of its cores there are, and the system.
func machine() string {
	name := runtime.GOARCH
	if f, err := os.Open("/proc/cpuinfo"); err == nil {
		defer f.Close()
		for lines := bufio.NewScanner(f); lines.Scan(); {
			if key, value, ok := strings.Cut(lines.Text(), ":"); ok && strings.TrimSpace(key) == "model name" {
				name = strings.TrimSpace(value)
				break
			}
		}
	}
	return fmt.Sprintf("%d cores of %s, %s, %s", runtime.NumCPU(), name, runtime.GOOS, runtime.Version())
}

// load gives the system's load of the last minute.
func load() string {
	data, err := os.ReadFile("/proc/loadavg")
	if err != nil {
		return ""
	}
	first, _, _ := strings.Cut(string(data), " ")
	return first
}

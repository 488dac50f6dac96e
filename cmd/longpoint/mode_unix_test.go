//go:build unix

package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
)

// TestStageMode makes sure that a file is no more open than the user wants files to be, and that one that is replaced stays as closed as it was.
func TestStageMode(t *testing.T) {
	dir := t.TempDir()
	before := syscall.Umask(0o077)
	defer syscall.Umask(before)
	name := filepath.Join(dir, "plan.json")
	keep := func() {
		t.Helper()
		s, err := stage(name, []byte("text"))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.keep(); err != nil {
			t.Fatal(err)
		}
	}
	mode := func() os.FileMode {
		info, err := os.Stat(name)
		if err != nil {
			t.Fatal(err)
		}
		return info.Mode().Perm()
	}
	if keep(); mode() != 0o600 {
		t.Errorf("a new file under umask 077 is %o", mode())
	}
	syscall.Umask(0o022)
	if keep(); mode() != 0o600 {
		t.Errorf("a file that was 600 is %o", mode())
	}
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	if keep(); mode() != 0o644 {
		t.Errorf("a new file under umask 022 is %o", mode())
	}
	syscall.Umask(0o077)
	sheets := filepath.Join(dir, "sheets")
	if err := writeFolder(sheets, []sheet.File{{Name: "a.pdf", Data: []byte("a")}}); err != nil {
		t.Fatal(err)
	}
	for at, want := range map[string]os.FileMode{sheets: 0o700, filepath.Join(sheets, "a.pdf"): 0o600} {
		if info, err := os.Stat(at); err != nil || info.Mode().Perm() != want {
			t.Errorf("%s: %v, %v, want %o", at, info.Mode(), err, want)
		}
	}
}

// TestStageFull writes more than may be written: a sentence, and nothing is left.
func TestStageFull(t *testing.T) {
	dir := t.TempDir()
	var before syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &before); err != nil {
		t.Fatal(err)
	}
	const room = 64 << 20 // what the testing package writes beside us must go on
	small := before
	small.Cur = room
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &small); err != nil {
		t.Fatal(err)
	}
	_, err := stage(filepath.Join(dir, "plan.json"), make([]byte, room+1))
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &before); err != nil {
		t.Fatal(err)
	}
	if e, ok := errors.AsType[*model.Error](err); !ok || e.Kind != model.BadUsage || !strings.Contains(e.What, "file too large") {
		t.Errorf("the error is %v", err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("left: %v, %v", left, err)
	}
}

// TestPassFileMode makes sure that the hash of the pass phrase is for its owner alone, however open new files are.
func TestPassFileMode(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0))
	name := filepath.Join(t.TempDir(), "shop.book.pass")
	p := &program{stdin: strings.NewReader("seven oak sticks\n"), stdout: new(strings.Builder), stderr: new(strings.Builder)}
	if _, err := p.passPhrase(&serving{passFile: name}); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(name); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("it is %v, %v", info.Mode(), err)
	}

	// A new one takes its place whole: whoever still holds the old file holds what it was.
	before, held := read(t, name), filepath.Join(filepath.Dir(name), "held")
	if err := os.Link(name, held); err != nil {
		t.Fatal(err)
	}
	p.stdin = strings.NewReader("eight oak sticks\n")
	if _, err := p.passPhrase(&serving{passFile: name, newPass: true}); err != nil {
		t.Fatal(err)
	}
	if read(t, held) != before || read(t, name) == before {
		t.Errorf("the old file is written over: %s, now %s", before, read(t, name))
	}
}

// TestModesOfWhatIsWritten holds what the manual says of who can read it: with umask 077 no command writes a file or a folder into which others can look, and
// where new files are open to all, no copy of a book that is closed is.
func TestModesOfWhatIsWritten(t *testing.T) {
	shop := shopUnderWay(t)
	for _, w := range writers {
		switch w.command {
		case "longpoint book backup", "longpoint book backups", "longpoint book export", "longpoint book new", "longpoint book restore", "longpoint demo", "longpoint sheets", "longpoint plan":
		default:
			continue
		}
		for _, mask := range []string{"077", "000"} {
			t.Run(w.typed+" "+mask, func(t *testing.T) {
				dir := t.TempDir()
				if err := errors.Join(os.CopyFS(dir, os.DirFS(shop)), os.Chmod(filepath.Join(dir, "shop.book"), 0o600)); err != nil {
					t.Fatal(err)
				}
				before := files(t, dir)
				line := "umask " + mask + "; longpoint " + w.typed
				if w.before != "" {
					line = "umask " + mask + "; longpoint " + w.before + "; longpoint " + w.typed
				}
				least := 2
				if strings.HasSuffix(w.command, "restore") {
					least = 3
				} else if strings.HasSuffix(w.command, "backups") {
					least = 3
					line += " --every 1 && longpoint undo --yes"
				}
				mustType(t, dir, line)
				written := 0
				err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
					name, _ := filepath.Rel(dir, path)
					_, was := before[name]
					if err != nil || was && name != "shop.book" || name == "." || name == "shop" {
						return err
					}
					written++
					info, err := d.Info()
					book := filepath.Ext(name) == ".book" && w.command != "longpoint book new"
					if err == nil && info.Mode().Perm()&0o077 != 0 && (mask == "077" || book) {
						t.Errorf("%s is %o", name, info.Mode().Perm())
					}
					return err
				})
				if err != nil || written < least && !strings.HasSuffix(w.typed, "--json") {
					t.Errorf("%d files are written, %v", written, err)
				}
			})
		}
	}
}

func read(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

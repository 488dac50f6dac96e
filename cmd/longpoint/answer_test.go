package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// writers are the commands that write, each typed where it has something to do. before is typed first, with an answer that is read.
var writers = []struct{ command, before, typed string }{
	{"longpoint blades", "", `blades --add "set B" --height 30`},
	{"longpoint book backup", "", `book backup copy.book`},
	{"longpoint book backups", `help && mkdir copies`, `book backups --to copies --every 5`},
	{"longpoint book export", "", `book export tables`},
	{"longpoint book export", "", `book export tables.xlsx --xlsx`},
	{"longpoint book import", `book export tables && sed -i s/choir/chorus/ tables/jobs.csv`, `book import tables/jobs.csv`},
	{"longpoint book new", "", `book new other.book --from shop`},
	{"longpoint book restore", `book backup copy.book`, `book restore copy.book`},
	{"longpoint cut", "", `cut oak-40`},
	{"longpoint demo", "", `demo other`},
	{"longpoint finish", `cut oak-40`, `finish`},
	{"longpoint jobs", "", `jobs --dropped 102`},
	{"longpoint jobs change", "", `jobs change 102 --due 2027-05-01 --why so`},
	{"longpoint jobs drop", "", `jobs drop 102 --why so`},
	{"longpoint jobs open", `jobs drop 102 --why so`, `jobs open 102 --why so`},
	{"longpoint jobs split", "", `jobs split 103 certificate 103b --copies 1 --why so`},
	{"longpoint order", `take more.csv && longpoint plan`, `order`},
	{"longpoint order add", "", `order add "Invented Timber" oak-40 2400`},
	{"longpoint order change", `order add "Invented Timber" oak-40 2400`, `order change 2 1 --sticks 3`},
	{"longpoint order send", `order add "Invented Timber" oak-40 2400`, `order send`},
	{"longpoint plan", "", `plan --out plan.json`},
	{"longpoint plan", "", `plan --json`},
	{"longpoint plan", "", `plan shop --out plan.json`},
	{"longpoint prices", "", `prices list.csv --supplier "Invented Timber" --article article --price price --length length --is A=oak-40 --part --yes`},
	{"longpoint rack", `rack add oak-40 900 --name R9 --why so`, `rack --discard R9`},
	{"longpoint rack add", "", `rack add oak-40 900 --why so`},
	{"longpoint rack back", `rack add oak-40 900 --name R9 --why so && longpoint rack discard R9 --why so`, `rack back R9 --why so`},
	{"longpoint rack count", "", `rack count black-22 --found 700 --why so`},
	{"longpoint rack discard", `rack add oak-40 900 --name R9 --why so`, `rack discard R9 --why so`},
	{"longpoint rack measure", `rack add oak-40 900 --name R9 --why so`, `rack measure R9 890 --why so`},
	{"longpoint rack move", `rack add oak-40 900 --name R9 --why so`, `rack move attic R9 --why so`},
	{"longpoint receive", "", `receive 1 --line 3 --sticks 1`},
	{"longpoint run", `receive 1`, `run black-22`},
	{"longpoint settings", "", `settings --set name=other`},
	{"longpoint sheets", "", `sheets --out sheets`},
	{"longpoint start", `help && printf 'mm\nEUR\nsaw\n2.8\n1\n3\n300\n' >answers`, `start own.book --here <answers`},
	{"longpoint take", "", `take more.csv`},
	{"longpoint undo", "", `undo --yes`},
}

// readers are the commands that write nothing by themselves.
var readers = []string{"longpoint", "longpoint book", "longpoint book check", "longpoint book repair", "longpoint buy", "longpoint check", "longpoint examine", "longpoint group", "longpoint help",
	"longpoint history", "longpoint jobs show", "longpoint quote", "longpoint serve", "longpoint size", "longpoint yield"}

// TestEveryCommandAnswers demands of every command to be among those below.
func TestEveryCommandAnswers(t *testing.T) {
	known := slices.Clone(readers)
	for _, w := range writers {
		known = append(known, w.command)
	}
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		if !slices.Contains(known, c.CommandPath()) && c.Name() != "completion" && !c.Hidden {
			t.Errorf("%s neither writes nor reads", c.CommandPath())
		}
		if c.Name() != "completion" {
			for _, below := range c.Commands() {
				walk(below)
			}
		}
	}
	walk((&program{}).root())
}

// TestAnswerLost types every command that writes where standard output is closed, and where it is full. What is closed is seen before
// anything is done. What is full is seen too late: then either everything is done and the error says so, or nothing is.
func TestAnswerLost(t *testing.T) {
	t.Parallel()
	shop := shopUnderWay(t)
	for _, w := range writers {
		for _, out := range []string{"closed", "full"} {
			t.Run(w.typed+" "+out, func(t *testing.T) {
				dir := t.TempDir()
				if err := os.CopyFS(dir, os.DirFS(shop)); err != nil {
					t.Fatal(err)
				}
				if w.before != "" {
					mustType(t, dir, "longpoint "+w.before)
				}
				before := files(t, dir)
				where := map[string]string{"closed": " >&-", "full": " >/dev/full"}[out]
				cmd := inShop(dir, "longpoint "+w.typed+where)
				var stderr strings.Builder
				cmd.Stderr = &stderr
				err := cmd.Run()
				if exit, ok := errors.AsType[*exec.ExitError](err); !ok || exit.ExitCode() != statusFault {
					t.Errorf("it ends with %v", err)
				}
				after := files(t, dir)
				changed, said := !maps.Equal(before, after), stderr.String()
				switch {
				case out == "closed" && (changed || !strings.Contains(said, "standard output is closed, so nothing was done")):
					t.Errorf("changed: %v; it says %s", changed, said)
				case changed != strings.Contains(said, "this is done ("):
					t.Errorf("changed: %v; it says %s", changed, said)
				case out == "full" && changed == strings.HasPrefix(w.typed, "plan shop"): // which shows the page before its file gets its name
					t.Errorf("changed: %v; it says %s", changed, said)
				case !changed && !strings.Contains(said, "nothing was done"):
					t.Errorf("unchanged; it says %s", said)
				}
				for name := range after {
					if strings.HasPrefix(filepath.Base(name), ".") {
						t.Errorf("it leaves %s", name)
					}
				}
				if strings.HasSuffix(w.typed, "plan.json") && after["plan.json"] != "" {
					t.Error("it leaves a plan whose page could not be shown")
				}
			})
		}
	}
}

// TestAnswerOfReaders types commands that write nothing, and those that cobra answers by itself.
func TestAnswerOfReaders(t *testing.T) {
	t.Parallel()
	dir := shopUnderWay(t)
	for _, typed := range []string{"--version", "--help", "plan --help", "help", "help week", "completion bash", "history", "jobs show 101", "yield", "size --sight 300x400 --width 30 --rebate-width 6"} {
		for _, where := range []string{" >&-", " >/dev/full"} {
			before := files(t, dir)
			said, err := inShop(dir, "longpoint "+typed+where).CombinedOutput()
			if exit, ok := errors.AsType[*exec.ExitError](err); !ok || exit.ExitCode() != statusFault || !strings.Contains(string(said), "nothing was done") {
				t.Errorf("%s%s ends with %v and says %s", typed, where, err, said)
			}
			if !maps.Equal(before, files(t, dir)) {
				t.Errorf("%s%s changes files", typed, where)
			}
		}
	}
}

// shopUnderWay makes a folder with a workshop, and a book in which an order is half received and a run is open.
func shopUnderWay(t *testing.T) string {
	dir := t.TempDir()
	for name, text := range map[string]string{"more.csv": "job,due,frame,profile,width,height\n999,2027-04-30,print,oak-40,1000,800\n", "list.csv": "article,length,price\nA,2400,19.00\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	mustType(t, dir, `longpoint demo shop --kind small && longpoint book new shop.book --from shop && longpoint plan &&
		longpoint order && longpoint receive 1 --line 1 && longpoint receive 1 --line 2 && longpoint run oak-40`)
	return dir
}

// inShop is a command line to be typed in a shop's folder.
func inShop(dir, line string) *exec.Cmd {
	cmd := exec.Command("sh", "-c", line)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "LONGPOINT_WHO=Ada", bookVariable+"=shop.book")
	return cmd
}

// mustType types a command line in a shop's folder, which must be done.
func mustType(t *testing.T, dir, line string) {
	t.Helper()
	if said, err := inShop(dir, line).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", line, err, said)
	}
}

// goesWell types a command in this process that goes well, and gives the answer.
func goesWell(t *testing.T, args ...string) string {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if status := run(args, strings.NewReader(""), &stdout, &stderr); status != statusDone {
		t.Fatalf("longpoint %s: status %d\n%s%s", strings.Join(args, " "), status, stdout.String(), stderr.String())
	}
	return stdout.String()
}

// files gives what is in each file of a folder, but for those that SQLite keeps beside a book while it is read.
func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, "-shm") || strings.HasSuffix(path, "-wal") {
			return err
		}
		data, err := os.ReadFile(path)
		sum := sha256.Sum256(data)
		name, _ := filepath.Rel(dir, path)
		all[name] = string(sum[:])
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

//go:build linux

package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/metrics"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"

	"longpoint/model/plan"
)

var (
	mutated     = flag.Int("mutated", 150, "how many mutated inputs TestMutated gives the program")
	mutatedSeed = flag.Uint64("mutated-seed", 1, "the seed of TestMutated")
	mutatedFrom = flag.Int("mutated-from", 0, "the first of them, as to see one again")
)

const (
	mostTime   = 10 * time.Second // of the processor, for one input
	mostMemory = 1 << 30          // bytes
	mostSaid   = 64 << 10         // bytes of refusals
)

// attacks are the inputs of the program and what is typed to have one read.
var attacks = []struct{ file, typed string }{
	{"shop/workshop.toml", "examine shop"},
	{"shop/workshop.toml", "book import shop.book shop/workshop.toml"},
	{"shop/profiles.csv", "examine shop"},
	{"shop/offers.csv", "plan shop --time-limit 1s --summary --out made.json"},
	{"shop/rack.csv", "plan shop --time-limit 1s --out made.json"},
	{"shop/jobs.csv", "plan shop --time-limit 1s --json"},
	{"shop/jobs.csv", "quote shop --time-limit 1s"},
	{"shop/jobs.csv", "book new made.book --from shop"},
	{"shop/suppliers.csv", "buy shop --time-limit 1s"},
	{"jobs.tsv", "take shop.book jobs.tsv"},
	{"jobs.xlsx", "take shop.book jobs.xlsx"},
	{"more.csv", "take shop.book more.csv"},
	{"shop/rack.csv", "book import shop.book shop/rack.csv"},
	{"shop/offers.csv", "book import shop.book shop/offers.csv --dry-run"},
	{"all.xlsx", "examine all.xlsx"},
	{"all.xlsx", "book import shop.book all.xlsx"},
	{"list.csv", "prices shop.book list.csv --supplier Store --article Nr --price EUR --by m --length Long --unit m --is 4711=oak-40 --yes --time-limit 1s"},
	{"plan.json", "check shop plan.json"},
	{"plan.json", "check shop plan.json --json"},
	{"plan.json", "plan shop --last plan.json --after cut.csv --time-limit 1s --out made.json"},
	{"cut.csv", "plan shop --last plan.json --after cut.csv --time-limit 1s --out made.json"},
	{"cuts.json", "check --cuts cuts.json"},
}

// abused makes a folder with all that is attacked, each of them good, and gives what is in each file.
func abused(t *testing.T) (dir string, good map[string][]byte) {
	t.Helper()
	dir = t.TempDir()
	for name, text := range map[string]string{
		"more.csv": "job,due,frame,profile,width,height,note\n999,2027-04-30,print,oak-40,1000,800,\"with a \"\"note\"\"\"\n998,,print,black-22,16 1/2 in,20 in,\n",
		"list.csv": "List of Store;;\nNr;Long;EUR\n4711;2,40;9,10\n4711;3,00;8,95\n12;3,00;on request\n",
		"jobs.tsv": "job\tdue\tframe\tprofile\tquantity\tsides\twidth\theight\n997\t2027-04-30\ta\toak-40\t2\t6\t300\t\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	mustType(t, dir, `longpoint demo shop --kind small && longpoint book new shop.book --from shop && longpoint book export all.xlsx --xlsx &&
		longpoint plan shop --out plan.json && longpoint help`)
	data, err := os.ReadFile(filepath.Join(dir, "plan.json"))
	if err != nil {
		t.Fatal(err)
	}
	d, err := plan.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	first := d.Profiles[0]
	cut := fmt.Sprintf("profile,stick,side,became,length,from,to\n%s,%s,1,done,,,\n%s,%s,2,torn,,,\n", first.Name, first.Sticks[0].ID, first.Name, first.Sticks[0].ID)
	workbook, err := os.ReadFile("../../testdata/spreadsheets/de-DE/jobs.xlsx")
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"cuts.json": first.Cuts, "cut.csv": []byte(cut), "jobs.xlsx": workbook} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	good = map[string][]byte{}
	for _, a := range attacks {
		if good[a.file], err = os.ReadFile(filepath.Join(dir, a.file)); err != nil {
			t.Fatal(err)
		}
	}
	return dir, good
}

// TestMutated gives the program inputs that are changed at random, most of them in this process and some by the program itself. Each is taken, or
// refused by name with a status of 2 to 5: never a fault of ours, never more than so much time and memory, and nothing half-written.
func TestMutated(t *testing.T) {
	var last int
	defer func() { t.Logf("the last was %d of seed %d", last, *mutatedSeed) }()
	t.Setenv("LONGPOINT_WHO", "Ada")
	dir, good := abused(t)
	before := files(t, dir)
	inputs := slices.Sorted(maps.Keys(good))
	book, err := os.ReadFile(filepath.Join(dir, "shop.book"))
	if err != nil {
		t.Fatal(err)
	}
	ends := map[int]int{}
	for n := *mutatedFrom; n < *mutatedFrom+*mutated; n++ {
		last = n
		r := rand.New(rand.NewPCG(*mutatedSeed, uint64(n)))
		a := attacks[r.IntN(len(attacks))]
		input := mutation(r, good[a.file], good[inputs[r.IntN(len(inputs))]])
		at := filepath.Join(dir, a.file)
		if err := os.WriteFile(at, input, 0o666); err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		got := inProcess
		if n%25 == 0 {
			got = byItself
		}
		end := got(t, dir, a.typed)
		ends[end.status]++
		for _, fault := range append(end.faults(), left(t, dir, before, a.file, end.status)...) {
			t.Errorf("%d, %s: %s (%.1f s)", n, a.typed, fault, time.Since(began).Seconds())
		}
		if err := errors.Join(os.WriteFile(at, good[a.file], 0o666), os.WriteFile(filepath.Join(dir, "shop.book"), book, 0o666)); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d inputs, by status: %v", *mutated, ends)
	if *mutated >= 100 && (ends[statusDone] == 0 || ends[statusInput] < *mutated/4) {
		t.Errorf("so few were taken or refused that the inputs are no good ones: %v", ends)
	}
}

// left says what a command has left that it should not have, and takes it away. A command that is refused changes nothing.
func left(t *testing.T, dir string, before map[string]string, input string, status int) (faults []string) {
	t.Helper()
	after := files(t, dir)
	for _, name := range slices.Sorted(maps.Keys(after)) {
		switch sum, was := before[name]; {
		case !was || name == input || sum == after[name]:
		case status != statusDone || name != "shop.book":
			faults = append(faults, name+" is changed")
		default:
			if e := inProcess(t, dir, "book check shop.book"); e.status != statusDone {
				faults = append(faults, "the book is not sound: "+e.stdout+e.stderr)
			}
		}
		if _, was := before[name]; was {
			continue
		}
		switch {
		case status != statusDone:
			faults = append(faults, name+" is left")
		case name == "made.json":
			if data, err := os.ReadFile(filepath.Join(dir, name)); err != nil || bytes.Count(data, []byte("\n")) < 10 {
				faults = append(faults, name+" is not whole")
			} else if _, err := plan.Decode(data); err != nil {
				faults = append(faults, fmt.Sprintf("%s cannot be read: %v", name, err))
			}
		case name != "made.book":
			faults = append(faults, name+" is left")
		}
		if err := os.Remove(filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	return faults
}

// ended is how a command ended.
type ended struct {
	status         int
	stdout, stderr string
	took           time.Duration // of the processor
	used           uint64        // bytes of memory, at most
}

// faults are what is wrong with how a command ended.
func (e ended) faults() (found []string) {
	fault := func(format string, args ...any) { found = append(found, fmt.Sprintf(format, args...)) }
	switch {
	case !slices.Contains([]int{statusDone, statusUsage, statusInput, statusCannotCut, statusCheckFailed}, e.status):
		fault("status %d: %.2000s", e.status, e.stderr)
	case e.status != statusDone && e.status != statusCheckFailed && e.stdout != "":
		fault("it is refused with status %d and answers: %.200s", e.status, e.stdout)
	case e.status != statusDone && !strings.HasPrefix(e.stderr, "longpoint: "):
		fault("it is refused with status %d and says: %.200s", e.status, e.stderr)
	}
	for _, never := range []string{"fault of ours", "goroutine ", "panic", "runtime error"} {
		if strings.Contains(e.stderr, never) {
			fault("it says %q: %.2000s", never, e.stderr)
		}
	}
	if len(e.stderr) > mostSaid || !utf8.ValidString(e.stderr) || strings.ContainsAny(e.stderr, "\x00\x1b\u202e\u2028") {
		fault("what it says is long or no text: %d bytes, %.200q", len(e.stderr), e.stderr)
	}
	if e.took > mostTime {
		fault("it takes %s", e.took)
	}
	if e.used > mostMemory {
		fault("it takes %d MB", e.used>>20)
	}
	return found
}

// typedIn gives the words of a command line, with the names of files in a folder.
func typedIn(dir, line string) []string {
	words := strings.Fields(line)
	for i, w := range words {
		if w == "shop" || strings.ContainsAny(w, "/") || slices.Contains([]string{".book", ".csv", ".tsv", ".xlsx", ".json"}, filepath.Ext(w)) {
			words[i] = filepath.Join(dir, w)
		}
	}
	return words
}

// inProcess types a command line in this process, by the program's own entry.
func inProcess(t *testing.T, dir, line string) ended {
	var stdout, stderr bytes.Buffer
	var e ended
	done := make(chan struct{})
	began := spent(syscall.RUSAGE_SELF)
	go func() {
		defer close(done)
		e.status = run(typedIn(dir, line), strings.NewReader(""), &stdout, &stderr)
	}()
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	used := uint64(0)
	for {
		select {
		case <-done:
			e.stdout, e.stderr, e.took, e.used = stdout.String(), stderr.String(), spent(syscall.RUSAGE_SELF)-began, used
			return e
		case <-tick.C:
			metrics.Read(sample)
			used = max(used, sample[0].Value.Uint64())
			if spent(syscall.RUSAGE_SELF)-began > 3*mostTime || used > 3*mostMemory { // it cannot be stopped: the rest is not tried
				t.Fatalf("%s does not end, or takes %d MB", line, used>>20)
			}
		}
	}
}

// spent gives how long the processor has worked.
func spent(of int) time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(of, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// byItself types a command line to the program as people have it. What a process took at most is never less than what this one has as it starts it.
func byItself(t *testing.T, dir, line string) ended {
	return spawned(t, exec.CommandContext(t.Context(), "longpoint", typedIn(dir, line)...))
}

// spawned runs the program.
func spawned(t *testing.T, cmd *exec.Cmd) ended {
	t.Helper()
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	stop := time.AfterFunc(time.Minute, func() { cmd.Process.Signal(syscall.SIGQUIT) })
	defer stop.Stop()
	if err := cmd.Run(); err != nil {
		if _, ok := errors.AsType[*exec.ExitError](err); !ok {
			t.Fatal(err)
		}
	}
	s := cmd.ProcessState
	u := s.SysUsage().(*syscall.Rusage)
	return ended{s.ExitCode(), stdout.String(), stderr.String(), s.UserTime() + s.SystemTime(), uint64(u.Maxrss) << 10}
}

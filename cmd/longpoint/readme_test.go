package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"

	"longpoint/cmd/longpoint/manual"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/model/folder"
)

// TestReadme does what README.md tells its reader to do.
func TestReadme(t *testing.T) {
	text := readRoot(t, "README.md")
	for _, topic := range manual.Listed() {
		if !strings.Contains(text, "(cmd/longpoint/manual/"+topic.Name+".md)") {
			t.Errorf("README.md does not name the topic %s", topic.Name)
		}
	}
	doAsTold(t, "README.md", text)
}

// TestDocumentsAreShort holds the documents to a length at which they are read whole.
func TestDocumentsAreShort(t *testing.T) {
	for name, most := range map[string]int{"README.md": 10_000, "DEVELOPERS.md": 16_000} {
		if n := len(readRoot(t, name)); n > most {
			t.Errorf("%s has %d bytes, more than %d", name, n, most)
		}
	}
}

// TestManual does what each topic of the manual tells its reader to do, and looks at how wide it is in a terminal.
func TestManual(t *testing.T) {
	home := workingFolder(t)
	for _, topic := range manual.Topics() {
		t.Run(topic.Name, func(t *testing.T) {
			if w := widest(manual.Terminal(topic, pageWidth)); w > pageWidth {
				t.Errorf("it is %d columns wide, more than %d", w, pageWidth)
			}
			doAsTold(t, topic.Name+".md", topic.Markdown)
			comparePictures(t, topic.Markdown, filepath.Join(home, "manual"))
		})
	}
}

// TestTablesTopic compares the columns and settings that the topic tables lists with those of the demo, which has them all.
func TestTablesTopic(t *testing.T) {
	topic, _ := manual.Find("tables")
	told := map[string]bool{} // "rack.csv lot"
	row := regexp.MustCompile("^\\| `([a-z_]+)` \\|")
	var file string
	for line := range strings.Lines(topic.Markdown) {
		if heading, ok := strings.CutPrefix(strings.TrimSpace(line), "## "); ok {
			file = heading
		}
		if m := row.FindStringSubmatch(line); m != nil {
			told[file+" "+m[1]] = true
		}
	}
	there := map[string]bool{}
	setting := regexp.MustCompile(`(?m)^(?:# )?([a-z_]+) = `) // one that the demo has no use for stands in a comment
	heading := regexp.MustCompile(`(?m)^[a-z_]+(?:,[a-z_]+)+$`)
	for _, file := range []string{"profiles.csv", "offers.csv", "suppliers.csv", "rack.csv", "jobs.csv", "workshop.toml"} {
		data, err := fs.ReadFile(folder.Demo(), file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range setting.FindAllSubmatch(data, -1) {
			there[file+" "+string(m[1])] = true
		}
		for _, column := range strings.FieldsFunc(heading.FindString(string(data)), func(r rune) bool { return r == ',' }) {
			there[file+" "+column] = true
		}
	}
	if diff := gocmp.Diff(there, told); diff != "" {
		t.Errorf("the demo has (-), the topic tables has (+)\n%s", diff)
	}
}

// amply is more time than any example needs, also where other work slows the machine down: an answer is then a matter of the search alone.
const amply = "5m"

// doAsTold does what a document tells its reader to do, in one empty folder and in its order: a block of ```csv or
// ```toml that names a file is written there, and the lines of a ```console block that begin with $ are typed. The
// answers must be those shown, warnings and errors included; … stands for lines left out.
func doAsTold(t *testing.T, name, text string) {
	t.Helper()
	t.Chdir(t.TempDir())
	t.Setenv(timeVariable, amply)
	status := 0
	for _, b := range fencedBlocks(t, text) {
		language, file, _ := strings.Cut(b.info, " ")
		switch {
		case file != "":
			if err := os.WriteFile(file, []byte(b.text+"\n"), 0o644); err != nil {
				t.Fatalf("%s, line %d: %v", name, b.line, err)
			}
		case language == "console":
			steps := exampleSteps(t, "  "+strings.ReplaceAll(b.text, "\n", "\n  "))
			if len(steps) == 0 {
				t.Errorf("%s, line %d: nothing is typed", name, b.line)
			}
			for i, s := range steps {
				var got []string
				asked := i+1 < len(steps) && steps[i+1].line == "echo $?"
				if got, status = typeIn(t, s.line, status); status != statusDone && !asked {
					t.Errorf("%s, line %d: %s: status %d, which the reader is not told", name, b.line, s.line, status)
				}
				if want := withoutBlankEnd(s.answer); !elided(want, got) {
					t.Errorf("%s, line %d: %s: it shows\n%s\nbut the answer is\n%s", name, b.line, s.line,
						strings.Join(want, "\n"), strings.Join(got, "\n"))
				}
			}
		case language != "sh" && language != "text" && language != "toml" && language != "says": // TestRefusals reads the last
			t.Errorf("%s, line %d: a block of %q, which nobody checks", name, b.line, b.info)
		}
	}
}

// workingFolder gives the folder that the test is in.
func workingFolder(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// pictureLink finds the pictures of our own that a document shows.
var pictureLink = regexp.MustCompile(`!\[([^]]*)\]\(([^:)]+)\)`)

// comparePictures demands that the pictures a document shows are drawn by our own code: those that explain something, or what
// its commands have just written into the folder pictures. With -update they are put where it shows them. dir is the
// document's folder.
func comparePictures(t *testing.T, document, dir string) {
	t.Helper()
	explained := map[string]*sheet.Drawing{}
	for _, e := range sheet.Explain() {
		explained[e.File] = e.Drawing
	}
	for _, link := range pictureLink.FindAllStringSubmatch(document, -1) {
		name := filepath.Join(dir, link[2])
		var got []byte
		if d := explained[link[2]]; d != nil {
			got = d.SVG(link[1])
		} else if written, err := os.ReadFile(filepath.Join("pictures", filepath.Base(name))); err == nil {
			got = written
		} else {
			t.Errorf("a picture is shown that neither our drawings nor the commands write: %v", err)
			continue
		}
		if *update {
			if err := os.WriteFile(name, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what the commands write; run the test with -update and look at it", link[2])
		}
	}
}

// typeIn gives what a terminal would show of one command line, and the exit status. before is the status of the last.
func typeIn(t *testing.T, line string, before int) (answer []string, status int) {
	t.Helper()
	if line == "echo $?" {
		return []string{fmt.Sprint(before)}, statusDone
	}
	args := shellWords(line)
	if args[0] != "bin/longpoint" && args[0] != "longpoint" {
		t.Fatalf("%q is typed, and only the program's own answers can be checked", line)
	}
	var terminal, typed bytes.Buffer
	if n := len(args); n > 2 && args[n-2] == "<" {
		data, err := os.ReadFile(args[n-1])
		if err != nil {
			t.Fatal(err)
		}
		typed.Write(data)
		args = args[:n-2]
	}
	status = run(args[1:], &typed, &terminal, &terminal)
	return withoutBlankEnd(strings.Split(terminal.String(), "\n")), status
}

// withoutBlankEnd leaves out blank lines at the end.
func withoutBlankEnd(lines []string) []string {
	for len(lines) > 0 && lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	return lines
}

// block is what stands between two fences of a Markdown file.
type block struct {
	info string // behind the opening fence
	text string // without the line end before the closing one
	line int    // of the opening fence, from 1
}

// fencedBlocks gives the blocks in their order.
func fencedBlocks(t *testing.T, text string) (blocks []block) {
	t.Helper()
	const fence = "```"
	open := false
	var lines []string
	for n, line := range strings.Split(text, "\n") {
		rest, is := strings.CutPrefix(line, fence)
		switch {
		case is && !open:
			blocks = append(blocks, block{info: rest, line: n + 1})
			lines = nil
		case is:
			blocks[len(blocks)-1].text = strings.Join(lines, "\n")
		default:
			lines = append(lines, line)
			continue
		}
		open = !open
	}
	if open {
		t.Fatal("a fence is never closed")
	}
	return blocks
}

// TestMakeTargets makes sure that every "make something" in the documents is a target of the Makefile.
func TestMakeTargets(t *testing.T) {
	targets := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^([a-z-]+):`).FindAllStringSubmatch(readRoot(t, "Makefile"), -1) {
		targets[m[1]] = true
	}
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		named := regexp.MustCompile("(?m)(?:`|^)make ([a-z-]+)").FindAllStringSubmatch(readRoot(t, name), -1)
		if len(named) == 0 {
			t.Errorf("%s names no target", name)
		}
		for _, m := range named {
			if !targets[m[1]] {
				t.Errorf("%s says \"make %s\", and the Makefile has no such target", name, m[1])
			}
		}
	}
}

// TestMaps holds the maps in the doc comments of the rooms with many files: each file is named there, by itself or with all that begin like it (run_*), and each name
// leads to a file. Of the program's own files those of a command need no word.
func TestMaps(t *testing.T) {
	for _, room := range []string{".", "page", "sheet", "../../model/book", "../../model/planner", "../../model/runs"} {
		data, err := os.ReadFile(filepath.Join(room, "doc.go"))
		if err != nil {
			t.Fatal(err)
		}
		named := map[string]bool{}
		for _, m := range regexp.MustCompile(`(\w+)(?:\.go|_\*|_….go)`).FindAllStringSubmatch(string(data), -1) {
			named[m[1]] = true
		}
		if room == "." {
			for _, cmd := range new(program).root().Commands() {
				named[cmd.Name()] = true
			}
		}
		files, err := filepath.Glob(filepath.Join(room, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		beginnings := map[string]bool{}
		for _, file := range files {
			name := strings.TrimSuffix(filepath.Base(file), ".go")
			beginning, _, _ := strings.Cut(name, "_")
			if beginnings[beginning], beginnings[name] = true, true; !strings.HasSuffix(name, "_test") && !named[name] && !named[beginning] && name != "doc" && name != "main" {
				t.Errorf("the map of %s does not name %s.go", room, name)
			}
		}
		for name := range named {
			if !beginnings[name] && room != "." {
				t.Errorf("the map of %s names %s, and there is no such file", room, name)
			}
		}
	}
}

// TestTour compares the tour of DEVELOPERS.md with the rooms that there are, and looks for the tests that are named there.
func TestTour(t *testing.T) {
	text := readRoot(t, "DEVELOPERS.md")
	told := map[string]bool{}
	for _, m := range regexp.MustCompile("(?m)^\\| `([a-z/]+)/` \\|").FindAllStringSubmatch(text, -1) {
		told[m[1]] = true
		if _, err := os.Stat(filepath.Join("..", "..", m[1])); err != nil {
			t.Errorf("DEVELOPERS.md leads to a room that is not there: %v", err)
		}
	}
	for _, r := range rooms {
		if !told[r.path] {
			t.Errorf("DEVELOPERS.md says nothing of %s", r.path)
		}
	}
	var tests strings.Builder
	err := filepath.WalkDir(filepath.Join("..", ".."), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		data, err := os.ReadFile(path)
		tests.Write(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range regexp.MustCompile(`Test[A-Z]\w+`).FindAllString(text, -1) {
		if !strings.Contains(tests.String(), "func "+name+"(") {
			t.Errorf("DEVELOPERS.md names %s, and there is no such test", name)
		}
	}
}

// readRoot reads a file at the module's root.
func readRoot(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

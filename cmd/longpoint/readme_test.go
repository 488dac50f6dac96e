package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestReadme does what README.md tells its reader to do, in one empty folder and in its order: a block of ```csv or
// ```toml that names a file is written there, and the lines of a ```console block that begin with $ are typed. The
// answers must be those shown, warnings and errors included; … stands for lines left out.
func TestReadme(t *testing.T) {
	text := readRoot(t, "README.md")
	home, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	status, typed, written := 0, 0, 0
	for _, b := range fencedBlocks(t, text) {
		language, file, _ := strings.Cut(b.info, " ")
		switch {
		case file != "":
			if err := os.WriteFile(file, []byte(b.text), 0o644); err != nil {
				t.Fatalf("line %d: %v", b.line, err)
			}
			written++
		case language == "console":
			steps := exampleSteps(t, "  "+strings.ReplaceAll(b.text, "\n", "\n  "))
			for i, s := range steps {
				var got []string
				asked := i+1 < len(steps) && steps[i+1].line == "echo $?"
				if got, status = typeIn(t, s.line, status); status != statusDone && !asked {
					t.Errorf("README.md, line %d: %s: status %d, which the reader is not told", b.line, s.line, status)
				}
				if want := withoutBlankEnd(s.answer); !elided(want, got) {
					t.Errorf("README.md, line %d: %s: it shows\n%s\nbut the answer is\n%s", b.line, s.line,
						strings.Join(want, "\n"), strings.Join(got, "\n"))
				}
				typed++
			}
		}
	}
	if typed < 5 || written < 5 {
		t.Errorf("only %d commands and %d files were found", typed, written)
	}
	comparePictures(t, text, home)
}

var pictureLink = regexp.MustCompile(`\]\(cmd/longpoint/(testdata/readme/([^)]+))\)`)

// comparePictures demands that the pictures README.md shows from testdata/readme are what its commands have just written
// into the folder pictures; home is the package's folder. With -update they are put there.
func comparePictures(t *testing.T, text, home string) {
	t.Helper()
	links := pictureLink.FindAllStringSubmatch(text, -1)
	if len(links) == 0 {
		t.Error("README.md shows no picture")
	}
	for _, link := range links {
		got, err := os.ReadFile(filepath.Join("pictures", link[2]))
		if err != nil {
			t.Errorf("README.md shows a picture that its commands do not write: %v", err)
			continue
		}
		name := filepath.Join(home, link[1])
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
			t.Errorf("README.md shows %s, which is not what its commands write; run the test with -update and look at it", link[1])
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
	if args[0] != "bin/longpoint" {
		t.Fatalf("README.md runs %q, and only the program's own answers can be checked", line)
	}
	var terminal bytes.Buffer
	status = run(args[1:], nil, &terminal, &terminal)
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

// readRoot reads a file at the module's root.
func readRoot(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

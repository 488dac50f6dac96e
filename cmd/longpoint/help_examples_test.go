package main

import (
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/manual"
)

// TestExamples types in every example of every command's help, in one empty folder, and demands the answers that the
// help shows.
func TestExamples(t *testing.T) {
	t.Chdir(t.TempDir())
	root := new(program).root()
	commands := append([]*cobra.Command{root}, root.Commands()...)
	seen := 0
	for _, cmd := range commands {
		if cmd.Name() == "help" || cmd.Name() == "completion" || cmd.Hidden {
			continue
		}
		if w := widest(helpText(cmd)); w > pageWidth {
			t.Errorf("the help of %s is %d columns wide, more than %d", cmd.CommandPath(), w, pageWidth)
		}
		for _, sub := range cmd.Commands() {
			if w := widest(helpText(sub)); cmd != root && w > pageWidth {
				t.Errorf("the help of %s is %d columns wide, more than %d", sub.CommandPath(), w, pageWidth)
			}
		}
		steps := exampleSteps(t, cmd.Example)
		if len(steps) == 0 {
			t.Errorf("%s has no example", cmd.CommandPath())
		}
		for _, s := range steps {
			seen++
			args := shellWords(s.line)
			if args[0] != "longpoint" {
				t.Fatalf("%s: the example runs %q", cmd.CommandPath(), args[0])
			}
			got := goesWell(t, args[1:]...)
			if !elided(s.answer, strings.Split(strings.TrimSuffix(got, "\n"), "\n")) {
				t.Errorf("%s: the help shows\n%s\nbut the answer is\n%s", s.line, strings.Join(s.answer, "\n"), got)
			}
		}
	}
	if seen < 6 {
		t.Errorf("only %d examples were found", seen)
	}
}

// TestTopicsOfCommands demands a command and a topic for every name in topicsOf.
func TestTopicsOfCommands(t *testing.T) {
	root := new(program).root()
	for name, topics := range topicsOf {
		if cmd, _, err := root.Find([]string{name}); err != nil || cmd == root {
			t.Errorf("there is no command %s", name)
		}
		for _, topic := range topics {
			if _, ok := manual.Find(topic); !ok {
				t.Errorf("command %s: there is no topic %s", name, topic)
			}
		}
	}
	for _, cmd := range root.Commands() {
		if cmd.IsAvailableCommand() && cmd.Name() != "completion" && topicsOf[cmd.Name()] == nil {
			t.Errorf("command %s points at no topic", cmd.Name())
		}
	}
}

// TestElided shows that the comparison can fail.
func TestElided(t *testing.T) {
	for _, c := range []struct {
		name      string
		want, got string
		fits      bool
	}{
		{"the same", "a b", "a b", true},
		{"left out between", "a … c", "a x y c", true},
		{"left out at the end", "a …", "a x y", true},
		{"nothing left out", "a … b", "a b", true},
		{"a line too many", "a", "a b", false},
		{"a line missing", "a b", "a", false},
		{"another line", "a …", "b x", false},
		{"another line after", "a … c", "a x y", false},
	} {
		if elided(strings.Fields(c.want), strings.Fields(c.got)) != c.fits {
			t.Errorf("%s: want fits %t", c.name, c.fits)
		}
	}
}

// exampleStep is one command line of an example and the answer that follows it.
type exampleStep struct {
	line   string
	answer []string
}

// exampleSteps takes an example apart: "  $ " begins a command line, which goes on in the next line after a backslash. Other
// lines are its answer.
func exampleSteps(t *testing.T, example string) (steps []exampleStep) {
	t.Helper()
	for _, line := range strings.Split(strings.Trim(example, "\n"), "\n") {
		text, ok := strings.CutPrefix(line, "  ")
		if !ok && line != "" {
			t.Fatalf("the example's line %q is not indented", line)
		}
		command, typed := strings.CutPrefix(text, "$ ")
		switch last := len(steps) - 1; {
		case typed:
			steps = append(steps, exampleStep{line: command})
		case last >= 0 && strings.HasSuffix(steps[last].line, " \\"):
			steps[last].line = strings.TrimSuffix(steps[last].line, "\\") + strings.TrimSpace(text)
		case last >= 0:
			steps[last].answer = append(steps[last].answer, text)
		}
	}
	return steps
}

// shellWords splits a command line at blanks outside double quotes.
func shellWords(line string) (out []string) {
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			out = append(out, part)
		} else {
			out = append(out, strings.Fields(part)...)
		}
	}
	return out
}

// elided says whether lines are as wanted, where a wanted line of … stands for any number of lines.
func elided(want, got []string) bool {
	switch {
	case len(want) == 0:
		return len(got) == 0
	case want[0] == "…":
		for i := range len(got) + 1 {
			if elided(want[1:], got[i:]) {
				return true
			}
		}
		return false
	}
	return len(got) > 0 && want[0] == got[0] && elided(want[1:], got[1:])
}

package main

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"longpoint/cmd/longpoint/manual"
)

// commandSaid finds a command in a sentence. "%s" and the like stand for what the user has named.
var commandSaid = regexp.MustCompile(`"longpoint ([^"]+)"`)

// commandBare finds a command that no marks stand round: to the end of its line or sentence.
var commandBare = regexp.MustCompile(`(?m)(?:^|[ :])longpoint ([a-z][^"“”;\n]*)`)

// commandsIn gives the commands that a text of the source names.
func commandsIn(text string) (all []string) {
	if strings.Contains(text, "\x00") {
		return nil // no text for people
	}
	for _, m := range commandSaid.FindAllStringSubmatch(strings.Join(strings.Fields(text), " "), -1) {
		all = append(all, m[1])
	}
	for _, m := range commandBare.FindAllStringSubmatch(text, -1) {
		words := strings.Fields(m[1])
		for i, w := range words {
			if bare := strings.TrimRight(w, ".,:)?"); bare != w { // the sentence ends, or goes on without the command
				words = append(words[:i:i], bare)
				break
			}
		}
		all = append(all, strings.Join(words, " "))
	}
	return all
}

// unknownIn says what of a command that a sentence names does not exist; nothing where all of it does.
func unknownIn(said string) string {
	root := (&program{stdin: strings.NewReader(""), stdout: new(bytes.Buffer), stderr: new(bytes.Buffer)}).root()
	root.InitDefaultHelpCmd()
	words := strings.Fields(said)
	if len(words) == 0 || words[0] == "alone" {
		return ""
	}
	if words[0] == "--version" || words[0] == "--help" {
		return ""
	}
	cmd, rest, err := root.Find(words)
	switch {
	case err != nil || cmd == root:
		return "there is no such command"
	case cmd.Name() == "help" && len(rest) > 0:
		if _, topic := manual.Find(rest[0]); topic || rest[0] == "TOPIC" || strings.HasPrefix(rest[0], "%") {
			return ""
		}
		if found, _, err := root.Find(rest); err != nil || found == root {
			return "there is no such topic"
		}
		return ""
	case cmd.HasAvailableSubCommands() && !strings.Contains(cmd.Use, " ") && len(rest) == 0 && cmd.Name() != "book":
		return "it takes a command of its own"
	}
	cmd.InitDefaultHelpFlag()
	if len(rest) > 0 {
		w := rest[0]
		name, is := strings.CutPrefix(w, "--")
		if is && cmd.Flags().Lookup(name) == nil && root.PersistentFlags().Lookup(name) == nil {
			return "it has no flag --" + name
		}
		if cmd.HasAvailableSubCommands() && !is && w == strings.ToLower(w) && !strings.ContainsAny(w, "%.") && strings.Trim(w, "abcdefghijklmnopqrstuvwxyz") == "" {
			return "it has no command " + w
		}
	}
	return ""
}

// TestNextCommands reads every sentence in the program's source and demands that the commands that it tells somebody to type exist, with
// their flags.
func TestNextCommands(t *testing.T) {
	said := 0
	for _, room := range []string{".", "../../model"} {
		err := filepath.WalkDir(room, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "shoptest") {
				return err
			}
			set := token.NewFileSet()
			file, err := parser.ParseFile(set, path, nil, 0)
			if err != nil {
				return err
			}
			ast.Inspect(file, func(n ast.Node) bool {
				lit, ok := n.(*ast.BasicLit)
				if !ok || lit.Kind != token.STRING {
					return true
				}
				text, err := strconv.Unquote(lit.Value)
				if err != nil {
					t.Fatal(err)
				}
				for _, command := range commandsIn(text) {
					said++
					if bad := unknownIn(command); bad != "" {
						t.Errorf("%s: %q: %s", set.Position(lit.Pos()), command, bad)
					}
				}
				return true
			})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if said < 80 {
		t.Errorf("only %d commands are named", said)
	}
}

// TestNextCommandsCanFail shows that a command that is not there is seen.
func TestNextCommandsCanFail(t *testing.T) {
	for _, bad := range []string{"plam", "plan --untill", "help nothing", "jobs shoe", "rack discharge"} {
		if unknownIn(bad) == "" {
			t.Errorf("%q is taken for a command", bad)
		}
	}
	for _, text := range []string{"Take it back: longpoint undoo.", "see what is off with \"longpoint book chek\"", "  longpoint plan --untill 3\n", "To print it: longpoint sheets --ordr %d --out order-%d"} {
		if all := commandsIn(text); len(all) != 1 || unknownIn(all[0]) == "" {
			t.Errorf("%q names %q, which is taken for a command", text, all)
		}
	}
	for _, good := range []string{"plan --until DAY", "rack discard", "help tables", "book restore", "finish %d", "--version", "serve --listen 127.0.0.1:7465"} {
		if bad := unknownIn(good); bad != "" {
			t.Errorf("%q: %s", good, bad)
		}
	}
}

// TestNextOfStart demands the same of what a new book's owner is told to type.
func TestNextOfStart(t *testing.T) {
	lines := 0
	for line := range strings.Lines((&program{}).comesNext("shop.book")) {
		if command, is := strings.CutPrefix(line, "  longpoint "); is {
			lines++
			if bad := unknownIn(strings.TrimSpace(command)); bad != "" {
				t.Errorf("%s: %s", command, bad)
			}
		}
	}
	if lines < 8 {
		t.Errorf("only %d commands are named", lines)
	}
}

// TestExamineNamesCommands demands the same of what examine says to type next.
func TestExamineNamesCommands(t *testing.T) {
	set := token.NewFileSet()
	seen := 0
	for _, name := range []string{"examine/examine.go", "examine/shop.go", "examine/book.go"} {
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) < 3 {
				return true
			}
			if f, ok := call.Fun.(*ast.SelectorExpr); !ok || f.Sel.Name != "find" {
				return true
			}
			var texts []string
			ast.Inspect(call.Args[1], func(n ast.Node) bool {
				if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
					text, _ := strconv.Unquote(lit.Value)
					texts = append(texts, text)
				}
				return true
			})
			if len(texts) == 0 || slices.Contains(texts, ".copy") && len(texts) > 1 {
				return true // a name of a command line that is made elsewhere
			}
			seen++
			if bad := unknownIn(strings.ReplaceAll(texts[0], "%s", "shop.book")); bad != "" {
				t.Errorf("%s: %q: %s", set.Position(call.Pos()), texts[0], bad)
			}
			return true
		})
	}
	if seen < 15 {
		t.Errorf("only %d commands are named", seen)
	}
}

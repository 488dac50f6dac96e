package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// woven is a file with the copies of its functions that have faults.
type woven struct {
	text   []byte
	copies []copied
}

// copied says on which lines of a woven file the copy with a fault stands.
type copied struct{ number, first, last int }

// weave puts a jump to the copies at the beginning of each function with faults, and the copies at the end of the file. The
// functions' lines keep their numbers. Numbers are faults' places in the list, from 1 on; nil stands for one that is left out.
func weave(s *source, faults []*fault) woven {
	numbers := map[*ast.FuncDecl][]int{}
	for i, f := range faults {
		if f != nil && f.in == s {
			numbers[f.of] = append(numbers[f.of], i+1)
		}
	}
	var edits []edit
	var copies bytes.Buffer
	var at []copied
	lines := bytes.Count(s.text, []byte("\n")) + 1
	for _, d := range s.tree.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || len(numbers[fn]) == 0 {
			continue
		}
		named, receiver, arguments := signature(s, fn)
		jump := " if planted__ != 0 { switch planted__ {"
		for _, n := range numbers[fn] {
			jump += fmt.Sprintf(" case %d: %s;", n, call(fn, receiver, arguments, n))
			changes := append(slices.Clone(named), edit{s.offset(fn.Name.Pos()), s.offset(fn.Name.End()), copyName(fn, n)}, faults[n-1].edit)
			text := apply(s.text, s.offset(fn.Pos()), s.offset(fn.End()), changes)
			first := lines + bytes.Count(copies.Bytes(), []byte("\n")) + 2 // a blank line stands before it
			fmt.Fprintf(&copies, "\n%s\n", text)
			at = append(at, copied{n, first, first + strings.Count(text, "\n")})
		}
		opening := s.offset(fn.Body.Lbrace) + 1
		edits = append(edits, append(named, edit{opening, opening, jump + " } };"})...)
	}
	return woven{[]byte(apply(s.text, 0, len(s.text), edits) + "\n" + copies.String()), at}
}

func copyName(fn *ast.FuncDecl, number int) string {
	return fmt.Sprintf("%s__%d", fn.Name.Name, number)
}

// signature gives the edits that give every parameter a name, and what to call a copy with.
func signature(s *source, fn *ast.FuncDecl) (named []edit, receiver, arguments string) {
	next := 0
	name := func(f *ast.Field) (names []string) {
		for _, n := range f.Names {
			names = append(names, n.Name)
			if n.Name == "_" {
				names[len(names)-1] = fmt.Sprintf("p__%d", next)
				named = append(named, edit{s.offset(n.Pos()), s.offset(n.End()), names[len(names)-1]})
				next++
			}
		}
		if len(f.Names) == 0 {
			names = append(names, fmt.Sprintf("p__%d", next))
			named = append(named, edit{s.offset(f.Type.Pos()), s.offset(f.Type.Pos()), names[0] + " "})
			next++
		}
		return names
	}
	if fn.Recv != nil {
		receiver = name(fn.Recv.List[0])[0]
	}
	var all []string
	for _, f := range fn.Type.Params.List {
		all = append(all, name(f)...)
		if _, many := f.Type.(*ast.Ellipsis); many {
			all[len(all)-1] += "..."
		}
	}
	return named, receiver, strings.Join(all, ", ")
}

// call is the statement that hands a function's work to its copy.
func call(fn *ast.FuncDecl, receiver, arguments string, number int) string {
	text := copyName(fn, number)
	if receiver != "" {
		text = receiver + "." + text
	}
	if fn.Type.TypeParams != nil {
		var names []string
		for _, f := range fn.Type.TypeParams.List {
			for _, n := range f.Names {
				names = append(names, n.Name)
			}
		}
		text += "[" + strings.Join(names, ", ") + "]"
	}
	text += "(" + arguments + ")"
	if fn.Type.Results == nil {
		return text + "; return"
	}
	return "return " + text
}

// apply gives a part of a text with edits made, none of which overlap.
func apply(text []byte, from, to int, edits []edit) string {
	edits = slices.Clone(edits)
	slices.SortStableFunc(edits, func(a, b edit) int { return a.from - b.from })
	var out strings.Builder
	for _, e := range edits {
		if e.from < from || e.to > to {
			continue
		}
		out.Write(text[from:e.from])
		out.WriteString(e.text)
		from = e.to
	}
	out.Write(text[from:to])
	return out.String()
}

// overlay writes the woven files of a package and the overlay that puts them in its place. It gives where the copies
// stand, by file.
func overlay(target, work string, faults []*fault) (string, map[string][]copied, error) {
	root, err := os.Getwd()
	if err != nil {
		return "", nil, err
	}
	replace := map[string]string{}
	copies := map[string][]copied{}
	write := func(path string, text []byte) error {
		to := filepath.Join(work, filepath.Base(path))
		replace[filepath.Join(root, path)] = to
		return os.WriteFile(to, text, 0o644)
	}
	pkg := ""
	for _, f := range faults {
		if f == nil || copies[f.file] != nil {
			continue
		}
		w := weave(f.in, faults)
		copies[f.file], pkg = w.copies, f.in.tree.Name.Name
		if err := write(f.file, w.text); err != nil {
			return "", nil, err
		}
	}
	switchFile := fmt.Sprintf(switchText, pkg, filepath.Join(work, "planted"))
	if err := write(filepath.Join(target, "planted__switch.go"), []byte(switchFile)); err != nil {
		return "", nil, err
	}
	data, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return "", nil, err
	}
	path := filepath.Join(work, "overlay.json")
	return path, copies, os.WriteFile(path, data, 0o644)
}

// switchText is the file that says which fault is planted: the number in a file, since tests start processes of their own and choose what these see of
// the environment.
const switchText = `package %s

import (
	"os"
	"strconv"
)

var planted__ = func() int {
	text, _ := os.ReadFile(%q)
	number, _ := strconv.Atoi(string(text))
	return number
}()
`

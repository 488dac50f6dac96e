package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// fault is one change of a function: what stands between two offsets of its file gives way to text.
type fault struct {
	file, function string // the file's path from the module's root; the method with its type
	line, column   int
	before, after  string // the lines that change, on one line, as people read them
	edit
	in *source
	of *ast.FuncDecl
}

// edit puts text where a file has the bytes from on up to to.
type edit struct {
	from, to int
	text     string
}

// source is a file of a package.
type source struct {
	path string // from the module's root
	text []byte
	set  *token.FileSet
	tree *ast.File
}

func (s *source) offset(p token.Pos) int { return s.set.Position(p).Offset }
func (s *source) between(n ast.Node) string {
	return string(s.text[s.offset(n.Pos()):s.offset(n.End())])
}

// key names a fault whatever line it is on.
func (f *fault) key() string {
	return f.file + " " + f.function + ": " + f.before + " => " + f.after
}

func (f *fault) String() string {
	return fmt.Sprintf("%s:%d %s: %s => %s", f.file, f.line, f.function, f.before, f.after)
}

// findFaults gives every fault that can be planted in a package, in the order of its files.
func findFaults(target string) (all []*fault, err error) {
	out, err := exec.Command("go", "list", "-json=GoFiles", "./"+target).Output()
	if err != nil {
		return nil, fmt.Errorf("go list %s: %w", target, err)
	}
	var listed struct{ GoFiles []string }
	if err := json.Unmarshal(out, &listed); err != nil {
		return nil, err
	}
	for _, name := range listed.GoFiles {
		s := &source{path: filepath.Join(target, name), set: token.NewFileSet()}
		if s.text, err = os.ReadFile(s.path); err != nil {
			return nil, err
		}
		if s.tree, err = parser.ParseFile(s.set, s.path, s.text, parser.SkipObjectResolution|parser.ParseComments); err != nil {
			return nil, err
		}
		for _, d := range s.tree.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Body != nil && fn.Name.Name != "init" && fn.Name.Name != "main" && !recovers(fn) {
				all = append(all, faultsOf(s, fn)...)
			}
		}
	}
	return all, nil
}

// sample draws n faults, each as likely as the next.
func sample(all []*fault, n int, seed uint64) []*fault {
	r := rand.New(rand.NewPCG(seed, 0))
	drawn := make([]*fault, 0, n)
	for _, i := range r.Perm(len(all)) {
		if len(drawn) == n {
			break
		}
		drawn = append(drawn, all[i])
	}
	return drawn
}

// recovers says whether a function calls recover itself: called from its copy, it would recover nothing.
func recovers(fn *ast.FuncDecl) (found bool) {
	ast.Inspect(fn.Body, func(n ast.Node) bool {
		if call, ok := n.(*ast.CallExpr); ok {
			name, ok := call.Fun.(*ast.Ident)
			found = found || ok && name.Name == "recover"
		}
		_, inner := n.(*ast.FuncLit)
		return !inner
	})
	return found
}

// exchanged has for each operator what takes its place.
var exchanged = map[token.Token]string{
	token.ADD: "-", token.SUB: "+", token.MUL: "/", token.QUO: "*", token.REM: "*",
	token.LSS: "<=", token.LEQ: "<", token.GTR: ">=", token.GEQ: ">", token.EQL: "!=", token.NEQ: "==",
	token.LAND: "||", token.LOR: "&&", token.AND: "|", token.OR: "&", token.SHL: ">>", token.SHR: "<<", token.AND_NOT: "&", token.XOR: "&",
	token.ADD_ASSIGN: "-=", token.SUB_ASSIGN: "+=", token.MUL_ASSIGN: "/=", token.QUO_ASSIGN: "*=", token.REM_ASSIGN: "*=",
	token.OR_ASSIGN: "&=", token.AND_ASSIGN: "|=", token.SHL_ASSIGN: ">>=", token.SHR_ASSIGN: "<<=",
	token.INC: "--", token.DEC: "++",
}

// faultsOf gives every fault that can be planted in a function.
func faultsOf(s *source, fn *ast.FuncDecl) (all []*fault) {
	replace := func(from, to int, text string) {
		all = append(all, newFault(s, fn, edit{from, to, text}))
	}
	operator := func(at token.Pos, op token.Token) {
		if other, ok := exchanged[op]; ok {
			replace(s.offset(at), s.offset(at)+len(op.String()), other)
		}
	}
	drop := func(n ast.Node) { replace(s.offset(n.Pos()), s.offset(n.End()), "{}") }
	negate := func(n ast.Expr) {
		replace(s.offset(n.Pos()), s.offset(n.End()), "!("+s.between(n)+")")
	}
	ast.Inspect(fn.Body, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.BinaryExpr:
			operator(n.OpPos, n.Op)
		case *ast.BasicLit:
			if v, err := strconv.ParseInt(n.Value, 0, 64); err == nil && n.Kind == token.INT {
				replace(s.offset(n.Pos()), s.offset(n.End()), strconv.FormatInt(v+1, 10))
			}
		case *ast.IfStmt:
			negate(n.Cond)
		case *ast.ForStmt:
			if n.Cond != nil {
				negate(n.Cond)
			}
		case *ast.IncDecStmt:
			operator(n.TokPos, n.Tok)
		case *ast.AssignStmt:
			operator(n.TokPos, n.Tok)
		case *ast.ReturnStmt:
			for _, e := range returned(s, fn, n) {
				replace(e.from, e.to, e.text)
			}
		case *ast.BlockStmt:
			for _, each := range n.List {
				if droppable(each) {
					drop(each)
				}
			}
		case *ast.CaseClause:
			for _, each := range n.Body {
				if droppable(each) {
					drop(each)
				}
			}
		}
		return true
	})
	return all
}

// droppable says whether a statement can be left out and the rest still be read: what declares something, returns or holds statements stays.
func droppable(n ast.Stmt) bool {
	switch n := n.(type) {
	case *ast.AssignStmt:
		return n.Tok != token.DEFINE
	case *ast.ExprStmt, *ast.IncDecStmt, *ast.DeferStmt, *ast.GoStmt, *ast.SendStmt, *ast.BranchStmt:
		return true
	}
	return false
}

// returned gives the faults of a return: two results exchanged, a yes for a no, no error for an error.
func returned(s *source, fn *ast.FuncDecl, n *ast.ReturnStmt) (edits []edit) {
	at := func(e ast.Expr, text string) edit { return edit{s.offset(e.Pos()), s.offset(e.End()), text} }
	if len(n.Results) == 2 && s.between(n.Results[0]) != s.between(n.Results[1]) {
		from, to := s.offset(n.Results[0].Pos()), s.offset(n.Results[1].End())
		edits = append(edits, edit{from, to, s.between(n.Results[1]) + ", " + s.between(n.Results[0])})
	}
	for _, r := range n.Results {
		switch s.between(r) {
		case "true":
			edits = append(edits, at(r, "false"))
		case "false":
			edits = append(edits, at(r, "true"))
		}
	}
	results := fn.Type.Results
	if results == nil || len(n.Results) == 0 || len(n.Results) != results.NumFields() {
		return edits
	}
	kind, isName := results.List[len(results.List)-1].Type.(*ast.Ident)
	last := n.Results[len(n.Results)-1]
	if isName && kind.Name == "error" && s.between(last) != "nil" {
		edits = append(edits, at(last, "nil"))
	}
	return edits
}

// newFault describes an edit of a function.
func newFault(s *source, fn *ast.FuncDecl, e edit) *fault {
	where := s.set.Position(s.set.File(s.tree.FileStart).Pos(e.from))
	start := bytes.LastIndexByte(s.text[:e.from], '\n') + 1
	end := len(s.text)
	if n := bytes.IndexByte(s.text[e.to:], '\n'); n >= 0 {
		end = e.to + n
	}
	before := string(s.text[start:end])
	after := string(s.text[start:e.from]) + e.text + string(s.text[e.to:end])
	return &fault{
		file: s.path, function: nameOf(fn), line: where.Line, column: where.Column,
		before: short(before), after: short(after), edit: e, in: s, of: fn,
	}
}

// short puts text on one line and cuts it after 160 characters.
func short(text string) string {
	r := []rune(strings.Join(strings.Fields(text), " "))
	if len(r) > 160 {
		return string(r[:160]) + "..."
	}
	return string(r)
}

// nameOf gives a function's name, a method's with its type.
func nameOf(fn *ast.FuncDecl) string {
	if fn.Recv == nil {
		return fn.Name.Name
	}
	of := fn.Recv.List[0].Type
	for {
		switch t := of.(type) {
		case *ast.StarExpr:
			of = t.X
			continue
		case *ast.IndexExpr:
			of = t.X
			continue
		case *ast.IndexListExpr:
			of = t.X
			continue
		case *ast.Ident:
			return t.Name + "." + fn.Name.Name
		}
		return fn.Name.Name
	}
}

// readEquivalent reads the list of faults that change nothing: a fault's key a line, the reason in the lines after it, indented.
func readEquivalent(path string) (map[string]bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	keys := map[string]bool{}
	key, line := "", 0
	for lines := bufio.NewScanner(f); lines.Scan(); {
		line++
		text := lines.Text()
		switch {
		case text == "" || strings.HasPrefix(text, "#"):
		case strings.HasPrefix(text, "\t"):
			if key == "" {
				return nil, fmt.Errorf("%s:%d: a reason without a fault", path, line)
			}
			keys[key] = true
		default:
			if key != "" && !keys[key] {
				return nil, fmt.Errorf("%s:%d: the fault before has no reason", path, line)
			}
			key = text
		}
	}
	if key != "" && !keys[key] {
		return nil, fmt.Errorf("%s: the last fault has no reason", path)
	}
	return keys, nil
}

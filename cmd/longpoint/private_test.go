package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// reachesOut are names of Go's own packages by which a program opens a connection, by itself or through a client; what listens and answers is not
// among them.
var reachesOut = regexp.MustCompile(`^(net\.(Dial.*|Lookup.*|Resolver|DefaultResolver)|http\.(Get|Head|Post|PostForm|Client|DefaultClient|NewRequest.*|Transport|DefaultTransport)|smtp\..*|rpc\..*|tls\.Dial.*)$`)

// outward lists where a source reaches out.
func outward(fset *token.FileSet, f *ast.File) (found []string) {
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && x.Obj == nil && reachesOut.MatchString(x.Name+"."+s.Sel.Name) {
				found = append(found, fset.Position(s.Pos()).String()+": "+x.Name+"."+s.Sel.Name)
			}
		}
		return true
	})
	return found
}

// TestNothingLeaves holds what the manual says of who can read what: nothing of the program's own opens a connection, and pages and listening alone know of
// networks. .ci/faults holds it of the program as it is built.
func TestNothingLeaves(t *testing.T) {
	knows := map[string]bool{"page": true, "serve.go": true, "start.go": true}
	files := 0
	for _, root := range []string{".", "../../model", "../../solver"} {
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			files++
			fset := token.NewFileSet()
			f, err := parser.ParseFile(fset, path, nil, 0)
			if err != nil {
				return err
			}
			for _, at := range outward(fset, f) {
				t.Errorf("it reaches out: %s", at)
			}
			for _, i := range f.Imports {
				of := strings.Trim(i.Path.Value, `"`)
				if (of == "net" || strings.HasPrefix(of, "net/") && of != "net/url") && !knows[filepath.Base(path)] && !knows[filepath.Dir(path)] {
					t.Errorf("%s imports %s", path, of)
				}
				if i.Name != nil && strings.HasPrefix(of, "net") {
					t.Errorf("%s gives %s another name, by which this test does not know it", path, of)
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if files < 200 {
		t.Errorf("only %d files were read", files)
	}
	fset := token.NewFileSet()
	planted, err := parser.ParseFile(fset, "planted.go", `package p; import ("net"; "net/http"); var c http.Client; func f() { net.Dial("tcp", "x"); http.Get("y"); net.Listen("tcp", "z") }`, 0)
	if err != nil {
		t.Fatal(err)
	}
	if found := outward(fset, planted); len(found) != 3 {
		t.Errorf("of three that reach out these are seen: %v", found)
	}
}

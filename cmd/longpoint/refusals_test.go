package main

import (
	"bytes"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/tools/go/packages"

	"longpoint/cmd/longpoint/manual"
)

// anything stands in a sentence for what differs from time to time.
const anything = "…"

// source is the program's source, read for the sentences in which it refuses something. A sentence is what stands in the field What of a
// model.Error, or is given to errors.New or fmt.Errorf. It is followed back through sums of texts, Sprintf, variables, fields and
// parameters to the texts that it is made of; what is no text of the source is anything.
type source struct {
	packages []*packages.Package
	params   map[string]param         // by the place of its name
	calls    map[string][]call        // by the name, or the place, of what is called
	values   map[string][]assigned    // by the place of a variable or the name of a field
	funcs    map[string]*ast.FuncDecl // by name
	infos    map[string]*types.Info   // of the same
	busy     map[string]bool          // what is being followed, so that nothing goes round
}

// param is a parameter: of which function, and which one.
type param struct {
	of    string
	index int
}

// call is a call with what is needed to read its arguments.
type call struct {
	*ast.CallExpr
	info *types.Info
}

// assigned is what a variable or a field is given.
type assigned struct {
	value ast.Expr
	info  *types.Info
}

// readSource reads the program.
func readSource(t *testing.T) *source {
	t.Helper()
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	all, err := packages.Load(&packages.Config{Dir: root, Mode: packages.NeedName | packages.NeedFiles | packages.NeedCompiledGoFiles | packages.NeedSyntax |
		packages.NeedTypes | packages.NeedTypesInfo | packages.NeedImports}, "./model/...", "./cmd/longpoint/...")
	if err != nil {
		t.Fatal(err)
	}
	s := &source{packages: all, params: map[string]param{}, calls: map[string][]call{}, values: map[string][]assigned{},
		funcs: map[string]*ast.FuncDecl{}, infos: map[string]*types.Info{}, busy: map[string]bool{}}
	for _, p := range all {
		if strings.HasSuffix(p.PkgPath, "/shoptest") {
			continue // for tests only
		}
		for _, e := range p.Errors {
			t.Fatal(e)
		}
		for _, f := range p.Syntax {
			ast.Inspect(f, func(n ast.Node) bool { s.index(p, n); return true })
		}
	}
	return s
}

// place names an object by where it stands: packages see each other's objects in forms of their own.
func place(p *packages.Package, o types.Object) string { return p.Fset.Position(o.Pos()).String() }

// index remembers what a node says of functions, calls and values.
func (s *source) index(p *packages.Package, n ast.Node) {
	info := p.TypesInfo
	switch n := n.(type) {
	case *ast.FuncDecl:
		name := info.Defs[n.Name].(*types.Func).FullName()
		s.funcs[name], s.infos[name] = n, info
		s.parameters(p, name, n.Type)
	case *ast.CallExpr:
		if name := s.callee(p, n.Fun); name != "" {
			s.calls[name] = append(s.calls[name], call{n, info})
		}
	case *ast.AssignStmt:
		for i, left := range n.Lhs {
			if n.Tok == token.ADD_ASSIGN {
				break // a tail, without which a sentence is one too
			}
			if len(n.Rhs) == len(n.Lhs) {
				s.assign(p, left, n.Rhs[i])
			} else if len(n.Rhs) == 1 {
				s.assign(p, left, n.Rhs[0]) // of several results; only strings among them are read
			}
		}
	case *ast.ValueSpec:
		for i, left := range n.Names {
			if i < len(n.Values) {
				s.assign(p, left, n.Values[i])
			}
		}
	case *ast.RangeStmt:
		if n.Value != nil {
			s.assign(p, n.Value, n.X)
		}
	case *ast.CompositeLit:
		s.fields(p, n)
	}
}

// fields remembers what the fields of a literal are given.
func (s *source) fields(p *packages.Package, lit *ast.CompositeLit) {
	t, ok := p.TypesInfo.Types[lit].Type.Underlying().(*types.Struct)
	if !ok {
		return
	}
	for i, e := range lit.Elts {
		if kv, ok := e.(*ast.KeyValueExpr); ok {
			if o := p.TypesInfo.Uses[kv.Key.(*ast.Ident)]; o != nil {
				s.values[place(p, o)] = append(s.values[place(p, o)], assigned{kv.Value, p.TypesInfo})
			}
		} else {
			s.values[place(p, t.Field(i))] = append(s.values[place(p, t.Field(i))], assigned{e, p.TypesInfo})
		}
	}
}

// parameters remembers a function's parameters.
func (s *source) parameters(p *packages.Package, of string, t *ast.FuncType) {
	i := 0
	for _, field := range t.Params.List {
		for _, name := range field.Names {
			s.params[place(p, p.TypesInfo.Defs[name])] = param{of, i}
			i++
		}
		if len(field.Names) == 0 {
			i++
		}
	}
}

// assign remembers what a variable or a field is given; a function literal is called by the variable's place.
func (s *source) assign(p *packages.Package, left, value ast.Expr) {
	o := object(p.TypesInfo, left)
	if o == nil {
		return
	}
	s.values[place(p, o)] = append(s.values[place(p, o)], assigned{value, p.TypesInfo})
	if f, ok := value.(*ast.FuncLit); ok {
		s.parameters(p, place(p, o), f.Type)
	}
}

// object gives what a name or a field stands for.
func object(info *types.Info, e ast.Expr) types.Object {
	switch e := ast.Unparen(e).(type) {
	case *ast.Ident:
		if o := info.Defs[e]; o != nil {
			return o
		}
		return info.Uses[e]
	case *ast.SelectorExpr:
		return info.Uses[e.Sel]
	case *ast.IndexExpr:
		return object(info, e.X)
	}
	return nil
}

// callee names what is called: a function by its full name, a variable by its place.
func (s *source) callee(p *packages.Package, fun ast.Expr) string {
	switch o := object(p.TypesInfo, fun).(type) {
	case *types.Func:
		return o.Origin().FullName()
	case *types.Var:
		return place(p, o)
	}
	return ""
}

// sentences gives every sentence of the source, with a place where it stands.
func (s *source) sentences() map[string]string {
	found := map[string]string{}
	for _, p := range s.packages {
		for _, f := range p.Syntax {
			ast.Inspect(f, func(n ast.Node) bool {
				said := s.said(p, n)
				if said == nil {
					return true
				}
				for _, sentence := range general(s.texts(p, p.TypesInfo, said)) {
					found[sentence] = p.Fset.Position(n.Pos()).String()
				}
				return true
			})
		}
	}
	return found
}

// general leaves out what only says where something is, and sentences that are cases of others.
func general(all []string) []string {
	all = slices.DeleteFunc(slices.Clone(all), func(text string) bool { return letters(text) < fewLetters })
	return slices.DeleteFunc(slices.Clone(all), func(text string) bool {
		return slices.ContainsFunc(all, func(wide string) bool { return wide != text && letters(wide) >= 12 && pattern(wide).MatchString(text) })
	})
}

// pattern matches the cases of a sentence.
func pattern(sentence string) *regexp.Regexp {
	return regexp.MustCompile("^" + strings.ReplaceAll(regexp.QuoteMeta(sentence), anything, ".+") + "$")
}

// said gives what a node says in refusing something, where it does so.
func (s *source) said(p *packages.Package, n ast.Node) ast.Expr {
	switch n := n.(type) {
	case *ast.CompositeLit:
		t := p.TypesInfo.Types[n].Type
		if t == nil || !strings.HasSuffix(strings.TrimPrefix(t.String(), "*"), "longpoint/model.Error") {
			return nil
		}
		for _, e := range n.Elts {
			if kv, ok := e.(*ast.KeyValueExpr); ok && kv.Key.(*ast.Ident).Name == "What" {
				return kv.Value
			}
		}
	case *ast.AssignStmt:
		if isWhat(p.TypesInfo, n.Lhs[0]) && n.Tok == token.ASSIGN {
			return n.Rhs[0]
		}
	case *ast.CallExpr:
		switch s.callee(p, n.Fun) {
		case "errors.New", "fmt.Errorf":
			return n
		case "longpoint/cmd/longpoint/page.refuse": // says it before any page is made
			return n.Args[2]
		}
	}
	return nil
}

// isWhat tells whether an expression is what a model.Error says.
func isWhat(info *types.Info, e ast.Expr) bool {
	field, ok := e.(*ast.SelectorExpr)
	if !ok || field.Sel.Name != "What" {
		return false
	}
	t := info.Types[field.X].Type
	return t != nil && strings.HasSuffix(t.String(), "longpoint/model.Error")
}

// texts gives the texts that an expression can be, anything standing for what is not in the source.
func (s *source) texts(p *packages.Package, info *types.Info, e ast.Expr) []string {
	if v := info.Types[e].Value; v != nil && v.Kind() == constant.String {
		return []string{constant.StringVal(v)}
	}
	switch e := ast.Unparen(e).(type) {
	case *ast.BinaryExpr:
		if e.Op == token.ADD {
			return product(s.parts(p, info, e.X), s.parts(p, info, e.Y))
		}
	case *ast.CallExpr:
		return s.called(p, info, e)
	case *ast.Ident, *ast.SelectorExpr, *ast.IndexExpr:
		if isWhat(info, e) {
			return []string{anything} // of another refusal, which stands in the source too
		}
		if o := object(info, e); o != nil {
			return s.valuesOf(p, place(p, o))
		}
	case *ast.CompositeLit:
		var all []string
		for _, elt := range e.Elts {
			if kv, ok := elt.(*ast.KeyValueExpr); ok {
				elt = kv.Value
			}
			all = append(all, s.texts(p, info, elt)...)
		}
		return all
	}
	return []string{anything}
}

// called gives what a call can give: what a text is put together by, or the results of a function of ours.
func (s *source) called(p *packages.Package, info *types.Info, e *ast.CallExpr) []string {
	name := s.callee(&packages.Package{TypesInfo: info, Fset: p.Fset}, e.Fun)
	switch name {
	case "fmt.Sprintf", "fmt.Errorf":
		return s.formatted(p, info, e)
	case "errors.New":
		return s.texts(p, info, e.Args[0])
	}
	return []string{anything}
}

// formatted gives what a format can become: its verbs are anything, or the texts of the argument where those are known.
func (s *source) formatted(p *packages.Package, info *types.Info, e *ast.CallExpr) (all []string) {
	for _, format := range s.texts(p, info, e.Args[0]) {
		out, next := []string{""}, 1
		parts := verbs.Split(strings.ReplaceAll(format, "%%", perCent), -1)
		for i, part := range parts {
			out = product(out, []string{strings.ReplaceAll(part, perCent, "%")})
			if i+1 == len(parts) {
				break
			}
			with := []string{anything}
			if next < len(e.Args) && !e.Ellipsis.IsValid() && letters(strings.Join(parts, "")) < fewLetters {
				if t, ok := info.Types[e.Args[next]].Type.(*types.Basic); ok && t.Info()&types.IsString != 0 {
					with = s.parts(p, info, e.Args[next])
				}
			}
			next++
			out = product(out, with)
		}
		all = append(all, out...)
	}
	return all
}

// fewLetters is how few letters a format has that says nothing by itself, such as "%s: %s".
const fewLetters = 8

// letters counts the letters of a text.
func letters(text string) (n int) {
	for _, r := range text {
		if unicode.IsLetter(r) {
			n++
		}
	}
	return n
}

// perCent stands for %% while verbs are looked for.
const perCent = "\x00"

var verbs = regexp.MustCompile(`%[-+# 0]*[0-9]*(?:\.[0-9]+)?[a-zA-Z]`)

// valuesOf gives what a variable, field or parameter can be.
func (s *source) valuesOf(p *packages.Package, at string) (all []string) {
	if s.busy[at] {
		return []string{anything}
	}
	s.busy[at] = true
	defer delete(s.busy, at)
	if par, ok := s.params[at]; ok {
		for _, c := range s.calls[par.of] {
			if par.index < len(c.Args) {
				all = append(all, s.texts(p, c.info, c.Args[par.index])...)
			}
		}
	}
	for _, v := range s.values[at] {
		all = append(all, s.texts(p, v.info, v.value)...)
	}
	slices.Sort(all)
	if all = slices.Compact(all); len(all) == 0 {
		return []string{anything}
	}
	return all
}

// parts gives what stands in a sentence in place of an expression. What is a single word, such as the name of a column, and what can be
// very many things, differs from time to time.
func (s *source) parts(p *packages.Package, info *types.Info, e ast.Expr) (all []string) {
	if info.Types[e].Value != nil {
		return s.texts(p, info, e)
	}
	const many = 12
	for _, text := range s.texts(p, info, e) {
		if text == "" {
			text = anything // a variable before it is given something
		}
		if letters(text) > 0 && !strings.Contains(strings.TrimSpace(text), " ") {
			text = anything
		}
		all = append(all, text)
	}
	slices.Sort(all)
	if all = slices.Compact(all); len(all) > many {
		return []string{anything}
	}
	return all
}

// product puts each of the one texts before each of the others.
func product(before, after []string) (all []string) {
	for _, b := range before {
		for _, a := range after {
			all = append(all, strings.ReplaceAll(b+a, anything+anything, anything))
		}
	}
	return all
}

// TestRefusals reads the source and the manual: every sentence in which the program refuses something has its entry, and every entry's
// sentences are said. An entry is a block of code of the language says in a topic, a sentence a line, and the paragraph behind it.
func TestRefusals(t *testing.T) {
	said := readSource(t).sentences()
	told := map[string]string{}
	for _, r := range manual.Refusals() {
		if letters(r.Why) < 40 {
			t.Errorf("%s: %q is not explained", r.Topic, r.Says[0])
		}
		for _, sentence := range r.Says {
			if told[sentence] != "" {
				t.Errorf("%q stands in %s and in %s", sentence, told[sentence], r.Topic)
			}
			told[sentence] = r.Topic
		}
	}
	missing, extra := unlike(said, told)
	for _, sentence := range missing {
		t.Errorf("no topic explains %q (%s)", sentence, said[sentence])
	}
	for _, sentence := range extra {
		t.Errorf("%s explains %q, which is not said any more", told[sentence], sentence)
	}
}

// unlike gives what is only among the keys of the one, and only among those of the other.
func unlike(one, other map[string]string) (onlyOne, onlyOther []string) {
	for _, key := range slices.Sorted(maps.Keys(one)) {
		if _, ok := other[key]; !ok {
			onlyOne = append(onlyOne, key)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(other)) {
		if _, ok := one[key]; !ok {
			onlyOther = append(onlyOther, key)
		}
	}
	return onlyOne, onlyOther
}

// TestOptions: what is wrong with an option is said in our words, with what to write, and is in the manual.
func TestOptions(t *testing.T) {
	for _, row := range []struct{ says, do, typed string }{
		{"there is no option -…", "did you mean --until?", "plan --untill 2027-03-10"},
		{"there is no option -…", "plan --help", "plan --wrong"},
		{"there is no option -…", "plan --help", "plan -q"},
		{"--… needs something behind it", "write --until DATE", "plan --until"},
		{"--… cannot be …", "write a whole number", "order --plan x"},
		{"--… cannot be …", "write a time such as 30s or 5m", "plan --time-limit soon"},
		{"--… cannot be …", "write it without a value", "plan --json=perhaps"},
	} {
		var stdout, stderr bytes.Buffer
		status := run(strings.Fields(row.typed), nil, &stdout, &stderr)
		told := manual.Explain(stderr.String())
		if status != statusUsage || len(told) == 0 || told[0].Sentence != row.says || !strings.Contains(stderr.String(), row.do) {
			t.Errorf("%s: status %d, %s", row.typed, status, stderr.String())
		}
	}
}

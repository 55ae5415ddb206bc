// Package findingtest holds a package of checks to the rules it declares.
package findingtest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// judges are the functions that take the id of a rule as a text of their own.
var judges = map[string]bool{"AtMost": true, "AtLeast": true, "Holds": true, "Ask": true, "on": true}

// Declared fails where the Go files of a directory, the one that declares them apart, judge by a
// rule that is not declared, or judge by none of a declared one; and where one is
// declared twice, or without a title or a family.
func Declared(t *testing.T, dir string, rules []tables.CheckRule) {
	t.Helper()
	used := map[string]bool{}
	for _, r := range rules {
		if _, twice := used[r.ID]; twice || r.Title == "" || r.Family == "" {
			t.Errorf("rule %q stands twice, or without a title or a family: %+v", r.ID, r)
		}
		used[r.ID] = false
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	files := token.NewFileSet()
	for _, e := range entries {
		name := e.Name()
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") || name == "check_rules.go" ||
			name == "rule.go" || name == "fix.go" { // which puts right what others judge
			continue
		}
		file, err := parser.ParseFile(files, dir+"/"+name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			id, judged := ruleOf(n)
			if _, known := used[id]; judged && !known {
				t.Errorf("%v: judges by %q, which is not declared: give it a line in the slice rules of rule.go",
					files.Position(n.Pos()), id)
			}
			if _, known := used[id]; known {
				used[id] = true
			}
			return true
		})
	}
	for id, is := range used {
		if !is {
			t.Errorf("nothing judges by %q: take it out of the slice rules of rule.go, or judge by it", id)
		}
	}
}

// ruleOf returns the text that a node is or judges by, and whether it judges by it.
func ruleOf(n ast.Node) (id string, judged bool) {
	switch n := n.(type) {
	case *ast.KeyValueExpr:
		if key, ok := n.Key.(*ast.Ident); ok && key.Name == "Rule" {
			return literal(n.Value)
		}
	case *ast.CallExpr:
		name := ""
		switch f := n.Fun.(type) {
		case *ast.SelectorExpr:
			name = f.Sel.Name
		case *ast.Ident:
			name = f.Name
		}
		if !judges[name] {
			return "", false
		}
		for _, arg := range n.Args[:min(2, len(n.Args))] {
			if id, ok := literal(arg); ok && !strings.Contains(id, " ") {
				return id, true
			}
		}
	case *ast.BasicLit:
		id, _ = literal(n)
	}
	return id, false
}

func literal(n ast.Expr) (string, bool) {
	lit, ok := n.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return "", false
	}
	text, err := strconv.Unquote(lit.Value)
	return text, err == nil
}

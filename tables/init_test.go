package tables_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// TestNothingRunsOnImport: the package has no init function, and its variables are
// made of constants; the names of errors are the only calls.
func TestNothingRunsOnImport(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Recv == nil && d.Name.Name == "init" {
					t.Errorf("%v: an init function", set.Position(d.Pos()))
				}
			case *ast.GenDecl:
				if d.Tok == token.VAR {
					ast.Inspect(d, func(n ast.Node) bool {
						call, ok := n.(*ast.CallExpr)
						if !ok {
							return true
						}
						f, ok := call.Fun.(*ast.SelectorExpr)
						x, ok2 := ast.Unparen(call.Fun).(*ast.IndexExpr)
						allowed := ok && f.Sel.Name == "New" || ok2 && isTypeFor(x)
						if !allowed {
							t.Errorf("%v: a call when the package is imported", set.Position(call.Pos()))
						}
						return true
					})
				}
			}
		}
	}
}

// isTypeFor reports whether a call is reflect.TypeFor[T](), which the compiler makes a
// constant of.
func isTypeFor(x *ast.IndexExpr) bool {
	s, ok := x.X.(*ast.SelectorExpr)
	return ok && s.Sel.Name == "TypeFor"
}

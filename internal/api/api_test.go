// Package api holds the module's promise of stability: the list of everything
// its public packages export, kept in a file that a test compares.
package api

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/printer"
	"go/token"
	"io/fs"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/golden"
)

// TestExportedAPI fails when a public name appears, changes or goes. A change
// that is meant is written down with -update and gets a line in CHANGELOG.md.
func TestExportedAPI(t *testing.T) {
	var got strings.Builder
	for _, pkg := range public(t) {
		lines, err := exported(filepath.Join("..", "..", pkg))
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range lines {
			got.WriteString("pkg " + pkg + ", " + l + "\n")
		}
	}
	golden.Keep(t, "testdata/api.txt", got.String())
}

// exported returns a line for each exported name of the package in dir, sorted.
func exported(dir string) ([]string, error) {
	fset := token.NewFileSet()
	names, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		return nil, err
	}
	if len(names) == 0 {
		return nil, &fs.PathError{Op: "list", Path: dir, Err: fs.ErrNotExist}
	}
	var out []string
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		ast.FileExports(file)
		for _, decl := range file.Decls {
			switch d := decl.(type) {
			case *ast.FuncDecl:
				d.Body = nil
				out = append(out, text(fset, d))
			case *ast.GenDecl:
				kind := d.Tok.String()
				typ := "" // of a constant that follows the line above it
				for _, spec := range d.Specs {
					switch s := spec.(type) {
					case *ast.TypeSpec:
						out = append(out, kind+" "+text(fset, s))
					case *ast.ValueSpec:
						if s.Type != nil {
							typ = " " + text(fset, s.Type)
						} else if len(s.Values) > 0 {
							typ = ""
						}
						for _, n := range s.Names {
							if n.IsExported() {
								out = append(out, kind+" "+n.Name+typ)
							}
						}
					}
				}
			}
		}
	}
	sort.Strings(out)
	return out, nil
}

// text prints a node on one line.
func text(fset *token.FileSet, node any) string {
	var b bytes.Buffer
	if err := printer.Fprint(&b, fset, node); err != nil {
		return err.Error()
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

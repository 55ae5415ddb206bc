package api

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// promise is what the comment of a type says that many goroutines may use at once.
var promise = regexp.MustCompile(`used by\s+many\s+at\s+once|many\s+may\s+use\s+it\s+at\s+once|shared\s+between\s+goroutines|` +
	`safe\s+for\s+concurrent\s+use`)

// TestSharedTypesSaySo: each type that is made once and then asked says in its comment that
// many may ask it at once, or that it is not to be shared.
func TestSharedTypesSaySo(t *testing.T) {
	shared := slices.Concat(handles, []reflect.Type{reflect.TypeFor[*tables.Table](), reflect.TypeFor[*tables.Rows[int]]()})
	for _, typ := range shared {
		name, _, _ := strings.Cut(typ.Elem().Name(), "[")
		comment := commentOf(t, strings.TrimPrefix(typ.Elem().PkgPath(), module), name)
		if !promise.MatchString(comment) {
			t.Errorf("%v does not say whether many may use it at once: %q", typ, comment)
		}
	}
	if c := commentOf(t, "tables", "Tally"); !strings.Contains(c, "not to be shared") {
		t.Errorf("a tally: %q", c)
	}
}

// commentOf returns the comment of a type of a package.
func commentOf(t *testing.T, pkg, name string) (comment string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("../..", pkg, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range files {
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok {
				continue
			}
			for _, s := range g.Specs {
				if s, ok := s.(*ast.TypeSpec); ok && s.Name.Name == name {
					comment += g.Doc.Text() + s.Doc.Text()
				}
			}
		}
	}
	return comment
}

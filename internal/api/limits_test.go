package api

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"
	"unicode/utf8"
)

// What a function, a line, a package and its comment may be at most.
const (
	maxFunction   = 80  // lines
	maxParameters = 6   // of a function
	maxLine       = 120 // characters, tests left out
	maxTestLine   = 140 // characters
	maxFiles      = 30  // of a package, tests left out
	maxComment    = 60  // lines of a package comment
)

// over is what is known to be more than its limit, and may grow no further.
var over = map[string]int{
	"tests: long lines": 540,
}

// Code stays small enough to be read.
func TestLimits(t *testing.T) {
	files, longTests := map[string]int{}, 0
	check := func(what string, n, most int) {
		known, kept := over[what]
		delete(over, what)
		switch {
		case n > max(most, known):
			t.Errorf("%s: %d, at most %d", what, n, max(most, known))
		case kept && n <= most:
			t.Errorf("%s is within its limit: take it out of the list of what is over", what)
		}
	}
	module := os.DirFS("../..")
	err := fs.WalkDir(module, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || name == "." {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(name, ".go") {
			return nil
		}
		src, err := fs.ReadFile(module, name)
		if err != nil {
			return err
		}
		if strings.HasSuffix(name, "_test.go") {
			longTests += longer(src, maxTestLine)
			return nil
		}
		files[path.Dir(name)]++
		check(name+": long lines", longer(src, maxLine), 0)
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, src, parser.ParseComments)
		if err != nil {
			return err
		}
		check(name+": lines of the package comment", strings.Count(file.Doc.Text(), "\n"), maxComment)
		for _, decl := range file.Decls {
			f, ok := decl.(*ast.FuncDecl)
			if !ok {
				continue
			}
			at := name + ": " + f.Name.Name
			check(at+": lines", set.Position(f.End()).Line-set.Position(f.Pos()).Line+1, maxFunction)
			check(at+": parameters", f.Type.Params.NumFields(), maxParameters)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 20 {
		t.Fatalf("only %d packages were seen", len(files))
	}
	check("tests: long lines", longTests, 0)
	for dir, n := range files {
		check(dir+": files", n, maxFiles)
	}
	for what := range over {
		t.Errorf("%s is known to be over, and is not there", what)
	}
}

// longer counts the lines of a text that have more characters.
func longer(text []byte, most int) (n int) {
	for line := range bytes.SplitSeq(text, []byte("\n")) {
		if utf8.RuneCount(line) > most {
			n++
		}
	}
	return n
}

package files_test

import (
	"io/fs"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/internal/files"
)

func TestInMemory(t *testing.T) {
	fsys, err := files.InMemory(map[string][]byte{"a/b.csv": []byte("x"), "c.csv": nil})
	if err != nil {
		t.Fatal(err)
	}
	if err := fstest.TestFS(fsys, "a/b.csv", "c.csv"); err != nil {
		t.Error(err)
	}
	if text, err := fs.ReadFile(fsys, "a/b.csv"); err != nil || string(text) != "x" {
		t.Errorf("%q, %v", text, err)
	}
}

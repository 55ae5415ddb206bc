// Package files makes an archive, or a file system, of files that lie in memory.
package files

import (
	"archive/zip"
	"bytes"
	"io"
	"io/fs"
	"maps"
	"slices"
)

// Zip writes files by their names as an archive.
func Zip(out io.Writer, files map[string][]byte) error {
	w := zip.NewWriter(out)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f, err := w.Create(name)
		if err != nil {
			return err
		}
		if _, err := f.Write(files[name]); err != nil {
			return err
		}
	}
	return w.Close()
}

// InMemory returns files by their names as a file system: an archive, read back as what it
// holds.
func InMemory(files map[string][]byte) (fs.FS, error) {
	var archive bytes.Buffer
	if err := Zip(&archive, files); err != nil {
		return nil, err
	}
	return zip.NewReader(bytes.NewReader(archive.Bytes()), int64(archive.Len()))
}

// Package files makes a file system of files that lie in memory.
package files

import (
	"archive/zip"
	"bytes"
	"io/fs"
	"maps"
	"slices"
)

// InMemory returns files by their names as a file system: an archive, read back as what it
// holds.
func InMemory(files map[string][]byte) (fs.FS, error) {
	var archive bytes.Buffer
	w := zip.NewWriter(&archive)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f, err := w.Create(name)
		if err != nil {
			return nil, err
		}
		if _, err := f.Write(files[name]); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return zip.NewReader(bytes.NewReader(archive.Bytes()), int64(archive.Len()))
}

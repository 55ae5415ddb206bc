package command

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestProgress: at most a line a second, none in the first, and none where nobody looks.
func TestProgress(t *testing.T) {
	var b strings.Builder
	at := time.Unix(0, 0)
	tell := progress(&b, "fit", func() time.Time { return at })
	for _, later := range []time.Duration{0, 500, 500, 999, 1} {
		at = at.Add(later * time.Millisecond)
		tell(at.UTC().Format("04:05"))
	}
	if want := "fit: 00:01\nfit: 00:02\n"; b.String() != want {
		t.Errorf("%q, want %q", b.String(), want)
	}
	b.Reset()
	if Progress(&b, "fit")("far"); b.Len() > 0 {
		t.Errorf("told to no terminal: %q", &b)
	}
}

// TestTerminal: a device of characters is one, a file, a closed one and what is no file are none.
func TestTerminal(t *testing.T) {
	file, err := os.Create(filepath.Join(t.TempDir(), "told"))
	if err != nil {
		t.Fatal(err)
	}
	device, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	if Terminal(file) || !Terminal(device) || Terminal(&strings.Builder{}) {
		t.Error("only the device is a terminal")
	}
	file.Close()
	device.Close()
	if Terminal(file) || Terminal(device) {
		t.Error("told to what is closed")
	}
}

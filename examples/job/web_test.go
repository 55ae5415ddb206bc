package job

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/internal/legible"
)

// readPage parses a page strictly and fails the test if an id stands twice, a link leads nowhere, or
// the page holds a script or fetches something.
func readPage(t *testing.T, page []byte) map[string]bool {
	t.Helper()
	ids := map[string]bool{}
	var links []string
	d := xml.NewDecoder(bytes.NewReader(page))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		switch e.Name.Local {
		case "script", "link", "iframe", "object", "embed", "image", "img", "use", "base":
			t.Errorf("the page has <%s>", e.Name.Local)
		}
		for _, a := range e.Attr {
			switch name := a.Name.Local; {
			case name == "id":
				if ids[a.Value] {
					t.Errorf("two elements have the id %q", a.Value)
				}
				ids[a.Value] = true
			case name == "href":
				links = append(links, a.Value)
			case name == "src" || strings.HasPrefix(name, "on") || name == "style":
				t.Errorf("<%s> has %s=%q", e.Name.Local, name, a.Value)
			}
		}
	}
	for _, l := range links {
		to, err := url.PathUnescape(strings.TrimPrefix(l, "#"))
		if err != nil || !strings.HasPrefix(l, "#") || !ids[to] {
			t.Errorf("a link leads nowhere: %q (%v)", l, err)
		}
	}
	return ids
}

// pageOf writes the page of a report.
func pageOf(t *testing.T, r *Report) []byte {
	t.Helper()
	var page bytes.Buffer
	if err := r.WritePage(&page); err != nil {
		t.Fatal(err)
	}
	return page.Bytes()
}

// TestPage: the page of the demonstration leads from each finding to its rings and back, and
// holds the drawings, the schedules and the crew page.
func TestPage(t *testing.T) {
	page := pageOf(t, reportOf(t, "", newPrinter(false, false)))
	ids := readPage(t, page)
	for _, want := range []string{"findings", "drawings", "schedules", "crew", "cautions", "finding-1", "plan.4.S1",
		"plan.1.trap-arm-length/GL1", "water.3.WH"} {
		if !ids[want] {
			t.Errorf("nothing has the id %s", want)
		}
	}
	text := string(page)
	for _, want := range []string{`<a href="#plan.1.trap-arm-length/GL1"><bdi>GL1</bdi></a>`, `<a href="#finding-1">`,
		"<caption", `<th scope="col">`,
		"<details>", "@media print", "Content-Security-Policy", "capped for later"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	if !bytes.Equal(page, pageOf(t, reportOf(t, "", newPrinter(false, false)))) {
		t.Error("two pages of one job differ")
	}
	readPage(t, pageOf(t, reportOf(t, "upc-2021", newPrinter(true, false))))
}

// TestPageOfHostileJob: nothing of a layout is markup, steers the writing or breaks a link.
func TestPageOfHostileJob(t *testing.T) {
	long := strings.Repeat("W", 190)
	text := strings.NewReplacer("LONG", long).
		Replace(`{"job": {"name": "</title><script>alert(1)</script> \u202e ` + "\u05d0\u05d1" + `", "code": "ipc-2021"},
 "drainage": {"finished_floor": "100 ft", "slab": "5 in",
  "systems": [{"id": "../<b>\"'&", "kind": "soil",
  "outlet": {"id": "O&amp;", "kind": "sewer", "invert": "97 ft", "at": {"x": "0 ft", "y": "0 ft"}},
  "points": [
   {"id": "LONG", "to": "O&amp;", "at": {"x": "-9 ft", "y": "0 ft"}, 
     "run": {"length": "9 ft", "grade": "1/4 in/ft", "bearing": "90 deg"}},
   {"id": "` + "\u05d7\u05d3\u05e8" + ` 1", "to": "LONG", "at": {"x": "-9 ft", "y": "5 ft"},
     "fixture": {"fixture": "lavatory"},
    "run": {"length": "5 ft", "grade": "1/4 in/ft", "bearing": "180 deg"}},
   {"id": "%41\"onload=x", "to": "LONG", "at": {"x": "-12 ft", "y": "0 ft"}, "fixture": {"fixture": "sink"},
    "run": {"length": "3 ft", "grade": "1/4 in/ft", "bearing": "90 deg"}}]}]}}`)
	j, err := Read(fstest.MapFS{"hostile.json": {Data: []byte(text)}}, "hostile.json", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Report("", Options{})
	if err != nil {
		t.Fatal(err)
	}
	page := pageOf(t, r)
	readPage(t, page)
	for _, bad := range []string{"<script", "\u202e", "<b>\"'&"} {
		if bytes.Contains(page, []byte(bad)) {
			t.Errorf("%q got into the page", bad)
		}
	}
	dir := t.TempDir()
	if _, err := r.WriteDrawings(dir); err != nil {
		t.Fatal(err)
	}
	files, err := os.ReadDir(dir)
	if err != nil || len(files) < 2 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, f := range files {
		svg, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		legible.Check(t, f.Name(), svg)
		if strings.Trim(f.Name(), "abcdefghijklmnopqrstuvwxyz0123456789-.") != "" {
			t.Errorf("a file is called %q", f.Name())
		}
	}
}

// BenchmarkPage is the demonstration from its file to the page with all drawings.
func BenchmarkPage(b *testing.B) {
	for b.Loop() {
		if err := reportOf(b, "", newPrinter(false, false)).WritePage(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

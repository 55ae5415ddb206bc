package job

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/internal/legible"
	"github.com/trapweir/trapweir/slope/draw"
)

// everyJob calls do with every job file of the tests: those of whole jobs, those of drains alone, each
// under a code that its expectations name, and the demonstration.
func everyJob(t *testing.T, do func(name string, r *Report)) {
	t.Helper()
	whole := func(name string, data []byte) {
		j, err := Read(fstest.MapFS{"job.json": {Data: data}}, "job.json", "")
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		r, err := j.Report("", Options{SI: j.Metric("")})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		do(name, r)
	}
	for _, pattern := range []string{"testdata/jobs/*.json", "testdata/plan/*.json"} {
		for _, name := range filesLike(t, pattern) {
			whole(filepath.Base(name), contents(t, name))
		}
	}
	const folder = "../../dwv/drains/testdata/jobs/"
	seen := map[string]bool{}
	for _, name := range filesLike(t, folder+"*.jsonl") {
		for line := range bytes.Lines(contents(t, name)) {
			var c struct{ Job, Code string }
			if err := json.Unmarshal(line, &c); err != nil {
				t.Fatal(err)
			}
			if seen[c.Job] {
				continue
			}
			seen[c.Job] = true
			whole(c.Job, fmt.Appendf(nil, `{"job":{"name":%q,"code":%q},"drainage":%s}`, c.Job, c.Code,
				contents(t, folder+c.Job+".json")))
		}
	}
	do("hall", reportOf(t, "", newPrinter(false, false)))
}

func filesLike(t *testing.T, pattern string) []string {
	t.Helper()
	files, err := filepath.Glob(pattern)
	if err != nil || len(files) == 0 {
		t.Fatalf("no files %s: %v", pattern, err)
	}
	return files
}

func contents(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// TestSheetsOfEveryJob: whatever the job, no text lies over another or over a line of something else
// or is smaller than six points on the paper that its sheet names; every point, vent and fixture is
// on a drawing by its id, and so is every finding about one; all links of the page lead somewhere, its headings
// step down one by one and every head of a table says what it heads.
func TestSheetsOfEveryJob(t *testing.T) {
	jobs, sheets := 0, 0
	everyJob(t, func(name string, r *Report) {
		list, err := figures(r, true)
		if err != nil {
			t.Fatal(err)
		}
		jobs++
		holdAll(t, name, r, list)
		for _, f := range list {
			for i := range f.sheets {
				sheets++
				where := name + ", " + f.name + " " + f.sheets[i].Name
				legible.Check(t, where, f.sheets[i].SVG)
				if !onItsPaper(f.sheets[i].SVG, r.pagePaper()) {
					t.Errorf("%s: not laid out for %v", where, r.pagePaper())
				}
			}
		}
		page := []byte(r.page(list))
		readPage(t, page)
		accessible(t, name, page)
	})
	t.Logf("%d jobs, %d sheets", jobs, sheets)
	if jobs < 300 {
		t.Errorf("only %d jobs", jobs)
	}
}

// onItsPaper tells whether a sheet is as large as its paper, and names it.
func onItsPaper(svg []byte, p draw.Paper) bool {
	is := map[draw.Paper][2]string{
		draw.Letter: {`width="792pt" height="612pt"`, "Paper: letter, 11"},
		draw.A4:     {`width="841.89pt" height="595.28pt"`, "Paper: A4, 297"},
	}[p]
	return is[0] != "" && bytes.Contains(svg, []byte(is[0])) && bytes.Contains(svg, []byte(is[1]))
}

// accessible fails the test if the headings of a page skip a level, a head of a table does not say what
// it heads, a table has no caption, or a drawing no name.
func accessible(t *testing.T, name string, page []byte) {
	t.Helper()
	level := 0
	for _, tag := range bytes.Split(page, []byte("<"))[1:] {
		text := string(tag[:max(bytes.IndexByte(tag, '>'), 0)])
		word, _, _ := strings.Cut(text, " ")
		switch {
		case len(word) == 2 && word[0] == 'h' && word[1] >= '1' && word[1] <= '6':
			if now := int(word[1] - '0'); now > level+1 {
				t.Errorf("%s: heading %d after heading %d: %s", name, now, level, tag)
			} else {
				level = now
			}
		case word == "th" && !strings.Contains(text, "scope="):
			t.Errorf("%s: <%s>", name, text)
		}
	}
	count := func(s string) int { return bytes.Count(page, []byte(s)) }
	if count("<table") != count("<caption") {
		t.Errorf("%s: %d tables, %d captions", name, count("<table"), count("<caption"))
	}
	if count("<svg") != count("<figcaption") || count("<svg") > count("<title>")-1 || count("<h1") != 1 {
		t.Errorf("%s: %d drawings, %d captions, %d titles, %d first headings", name, count("<svg"), count("<figcaption"),
			count("<title>"), count("<h1"))
	}
	for _, link := range bytes.Split(page, []byte(`<a href="#finding-`))[1:] { // a ring is called by its finding
		if _, in, _ := bytes.Cut(link, []byte(">")); bytes.HasPrefix(in, []byte("<path")) {
			t.Errorf("%s: the ring of finding %.20s has no title of its own", name, link)
		}
	}
	if !slices.Contains(strings.Split(string(page[:200]), " "), `lang="en"><head><meta`) {
		t.Errorf("%s: the page does not say its language", name)
	}
}

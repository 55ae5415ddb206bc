// Command cost prints what the library costs on the machine it runs on, in one run:
// first its hot paths beside the least that the same work can cost (a bare formula, a
// binary search, encoding/json), then how time and memory grow with the work. Figures of
// time mean little from machine to machine; the ratios and the growth are what counts.
//
//	go run ./internal/cost            both tables, about two minutes
//	go run ./internal/cost -growth=false
package main

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"text/tabwriter"
)

// A pair is a benchmark with two halves named ours and floor.
type pair struct{ what, pkg, benchmark, floor string }

var pairs = []pair{
	{"friction, one call", "supply/hydraulics", "HazenWilliams/one-shot", "the bare formula, two powers"},
	{"friction, pipe prepared", "supply/hydraulics", "HazenWilliams/prepared", "one power"},
	{"Colebrook friction factor", "supply/hydraulics", "Colebrook", "Newton on the formula"},
	{"full pipe, Manning", "dwv/gravity", "Manning", "the bare formula"},
	{"normal depth", "dwv/gravity", "NormalDepth", "Halley, no checks"},
	{"fixtures in use, of 100", "supply/simultaneous", "FixturesInUse/n=100", "sum of a recurrence"},
	{"load of a fixture", "dwv", "FixtureLoad", "a map"},
	{"size of a drain", "dwv", "DrainSize", "a binary search"},
	{"length from text", "units", "Parse", "a loop over digits"},
	{"length to text", "units", "Append", "a loop over digits"},
	{"fall of a grade", "slope", "GradeOver", "a quotient, neither rounded nor safe"},
	{"inverts of 1 000 points", "slope", "Inverts/n=1000", "one pass over integers"},
	{"drains, 100 000 points", "dwv/drains", "Layout", "a map of names and one pass"},
	{"water, 100 000 points", "supply", "Analyse", "a map of names and two passes"},
	{"reading 10 000 points", "dwv/drains", "Decode", "encoding/json"},
	{"the whole shelf", "tables", "Shelf", "encoding/csv"},
	{"one table", "tables", "Load", "encoding/csv"},
}

// Packages with a BenchmarkGrowth of parts named WHAT/n=N.
var growing = []string{"dwv/drains", "supply", "slope/draw"}

// A result is a line that go test prints of a benchmark.
type result struct {
	name              string
	ns, bytes, allocs float64
}

func main() {
	growth := flag.Bool("growth", true, "print how cost grows with the work as well")
	flag.Parse()
	err := printRatios()
	if err == nil && *growth {
		err = printGrowth()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "cost:", err)
		os.Exit(1)
	}
}

func printRatios() error {
	names := map[string][]string{} // of the benchmarks, by package
	for _, p := range pairs {
		top, _, _ := strings.Cut(p.benchmark, "/")
		names[p.pkg] = append(names[p.pkg], top)
	}
	found := map[string]map[string]result{}
	for pkg, tops := range names {
		results, err := run(pkg, "^Benchmark("+strings.Join(tops, "|")+")$", "300ms")
		if err != nil {
			return err
		}
		found[pkg] = map[string]result{}
		for _, r := range results {
			found[pkg][r.name] = r
		}
	}
	w := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "work\tours\tfloor\tratio\tallocations\tthe floor is")
	for _, p := range pairs {
		ours, ok := found[p.pkg][p.benchmark+"/ours"]
		floor, ok2 := found[p.pkg][p.benchmark+"/floor"]
		if !ok || !ok2 {
			return fmt.Errorf("%s: benchmark %s has no two parts named ours and floor", p.pkg, p.benchmark)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%.2g\t%.0f\t%s\n", p.what, duration(ours.ns), duration(floor.ns),
			ours.ns/floor.ns, ours.allocs, p.floor)
	}
	return w.Flush()
}

func printGrowth() error {
	w := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\nwork\tof them\ttime\tfor each\tbytes for each\tallocations for each\t")
	for _, pkg := range growing {
		results, err := run(pkg, "^BenchmarkGrowth$", "1x")
		if err != nil {
			return err
		}
		for _, r := range results {
			what, count, _ := strings.Cut(strings.TrimPrefix(r.name, "Growth/"), "/n=")
			n, err := strconv.ParseFloat(count, 64)
			if err != nil {
				return fmt.Errorf("%s: benchmark %s does not end in /n=NUMBER", pkg, r.name)
			}
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%.0f\t%.2g\t\n", strings.ReplaceAll(what, "-", " "), count,
				duration(r.ns), duration(r.ns/n), r.bytes/n, r.allocs/n)
		}
	}
	return w.Flush()
}

// run runs benchmarks of a package of this module.
func run(pkg, pattern, long string) ([]result, error) {
	cmd := exec.Command("go", "test", "-run", "^$", "-bench", pattern, "-benchmem", "-benchtime", long, "./"+pkg)
	var faults bytes.Buffer
	cmd.Stderr = &faults
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go test ./%s: %w\n%s%s", pkg, err, out, faults.Bytes())
	}
	var results []result
	for lines := bufio.NewScanner(bytes.NewReader(out)); lines.Scan(); {
		f := strings.Fields(lines.Text())
		if len(f) < 4 || !strings.HasPrefix(f[0], "Benchmark") {
			continue
		}
		r := result{name: strings.TrimPrefix(f[0], "Benchmark")}
		if i := strings.LastIndexByte(r.name, '-'); i > strings.LastIndexByte(r.name, '/') {
			r.name = r.name[:i] // the count of processors
		}
		for i := 2; i+1 < len(f); i += 2 {
			v, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", lines.Text(), err)
			}
			switch f[i+1] {
			case "ns/op":
				r.ns = v
			case "B/op":
				r.bytes = v
			case "allocs/op":
				r.allocs = v
			}
		}
		results = append(results, r)
	}
	return results, nil
}

func duration(ns float64) string {
	switch {
	case ns >= 1e9:
		return fmt.Sprintf("%.2g s", ns/1e9)
	case ns >= 1e6:
		return fmt.Sprintf("%.3g ms", ns/1e6)
	case ns >= 1e3:
		return fmt.Sprintf("%.3g µs", ns/1e3)
	}
	return fmt.Sprintf("%.3g ns", ns)
}

package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCommandLine: help is no failure; flags stand before or after the file; what cannot be read
// is told with the program and the file.
func TestCommandLine(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "shed.json")
	if err := os.WriteFile(file, []byte(slipJob), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args     []string
		status   int
		out, err string
	}{
		{[]string{"-h"}, 0, "Exit status: 0 the report was printed", ""},
		{[]string{"-h"}, 0, "underslab -code ipc-2021 -width 78 hall.json", ""},
		{[]string{file, "-permit"}, 0, "Permit sheet", ""},
		{[]string{"-permit", file}, 0, "Permit sheet", ""},
		{[]string{"-code", "asnzs3500-2", file}, 0, " mm", ""}, // its pipe is named in millimetres
		{[]string{"-code", "asnzs3500-2", "-units", "us", file}, 0, " in", ""},
		{[]string{file, "-strict"}, 1, "FAIL", ""},
		{[]string{file, file}, 2, "", "one file too many"},
		{[]string{"-units", "ell", file}, 2, "", `underslab: invalid value "ell" for flag -units: choose us or si`},
		{[]string{"-nonsense"}, 2, "", "-nonsense"},
		{[]string{filepath.Join(dir, "no.json")}, 2, "", "underslab: no.json: no such file"},
		{[]string{dir}, 2, "", "underslab: "},
		{[]string{"-code", "ipc-1066", file}, 2, "", "ipc-1066"},
	} {
		var stdout, stderr bytes.Buffer
		if got := run(t.Context(), c.args, &stdout, &stderr); got != c.status || !strings.Contains(stdout.String(), c.out) ||
			!strings.Contains(stderr.String(), c.err) || c.err == "" && stderr.Len() > 0 {
			t.Errorf("%v: status %d, want %d: %s %.300s", c.args, got, c.status, stderr.String(), stdout.String())
		}
	}
}

// TestInterrupted: a report that was called off says so, and prints nothing.
func TestInterrupted(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var stdout, stderr bytes.Buffer
	if status := run(ctx, nil, &stdout, &stderr); status != 2 || stdout.Len() > 0 ||
		!strings.Contains(stderr.String(), "stopped ") {
		t.Errorf("status %d: %s %.300s", status, stderr.String(), stdout.String())
	}
}

// TestFilesOfAnotherReport: drawings and tables in the folder that are not of this report are
// named, so that nobody hands them out; they are not deleted, for they may be somebody
// else's.
func TestFilesOfAnotherReport(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"profile-9.svg", "old.csv", "notes.txt"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	var stdout, stderr bytes.Buffer
	if status := run(t.Context(), []string{"-svg", dir, "-csv", dir}, &stdout, &stderr); status != 0 {
		t.Fatalf("status %d: %s", status, stderr.String())
	}
	want := "underslab: " + dir + " also holds what is not of this report: profile-9.svg\n" +
		"underslab: " + dir + " also holds what is not of this report: old.csv\n"
	if stderr.String() != want {
		t.Errorf("got %s, want %s", stderr.String(), want)
	}
}

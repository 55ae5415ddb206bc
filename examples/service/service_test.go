package main

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/internal/command"
	"github.com/trapweir/trapweir/internal/golden"
)

// TestGolden keeps what a client is answered: the verdict on the job that -new of underslab
// prints, the faults of one that cannot be read, the codes to choose from.
func TestGolden(t *testing.T) {
	h := newHandler(usual, slog.New(slog.DiscardHandler))
	wrong := bytes.Replace(job.Start(), []byte(`"finished_floor"`), []byte(`"finnished_floor"`), 1)
	var text strings.Builder
	for _, ask := range []struct {
		method, target string
		body           []byte
	}{
		{"POST", "/v1/findings", job.Start()},
		{"POST", "/v1/findings?code=upc-2021&units=si", job.Start()},
		{"POST", "/v1/report", wrong},
		{"POST", "/v1/report?code=no-such-code", job.Start()},
		{"PUT", "/v1/report", nil},
		{"GET", "/v1/codes", nil},
	} {
		w := serve(h, ask.method, ask.target, "application/json", ask.body)
		fmt.Fprintf(&text, "%s %s\n%d %s\n%s\n\n", ask.method, ask.target, w.Code, w.Header().Get("Content-Type"),
			bytes.TrimSpace(w.Body.Bytes()))
	}
	golden.Keep(t, "testdata/answers.txt", text.String())
}

var usual = limits{size: 1 << 20, time: 10 * time.Second, wait: time.Second, atOnce: 4}

func hall(t testing.TB) []byte {
	t.Helper()
	// Amendments are folders, which no request may name.
	data, err := os.ReadFile("../underslab/hall/hall.json")
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Replace(data, []byte(`"amendments": ["town"]`), []byte(`"amendments": []`), 1)
}

func serve(h http.Handler, method, target, kind string, body []byte) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, target, bytes.NewReader(body))
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestAnswers(t *testing.T) {
	var logged bytes.Buffer
	h := newHandler(usual, slog.New(slog.NewJSONHandler(&logged, nil)))
	data := hall(t)
	w := serve(h, "POST", "/v1/report?units=si", "application/json", data)
	var r struct {
		Counts job.Counts
		Job    struct{ Units string }
	}
	if err := json.Unmarshal(w.Body.Bytes(), &r); err != nil || w.Code != 200 || r.Counts.Fail == 0 ||
		r.Job.Units != "si" {
		t.Errorf("report: %d %v %+v", w.Code, err, r)
	}
	var v struct {
		Counts   job.Counts
		Findings struct{ Fail, Ask []job.FindingRow }
		Cautions []string
	}
	w = serve(h, "POST", "/v1/findings?code=upc-2021", "application/json", job.Start())
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil || v.Counts.Ask != len(v.Findings.Ask) ||
		v.Counts.Pass == 0 || len(v.Cautions) == 0 {
		t.Errorf("findings: %v %+v", err, v)
	}
	if w := serve(h, "POST", "/v1/text", "", data); w.Code != 200 ||
		!strings.Contains(w.Body.String(), "Village pottery hall") {
		t.Errorf("text: %d", w.Code)
	}
	fields := url.Values{"job": {string(data)}, "units": {"si"}, "code": {""}}.Encode()
	w = serve(h, "POST", "/", "application/x-www-form-urlencoded", []byte(fields))
	if w.Code != 200 || !strings.Contains(w.Body.String(), "<svg") || strings.Contains(w.Body.String(), "<script") {
		t.Errorf("page: %d", w.Code)
	}
	if w := serve(h, "GET", "/", "", nil); w.Code != 200 || !strings.Contains(w.Body.String(), "upc-2021") ||
		w.Header().Get("Content-Security-Policy") == "" {
		t.Errorf("form: %d", w.Code)
	}
	for target, want := range map[string]string{"/v1/drawings": "plan.svg", "/v1/schedules": "drains.csv"} {
		w := serve(h, "POST", target, "application/json", data)
		z, err := zip.NewReader(bytes.NewReader(w.Body.Bytes()), int64(w.Body.Len()))
		if err != nil || !slices.ContainsFunc(z.File, func(f *zip.File) bool { return f.Name == want }) {
			t.Errorf("%s: %d %v", target, w.Code, err)
		}
	}
	for target, want := range map[string]string{"/v1/codes": `"water"`, "/v1/schema": "$schema", "/v1/alive": "alive"} {
		if w := serve(h, "GET", target, "", nil); w.Code != 200 || !strings.Contains(w.Body.String(), want) {
			t.Errorf("%s: %d", target, w.Code)
		}
	}
	if strings.Contains(logged.String(), "ottery") || strings.Contains(logged.String(), "units=si") {
		t.Errorf("the log holds what a job says: %s", logged.String())
	}
	if n := strings.Count(logged.String(), `"msg":"served"`); n != 10 {
		t.Errorf("%d lines in the log", n)
	}
}

func TestRefusals(t *testing.T) {
	h := newHandler(usual, slog.New(slog.DiscardHandler))
	amended, err := os.ReadFile("../underslab/hall/hall.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, method, target, kind string
		body                       []byte
		status                     int
		want                       string
	}{
		{"no job", "POST", "/v1/report", "", nil, 422, "faults"},
		{"cut short", "POST", "/v1/report", "", []byte(`{"job":`), 422, `"line":1`},
		{"amendments", "POST", "/v1/report", "", amended, 422, "amendments"},
		{"unknown code", "POST", "/v1/report?code=no-such", "", job.Start(), 422, "no-such"},
		{"unknown units", "POST", "/v1/report?units=rods", "", job.Start(), 422, "us or si"},
		{"another kind", "POST", "/v1/report", "image/png", job.Start(), 415, "application/json"},
		{"too big", "POST", "/v1/report", "", bytes.Repeat([]byte(" "), 1<<20+1), 413, "Too Large"},
		{"a code that is a path", "POST", "/v1/report?code=../../etc", "", job.Start(), 422, "faults"},
		{"another method", "GET", "/v1/report", "", nil, 405, ""},
		{"nothing there", "GET", "/etc/passwd", "", nil, 404, ""},
	} {
		w := serve(h, tt.method, tt.target, tt.kind, tt.body)
		if w.Code != tt.status || !strings.Contains(w.Body.String(), tt.want) {
			t.Errorf("%s: %d %s", tt.name, w.Code, w.Body)
		}
	}
}

// TestBusy turns a job away where the others do not end, and one that takes too long.
func TestBusy(t *testing.T) {
	h := newHandler(limits{size: 1 << 20, time: time.Minute, wait: 10 * time.Millisecond, atOnce: 1},
		slog.New(slog.DiscardHandler))
	h.turns <- struct{}{}
	if w := serve(h, "POST", "/v1/findings", "", job.Start()); w.Code != 503 || w.Header().Get("Retry-After") == "" {
		t.Errorf("while another is in hand: %d %s", w.Code, w.Body)
	}
	<-h.turns
	h.time = time.Nanosecond
	if w := serve(h, "POST", "/v1/findings", "", hall(t)); w.Code != 503 {
		t.Errorf("too long: %d", w.Code)
	}
	h.turns <- struct{}{} // the work ended, and gave its turn back
	<-h.turns
	bad := h.judge(answer{write: func(*job.Report, io.Writer) error { panic("secret of a job") }})
	var logged bytes.Buffer
	h.log, h.time = slog.New(slog.NewJSONHandler(&logged, nil)), time.Minute
	h.mux.HandleFunc("POST /panic", bad)
	if w := serve(h, "POST", "/panic", "", job.Start()); w.Code != 422 ||
		strings.Contains(logged.String()+w.Body.String(), "secret") {
		t.Errorf("panic: %d %s %s", w.Code, w.Body, logged.String())
	}
}

// TestRun starts the program, asks it something and interrupts it.
func TestRun(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	at := make(chan net.Addr, 1)
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"-listen", "127.0.0.1:0"}, io.Discard, io.Discard, func(a net.Addr) { at <- a })
	}()
	target := "http://" + (<-at).String()
	res, err := http.Post(target+"/v1/findings", "application/json", bytes.NewReader(job.Start()))
	if err != nil {
		t.Fatal(err)
	}
	if res.Body.Close(); res.StatusCode != 200 {
		t.Error(res.Status)
	}
	stop()
	select {
	case status := <-ended:
		if status != command.Done {
			t.Errorf("status %d", status)
		}
	case <-time.After(20 * time.Second):
		t.Error("it does not end")
	}
	var out, errs bytes.Buffer
	for want, args := range map[string][]string{"-size": {"-size", "0"}, "-wide": {"-wide"}, "one file": {"job.json"},
		"listen": {"-listen", "256.0.0.1:1"}} {
		if status := run(context.Background(), args, &out, &errs, nil); status != command.Refused ||
			!strings.Contains(errs.String(), want) {
			t.Errorf("%v: %d %s", args, status, errs.String())
		}
	}
	if status := run(ctx, []string{"-h"}, &out, &errs, nil); status != command.Done ||
		!strings.Contains(out.String(), line.Example) {
		t.Errorf("-h: %d", status)
	}
}

// FuzzHandler: whatever is sent, each answer is one that the service gives, and none tells of
// a file.
func FuzzHandler(f *testing.F) {
	f.Add("POST", "/v1/findings", "application/json", job.Start())
	f.Add("POST", "/", "application/x-www-form-urlencoded", []byte("job=%7B%7D&units=si"))
	f.Add("POST", "/v1/page?code=upc-2021", "", hall(f))
	f.Add("GET", "/v1/codes", "", []byte{})
	h := newHandler(usual, slog.New(slog.DiscardHandler))
	f.Fuzz(func(t *testing.T, method, target, kind string, body []byte) {
		u, err := url.ParseRequestURI(target)
		if err != nil || !strings.HasPrefix(target, "/") || method == "" ||
			strings.ContainsAny(method, " \t\r\n/\"(),:;<=>?@[\\]{}") {
			return
		}
		r, err := http.NewRequest(method, u.String(), bytes.NewReader(body))
		if err != nil {
			return
		}
		r.Header.Set("Content-Type", kind)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		switch w.Code {
		case 200, 301, 307, 308, 404, 405, 413, 415, 422:
		default:
			t.Errorf("%s %s: %d %s", method, target, w.Code, w.Body)
		}
		if strings.Contains(w.Body.String(), "no such file") && !strings.Contains(string(body), "no such file") {
			t.Errorf("it looked for a file: %s", w.Body)
		}
	})
}

// BenchmarkService asks a service on loopback from many connections at once.
func BenchmarkService(b *testing.B) {
	server := httptest.NewServer(newHandler(limits{size: 1 << 20, time: time.Minute, wait: time.Minute, atOnce: 4},
		slog.New(slog.DiscardHandler)))
	defer server.Close()
	for name, data := range map[string][]byte{"start": job.Start(), "hall": hall(b)} {
		for _, what := range []string{"findings", "page"} {
			b.Run(name+"/"+what, func(b *testing.B) {
				took := make(chan time.Duration, b.N)
				b.SetParallelism(8)
				b.RunParallel(func(pb *testing.PB) {
					for pb.Next() {
						start := time.Now()
						res, err := http.Post(server.URL+"/v1/"+what, "application/json", bytes.NewReader(data))
						if err != nil {
							b.Error(err)
							return
						}
						_, _ = io.Copy(io.Discard, res.Body)
						if res.Body.Close(); res.StatusCode != 200 {
							b.Error(res.Status)
						}
						took <- time.Since(start)
					}
				})
				close(took)
				var all []time.Duration
				for d := range took {
					all = append(all, d)
				}
				slices.Sort(all)
				b.ReportMetric(float64(len(all))/b.Elapsed().Seconds(), "jobs/s")
				b.ReportMetric(float64(all[len(all)*99/100].Milliseconds()), "p99-ms")
			})
		}
	}
}

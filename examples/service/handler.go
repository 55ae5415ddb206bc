package main

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io"
	"log/slog"
	"mime"
	"net/http"
	"net/url"
	"runtime/debug"
	"strings"
	"sync/atomic"
	"time"

	"github.com/trapweir/trapweir/examples/job"
	"github.com/trapweir/trapweir/tables"
)

//go:embed form.html
var form string

// limits hold what one request, and all of them together, may ask.
type limits struct {
	size   int64         // bytes of a job
	time   time.Duration // of work on it
	wait   time.Duration // for its turn
	atOnce int
}

// handler serves jobs. It keeps nothing of one for the next.
type handler struct {
	limits
	log   *slog.Logger
	turns chan struct{}
	count atomic.Uint64
	jobs  job.Reader // loads each code once
	mux   *http.ServeMux
}

func newHandler(l limits, log *slog.Logger) *handler {
	h := &handler{limits: l, log: log, turns: make(chan struct{}, l.atOnce), mux: http.NewServeMux()}
	h.mux.HandleFunc("GET /{$}", h.page)
	for path, a := range answers {
		h.mux.HandleFunc("POST "+path, h.judge(a))
	}
	h.mux.HandleFunc("GET /v1/codes", func(w http.ResponseWriter, _ *http.Request) {
		codes, err := job.Codes(tables.Embedded())
		send(w, codes, err)
	})
	h.mux.HandleFunc("GET /v1/schema", func(w http.ResponseWriter, _ *http.Request) {
		text, err := job.Schema()
		send(w, json.RawMessage(text), err)
	})
	h.mux.HandleFunc("GET /v1/alive", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprintln(w, "alive") })
	return h
}

// answer is what is made of a report. It is whole before the first byte of it goes out.
type answer struct {
	kind  string // media type
	name  string // of a file to be saved, if it is one
	write func(*job.Report, io.Writer) error
}

const asJSON, asPage = "application/json", "text/html; charset=utf-8"

// answers are what a job is sent for, by the path that it is sent to.
var answers = map[string]answer{
	"/{$}":          {asPage, "", (*job.Report).WritePage},
	"/v1/report":    {asJSON, "", (*job.Report).WriteJSON},
	"/v1/findings":  {asJSON, "", writeFindings},
	"/v1/text":      {"text/plain; charset=utf-8", "", (*job.Report).Print},
	"/v1/page":      {asPage, "", (*job.Report).WritePage},
	"/v1/drawings":  {"application/zip", "drawings.zip", (*job.Report).ZipDrawings},
	"/v1/schedules": {"application/zip", "schedules.zip", (*job.Report).ZipSchedules},
}

// writeFindings writes the verdict alone.
func writeFindings(r *job.Report, w io.Writer) error {
	return json.NewEncoder(w).Encode(map[string]any{"counts": r.Counts, "findings": r.Findings,
		"not_judged": r.NotJudged, "cautions": r.Cautions})
}

// ServeHTTP serves a request and notes that it did: when, what was asked, how it ended, how
// long it took; never what the job holds.
func (h *handler) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	start, id := time.Now(), h.count.Add(1)
	seen := &recorder{ResponseWriter: w}
	defer func() {
		if p := recover(); p != nil { // the kind alone: what it prints may hold the job
			h.log.Error("panic", "request", id, "kind", fmt.Sprintf("%T", p), "stack", string(debug.Stack()))
			if seen.status == 0 {
				fail(seen, http.StatusInternalServerError, errors.New("the job could not be worked"))
			}
		}
		h.log.Info("served", "request", id, "method", r.Method, "pattern", r.Pattern, "status", seen.status,
			"in", max(r.ContentLength, 0), "out", seen.size, "ms", time.Since(start).Milliseconds())
	}()
	head := w.Header()
	head.Set("X-Content-Type-Options", "nosniff")
	head.Set("Referrer-Policy", "no-referrer")
	head.Set("Cache-Control", "no-store")
	head.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; "+
		"frame-ancestors 'none'; base-uri 'none'")
	h.mux.ServeHTTP(seen, r)
}

// recorder remembers the status and the size of what is sent.
type recorder struct {
	http.ResponseWriter
	status, size int
}

func (w *recorder) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
	w.ResponseWriter.WriteHeader(status)
}

func (w *recorder) Write(p []byte) (int, error) {
	if w.status == 0 {
		w.status = http.StatusOK
	}
	n, err := w.ResponseWriter.Write(p)
	w.size += n
	return n, err
}

// fail sends an error, with the faults of a job each in its place.
func fail(w http.ResponseWriter, status int, err error) {
	w.Header().Set("Content-Type", asJSON)
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(map[string]any{"error": http.StatusText(status), "faults": job.Faults(err)})
}

// statusOf tells how an error is told to a client.
func statusOf(err error) int {
	var tooBig *http.MaxBytesError
	switch {
	case errors.As(err, &tooBig):
		return http.StatusRequestEntityTooLarge
	case errors.Is(err, errBusy), errors.Is(err, context.DeadlineExceeded):
		return http.StatusServiceUnavailable
	case errors.Is(err, errKind):
		return http.StatusUnsupportedMediaType
	}
	return http.StatusUnprocessableEntity
}

var (
	errBusy = errors.New("too many jobs at once: ask again in a little while")
	errKind = errors.New("send the job as application/json, or the form of the first page")
)

// judge reads a job, works its report within the limits and sends what is made of it.
func (h *handler) judge(a answer) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		ctx, stop := context.WithTimeout(r.Context(), h.time)
		defer stop()
		data, query, err := h.read(w, r)
		if err == nil {
			err = h.turn(r.Context())
		}
		if err != nil {
			if statusOf(err) == http.StatusServiceUnavailable {
				w.Header().Set("Retry-After", "2")
			}
			fail(w, statusOf(err), err)
			return
		}
		type result struct {
			body []byte
			err  error
		}
		done := make(chan result, 1)
		go func() { // a turn is over when the work is, even where nobody waits for it any more
			defer func() { <-h.turns }()
			defer func() {
				if p := recover(); p != nil {
					h.log.Error("panic", "kind", fmt.Sprintf("%T", p), "stack", string(debug.Stack()))
					done <- result{nil, errors.New("the job could not be worked")}
				}
			}()
			body, err := h.work(ctx, data, query, a)
			done <- result{body, err}
		}()
		select {
		case <-ctx.Done():
			fail(w, http.StatusServiceUnavailable, fmt.Errorf("the job takes longer than %v: %w", h.time, ctx.Err()))
		case x := <-done:
			if x.err != nil {
				fail(w, statusOf(x.err), x.err)
				return
			}
			w.Header().Set("Content-Type", a.kind)
			if a.name != "" {
				w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": a.name}))
			}
			_, _ = w.Write(x.body)
		}
	}
}

// read takes the job and the choices out of a request.
func (h *handler) read(w http.ResponseWriter, r *http.Request) ([]byte, url.Values, error) {
	body := http.MaxBytesReader(w, r.Body, h.size)
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	switch kind {
	case "", "application/json", "text/plain", "application/octet-stream":
	case "application/x-www-form-urlencoded":
		if r.URL.Path != "/" { // what a tool sends when it is not told otherwise
			break
		}
		text, err := io.ReadAll(body)
		if err != nil {
			return nil, nil, err
		}
		values, err := url.ParseQuery(string(text))
		return []byte(values.Get("job")), values, err
	default:
		return nil, nil, errKind
	}
	data, err := io.ReadAll(body)
	return data, r.URL.Query(), err
}

// turn waits until fewer than the limit are at work.
func (h *handler) turn(ctx context.Context) error {
	wait := time.NewTimer(h.wait)
	defer wait.Stop()
	select {
	case h.turns <- struct{}{}:
		return nil
	case <-wait.C:
		return errBusy
	case <-ctx.Done():
		return ctx.Err()
	}
}

// work reads a job and makes of its report what is asked.
func (h *handler) work(ctx context.Context, data []byte, query url.Values, a answer) ([]byte, error) {
	code, units := query.Get("code"), query.Get("units")
	if units != "" && units != "us" && units != "si" {
		return nil, fmt.Errorf("units %q: choose us or si", units)
	}
	j, err := h.jobs.ParseContext(ctx, "job", data, code)
	if err != nil {
		return nil, err
	}
	r, err := j.ReportContext(ctx, code, job.Options{SI: units == "si"})
	if err != nil {
		return nil, err
	}
	var body bytes.Buffer
	err = a.write(r.WithContext(ctx), &body)
	return body.Bytes(), err
}

// page sends the form, with the codes to choose from.
func (h *handler) page(w http.ResponseWriter, _ *http.Request) {
	var options strings.Builder
	codes, err := job.Codes(tables.Embedded())
	if err != nil {
		fail(w, http.StatusInternalServerError, err)
		return
	}
	for _, c := range codes.Drains {
		fmt.Fprintf(&options, "<option value=\"%s\">%s</option>", html.EscapeString(c.ID), html.EscapeString(c.Title))
	}
	w.Header().Set("Content-Type", asPage)
	start := html.EscapeString(string(job.Start()))
	fmt.Fprint(w, strings.NewReplacer("{{codes}}", options.String(), "{{job}}", start).Replace(form))
}

// send sends what is the same for everybody.
func send(w http.ResponseWriter, x any, err error) {
	if err != nil {
		fail(w, http.StatusInternalServerError, err)
		return
	}
	w.Header().Set("Content-Type", asJSON)
	_ = json.NewEncoder(w).Encode(x)
}

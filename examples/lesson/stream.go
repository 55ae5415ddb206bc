package lesson

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/units"
)

// maxLine is the longest line that is read, in bytes.
const maxLine = 1 << 20

// options are what the flags choose.
type options struct {
	working bool
	probing bool // a line tried under another code
	shelf   *codes
}

// run answers the problems of in, a line each, on out. It holds one line at a
// time. It reports whether every line was answered; its error is one of reading
// or writing.
func run(in io.Reader, out io.Writer, opt options) (ok bool, err error) {
	r := bufio.NewReaderSize(in, 64<<10)
	w := bufio.NewWriterSize(out, 64<<10)
	var line, reply, safe []byte
	ok = true
	for number := 1; ; number++ {
		var tooLong bool
		line, tooLong, err = readLine(r, line[:0])
		if err != nil && !(errors.Is(err, io.EOF) && (len(line) > 0 || tooLong)) {
			break
		}
		trimmed := bytes.TrimSpace(line)
		if number == 1 {
			trimmed = bytes.TrimPrefix(trimmed, []byte("\ufeff"))
		}
		if !tooLong && (len(trimmed) == 0 || trimmed[0] == '#') {
			continue
		}
		var good bool
		if tooLong {
			reply = appendError(reply[:0], strconv.AppendInt(nil, int64(number), 10),
				fmt.Sprintf("line is longer than %d bytes", maxLine))
		} else {
			reply, good = answerLine(reply[:0], trimmed, number, opt)
		}
		ok = ok && good
		safe = visible.JSON(safe[:0], append(reply, '\n'))
		if _, err := w.Write(safe); err != nil {
			return false, err
		}
		if !lineWaits(r) {
			// Whoever writes the lines may wait for this answer.
			if err := w.Flush(); err != nil {
				return false, err
			}
		}
	}
	if !errors.Is(err, io.EOF) {
		ok = false
		return ok, errors.Join(err, w.Flush())
	}
	return ok, w.Flush()
}

// lineWaits reports whether a whole line has been read and not been answered.
func lineWaits(r *bufio.Reader) bool {
	waiting, _ := r.Peek(r.Buffered())
	return bytes.IndexByte(waiting, '\n') >= 0
}

// readLine appends the next line, without its end, to line. Of a line longer than
// maxLine it keeps nothing and reads on to its end. The error is io.EOF with the
// last line if that has no end.
func readLine(r *bufio.Reader, line []byte) (_ []byte, tooLong bool, err error) {
	for {
		part, err := r.ReadSlice('\n')
		if n := len(line) + len(part); tooLong || n > maxLine+1 || n == maxLine+1 && part[len(part)-1] != '\n' {
			tooLong, line = true, line[:0]
		} else {
			line = append(line, part...)
		}
		if !errors.Is(err, bufio.ErrBufferFull) {
			return bytes.TrimSuffix(line, []byte("\n")), tooLong, err
		}
	}
}

// answerLine appends the reply to one problem line and reports whether it is an
// answer.
func answerLine(b, line []byte, number int, opt options) ([]byte, bool) {
	id := strconv.AppendInt(nil, int64(number), 10)
	p, err := solveLine(line, opt)
	if p != nil {
		if v := find(&p.doc.Root, "id"); v != nil {
			id = line[v.Offset:v.End]
		}
	}
	if err != nil {
		return appendError(b, id, err.Error()), false
	}
	b = append(b, `{"id":`...)
	b = append(b, id...)
	b = append(b, `,"answer":`...)
	b = p.answers.append(b)
	if opt.working {
		b = append(b, `,"working":`...)
		b = appendLines(b, p.lines)
	}
	return append(b, '}'), true
}

func appendLines(b []byte, lines []string) []byte {
	b = append(b, '[')
	for i, s := range lines {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendText(b, s)
	}
	return append(b, ']')
}

func appendError(b, id []byte, message string) []byte {
	b = append(b, `{"id":`...)
	b = append(b, id...)
	b = append(b, `,"error":`...)
	return append(appendText(b, message), '}')
}

// faultText writes all faults of a line in one. A line is one line, so the
// positions that the reader gives are of no use here.
func faultText(err error) string {
	all, ok := errors.AsType[*units.Faults](err)
	if !ok {
		return strings.ReplaceAll(err.Error(), "\n", "; ")
	}
	var b strings.Builder
	for i, f := range all.Faults {
		if i > 0 {
			b.WriteString("; ")
		}
		g := *f
		g.File = ""
		b.WriteString(strings.ReplaceAll(withoutKind(g.Error()), "\n", "; "))
	}
	if all.More > 0 {
		fmt.Fprintf(&b, "; and %d more faults", all.More)
	}
	return b.String()
}

// kindsOfError end some errors of the packages, for errors.Is; to a reader they say
// nothing more.
var kindsOfError = [...]error{units.ErrRange, units.ErrUnit}

func withoutKind(message string) string {
	for _, kind := range kindsOfError {
		if rest, ok := strings.CutSuffix(message, ": "+kind.Error()); ok {
			return rest
		}
	}
	return message
}

// solveLine answers a problem line, nil if it cannot be read at all. Its error says all that is wrong.
func solveLine(line []byte, opt options) (*problem, error) {
	doc, err := strictjson.Parse("", line, strictjson.Limits{Bytes: maxLine, Values: 200_000})
	if err != nil {
		return nil, errors.New(faultText(err))
	}
	p, ok := solveProblem(doc, &doc.Root, opt)
	if !ok {
		return p, errors.New(faultText(doc.Faults.Err()))
	}
	return p, nil
}

// solveProblem answers the problem in an object. If it cannot, the faults are in
// the document.
func solveProblem(doc *strictjson.Document, v *strictjson.Value, opt options) (*problem, bool) {
	p := &problem{doc: doc, fields: doc.Fields(v, ""), shelf: opt.shelf, working: opt.working}
	p.form = objectForm
	if v.Kind != strictjson.Object {
		return p, false
	}
	p.fields.Get("id")
	if p.has("units") {
		p.si = p.wordIf("units", "us", "si") == "si"
	}
	if p.has("round") {
		p.roundTrade = p.wordIf("round", "trade") != ""
	}
	if !p.fields.Need("ask") {
		return p, false
	}
	ask := p.fields.Text("ask")
	solve, ok := solvers[ask]
	if !ok {
		if doc.Faults.Len() == 0 {
			p.fields.Faultf("ask", "%q is not a kind of problem; the kinds are %s", ask,
				strings.Join(kindNames(), ", "))
		}
		return p, false
	}
	p.given(v)
	solve(p)
	if doc.Faults.Len() == 0 && !p.finite() {
		p.fields.Faultf("ask", "the numbers given lead to an answer that is not finite")
	}
	if doc.Faults.Len() > 0 {
		p.nameCodes(v, opt)
		return p, false
	}
	p.finish()
	return p, true
}

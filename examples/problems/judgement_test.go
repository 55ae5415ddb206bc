package main

import (
	"bytes"
	"io"
	"strings"
	"testing"
)

// What a trainer reads beside a mark, answer by answer.
func TestJudgement(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{`{"ask":"mark","problem":{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"},"student":{"fall":"9.375 in"}}`,
			"fall: 9.375 in is right, worked out it is 9.375 in"},
		{`{"ask":"mark","problem":{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"},"student":{"fall":"9.3 in"}}`,
			"fall: 9.3 in is right, worked out it is 9.375 in; 0.8 % under"},
		{`{"ask":"mark","problem":{"ask":"fall","length":"37 ft 6 in","grade":"1/4 in/ft"},"student":{"fall":"9.375 ft"}}`,
			"fall: 9.375 ft is wrong, the answer is 9.375 in; 1100 % over; a usual slip gives it: unit: in for ft"},
		{`{"ask":"mark","problem":{"ask":"inverts","outlet_invert":"95.72 ft","runs":[{"length":"31 ft","grade":"1/4 in/ft","drop":"2 in"}]},"student":{"inverts":["96.366 ft"]}}`,
			"inverts[0]: 96.366 ft is wrong, the answer is 96.5325 ft; 0.166 ft under; a usual slip gives it: forgotten drop"},
		{`{"ask":"mark","problem":{"ask":"trap-arm","code":"ipc-2021","size":"2 in"},"student":{"max_length":"unlimited"}}`,
			"max_length: unlimited is wrong, the answer is 8 ft"},
		{`{"ask":"mark","problem":{"ask":"network","method":"hazen-williams","nodes":[{"id":"M","head":"100 ft"},{"id":"A","demand":"10 gpm"}],"pipes":[{"id":"p","from":"M","to":"A","length":"10 ft","bore":"1 in","c":150}]},"student":{"flows":{"p":"5 gpm"}}}`,
			"flows.p: 5 gpm is wrong, the answer is 10 gpm; 50 % under"},
	} {
		var out bytes.Buffer
		if status := command([]string{"-working"}, strings.NewReader(c.line), &out, io.Discard); status != 0 || !strings.Contains(out.String(), `"`+c.want+`"`) {
			t.Errorf("status %d, no %q in\n%s", status, c.want, out.String())
		}
	}
}

// Flags that have no meaning together are refused, not left unheard.
func TestStrayFlags(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-seed", "3"}, "-seed goes with -quiz"},
		{[]string{"-ask", "fall"}, "-ask goes with -quiz"},
		{[]string{"-answers", "a.jsonl"}, "-answers goes with -quiz"},
		{[]string{"-quiz", "2", "lines.jsonl"}, "lines.jsonl is named"},
	} {
		var out, errs bytes.Buffer
		if status := command(c.args, strings.NewReader(""), &out, &errs); status != 2 || out.Len() > 0 || !strings.Contains(errs.String(), c.want) {
			t.Errorf("%v: status %d, %q", c.args, status, errs.String())
		}
	}
}

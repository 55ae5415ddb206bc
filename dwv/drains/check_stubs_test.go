package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/tables"
)

// Kentucky's 815 KAR 20:090 wants 12 in above the slab; a job may want its own.
func TestStubUps(t *testing.T) {
	kentucky, err := tables.Embedded().Rules("kentucky-815kar20")
	if err != nil {
		t.Fatal(err)
	}
	if r, ok := kentucky.Rule("stub-up-min-height"); !ok || r.String() != "12 in" || !r.Cite.Status().Firm() {
		t.Errorf("Kentucky: %v, %v", r, ok)
	}
	tests := []struct {
		name, rows string
		edit       func(l *Data)
		want       string
	}{
		{"the job's", "", func(l *Data) { l.MinimumStubUp = 8 * in; pt(l, "LT").StubUp = 8 * in }, `pass|stub-up|LT|8"|8"|0"`},
		{"under the job's", "", func(l *Data) { l.MinimumStubUp = 8 * in; pt(l, "LT").StubUp = 8*in - 1 }, `fail|stub-up|LT|203.199999 mm|8"|-0.000001 mm`},
		{"the code's", "add,stub-up-min-height,12,in,9,town,read\n", func(l *Data) { pt(l, "LT").StubUp = 12 * in }, `pass|stub-up|LT|1'-0"|1'-0"|0"`},
		{"under the code's", "add,stub-up-min-height,12,in,9,town,read\n", func(l *Data) { l.MinimumStubUp = 8 * in; pt(l, "LT").StubUp = 10 * in }, `fail|stub-up|LT|10"|1'-0"|-2"`},
		{"over the job's, under the code's", "add,stub-up-min-height,12,in,9,town,read\n", func(l *Data) { l.MinimumStubUp = 8 * in; pt(l, "LT").StubUp = 10 * in }, `pass|stub-up|LT|10"|8"|2"`},
		{"neither's", "", func(l *Data) { pt(l, "LT").StubUp = 8 * in; pt(l, "LA").StubUp = 3 * in }, `ask|stub-up|soil|-|-|-`},
		{"no stub drawn", "", func(l *Data) { l.MinimumStubUp = 8 * in }, `none of stub-up`},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			tt.edit(l)
			mustBuild(t, l)
			code := mustCode(t, "ipc-2021")
			if tt.rows != "" {
				code = amendedCode(t, "ipc-2021", tt.rows)
			}
			wantFinding(t, mustCheck(t, l, code), tt.want)
		})
	}
	for _, low := range []string{"LT", "LA"} { // the lowest first and last
		l := mustLayout(t, "workshop.json")
		pt(l, "LT").StubUp, pt(l, "LA").StubUp = 8*in, 8*in
		pt(l, low).StubUp = 3 * in
		if r := reasonOf(t, mustCheck(t, mustBuild(t, l), mustCode(t, "ipc-2021")), "stub-up", "soil"); !strings.HasPrefix(r, `the stubs of LA, LT stand 3" above the floor at their lowest`) {
			t.Error(r)
		}
	}
}

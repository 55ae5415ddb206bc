package finding_test

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

var rules = []tables.CheckRule{
	{ID: "arm-length", Title: "Length of a trap arm", Family: "traps"},
	{ID: "drain-load", Title: "Load on a drain", Family: "loads"},
}

// book is a table with a row that was read and one that is from memory.
func book(t *testing.T) (read, memory tables.Citation) {
	t.Helper()
	shelf := tables.Open(fstest.MapFS{
		"sources.csv":  {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Town Code,Town,3rd,2021,,\n")},
		"town/arm.csv": {Data: []byte("# id: town/arm\n# title: Arms\n# source: town\n# key: size\n# rows: 2\nsize[in],max[ft],src,status\n2,8,,read\n3,12,,memory\n")},
	})
	table, err := shelf.Table("town/arm")
	if err != nil {
		t.Fatal(err)
	}
	return table.Cite(0), table.Cite(1)
}

// judged puts three arms and a load before a judge: at B one passes, one fails; at A
// one passes by a figure from memory; the load passes without a row.
func judged(t *testing.T, opt finding.Options) (ids []string, worded int) {
	read, memory := book(t)
	j := finding.New(rules, opt)
	arm := func(place string, length, limit units.Length, c tables.Citation) {
		finding.AtMost(j, finding.Case{Rule: "arm-length", Place: place, Citation: c}, length, limit, func() finding.Words {
			worded++
			return finding.Words{Reason: j.Text("The arm is %v.", length), Fix: "Move the vent nearer."}
		})
	}
	if !j.Passed(true, "drain-load", "B", tables.Citation{}) {
		j.Add(tables.Finding{Rule: "drain-load", Place: "B", Verdict: tables.Pass, Reason: "Within the table."})
	}
	arm("B", 9*units.Foot, 8*units.Foot, read)
	arm("B", 7*units.Foot, 8*units.Foot, read)
	arm("A", 7*units.Foot, 12*units.Foot, memory)
	for _, f := range j.Findings() {
		ids = append(ids, strings.TrimSpace(fmt.Sprintf("%v %s %s", f.Verdict, f.ID(), f.Fix)))
		if f.Verdict == tables.Ask && (f.SettledBy != tables.Book || f.IfConfirmed != tables.Pass) {
			t.Errorf("%v is settled by %v", f, f.SettledBy)
		}
	}
	return ids, worded
}

const lookUp = " Look up the figure in Town Code 3rd, or ask the authority."

// TestJudge: findings come by rule and place, each with an id of its own; passes are
// kept, left out or counted, and nothing is worded that nobody reads.
func TestJudge(t *testing.T) {
	ids, worded := judged(t, finding.Options{})
	if diff := cmp.Diff([]string{"ask arm-length/A" + lookUp, "pass arm-length/B", "fail arm-length/B/#2 Move the vent nearer.", "pass drain-load/B"}, ids); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if worded != 3 {
		t.Errorf("%d arms worded", worded)
	}
	problems := []string{"ask arm-length/A" + lookUp, "fail arm-length/B Move the vent nearer."}
	ids, worded = judged(t, finding.Options{ProblemsOnly: true})
	if diff := cmp.Diff(problems, ids); diff != "" || worded != 2 {
		t.Errorf("%d worded (-want +got):\n%s", worded, diff)
	}
	var tally tables.Tally
	ids, worded = judged(t, finding.Options{Tally: &tally})
	if diff := cmp.Diff(problems, ids); diff != "" || worded != 2 {
		t.Errorf("%d worded (-want +got):\n%s", worded, diff)
	}
	if tally.Passes() != 2 || len(tally.Rules()) != 2 || tally.Rules()[0].Rule != "arm-length" || tally.Rules()[0].Least.Margin != units.Foot {
		t.Errorf("%d passes of %v", tally.Passes(), tally.Rules())
	}
}

// TestJudgeInTwo: what two judges find apart is what one finds alone.
func TestJudgeInTwo(t *testing.T) {
	for _, count := range []bool{false, true} {
		var opt finding.Options
		if count {
			opt.Tally = new(tables.Tally)
		}
		j := finding.New(rules, opt)
		k := j.Second()
		add := func(j *finding.Judge, place string, v tables.Verdict) {
			j.Add(tables.Finding{Rule: "drain-load", Place: place, Verdict: v, Value: units.Foot, Margin: units.Inch})
		}
		add(j, "B", tables.Pass)
		add(k, "A", tables.Pass)
		add(k, "C", tables.Fail)
		j.Merge(k)
		found := j.Findings()
		if last := found[len(found)-1]; last.Place != "C" || !count && (len(found) != 3 || found[0].Place != "A") {
			t.Errorf("%v", found)
		}
		if count && (opt.Tally.Passes() != 2 || opt.Tally.Rules()[0].Least.Place != "A") {
			t.Errorf("%d passes, least at %q", opt.Tally.Passes(), opt.Tally.Rules()[0].Least.Place)
		}
	}
}

// TestPrint: quantities in texts are written as asked for; plain words are left alone.
func TestPrint(t *testing.T) {
	j := finding.New(rules, finding.Options{Print: func(q fmt.Stringer) string { return "<" + q.String() + ">" }})
	if got := j.Text("%s is %v", "the arm", 2*units.Foot); got != `the arm is <2'-0">` {
		t.Error(got)
	}
	if !j.Declared("arm-length") || j.Declared("arm-lenght") {
		t.Error("a declared rule is not known, or a misspelt one is")
	}
}

package supply

import (
	"os"
	"testing"
)

func lodge(t testing.TB) *Layout {
	t.Helper()
	data, err := os.ReadFile("testdata/lodge.json")
	if err != nil {
		t.Fatal(err)
	}
	l, err := ParseLayout("lodge.json", data)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestLodge(t *testing.T) {
	for _, code := range []string{"ipc-2021", "upc-2021"} {
		l := lodge(t)
		s, err := l.Size(mustCode(t, code), Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range s.Runs {
			t.Logf("%s %-4s %-6v load %-10v %-5v flow %-14v %v %v v %v out %v static %v: %v %v", code, l.Point(i).ID, l.Service(i), r.Load, r.System, r.Flow, r.Pipe.id, r.Size, r.Velocity, r.Out, r.Static, s.Basis[i], r.Basis)
		}
		for i, f := range s.Fixtures {
			t.Logf("%s available %v least %v most %v", l.data.Fixtures[i].ID, f.Available, f.Least, f.Most)
		}
		t.Log(s.Short, s.Governing)
	}
}

func TestLodgeFindings(t *testing.T) {
	s, err := lodge(t).Size(mustCode(t, "ipc-2021"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := s.Check()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		t.Logf("%-24s %-8s %-5v value %v limit %v margin %v | %s | %s | %v", f.Rule, f.Place, f.Verdict, f.Value, f.Limit, f.Margin, f.Reason, f.Remedy, f.Citation)
	}
	loops, err := s.Circulations()
	t.Logf("%+v %v", loops, err)
}

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

package gravity

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/units"
)

// crosscheck reads numbers that a script of internal/crosscheck has written, without
// the line of column names.
func crosscheck(t *testing.T, name string, columns, rows int) [][]float64 {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment, r.FieldsPerRecord = '#', columns
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != rows+1 {
		t.Fatalf("%d rows in %s, want %d", len(all)-1, name, rows)
	}
	out := make([][]float64, rows)
	for i, row := range all[1:] {
		for _, text := range row {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			out[i] = append(out[i], v)
		}
	}
	return out
}

// The fitted formulas of stacks beside a sheet of water whose weight the wall carries
// by Colebrook's friction: another law with other constants. They lie 1 to 2.2 % under
// it, and the terminal length where the sheet has between 99 and 99.9 % of its speed.
func TestStackAgainstForceBalance(t *testing.T) {
	for _, r := range crosscheck(t, "stack_balance.csv", 5, 15) {
		s, err := StackFill(units.Inches(r[0]), units.Flow(r[1])*units.USGallonPerMinute)
		if err != nil {
			t.Fatal(err)
		}
		if ratio := s.TerminalVelocity.In(units.FootPerSecond) / r[2]; !(ratio > 0.977 && ratio < 0.99) {
			t.Errorf("%v in, %v gpm: %v ft/s, by balance %v", r[0], r[1], s.TerminalVelocity.In(units.FootPerSecond), r[2])
		}
		if l := s.TerminalMetres / 0.3048; !(l > r[3] && l < r[4]) {
			t.Errorf("%v in, %v gpm: terminal length %v ft, by balance %v to %v", r[0], r[1], l, r[3], r[4])
		}
	}
}

// What falls through the filled part of a stack at terminal velocity is its
// capacity: the two fitted formulas, each with its own factor, agree in that.
func TestStackContinuity(t *testing.T) {
	for _, bore := range []units.Length{2 * units.Inch, 3 * units.Inch, 4 * units.Inch, 8 * units.Inch, 15 * units.Inch} {
		for _, fill := range []float64{1. / 5, 1. / 4, 7. / 24, 1. / 3} {
			s, err := StackCapacity(bore, fill)
			if err != nil {
				t.Fatal(err)
			}
			d := bore.Metres()
			through := fill * 3.141592653589793 / 4 * d * d * float64(s.TerminalVelocity)
			near(t, "flow", through/float64(s.Flow), 1, 0.003)
		}
	}
}

// Critical depth by least energy and the jump by equal momentum, from integrals of
// the section that scipy made. Its minimum is good to some 7 digits.
func TestJumpAgainstScipy(t *testing.T) {
	fills := 0
	for _, r := range crosscheck(t, "jump_scipy.csv", 6, 14) {
		drain, q := units.Inches(r[1]), units.Flow(r[2])*units.USGallonPerMinute
		critical, err := CriticalDepth(drain, q)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "critical depth", critical.Depth/r[4], 1, 1e-6)
		b, err := StackBaseFlow(units.Inches(r[0]), q, Pipe{drain, slope.OneIn(48), 0.013})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "entering", b.Entering.Depth/r[3], 1, 1e-9)
		near(t, "sequent", b.Sequent/r[5], 1, 1e-9)
		if b.Fills != (r[5] == 1) {
			t.Errorf("%v: fills %v", r, b.Fills)
		}
		if b.Fills {
			fills++
		}
	}
	if fills == 0 || fills == 14 {
		t.Errorf("%d jumps fill the drain", fills)
	}
}

// A trickle that falls slowly enters a drain below critical speed: no jump.
func TestStackBaseSlow(t *testing.T) {
	b, err := StackBaseFlow(15*units.Inch, 0.1*units.USGallonPerMinute, Pipe{2 * units.Inch, slope.OneIn(48), 0.013})
	if err != nil {
		t.Fatal(err)
	}
	if b.Froude > 1 || b.Jumps || b.Fills || b.Sequent != b.Entering.Depth {
		t.Errorf("%+v", b)
	}
}

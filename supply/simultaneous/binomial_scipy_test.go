package simultaneous_test

import (
	"math"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/simultaneous"
)

// Scipy finds the same number in use, but where the confidence is met to the last
// digits of float64: there the two cumulative probabilities tell that it is a tie.
func TestFixturesInUseAgainstScipy(t *testing.T) {
	rows := proof.ReadCSV(t, "binomial_scipy.csv")
	ties := 0
	for _, row := range rows {
		count, p, confidence := int(proof.Number(t, row["count"])), proof.Number(t, row["probability"]),
			proof.Number(t, row["confidence"])
		want := int(proof.Number(t, row["in_use"]))
		got, err := simultaneous.FixturesInUse(count, p, confidence)
		if err != nil {
			t.Errorf("%v: %v", row, err)
			continue
		}
		if got == want {
			continue
		}
		ties++
		if tie := got == want-1 && math.Abs(proof.Number(t, row["below"])-confidence) < 1e-11; !tie {
			t.Errorf("%v: got %d", row, got)
		}
	}
	if len(rows) != 450 || ties > 5 {
		t.Errorf("%d rows, %d ties", len(rows), ties)
	}
}

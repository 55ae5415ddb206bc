package dwv_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// codeCase is one outside fact: a published example, a figure of a page that is not
// the table, or a rule of the trade, with where it stands.
type codeCase struct {
	Name, Ask, Code, Part, Source, Status, Want, Decided string

	Fixtures  []tables.Fixture
	Load      dwv.FixtureUnits
	MaxLoad   dwv.FixtureUnits `json:"max_load"`
	Grade     slope.Grade
	Intervals int
	Closets   int
	Size      units.Length
	Drain     units.Length
	Length    units.Length
	Percent   float64
}

func TestPublishedCases(t *testing.T) {
	data, err := os.ReadFile("testdata/code_cases.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []codeCase
	if err := json.Unmarshal(data, &cases); err != nil {
		t.Fatal(err)
	}
	codes := map[string]*dwv.Code{}
	var ledger proof.Ledger
	for _, tt := range cases {
		number := func(text string) string { return strings.Fields(text)[0] }
		enter := func(name, printed string, ours float64) {
			document, _, _ := strings.Cut(tt.Source, ": ")
			if strings.HasPrefix(document, "common practice") {
				return // nobody printed it
			}
			ledger.Add(proof.Value{Source: document, Case: tt.Name, Answer: name, Ours: ours, Printed: number(printed)})
		}
		t.Run(tt.Name, func(t *testing.T) {
			if tt.Source == "" || tt.Status == "" {
				t.Error("the case names no source or no status")
			}
			c := codes[tt.Code]
			if c == nil {
				c = code(t, tt.Code)
				codes[tt.Code] = c
			}
			switch tt.Ask {
			case "load":
				got, err := c.Loads(tt.Fixtures)
				if err != nil || got != dfu(tt.Want) {
					t.Errorf("got %v, %v, want %v", got, err, tt.Want)
				}
				enter("load, dfu", tt.Want, got.Units())
			case "capacity":
				got, err := c.Capacity(part(t, tt.Part), tt.Size, tt.Grade, tt.Intervals)
				enter("capacity, dfu", tt.Want, got.Max.Units())
				if err != nil || !got.Permitted || got.Max != dfu(tt.Want) {
					t.Errorf("got %+v, %v, want %v", got, err, tt.Want)
				}
			case "drain":
				got, err := c.DrainSize(dwv.DrainQuery{Part: part(t, tt.Part), Load: tt.Load, Grade: tt.Grade, Closets: tt.Closets, Intervals: tt.Intervals})
				enter("size, in", tt.Want, got.Size.Inches())
				if err != nil || got.Size != units.MustParse[units.Length](tt.Want) || got.MaxLoad != tt.MaxLoad {
					t.Errorf("got %v carrying %v, %v, want %v carrying %v", got.Size, got.MaxLoad, err, tt.Want, tt.MaxLoad)
				}
				if tt.Decided != "" && got.DecidedBy.String() != tt.Decided {
					t.Errorf("decided by %v, want %v", got.DecidedBy, tt.Decided)
				}
			case "trap":
				got, err := c.TrapArm(tt.Size)
				enter("trap arm, ft", tt.Want, got.MaxLength.Value.Feet())
				want := tables.Cell[units.Length]{Kind: tables.Value, Value: units.MustParse[units.Length](tt.Want)}
				if err != nil || got.MaxLength != want || got.Grade.Percent() != tt.Percent || got.MinLength != 2*tt.Size {
					t.Errorf("got %+v (%v %%), %v, want %v", got, got.Grade.Percent(), err, tt.Want)
				}
			case "reach":
				got, err := c.TrapArm(tt.Size)
				enter("trap arm, ft", tt.Want, got.MaxLength.Value.Feet())
				if err != nil || got.MaxLength.Value != units.MustParse[units.Length](tt.Want) {
					t.Errorf("got %+v, %v, want %v", got, err, tt.Want)
				}
			case "vent":
				var p dwv.VentPart
				if err := p.UnmarshalText([]byte(tt.Part)); err != nil {
					t.Fatal(err)
				}
				got, err := c.VentSize(dwv.VentQuery{Part: p, Drain: tt.Drain, Load: tt.Load, LoadNotStated: tt.Load == 0, Length: tt.Length})
				enter("vent, in", tt.Want, got.Size.Inches())
				if err != nil || got.Size != units.MustParse[units.Length](tt.Want) {
					t.Errorf("got %+v, %v, want %v", got, err, tt.Want)
				}
			default:
				t.Fatalf("unknown ask %q", tt.Ask)
			}
		})
	}
	ledger.Keep(t, "testdata/proof-codes.csv")
}

func part(t *testing.T, s string) dwv.Part {
	t.Helper()
	var p dwv.Part
	if err := p.UnmarshalText([]byte(s)); err != nil {
		t.Fatal(err)
	}
	return p
}

// dfu reads a load.
func dfu(s string) dwv.FixtureUnits {
	u, err := dwv.ParseFixtureUnits(s)
	if err != nil {
		panic(err)
	}
	return u
}

// milli is a thousandth of a unit.
const milli = dwv.FixtureUnit / 1000

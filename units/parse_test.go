package units

import (
	"errors"
	"math/rand/v2"
	"testing"
)

func TestParseLengthSpellings(t *testing.T) {
	want := 37*Foot + 6*Inch + 3*Inch/8
	for _, s := range []string{
		`37'-6 3/8"`, `37' 6-3/8`, `37 ft 6 3/8 in`, `37'6⅜"`, `37′ 6 3⁄8″`, `37’-6³⁄₈”`, `450.375 in`, `37'-6 3/8''`, `37 FT 6 3/8 IN`,
		`37.53125 ft`, `37 feet 6-3/8 inches`, `37' - 6 3/8"`, `450 3/8"`, `37 ft. 6.375 in.`, `11.439525 m`,
	} {
		if got, err := ParseLength(s); err != nil || got != want {
			t.Errorf("%s: %v %v", s, got, err)
		}
	}
	for _, s := range []string{`12`, `1,200 mm`, `1-1-1/2`, `5' 14"`, `63/8"`, `5' -3"`, `1/3 in`, `6'-4" x`, ``, `-`, `1'000`, `5'6'`, `12.5`, `4 m 20 cm`, `1e99 m`} {
		got, err := ParseLength(s)
		var pe *ParseError
		if !errors.As(err, &pe) {
			t.Errorf("%s: %v %v", s, got, err)
		}
	}
}

func TestRoundTripAll(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		for k := kindArea; k < kinds; k++ {
			v := r.Float64() * 1000
			b := appendQuantity(nil, k, v)
			var f fault
			got, ok := scanQuantity(k, string(b), &f)
			if !ok || got != v {
				t.Fatalf("%v %v: %s -> %v %v", k, v, b, got, f)
			}
		}
	}
}

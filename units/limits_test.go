package units

import (
	"errors"
	"math/big"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

// The greatest length a constructor of floats takes is MaxLength itself.
func TestFloatLimit(t *testing.T) {
	for _, c := range []struct {
		l  Length
		ok bool
	}{{Metres(1e6), true}, {Metres(-1e6), true}, {Metres(1e6 + 1e-6), false}, {Metres(-1e6 - 1e-6), false},
		{Millimetres(1e9), true}} {
		if c.l.Valid() != c.ok {
			t.Errorf("%d: valid %v", int64(c.l), c.l.Valid())
		}
	}
	if Metres(1e6) != MaxLength || Metres(-1e6) != -MaxLength {
		t.Errorf("1000 km is %d and %d", int64(Metres(1e6)), int64(Metres(-1e6)))
	}
}

// ofBits is a whole number that takes as many bits as said.
func ofBits(n uint) *big.Int { return new(big.Int).Lsh(big.NewInt(1), n-1) }

// What decimals are read, to the last exponent and bit: beyond, the error says that
// the number is too great or too fine, before any work is done.
func TestDecimalDoors(t *testing.T) {
	door := func(err error) bool {
		return err != nil && errors.Is(err, ErrRange) && strings.Contains(err.Error(), "too great or too fine")
	}
	for _, c := range []struct {
		d    decimal.Decimal
		shut bool
	}{
		{decimal.New(0, 20), false}, {decimal.New(0, 21), true}, {decimal.New(0, -40), false},
		{decimal.New(0, -41), true},
		{decimal.NewFromBigInt(ofBits(256), -40), false}, {decimal.NewFromBigInt(ofBits(257), -40), true},
	} {
		if _, err := FromDecimal(c.d, Metre); door(err) != c.shut {
			t.Errorf("length, exponent %d, %d bits: %v", c.d.Exponent(), c.d.Coefficient().BitLen(), err)
		}
	}
	for _, c := range []struct {
		d    decimal.Decimal
		shut bool
	}{
		{decimal.New(1, 400), false}, {decimal.New(1, 401), true}, {decimal.New(1, -1000), false},
		{decimal.New(1, -1001), true},
		{decimal.NewFromBigInt(ofBits(4000), -1000), false}, {decimal.NewFromBigInt(ofBits(4001), -1000), true},
	} {
		if _, err := Convert(c.d, "m", "mm", 3); door(err) != c.shut {
			t.Errorf("convert, exponent %d, %d bits: %v", c.d.Exponent(), c.d.Coefficient().BitLen(), err)
		}
	}
}

// A quantity in feet and inches prints as a length does, and reads back; so does
// one in nanometres that no length holds.
func TestQuantityOfALength(t *testing.T) {
	for in, want := range map[string]string{
		`3'-6 1/2"`: `3'-6 1/2"`, `-3'-6"`: `-3'-6"`, `0'-0"`: `0"`, "1000000000000000 nm": MaxLength.String(),
		"1000000000000001 nm": "1.000000000000001e15 nm",
	} {
		q, err := ParseQuantity(in)
		if err != nil {
			t.Fatal(err)
		}
		if got := q.String(); got != want {
			t.Errorf("%s prints as %s, want %s", in, got, want)
		}
		again, err := ParseQuantity(q.String())
		if err != nil {
			t.Fatal(err)
		}
		a, err1 := q.Rat("m")
		b, err2 := again.Rat("m")
		if err1 != nil || err2 != nil || a.Cmp(b) != 0 {
			t.Errorf("%s is %v m, printed and read %v m (%v, %v)", in, a, b, err1, err2)
		}
	}
}

// Spellings are there for a unit that has some, and none is blank.
func TestSpellingsListed(t *testing.T) {
	with := 0
	for _, u := range Units() {
		if len(u.Spellings) > 0 {
			with++
		}
		for _, s := range u.Spellings {
			if s == "" {
				t.Errorf("%s of %s has a blank spelling", u.Symbol, u.Quantity)
			}
		}
	}
	if with < 20 {
		t.Errorf("%d units have other spellings", with)
	}
}

// 6148914691236517205 1/3 is 2^64/3: over three, once 2^64 and nothing.
// 7378697629483820646 2/5 is 2^65/5: over five, 2^64 of the product, 2^64 of the
// carry and nothing. A sum that lost either would make it nought.
func TestCarryOfAFraction(t *testing.T) {
	for _, s := range []string{"6148914691236517205 1/3 in", "7378697629483820646 2/5 in", "1e20 nm"} {
		if l, err := Parse[Length](s); !errors.Is(err, ErrRange) || !strings.Contains(err.Error(), tooLong) {
			t.Errorf("%s is %v, %v", s, l, err)
		}
	}
}

// 3280839 ft leave 1364/127 in of 1000 km.
func TestLongestInFeetAndInches(t *testing.T) {
	for text, want := range map[string]Length{"3280839' 10 94/127\"": MaxLength, "-3280839' 10 94/127\"": -MaxLength,
		"3280839' 10 95/127\"": 0} {
		if l, err := Parse[Length](text); l != want || (err == nil) != (want != 0) || want == 0 &&
			!errors.Is(err, ErrRange) {
			t.Errorf("%s is %d, %v", text, int64(l), err)
		}
	}
}

// The longest text is read, and told of in full.
func TestLongestText(t *testing.T) {
	for n, ok := range map[int]bool{128: true, 129: false} {
		l, err1 := Parse[Length](strings.Repeat(" ", n-4) + "5 ft")
		v, err2 := Parse[Volume](strings.Repeat(" ", n-5) + "5 gal")
		if (err1 == nil) != ok || (err2 == nil) != ok || ok && (l != 5*Foot || v != 5*USGallon) {
			t.Errorf("%d bytes: %v, %v, %v, %v", n, l, err1, v, err2)
		}
		text := strings.Repeat("x", n)
		want := text
		if !ok {
			want = text[:128] + "…"
		}
		var pe *ParseError
		if _, err := Parse[Length](text); !errors.As(err, &pe) || pe.Text != want {
			t.Errorf("%d bytes: %v", n, err)
		}
	}
}

// Numbers with one digit before the point have exponents to 400.
func TestGreatestExponent(t *testing.T) {
	for text, ok := range map[string]bool{"9e400 m": true, "10e400 m": false, "9.9e400 m": true, "1e-400 m": true,
		"0.1e-400 m": false, "0.1e-399 m": true} {
		if q, err := ParseQuantity(text); (err == nil) != ok || !ok && !errors.Is(err, ErrRange) {
			t.Errorf("%s is %v, %v", text, q, err)
		}
	}
}

// Digits stand without exponent from 1e-7 to below 1e15.
func TestExponentsWritten(t *testing.T) {
	for in, want := range map[string]string{"1e-07": "0.0000001", "9.9e-08": "9.9e-8", "-1.25e-07": "-0.000000125",
		"1e+14": "100000000000000", "1.5e+15": "1.5e15", "0e+00": "0"} {
		var d decimalText
		d.set([]byte(in))
		if got := string(d.append(nil)); got != want {
			t.Errorf("%s is written %s, want %s", in, got, want)
		}
	}
}

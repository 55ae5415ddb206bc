package units

import (
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestParseQuantities(t *testing.T) {
	for _, c := range []struct {
		got  any
		want any
	}{
		{MustParse[Flow]("25 gpm"), 25 * USGallonPerMinute},
		{MustParse[Flow]("12.5 GPM"), 12.5 * USGallonPerMinute},
		{MustParse[Flow]("2 1/2 gpm"), 2.5 * USGallonPerMinute},
		{MustParse[Flow]("½ gpm"), 0.5 * USGallonPerMinute},
		{MustParse[Flow]("90 gph"), 90 * USGallonPerHour},
		{MustParse[Flow]("400 gpd"), 400 * USGallonPerDay},
		{MustParse[Flow]("2 cfs"), 2 * CubicFootPerSecond},
		{MustParse[Flow]("2 ft³/s"), 2 * CubicFootPerSecond},
		{MustParse[Flow]("30 cfm"), 30 * CubicFootPerMinute},
		{MustParse[Flow]("0.8 L/s"), 0.8 * LitrePerSecond},
		{MustParse[Flow]("0.8 l/s"), 0.8 * LitrePerSecond},
		{MustParse[Flow]("9.5 L/min"), 9.5 * LitrePerMinute},
		{MustParse[Flow]("3.6 m3/h"), 3.6 * CubicMetrePerHour},
		{MustParse[Flow]("3.6 m³/h"), 3.6 * CubicMetrePerHour},
		{MustParse[Flow]("5 imp gpm"), 5 * ImperialGallonPerMinute},
		{MustParse[Flow]("5 UK gpm"), 5 * ImperialGallonPerMinute},
		{MustParse[Volume]("1.6 gal"), 1.6 * USGallon},
		{MustParse[Volume]("2 imp gal"), 2 * ImperialGallon},
		{MustParse[Volume]("6 L"), 6 * Litre},
		{MustParse[Volume]("1.28 gpf"), 1.28 * USGallon},
		{MustParse[Volume]("4.8 Lpf"), 4.8 * Litre},
		{MustParse[Volume]("2 yd3"), 2 * CubicYard},
		{MustParse[Volume]("2 cu yd"), 2 * CubicYard},
		{MustParse[Volume]("0.5 ft^3"), 0.5 * CubicFoot},
		{MustParse[Volume]("2 CY"), 2 * CubicYard},
		{MustParse[Volume]("128 fl oz"), MustParse[Volume]("128 oz")},
		{MustParse[Area]("12 ft2"), 12 * SquareFoot},
		{MustParse[Area]("12 sq ft"), 12 * SquareFoot},
		{MustParse[Area]("3.36 in²"), 3.36 * SquareInch},
		{MustParse[Velocity]("8 ft/s"), 8 * FootPerSecond},
		{MustParse[Velocity]("8 fps"), 8 * FootPerSecond},
		{MustParse[Velocity]("2.4 m/s"), 2.4 * MetrePerSecond},
		{MustParse[Pressure]("60 psi"), 60 * PoundForcePerSquareInch},
		{MustParse[Pressure]("60 PSIG"), 60 * PoundForcePerSquareInch},
		{MustParse[Pressure]("413.7 kPa"), 413.7 * Kilopascal},
		{MustParse[Pressure]("4 bar"), 4 * Bar},
		{MustParse[Pressure]("2.19 GPa"), 2.19 * Gigapascal},
		{MustParse[Pressure]("-3 ft of water"), -3 * FootOfWater},
		{MustParse[Pressure]("27 in wc"), 27 * InchOfWater},
		{MustParse[Pressure]("7\" w.c."), 7 * InchOfWater},
		{MustParse[Pressure]("7 in. w.c."), 7 * InchOfWater},
		{MustParse[Pressure]("29.92\" Hg"), 29.92 * InchOfMercury},
		{MustParse[Flow]("5 imp. gpm"), 5 * ImperialGallonPerMinute},
		{MustParse[Flow]("5 imperial gallons per minute"), 5 * ImperialGallonPerMinute},
		{MustParse[Flow]("5 gallons per minute"), 5 * USGallonPerMinute},
		{MustParse[Flow]("5 litres per second"), 5 * LitrePerSecond},
		{MustParse[Volume]("2 UK gallons"), 2 * ImperialGallon},
		{MustParse[Pressure]("10 inHg"), 10 * InchOfMercury},
		{MustParse[Pressure]("10 in of mercury"), 10 * InchOfMercury},
		{MustParse[Head]("138.6 ft"), 138.6 * FootOfHead},
		{MustParse[Head]("138.6 ft of water"), 138.6 * FootOfHead},
		{MustParse[Head]("42 m"), 42 * MetreOfHead},
		{MustParse[Head](`10'-6"`), Head(3.2004)},
		{MustParse[Mass]("25 lb"), 25 * Pound},
		{MustParse[Mass]("8 OZ"), MustParse[Mass]("8 oz")},
		{MustParse[Flow]("\t 25 gpm \t"), 25 * USGallonPerMinute},
		{MustParse[Flow]("\u00a025\u202fgpm\u00a0\u2009\u200a\u202f"), 25 * USGallonPerMinute},
		{MustParse[Density]("62.4 lb/ft3"), 62.4 * PoundPerCubicFoot},
		{MustParse[Density]("62.4 pcf"), 62.4 * PoundPerCubicFoot},
		{MustParse[Density]("998.2 kg/m³"), 998.2 * KilogramPerCubicMetre},
		{MustParse[DynamicViscosity]("0.001 Pa-s"), 0.001 * PascalSecond},
		{MustParse[DynamicViscosity]("0.001 Pa·s"), 0.001 * PascalSecond},
		{MustParse[DynamicViscosity]("1.3 cP"), 1.3 * Centipoise},
		{MustParse[KinematicViscosity]("1.004e-6 m2/s"), 1.004e-6 * SquareMetrePerSecond},
		{MustParse[KinematicViscosity]("1.08E-5 ft2/s"), 1.08e-5 * SquareFootPerSecond},
		{MustParse[KinematicViscosity]("1.1 cSt"), 1.1 * Centistokes},
		{MustParse[Power]("40000 Btu/h"), 40000 * BtuPerHour},
		{MustParse[Power]("40000 BTU/hr"), 40000 * BtuPerHour},
		{MustParse[Power]("4.5 kW"), 4.5 * Kilowatt},
		{MustParse[Power]("1/2 hp"), 0.5 * Horsepower},
		{MustParse[HeatFlowPerLength]("12 Btu/h-ft"), 12 * BtuPerHourFoot},
		{MustParse[HeatFlowPerLength]("12 Btu/(h·ft)"), MustParse[HeatFlowPerLength]("12 Btu/h-ft")},
		{MustParse[Conductivity]("0.04 W/m-K"), 0.04 * WattPerMetreKelvin},
		{MustParse[Conductivity]("0.04 W/(m·K)"), 0.04 * WattPerMetreKelvin},
		{MustParse[Conductivity]("0.02 Btu/h·ft·°F"), 0.02 * BtuPerHourFootFahrenheit},
		{MustParse[HeatTransferCoefficient]("10 W/m2-K"), 10 * WattPerSquareMetreKelvin},
		{MustParse[HeatTransferCoefficient]("10 W/m²·K"), 10 * WattPerSquareMetreKelvin},
		{MustParse[HeatTransferCoefficient]("1.65 Btu/h-ft2-degF"), 1.65 * BtuPerHourSquareFootFahrenheit},
		{MustParse[SpecificHeat]("4.18 kJ/kg-K"), 4.18 * KilojoulePerKilogramKelvin},
		{MustParse[SpecificHeat]("1 Btu/lb-°F"), 1 * BtuPerPoundFahrenheit},
		{MustParse[Duration]("90 s"), 90 * Second},
		{MustParse[Duration]("1.5 min"), 1.5 * Minute},
		{MustParse[Duration]("2 h"), 2 * Hour},
		{MustParse[Temperature]("60 degF"), Fahrenheit(60)},
		{MustParse[Temperature]("60 °F"), Fahrenheit(60)},
		{MustParse[Temperature]("60°F"), Fahrenheit(60)},
		{MustParse[Temperature]("98.6 F"), Fahrenheit(98.6)},
		{MustParse[Temperature]("-40 °C"), Celsius(-40)},
		{MustParse[Temperature]("49 ℃"), Celsius(49)},
		{MustParse[Temperature]("310.15 K"), Kelvin(310.15)},
		{MustParse[Temperature]("-459.67 degF"), Kelvin(0)},
		{MustParse[TemperatureDifference]("10 degF"), 10 * FahrenheitDifference},
		{MustParse[TemperatureDifference]("5.5 degC"), 5.5 * KelvinDifference},
		{MustParse[TemperatureDifference]("5.5 K"), 5.5 * KelvinDifference},
	} {
		if diff := cmp.Diff(c.want, c.got); diff != "" {
			t.Errorf("%v (-want +got):\n%s", c.want, diff)
		}
	}
}

func TestParseQuantitiesRefuse(t *testing.T) {
	parsers := map[string]func(string) error{
		"flow":                   func(s string) error { _, err := Parse[Flow](s); return err },
		"pressure":               func(s string) error { _, err := Parse[Pressure](s); return err },
		"temperature":            func(s string) error { _, err := Parse[Temperature](s); return err },
		"temperature difference": func(s string) error { _, err := Parse[TemperatureDifference](s); return err },
		"volume":                 func(s string) error { _, err := Parse[Volume](s); return err },
		"head":                   func(s string) error { _, err := Parse[Head](s); return err },
	}
	for _, c := range []struct {
		kind, text string
		at         int
		err        error
		reason     string
	}{
		{"flow", "25", 2, ErrUnit, "write m3/s, gpm, L/s"},
		{"flow", "", 0, ErrSyntax, "no text"},
		{"head", "3/4", 3, ErrUnit, "write m, ft"}, // inches by custom only for a length
		{"head", "6 3/8", 5, ErrUnit, "write m, ft"},
		{"flow", "gpm", 0, ErrSyntax, "number is missing"},
		{"flow", "25 gal", 3, ErrUnit, "a unit of volume, not of flow"},
		{"flow", "25 gpm 3", 3, ErrUnit, "not a unit of flow"},
		{"flow", "25 3 gpm", 3, ErrAmbiguous, "two numbers"},
		{"flow", "25 9 gpm", 3, ErrAmbiguous, "two numbers"},
		{"flow", "25/ gpm", 2, ErrUnit, "not a unit of flow"},
		{"flow", "25e", 2, ErrUnit, "not a unit of flow"},
		{"flow", "1,000 gpm", 1, ErrSyntax, "comma"},
		{"flow", "0.8 L/S", 4, ErrUnit, "not a unit of flow"},
		{"flow", "1e400 gpm", 0, ErrRange, "too great"},
		{"flow", "1e401 gpm", 1, ErrRange, "exponent"},
		{"flow", "NaN gpm", 0, ErrSyntax, "number is missing"},
		{"flow", "Inf gpm", 0, ErrSyntax, "number is missing"},
		{"flow", "0x10 gpm", 1, ErrUnit, "not a unit of flow"},
		{"flow", "5/4 gpm", 1, ErrAmbiguous, "below one"},
		{"flow", strings.Repeat(" ", 200) + "5 gpm", 128, ErrSyntax, "too long"},
		{"pressure", "60 psia", 3, ErrUnit, "absolute"},
		{"pressure", "3 bar (a)", 2, ErrUnit, "absolute"},
		{"pressure", "60 KPA", 3, ErrUnit, "not a unit of pressure"},
		{"pressure", "60 mpa", 3, ErrUnit, "not a unit of pressure"},
		{"pressure", "60 ft", 3, ErrUnit, "a unit of length"},
		{"head", "60 psi", 3, ErrUnit, "a unit of pressure"},
		{"head", `5' 14"`, 3, ErrRange, "below 12"},
		{"head", "60", 2, ErrUnit, "unit is missing"},
		{"temperature", "-460 degF", 0, ErrRange, "absolute zero"},
		{"temperature", "-274 degC", 0, ErrRange, "absolute zero"},
		{"temperature", "-0.001 K", 0, ErrRange, "absolute zero"},
		{"temperature", "60", 2, ErrUnit, "unit is missing"},
		{"temperature", "60°", 2, ErrUnit, "not a unit of temperature"},
		{"temperature", "10 delta degF", 3, ErrUnit, "a unit of temperature difference"},
		{"volume", "3 gpm", 2, ErrUnit, "a unit of flow"},
	} {
		err := parsers[c.kind](c.text)
		var pe *ParseError
		switch {
		case !errors.As(err, &pe):
			t.Errorf("%s %q accepted", c.kind, c.text)
		case pe.Offset != c.at, !errors.Is(err, c.err), !strings.Contains(pe.Reason, c.reason), pe.Quantity != c.kind:
			t.Errorf("%s %q: %v (%v), want byte %d, %v, %q", c.kind, c.text, err, pe.Err, c.at, c.err, c.reason)
		}
	}
}

// Every unit of the table is read in every spelling, gives the same value in all
// of them, and belongs to one unit of a kind only.
func TestEverySpellingIsRead(t *testing.T) {
	for k := range kinds {
		seen := map[string]string{}
		for i := range unitTable[k] {
			u := &unitTable[k][i]
			all := []string{u.symbol}
			if u.also != "" {
				all = append(all, strings.Split(u.also, "|")...)
			}
			for _, s := range all {
				if other, ok := seen[s]; ok {
					t.Errorf("%v: %q is both %s and %s", k, s, other, u.symbol)
				}
				seen[s] = u.symbol
				if got, ok := lookup(k, s); !ok || got != u {
					t.Errorf("%v: %q is not read as %s", k, s, u.symbol)
				}
				var f fault
				want, _ := (&number{mant: 12}).si(u).Float64()
				if got, ok := scanQuantity(k, "12 "+s, &f); !ok || math.Abs(got-want) > 1e-15*want {
					t.Errorf("%v: 12 %s = %v, want %v (%v)", k, s, got, want, f.reason)
				}
			}
		}
	}
}

// The exported constants and the table are two entries of the same definitions.
func TestConstantsAgreeWithTable(t *testing.T) {
	one := func(k kind, symbol string) float64 {
		u, ok := lookup(k, symbol)
		if !ok {
			t.Fatalf("no %v %s", k, symbol)
		}
		exact, _ := new(big.Rat).SetFrac64(u.num, u.den).Float64()
		if exact != u.factor() {
			t.Errorf("%s: factor %v is not the nearest float64 %v", symbol, u.factor(), exact)
		}
		return exact
	}
	for _, c := range []struct {
		constant float64
		k        kind
		symbol   string
	}{
		{float64(SquareInch), kindArea, "in2"}, {float64(SquareFoot), kindArea, "ft2"},
		{float64(SquareMillimetre), kindArea, "mm2"},
		{float64(Litre), kindVolume, "L"}, {float64(CubicInch), kindVolume, "in3"},
		{float64(CubicFoot), kindVolume, "ft3"},
		{float64(CubicYard), kindVolume, "yd3"}, {float64(USGallon), kindVolume, "gal"},
		{float64(ImperialGallon), kindVolume, "imp gal"},
		{float64(CubicMetrePerHour), kindFlow, "m3/h"}, {float64(LitrePerSecond), kindFlow, "L/s"},
		{float64(LitrePerMinute), kindFlow, "L/min"},
		{float64(USGallonPerMinute), kindFlow, "gpm"}, {float64(USGallonPerHour), kindFlow, "gph"},
		{float64(USGallonPerDay), kindFlow, "gpd"},
		{float64(ImperialGallonPerMinute), kindFlow, "imp gpm"}, {float64(CubicFootPerSecond), kindFlow, "cfs"},
		{float64(CubicFootPerMinute), kindFlow, "cfm"},
		{float64(FootPerSecond), kindVelocity, "ft/s"},
		{float64(Kilopascal), kindPressure, "kPa"}, {float64(Megapascal), kindPressure, "MPa"},
		{float64(Gigapascal), kindPressure, "GPa"},
		{float64(Bar), kindPressure, "bar"}, {float64(PoundForcePerSquareInch), kindPressure, "psi"},
		{float64(FootOfWater), kindPressure, "ft of water"},
		{float64(InchOfWater), kindPressure, "in of water"}, {float64(InchOfMercury), kindPressure, "inHg"},
		{float64(FootOfHead), kindHead, "ft"}, {float64(Pound), kindMass, "lb"},
		{float64(PoundPerCubicFoot), kindDensity, "lb/ft3"},
		{float64(Centipoise), kindDynamicViscosity, "cP"},
		{float64(SquareFootPerSecond), kindKinematicViscosity, "ft2/s"},
		{float64(Centistokes), kindKinematicViscosity, "cSt"},
		{float64(Kilowatt), kindPower, "kW"}, {float64(BtuPerHour), kindPower, "Btu/h"},
		{float64(Horsepower), kindPower, "hp"},
		{float64(BtuPerHourFoot), kindHeatFlowPerLength, "Btu/h-ft"},
		{float64(BtuPerHourFootFahrenheit), kindConductivity, "Btu/h-ft-degF"},
		{float64(BtuPerHourSquareFootFahrenheit), kindHeatTransferCoefficient, "Btu/h-ft2-degF"},
		{float64(KilojoulePerKilogramKelvin), kindSpecificHeat, "kJ/kg-K"},
		{float64(BtuPerPoundFahrenheit), kindSpecificHeat, "Btu/lb-degF"},
		{float64(Minute), kindDuration, "min"}, {float64(Hour), kindDuration, "h"},
		{Inch.Metres(), kindLength, "in"}, {Foot.Metres(), kindLength, "ft"}, {Yard.Metres(), kindLength, "yd"},
	} {
		if want := one(c.k, c.symbol); c.constant != want {
			t.Errorf("%s: constant %v, table %v", c.symbol, c.constant, want)
		}
	}
	for k := range kinds {
		for i := range unitTable[k] {
			one(k, unitTable[k][i].symbol)
		}
		if u := unitTable[k][0]; u.num != 1 || u.den != 1 || u.offset != 0 {
			t.Errorf("%v: the first unit is not the SI unit", k)
		}
	}
}

// What is made with a unit reads back in it, and in another by their ratio.
func TestAccessors(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"gpm", (7 * USGallonPerMinute).In(USGallonPerMinute), 7}, {"L/s", Flow(0.002).In(LitrePerSecond), 2},
		{"mm2", (2 * SquareMetre).In(SquareMillimetre), 2e6}, {"yd3", (54 * CubicFoot).In(CubicYard), 2},
		{"kPa", (3 * Bar).In(Kilopascal), 300}, {"head", (10 * FootOfHead).In(MetreOfHead), 3.048},
		{"min", (2 * Hour).In(Minute), 120}, {"hp", (2 * Horsepower).In(Horsepower), 2},
		{"Kelvin", Kelvin(300).Kelvin(), 300}, {"Celsius", Celsius(60).Celsius(), 60},
		{"Fahrenheit", Fahrenheit(140).Fahrenheit(), 140},
		{"140 degF", Fahrenheit(140).Celsius(), 60}, {"-40", Celsius(-40).Fahrenheit(), -40},
		{"Difference.Kelvin", (18 * FahrenheitDifference).In(KelvinDifference), 10},
		{"Difference.Fahrenheit", (10 * KelvinDifference).In(FahrenheitDifference), 18},
		{"Minus", Fahrenheit(140).Minus(Fahrenheit(120)).In(FahrenheitDifference), 20},
		{"Plus", Celsius(40).Plus(5 * KelvinDifference).Celsius(), 45},
		{"Inches", (7 * Inch).Inches(), 7}, {"Feet", (7 * Foot).Feet(), 7},
		{"Millimetres", (7 * Millimetre).Millimetres(), 7}, {"Metres", (7 * Metre).Metres(), 7},
		{"from Inches", Inches(7.25).Inches(), 7.25}, {"from Feet", Feet(7.25).Feet(), 7.25},
		{"from Millimetres", Millimetres(7.25).Millimetres(), 7.25}, {"from Metres", Metres(7.25).Metres(), 7.25},
	} {
		if math.Abs(c.got-c.want) > 1e-12*math.Abs(c.want) {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
}

// A long number reads to the float64 nearest to number times constant, a short one
// to the float64 nearest to it times the constant, degrees to the float64 nearest to the exact temperature.
// Rational arithmetic is the judge.
func TestReadingRoundsOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 10_000 {
		k := kind(1 + r.IntN(int(kinds)-1))
		u := &unitTable[k][r.IntN(len(unitTable[k]))]
		text := strconv.FormatUint(r.Uint64()%powersOfTen[1+r.IntN(19)], 10)
		digits := len(text)
		switch r.IntN(4) {
		case 0:
			at := r.IntN(len(text))
			text = "0" + text[:at] + "." + text[at:]
		case 1:
			text += "e" + strconv.Itoa(r.IntN(61)-30)
		case 2:
			den := 1 + r.IntN(int(powersOfTen[r.IntN(7)]))
			text = fmt.Sprintf("%d %d/%d", r.Uint64()%powersOfTen[1+r.IntN(15)], r.IntN(den), den)
		}
		if r.IntN(2) == 0 && k != kindTemperature {
			text = "-" + text
		}
		x, ok := new(big.Rat).SetString(strings.Split(text, " ")[0])
		if !ok {
			t.Fatal(text)
		}
		if whole, frac, ok := strings.Cut(text, " "); ok {
			f, _ := new(big.Rat).SetString(frac)
			if whole[0] == '-' {
				f.Neg(f)
			}
			x.Add(x, f)
		}
		if u.offset != 0 {
			x.Add(x, big.NewRat(u.offset, 100)).Mul(x, big.NewRat(u.num, u.den))
		} else if strings.ContainsAny(text, " /") || digits <= 15 {
			near, _ := x.Float64()
			x.SetFloat64(near * u.factor())
		} else {
			x.Mul(x, new(big.Rat).SetFloat64(u.factor()))
		}
		want, _ := x.Float64()
		var f fault
		if got, ok := scanQuantity(k, text+" "+u.symbol, &f); !ok || got != want {
			t.Fatalf("%s %s = %v, want %v (%s)", text, u.symbol, got, want, f.reason)
		}
	}
}

// What String and MarshalText write reads back as the same bits, over the whole
// range of float64, for every kind; many digits are those of the customary unit.
func TestQuantityTextRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 1000 {
		for k := kindArea; k < kinds; k++ {
			v := r.Float64() * math.Pow(10, float64(r.IntN(40)-20))
			calculated := false
			switch r.IntN(3) {
			case 0:
				v = math.Float64frombits(r.Uint64())
			case 1: // a number somebody wrote
				u := &unitTable[k][r.IntN(len(unitTable[k]))]
				v = float64(r.IntN(100_000)) / 100 * u.factor()
			default:
				calculated = true
			}
			if k == kindTemperature {
				v = math.Abs(v)
				calculated = calculated && v > 200
			}
			if math.IsNaN(v) || math.IsInf(v, 0) {
				continue
			}
			text, err := appendText(nil, k, v)
			number, _, _ := strings.Cut(strings.Replace(string(text), ".", "", 1), " ")
			number, _, _ = strings.Cut(strings.TrimLeft(number, "-0"), "e")
			if in := unitTable[k][shown[k][0]].symbol; calculated && len(number) > fewDigits &&
				!strings.HasSuffix(string(text), " "+in) {
				t.Fatalf("%v %v prints %s, not in %s", k, v, text, in)
			}
			var f fault
			if got, ok := scanQuantity(k, string(text), &f); !ok || got != v || err != nil {
				t.Fatalf("%v %v prints %s, read back %v (%v %v)", k, v, text, got, f, err)
			}
		}
	}
}

func TestQuantityString(t *testing.T) {
	for _, c := range []struct {
		v    fmt.Stringer
		want string
	}{
		{25 * USGallonPerMinute, "25 gpm"}, {0.8 * LitrePerSecond, "0.8 L/s"}, {60 * PoundForcePerSquareInch, "60 psi"},
		{413.7 * Kilopascal, "413.7 kPa"},
		{Flow(0), "0 gpm"}, {-2 * FootOfHead, "-2 ft"}, {Flow(1) / 3, "5283.44 gpm"},
		{1e30 * CubicMetrePerSecond, "1e33 L/s"}, {100000 * Watt, "100000 W"},
		{1.6 * USGallon, "1.6 gal"}, {6 * Litre, "6 L"}, {2 * CubicYard, "2 yd3"}, {5 * SquareMetre, "5 m2"},
		{3.5 * SquareInch, "3.5 in2"},
		{Fahrenheit(60), "60 degF"}, {Celsius(49.5), "121.1 degF"}, {Celsius(0.01), "32.018 degF"},
		{Kelvin(300), "80.33 degF"}, {Kelvin(1e-9), "1e-9 K"},
		{10 * FahrenheitDifference, "10 degF"}, {5.5 * KelvinDifference, "9.9 degF"},
		{-7 * KelvinDifference, "-12.6 degF"},
		{1.004e-6 * SquareMetrePerSecond, "0.000001004 m2/s"}, {1.1e-9 * SquareMetrePerSecond, "1.1e-9 m2/s"},
		{4.18 * KilojoulePerKilogramKelvin, "4.18 kJ/kg-K"},
		// What was calculated is rounded to six digits of the customary unit; eight are kept.
		{Kelvin(627.0453765358462), "669.012 degF"},
		{Pressure(8.701201698143269e8), "126200 psi"}, {12345678 * Pascal, "12345.678 kPa"},
		{-4.905485635591003 * FootPerSecond, "-4.90549 ft/s"}, {9.9999999999 * FootPerSecond, "10 ft/s"},
		{0.04 * WattPerMetreKelvin, "0.04 W/m-K"}, {Flow(math.NaN()), "NaN m3/s"}, {Flow(math.Inf(-1)), "-Inf m3/s"},
	} {
		if got := c.v.String(); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}

func TestTextFaults(t *testing.T) {
	for _, v := range []encoding.TextMarshaler{Flow(math.NaN()), Pressure(math.Inf(1)), MaxLength + 1,
		Inches(math.NaN()), Feet(math.Inf(1)), Metres(1e9)} {
		if text, err := v.MarshalText(); !errors.Is(err, ErrRange) {
			t.Errorf("%T marshals as %q, %v", v, text, err)
		}
	}
	f := 3 * LitrePerSecond
	if err := f.UnmarshalText([]byte("x")); err == nil || f != 3*LitrePerSecond {
		t.Errorf("a failed unmarshal left %v, %v", f, err)
	}
	l := 3 * Inch
	if err := l.UnmarshalText([]byte("3")); err == nil || l != 3*Inch {
		t.Errorf("a failed unmarshal left %v, %v", l, err)
	}
	for name, f := range map[string]func(){"flow": func() { MustParse[Flow]("x") },
		"length": func() { MustParse[Length]("x") }, "quantity": func() { MustParseQuantity("x") }} {
		func() {
			defer func() {
				if err, ok := recover().(error); !ok || !errors.Is(err, ErrSyntax) {
					t.Errorf("%s: Must does not panic with the error", name)
				}
			}()
			f()
		}()
	}
}

// every holds one value of each type, by a name of its own.
type every struct {
	Length     Length
	Area       Area
	Volume     Volume
	Flow       Flow
	Velocity   Velocity
	Pressure   Pressure
	Head       Head
	Mass       Mass
	Density    Density
	Dynamic    DynamicViscosity
	Kinematic  KinematicViscosity
	Power      Power
	PerLength  HeatFlowPerLength
	Conduct    Conductivity
	Film       HeatTransferCoefficient
	Heat       SpecificHeat
	Duration   Duration
	Temp       Temperature
	Difference TemperatureDifference
	Quantity   Quantity
}

const everyJSON = `{"Length":"37'-6 3/8\"","Area":"12 ft2","Volume":"1.6 gal","Flow":"12.5 gpm","Velocity":"8 ft/s",` +
	`"Pressure":"60 psi","Head":"138.6 ft",` +
	`"Mass":"25 lb","Density":"62.4 lb/ft3","Dynamic":"0.001 Pa-s","Kinematic":"0.00001 ft2/s","Power":"40000 ` +
	`Btu/h","PerLength":"12 Btu/h-ft",` +
	`"Conduct":"0.04 W/m-K","Film":"10 W/m2-K","Heat":"4.18 kJ/kg-K","Duration":"90 s","Temp":"60 degF",` +
	`"Difference":"10 degF","Quantity":"5.50 bar"}`

// Every type can be handed to whatever takes text.
func TestTextMethods(t *testing.T) {
	type text interface {
		encoding.TextUnmarshaler
		encoding.TextMarshaler
		encoding.TextAppender
		fmt.Stringer
	}
	fields := reflect.TypeFor[every]()
	for i := range fields.NumField() {
		v := reflect.New(fields.Field(i).Type).Interface()
		if _, ok := v.(text); !ok {
			t.Errorf("%T has not all of the text methods", v)
		}
		if _, ok := v.(fmt.Formatter); !ok && fields.Field(i).Name != "Quantity" {
			t.Errorf("%T does not format", v)
		}
	}
}

func TestJSON(t *testing.T) {
	var v every
	if err := json.Unmarshal([]byte(everyJSON), &v); err != nil {
		t.Fatal(err)
	}
	back, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(everyJSON, string(back)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	// A bare number has no unit and is refused, whatever the type.
	fields := reflect.TypeFor[every]()
	for i := range fields.NumField() {
		name := fields.Field(i).Name
		if err := json.Unmarshal([]byte(`{"`+name+`":25}`), &v); err == nil {
			t.Errorf("%s reads a bare number", name)
		}
		if err := json.Unmarshal([]byte(`{"`+name+`":""}`), &v); err == nil {
			t.Errorf("%s reads an empty text", name)
		}
	}
}

func TestFormatQuantities(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{fmt.Sprintf("%v|%s|%q", 25*USGallonPerMinute, 25*USGallonPerMinute, 25*USGallonPerMinute),
			`25 gpm|25 gpm|"25 gpm"`},
		{fmt.Sprintf("%.1f", 413.7*Kilopascal), "60.0 psi"},
		{fmt.Sprintf("%#.1f", 60*PoundForcePerSquareInch), "413.7 kPa"},
		{fmt.Sprintf("%.3g", 1*LitrePerSecond), "15.9 gpm"}, {fmt.Sprintf("%.3v", 1*LitrePerSecond), "15.9 gpm"},
		{fmt.Sprintf("%#g", 1*LitrePerSecond), "1 L/s"},
		{fmt.Sprintf("%.2e", 1*LitrePerSecond), "1.59e+01 gpm"}, {fmt.Sprintf("%f", 8*FootPerSecond), "8.000000 ft/s"},
		{fmt.Sprintf("[%12.1f]", 60*PoundForcePerSquareInch), "[    60.0 psi]"},
		{fmt.Sprintf("[%-12.1f]", 60*PoundForcePerSquareInch), "[60.0 psi    ]"},
		{fmt.Sprintf("%+.1f %+.1f", 60*PoundForcePerSquareInch, -60*PoundForcePerSquareInch), "+60.0 psi -60.0 psi"},
		{fmt.Sprintf("%+v", Flow(0)), "+0 gpm"},
		{fmt.Sprintf("%.1f %#.1f", Celsius(60), Fahrenheit(140)), "140.0 degF 60.0 degC"},
		{fmt.Sprintf("%.1f %#.1f", 10*KelvinDifference, 18*FahrenheitDifference), "18.0 degF 10.0 K"},
		{fmt.Sprintf("%#v", Flow(0.5)), "units.Flow(0.5)"}, {fmt.Sprintf("%x", Flow(0)), "%!x(units.Flow=0 gpm)"},
		{fmt.Sprintf("%d", 60*PoundForcePerSquareInch), "%!d(units.Pressure=60 psi)"},
		{fmt.Sprintf("%.1f", Flow(math.NaN())), "NaN gpm"}, {fmt.Sprintf("%.900f", Flow(0))[:6], "0.0000"},
		{fmt.Sprintf("%.2f %#.2f", 1.6*USGallon, 1.6*USGallon), "1.60 gal 6.06 L"},
		{fmt.Sprintf("%.1f", 90*Second), "90.0 s"}, {fmt.Sprintf("%#.1f", 90*Second), "90.0 s"},
	} {
		if c.got != c.want {
			t.Errorf("%s, want %s", c.got, c.want)
		}
	}
}

func TestIn(t *testing.T) {
	if v, err := In(1*LitrePerSecond, "m3/h"); err != nil || v != 3.6 {
		t.Error(v, err)
	}
	if v, err := In(long, "in"); err != nil || v != 450.375 {
		t.Error(v, err)
	}
	if v, err := In(Fahrenheit(140), "degC"); err != nil || math.Abs(v-60) > 1e-12 {
		t.Error(v, err)
	}
	if _, err := In(1*LitrePerSecond, "psi"); !errors.Is(err, ErrUnit) || !strings.Contains(err.Error(), "pressure") {
		t.Error(err)
	}
	if _, err := In(1*LitrePerSecond, "buckets"); !errors.Is(err, ErrUnit) {
		t.Error(err)
	}
	if _, err := In(Flow(math.NaN()), "gpm"); !errors.Is(err, ErrRange) {
		t.Error(err)
	}
	if v, err := In(Inches(math.NaN()), "mm"); !errors.Is(err, ErrRange) {
		t.Error(v, err)
	}
}

func FuzzParseQuantities(f *testing.F) {
	for _, s := range []string{"25 gpm", "0.8 L/s", "60 psi", "138.6 ft of water", "60 °F", "1.004e-6 m2/s",
		"2 1/2 gal", "⅜ in2", "1e-320 W", "12 Btu/(h·ft²·°F)", "-459.67 degF", "5 psia", "1e308 kW"} {
		for k := range kinds {
			f.Add(uint8(k), s)
		}
	}
	f.Fuzz(func(t *testing.T, which uint8, s string) {
		k := kind(which) % kinds
		if k == kindLength {
			return
		}
		v, err := parse(k, s)
		if err != nil {
			var pe *ParseError
			if !errors.As(err, &pe) || pe.Offset < 0 || pe.Offset > len(s) || pe.Reason == "" || pe.Err == nil {
				t.Fatalf("%q: bad error %#v", s, err)
			}
			return
		}
		text, err := appendText(nil, k, v)
		if err != nil {
			t.Fatalf("%v %q = %v: %v", k, s, v, err)
		}
		if back, err := parse(k, string(text)); err != nil || back != v {
			t.Fatalf("%v %q = %v prints %s, read back %v (%v)", k, s, v, text, back, err)
		}
	})
}

// TestTextLosesNothing: what String rounds, the text methods do not.
func TestTextLosesNothing(t *testing.T) {
	for _, v := range []Velocity{4.905485635591003 * FootPerSecond, Velocity(1) / 3, 1.16} {
		text, err := v.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		if back, err := Parse[Velocity](string(text)); err != nil || back != v {
			t.Errorf("%s reads back as %v, %v", text, float64(back), err)
		}
	}
}

// TestLengthString: from a foot on feet stand before decimal inches too.
func TestLengthString(t *testing.T) {
	for _, c := range []struct {
		l    Length
		want string
	}{
		{Inches(1170.534), `97'-6.534"`}, {-Inches(60.216), `-5'-0.216"`}, {Inches(2.067), `2.067"`},
		{Inches(11.999), `11.999"`}, {12*Inch + 127, `1'-0.000005"`}, {Inches(0.545), `0.545"`},
		{37*Foot + 6*Inch + 3*Inch/8, `37'-6 3/8"`}, {449*Millimetre + 1, "449.000001 mm"}, {850 * Millimetre, "850 mm"},
		{1270 * Millimetre, `4'-2"`},
	} {
		if got := c.l.String(); got != c.want {
			t.Errorf("%d nm: %s, want %s", int64(c.l), got, c.want)
		}
		if back, err := Parse[Length](c.want); err != nil || back != c.l {
			t.Errorf("%s reads back as %v, %v", c.want, back, err)
		}
	}
}

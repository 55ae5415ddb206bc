package units_test

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"

	"github.com/shopspring/decimal"

	"github.com/trapweir/trapweir/units"
)

func Example() {
	run, err := units.Parse[units.Length](`37'-6 3/8"`)
	if err != nil {
		fmt.Println(err)
		return
	}
	fall, err := run.Scale(1, 48) // 1/4 in per ft
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v falls %.32v, %#.1m\n", run, fall, fall)
	// Output: 37'-6 3/8" falls 9 3/8", 238.3 mm
}

func ExampleParse() {
	for _, s := range []string{`37'-6 3/8"`, "37 ft 6-3/8 in", "6⅜\"", "3/4", "37.53 ft", "11.44 m", "1,200 mm",
		`5' 14"`, "12"} {
		l, err := units.Parse[units.Length](s)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%-15s %14.16v %10.4m\n", s, l, l)
	}
	// Output:
	// 37'-6 3/8"          37'-6 3/8"  11.4395 m
	// 37 ft 6-3/8 in      37'-6 3/8"  11.4395 m
	// 6⅜"                     6 3/8"   0.1619 m
	// 3/4                       3/4"   0.0190 m
	// 37.53 ft            37'-6 3/8"  11.4391 m
	// 11.44 m             37'-6 3/8"  11.4400 m
	// length "1,200 mm", byte 1: a comma is not accepted: write a point for decimals and no mark between thousands
	// length "5' 14\"", byte 3: inches after feet must be below 12
	// length "12", byte 2: a unit is missing: write ft, in, mm or m after the number
}

func ExampleParseError() {
	_, err := units.Parse[units.Flow]("25 gal")
	var fault *units.ParseError
	if errors.As(err, &fault) && errors.Is(err, units.ErrUnit) {
		fmt.Println(fault.Text[fault.Offset:])
	}
	// Output: gal
}

func ExampleNotation() {
	l := units.MustParse[units.Length]("11.44 m")
	for _, n := range []units.Notation{
		{},
		{Nearest: 64},
		{Nearest: 8, Rounding: units.Down, Spelled: true},
		{Form: units.FractionalInches, Nearest: 4},
		{Form: units.DecimalFeet, Places: 2},
		{Form: units.DecimalMillimetres},
	} {
		shown, rest := n.Rounded(l)
		fmt.Printf("%-18s and %#+.3m (%v)\n", n.Format(l), rest, shown+rest == l)
	}
	// Output:
	// 37'-6 3/8"         and +0.475 mm (true)
	// 37'-6 25/64"       and +0.078 mm (true)
	// 37 ft 6 3/8 in     and +0.475 mm (true)
	// 450 1/2"           and -2.700 mm (true)
	// 37.53'             and +0.856 mm (true)
	// 11440 mm           and +0.000 mm (true)
}

func ExampleLength_Format() {
	l := 37*units.Foot + 6*units.Inch + 3*units.Inch/8
	fmt.Printf("%v\n%.2v\n%i\n%#.3i\n%.2f\n%.3m\n%#m\n", l, l, l, l, l, l, l)
	// Output:
	// 37'-6 3/8"
	// 37'-6 1/2"
	// 450 3/8"
	// 450.375"
	// 37.53'
	// 11.440 m
	// 11440 mm
}

func ExampleFlow() {
	q := 25 * units.USGallonPerMinute
	fmt.Printf("%v is %#.3f\n", q, q)
	fmt.Printf("%.2f m3/h\n", q.In(units.CubicMetrePerHour))
	// Output:
	// 25 gpm is 1.577 L/s
	// 5.68 m3/h
}

func ExampleTemperature() {
	hot, cold := units.Fahrenheit(140), units.MustParse[units.Temperature]("10 degC")
	fmt.Println(hot, cold, hot.Minus(cold))
	fmt.Printf("%#.0f\n", hot)
	// Output:
	// 140 degF 50 degF 90 degF
	// 60 degC
}

func ExampleConvert() {
	v, err := units.Convert(decimal.RequireFromString("60"), "psi", "kPa", 12)
	fmt.Println(v, err)
	_, err = units.Convert(decimal.RequireFromString("60"), "psi", "ft", 12)
	fmt.Println(err)
	// Output:
	// 413.685437590102 <nil>
	// convert: psi is a unit of pressure, ft of length or head: wrong unit
}

func ExampleParseQuantity() {
	q, err := units.ParseQuantity(`37'-6 3/8"`)
	if err != nil {
		fmt.Println(err)
		return
	}
	in, err := q.In("in")
	fmt.Println(in, err)
	_, err = q.In("gpm")
	fmt.Println(err)
	// Output:
	// 450.375 <nil>
	// convert: nm is a unit of length, gpm of flow: wrong unit
}

func ExampleIn() {
	picked := "m3/h" // from a list on the screen
	v, err := units.In(25*units.USGallonPerMinute, picked)
	fmt.Printf("%.3f %s %v\n", v, picked, err)
	// Output: 5.678 m3/h <nil>
}

func ExampleLength_MarshalText() {
	type Run struct {
		Length units.Length
		Flow   units.Flow
	}
	var r Run
	err := json.Unmarshal([]byte(`{"Length":"37 ft 6-3/8 in","Flow":"0.8 L/s"}`), &r)
	text, _ := json.Marshal(r)
	fmt.Println(string(text), err)
	// Output: {"Length":"37'-6 3/8\"","Flow":"0.8 L/s"} <nil>
}

func ExampleLength_UnmarshalText() {
	flags := flag.NewFlagSet("trench", flag.ContinueOnError)
	depth := 3 * units.Foot
	flags.TextVar(&depth, "depth", depth, "depth of the trench")
	err := flags.Parse([]string{"-depth", `4'-6"`})
	fmt.Println(depth, err)
	// Output: 4'-6" <nil>
}

func ExampleSum() {
	total, err := units.Sum(10*units.Foot, 6*units.Inch, -units.Inch/2)
	fmt.Println(total, err)
	_, err = units.Sum(units.MaxLength, units.Inch)
	fmt.Println(err)
	// Output:
	// 10'-5 1/2" <nil>
	// length: the result is longer than 1000 km: out of range
}

func ExampleLength_Round() {
	l := units.MustParse[units.Length](`6 13/32"`)
	fmt.Println(l.Round(units.Inch/16, units.HalfEven), l.Round(units.Inch/16, units.HalfUp),
		l.Round(units.Inch/2, units.Down))
	// Output: 6 3/8" 6 7/16" 6"
}

func ExampleUnits() {
	for _, u := range units.Units() {
		if u.Quantity == "volume" && u.Note != "" {
			fmt.Println(u.Symbol, u.Note, u.Factor())
		}
	}
	// Output:
	// gal US liquid gallon, 231 in3 473176473/125000000000
	// qt US liquid quart, 1/4 gal 473176473/500000000000
	// pt US liquid pint, 1/8 gal 473176473/1000000000000
	// fl oz US fluid ounce, 1/128 gal 473176473/16000000000000
}

package units

import "testing"

// Each benchmark of ours stands beside its floor: the loop over the same bytes
// that any reader or writer of digits has to make.

var (
	lengthSink Length
	bytesSink  []byte
	floatSink  float64
	flowSink   Flow
)

// digitLoop reads a decimal number into an int64 count of 10^-4, with overflow checks.
func digitLoop(s string) (v int64, ok bool) {
	places := -1
	for i := range len(s) {
		c := s[i]
		if c == '.' {
			places = 0
			continue
		}
		d := int64(c - '0')
		if d < 0 || d > 9 || v > (1<<63-1-9)/10 {
			return 0, false
		}
		v = v*10 + d
		if places >= 0 {
			places++
		}
	}
	for ; places < 4; places++ {
		if v > (1<<63-1)/10 {
			return 0, false
		}
		v *= 10
	}
	return v, true
}

// digitAppend writes an int64 count of 10^-4 as a decimal number.
func digitAppend(b []byte, v int64) []byte {
	var buf [24]byte
	i := len(buf)
	for n := 0; v > 0 || n < 5; n++ {
		if n == 4 {
			i--
			buf[i] = '.'
		}
		i--
		buf[i] = '0' + byte(v%10)
		v /= 10
	}
	return append(b, buf[i:]...)
}

func BenchmarkParse(b *testing.B) {
	b.Run("floor", func(b *testing.B) {
		s := "12.0625"
		for b.Loop() {
			v, _ := digitLoop(s)
			lengthSink = Length(v)
		}
	})
	b.Run("ours", func(b *testing.B) {
		for b.Loop() {
			lengthSink, _ = Parse[Length](`12' 6-3/16"`)
		}
	})
	for _, s := range []string{`37'-6 3/8"`, "37 ft 6 3/8 in", "450.375 in", "11.44 m", `37′ 6⅜″`} {
		b.Run(s, func(b *testing.B) {
			for b.Loop() {
				lengthSink, _ = Parse[Length](s)
			}
		})
	}
	b.Run("12.5 gpm", func(b *testing.B) {
		for b.Loop() {
			flowSink, _ = Parse[Flow]("12.5 gpm")
		}
	})
}

func BenchmarkAppend(b *testing.B) {
	buf := make([]byte, 0, 64)
	b.Run("floor", func(b *testing.B) {
		v := int64(120625)
		for b.Loop() {
			bytesSink = digitAppend(buf, v)
		}
	})
	l := 37*Foot + 6*Inch + 3*Inch/8
	for name, n := range map[string]Notation{"ours": {}, "inches": {Form: FractionalInches, Nearest: 64},
		"decimal feet": {Form: DecimalFeet, Places: 2}, "metres": {Form: DecimalMetres, Places: 3}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				bytesSink = n.Append(buf, l)
			}
		})
	}
	b.Run("exact", func(b *testing.B) {
		for b.Loop() {
			bytesSink, _ = l.AppendText(buf)
		}
	})
	b.Run("flow", func(b *testing.B) {
		f := 12.5 * USGallonPerMinute
		for b.Loop() {
			bytesSink, _ = f.AppendText(buf)
		}
	})
}

func BenchmarkConvert(b *testing.B) {
	q := MustParseQuantity("60 psi")
	for b.Loop() {
		floatSink, _ = q.In("kPa")
	}
}

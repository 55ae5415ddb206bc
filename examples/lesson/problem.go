package lesson

import (
	"encoding"
	"errors"
	"fmt"
	"iter"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/trapweir/trapweir/internal/strictjson"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// problem is one line being answered: its fields, the unit system of its
// answers, and its working if that was asked for.
type problem struct {
	doc    *strictjson.Document
	fields *strictjson.Fields
	si     bool
	shelf  *codes
	answers
	working    bool
	roundTrade bool
	noSuchCode bool // the code of the line is not on the shelf
	lines      []string
	rows       []tables.Citation // that the answers rest on
	basis      []basis           // what else they rest on
}

// sign is what a quantity may be.
type sign uint8

const (
	positive    sign = iota // > 0
	notNegative             // >= 0
	anySign
)

// textOf is a pointer to T that reads itself from text.
type textOf[T any] interface {
	*T
	encoding.TextUnmarshaler
}

// read returns the quantity in a field, which must be there.
func read[T ~int64 | ~float64, P textOf[T]](p *problem, f *strictjson.Fields, name string, s sign) T {
	if !f.Need(name) {
		return 0
	}
	v, _ := readIf[T, P](p, f, name, s)
	return v
}

// readIf returns the quantity in a field and whether it is there and good.
func readIf[T ~int64 | ~float64, P textOf[T]](p *problem, f *strictjson.Fields, name string, s sign) (T, bool) {
	var v T
	if !f.Parse(name, P(&v)) {
		return 0, false
	}
	switch {
	case v != v || math.IsInf(float64(v), 0):
		f.Faultf(name, "not a finite quantity")
	case s == positive && v <= 0:
		f.Faultf(name, "%s must be more than 0", f.Get(name).Text)
	case s == notNegative && v < 0:
		f.Faultf(name, "%s must be at least 0", f.Get(name).Text)
	default:
		return v, true
	}
	return 0, false
}

func (p *problem) length(name string, s sign) units.Length {
	if name == "size" || name == "drain_size" || name == "least" {
		return units.Length(read[nominalSize](p, p.fields, name, s))
	}
	return read[units.Length](p, p.fields, name, s)
}

// nominalSize is a length that may be written as the name of a metric pipe, "DN 65".
type nominalSize int64

func (n *nominalSize) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	if number, ok := strings.CutPrefix(s, "DN"); ok {
		s = strings.TrimSpace(number) + " mm"
	}
	return (*units.Length)(n).UnmarshalText([]byte(s))
}

func (p *problem) flow(name string) units.Flow { return read[units.Flow](p, p.fields, name, positive) }

func (p *problem) velocity(name string) units.Velocity {
	return read[units.Velocity](p, p.fields, name, positive)
}

func (p *problem) has(name string) bool { return p.fields.Get(name) != nil }

// grade returns the grade in a field. Falling grades only, if asked.
func (p *problem) grade(name string, s sign) slope.Grade { return gradeOf(p.fields, name, s) }

func gradeOf(f *strictjson.Fields, name string, s sign) slope.Grade {
	var g slope.Grade
	if !f.Need(name) || !f.Parse(name, &g) {
		return slope.Grade{}
	}
	switch c := g.Compare(slope.Grade{}); {
	case !g.Valid():
		f.Faultf(name, "not a grade")
	case s == positive && c <= 0:
		f.Faultf(name, "%s does not fall", f.Get(name).Text)
	case s == notNegative && c < 0:
		f.Faultf(name, "%s rises", f.Get(name).Text)
	default:
		return g
	}
	return slope.Grade{}
}

// span is the range a plain number must lie in.
type span struct {
	low, high float64
	openLow   bool // low itself is not allowed
	openHigh  bool
}

var (
	fraction     = span{0, 1, true, false} // (0, 1]
	loads        = span{0, 1e9, false, false}
	probability  = span{0, 1, false, false}
	anyPositive  = span{0, math.MaxFloat64, true, false}
	zeroOrMore   = span{0, math.MaxFloat64, false, false}
	anyNumber    = span{-math.MaxFloat64, math.MaxFloat64, false, false}
	fittingAngle = span{0, 90, true, false}
)

func (s span) holds(x float64) bool {
	return (x > s.low || x == s.low && !s.openLow) && (x < s.high || x == s.high && !s.openHigh)
}

// String says what a number in the span is: "greater than 0 and at most 1".
func (s span) String() string {
	low, high := "at least ", "at most "
	if s.openLow {
		low = "greater than "
	}
	if s.openHigh {
		high = "less than "
	}
	switch {
	case s.high == math.MaxFloat64 && s.low == -math.MaxFloat64:
		return "a finite number"
	case s.high == math.MaxFloat64:
		return low + short(s.low)
	}
	return low + short(s.low) + " and " + high + short(s.high)
}

// number returns the plain number in a field, which must be there and in range.
func (p *problem) number(name string, s span) float64 { return numberOf(p.fields, name, s) }

func numberOf(f *strictjson.Fields, name string, s span) float64 {
	if !f.Need(name) {
		return 0
	}
	x, _ := numberIf(f, name, s)
	return x
}

func (p *problem) numberIf(name string, s span) (float64, bool) { return numberIf(p.fields, name, s) }

// bareNumber returns the plain number in a field and whether it is there and good. Of a text
// it says what the number alone would count.
func bareNumber(f *strictjson.Fields, name string) (float64, bool) {
	if v := f.Get(name); v != nil && v.Kind == strictjson.String {
		what, example := numberIn(name)
		f.Faultf(name, "%w: text where a number is needed: write the %s alone, such as %s", strictjson.ErrType, what,
			example)
		return 0, false
	}
	return f.Float(name)
}

func numberIf(f *strictjson.Fields, name string, s span) (float64, bool) {
	x, ok := bareNumber(f, name)
	if !ok {
		return 0, false
	}
	if !s.holds(x) {
		f.Faultf(name, "%s must be %v", plainPowers.Replace(f.Get(name).Text), s)
		return 0, false
	}
	return x, true
}

// maxCount is the most of anything that is counted.
const maxCount = 1_000_000_000

// count returns a whole number of at least low.
func countOf(f *strictjson.Fields, name string, low, high int) int {
	if !f.Need(name) {
		return 0
	}
	x, ok := bareNumber(f, name)
	if ok && !(x == math.Trunc(x) && x >= float64(low) && x <= float64(high)) {
		f.Faultf(name, "%s must be a whole number, at least %d and at most %d", plainPowers.Replace(f.Get(name).Text), low,
			high)
		return 0
	}
	return int(x)
}

// word returns the text in a field, one of those given.
func (p *problem) word(name string, choices ...string) string {
	if !p.fields.Need(name) {
		return ""
	}
	return p.wordIf(name, choices...)
}

func (p *problem) wordIf(name string, choices ...string) string {
	w := p.fields.Text(name)
	for _, c := range choices {
		if w == c {
			return w
		}
	}
	if v := p.fields.Get(name); v != nil && v.Kind == strictjson.String {
		p.fields.Faultf(name, "%q is not one of %s", w, strings.Join(choices, ", "))
	}
	return ""
}

// oneOf records a fault unless exactly one of the fields is there, and returns it.
func (p *problem) oneOf(names ...string) string {
	given := ""
	for _, n := range names {
		if p.has(n) {
			if given != "" {
				p.fields.Faultf(n, "%s is given too: give one of %s", given, strings.Join(names, ", "))
				return ""
			}
			given = n
		}
	}
	if given == "" {
		p.fields.Faultf(names[0], "missing: give one of %s", strings.Join(names, ", "))
	}
	return given
}

// ready is asked once all fields are read: it reports whether the line is whole,
// after fields that nobody asked for have been made faults.
func (p *problem) ready() bool {
	p.fields.Done()
	return p.doc.Faults.Len() == 0
}

// unanswered is asked once all fields are read and the library was asked for the answer: it
// reports whether the line is not whole, or the library refuses what it gives.
func (p *problem) unanswered(err error) bool { return !p.ready() || p.fail(err) }

// fail records an error of the library, and reports whether there is one. A range error names
// its quantity, which is the field, also of an item of a list.
func (p *problem) fail(err error) bool { return p.failIn("", err) }

func (p *problem) failIn(item string, err error) bool {
	if err == nil {
		return false
	}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range joined.Unwrap() {
			p.failIn(item, e)
		}
		return true
	}
	if f, ok := err.(*units.Fault); ok && f.Item != "" && f.Field == "" && item == "" {
		return p.failIn(f.Item, f.Err)
	}
	f := units.Fault{Item: item, Err: err}
	if r, ok := errors.AsType[*units.RangeError](err); ok {
		f.Field = p.fieldOf(strings.ReplaceAll(r.Name, " ", "_"))
		f.Err = p.refused(f, r)
	}
	p.doc.Faults.Add(f)
	return true
}

// fieldOf returns the field of a line that holds what an error names: the highest pressure is
// the field "highest".
func (p *problem) fieldOf(name string) string {
	for _, known := range [...]string{name, strings.TrimSuffix(name, "_pressure"),
		strings.TrimPrefix(name, "temperature_"), "insulation_" + name} {
		if p.fields.Get(known) != nil {
			return known
		}
	}
	return name
}

// bounds are the two ends of a range as errors tell it.
var bounds = regexp.MustCompile(`^((?:more than|greater than|at least) (-?[0-9.e+-]+).*?) ` +
	`and (at most (-?[0-9.e+-]+).*)$`)

// broken returns the bound of a range that a value lies beyond.
func broken(value, allowed string) string {
	m := bounds.FindStringSubmatch(allowed)
	if m == nil {
		return allowed
	}
	number, _, _ := strings.Cut(value, " ")
	x, err1 := strconv.ParseFloat(number, 64)
	high, err2 := strconv.ParseFloat(m[4], 64)
	switch {
	case err1 != nil || err2 != nil:
		return allowed
	case x > high:
		return m[3]
	}
	return m[1]
}

// refused words the refusal of a number. A bound that follows from another field, as "at
// most the static pressure, 344738 Pa", is told in the unit of the field.
func (p *problem) refused(f units.Fault, r *units.RangeError) error {
	given, allowed := p.asGiven(f, r.Value), broken(r.Value, r.Allowed)
	if v := p.fields.Get(f.Field); f.Item == "" && v != nil && v.Kind == strictjson.String &&
		strings.Contains(allowed, ",") {
		if q, err := units.ParseQuantity(v.Text); err == nil {
			given = v.Text
			allowed = quantityText.ReplaceAllStringFunc(allowed, func(s string) string {
				bound, err := units.ParseQuantity(s)
				if err != nil {
					return s
				}
				x, err := bound.In(q.Unit())
				if err != nil {
					return s
				}
				return short(x) + " " + q.Unit()
			})
		}
	}
	if f.Item == "" && p.fields.Get(f.Field) == nil { // it was worked out, and is no field
		given = "comes to " + given + ", and"
	}
	return fmt.Errorf("%s must be %s", plainPowers.Replace(given), plainPowers.Replace(allowed))
}

var quantityText = regexp.MustCompile(`-?[0-9][0-9.e+-]* [A-Za-z][A-Za-z0-9/-]*`)

// plainPowers writes powers of ten as people do: 1e6 for 1e+06.
var plainPowers = strings.NewReplacer("e+0", "e", "e+", "e", "e-0", "e-")

// asGiven is a value that was refused as the line has it, and in the unit of the range.
func (p *problem) asGiven(f units.Fault, value string) string {
	if v := p.fields.Get(f.Field); f.Item == "" && v != nil && v.Kind == strictjson.String &&
		plainPowers.Replace(v.Text) != plainPowers.Replace(value) {
		return v.Text + " (" + value + ")"
	}
	return value
}

// failAt records an error of the library under a field, and reports whether there is one.
func (p *problem) failAt(field string, err error) bool {
	if err == nil {
		return false
	}
	f := units.Fault{Field: field, Err: plainError{withoutPrefix(err, field)}}
	if r, ok := errors.AsType[*units.RangeError](err); ok && (r.Name == field || r.Name == "temperature" ||
		r.Name == "demand") {
		f.Err = p.refused(f, r)
	}
	p.doc.Faults.Add(f)
	return true
}

// plainError writes the powers of ten of an error as people do.
type plainError struct{ error }

func (e plainError) Error() string { return plainPowers.Replace(e.error.Error()) }
func (e plainError) Unwrap() error { return e.error }

// withoutPrefix takes the name of the field off an error that begins with it.
func withoutPrefix(err error, field string) error {
	if rest, ok := strings.CutPrefix(err.Error(), field+": "); ok {
		return errors.New(rest)
	}
	return err
}

// short writes a number for a person.
func short(x float64) string { return plainPowers.Replace(strconv.FormatFloat(x, 'g', 6, 64)) }

// each walks a list of objects that must be there; noun is what it needs at least one of,
// "" where it may be empty. What nobody asked for of one is a fault.
func (p *problem) each(name, noun string) iter.Seq[*strictjson.Fields] {
	return func(yield func(*strictjson.Fields) bool) {
		if !p.fields.Need(name) {
			return
		}
		list := p.fields.List(name)
		if len(list) == 0 && noun != "" && p.doc.Faults.Len() == 0 {
			p.fields.Faultf(name, "empty: give at least one %s", noun)
		}
		for i := range list {
			f := p.doc.Fields(&list[i], fmt.Sprintf("%s[%d]", name, i))
			if !yield(f) {
				return
			}
			f.Done()
		}
	}
}

package tables

import (
	"math"
	"strings"
)

// checkMonotone checks the declared column rules: among rows that agree in every
// other key, a column never falls (or never rises) as the key grows. Blank and not
// permitted cells are passed over; unlimited is greater than any number.
func checkMonotone(t *Table, l *faultList) {
	for i := range t.monotone {
		t.checkMonotoneRule(&t.monotone[i], l)
	}
	if t.base != nil || t.op >= 0 {
		return // an amendment may have mended what an exception excused
	}
	for _, e := range t.excepts {
		if !e.used {
			l.report(e.line, 0, "except", ErrHeader, "excuses nothing: %s at %s keeps the rules", e.column,
				strings.Join(e.key, ", "))
		}
	}
}

func (t *Table) checkMonotoneRule(m *monotoneRule, l *faultList) {
	column, key := t.Column(m.column), t.Column(m.key)
	var others []int
	for _, k := range t.keys {
		if k != key {
			others = append(others, k)
		}
	}
	// Rows ascend by their keys, so those that agree in the other keys come in the
	// order of this one. If this key is the last, they are neighbours.
	lastKey := key == t.keys[len(t.keys)-1]
	last, parts := make(map[string]float64), make([]string, len(others))
	for i := range t.Len() {
		cells := t.row(i)
		v, ok := parseNumber(cells[column])
		if cells[column] == unlimited {
			v, ok = math.Inf(1), true
		}
		if lastKey && i > 0 && compareKeys(t.row(i-1), others, cells, others) != 0 {
			clear(last)
		}
		if !ok {
			continue
		}
		group := ""
		if !lastKey {
			for j, k := range others {
				parts[j] = canonical(cells[k])
			}
			group = strings.Join(parts, "\x00")
		}
		before, seen := last[group]
		last[group] = v
		if seen && m.broken(before, v) {
			t.reportBreach(m, i, column, key, l)
		}
	}
}

// broken reports whether a value breaks the rule after the one before.
func (m *monotoneRule) broken(before, v float64) bool { return v != before && (v < before) != m.down }

// reportBreach reports row i, whose value breaks the rule, unless that is excused.
func (t *Table) reportBreach(m *monotoneRule, i, column, key int, l *faultList) {
	if t.excused(m.column, i) {
		return
	}
	cells := t.row(i)
	direction := "falls"
	if m.down {
		direction = "rises"
	}
	l.reportCell(cellAt{t, i, column}, m.column, ErrMonotone, "%s to %s while %s grows to %s", direction, cells[column],
		m.key,
		cells[key])
}

func (t *Table) excused(column string, i int) bool {
	for k := range t.excepts {
		e := &t.excepts[k]
		if row, ok := t.Find(e.key...); ok && row == i && e.column == column {
			e.used = true
			return true
		}
	}
	return false
}

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
			l.report(e.line, 0, "except", ErrHeader, "excuses nothing: %s at %s keeps the rules", e.column, strings.Join(e.key, ", "))
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
	// order of this one.
	last := make(map[string]float64)
	for i := range t.Len() {
		cells := t.row(i)
		v, ok := parseNumber(cells[column])
		if cells[column] == unlimited {
			v, ok = math.Inf(1), true
		}
		if !ok {
			continue
		}
		var group string
		if len(others) == 1 {
			group = cells[others[0]]
		} else if len(others) > 1 {
			parts := make([]string, len(others))
			for j, k := range others {
				parts[j] = cells[k]
			}
			group = strings.Join(parts, "\x00")
		}
		before, seen := last[group]
		last[group] = v
		if !seen || v == before || (v < before) == m.down || t.excused(m.column, cells) {
			continue
		}
		direction := "falls"
		if m.down {
			direction = "rises"
		}
		file, line, col := t.where(i, column)
		l.file = file
		l.report(line, col, m.column, ErrMonotone, "%s to %s while %s grows to %s", direction, cells[column], m.key, cells[key])
	}
}

func (t *Table) excused(column string, cells []string) bool {
	for i := range t.excepts {
		e := &t.excepts[i]
		if e.column != column {
			continue
		}
		match := true
		for j, k := range t.keys {
			match = match && compareCells(cells[k], e.key[j]) == 0
		}
		if match {
			e.used = true
			return true
		}
	}
	return false
}

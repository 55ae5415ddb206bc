package job

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// schedules writes every other part of the report, as it stands in the JSON.
func (p *web) schedules() {
	p.tag("<section id=\"schedules\" aria-labelledby=\"schedules-h\"><h2 id=\"schedules-h\">Schedules</h2>\n")
	elsewhere := strings.Fields("job findings cautions rod_readings tests materials cleanouts " +
		"versions file counts not_judged stubs permit inspections")
	v := reflect.ValueOf(p.r).Elem()
	for i := range v.NumField() {
		if name := jsonName(v.Type().Field(i)); name != "" && !slices.Contains(elsewhere, name) {
			p.part(columnName(name), v.Field(i).Interface())
		}
	}
	p.tag("</section>\n")
}

// part writes a part of the report under a heading: rows as a table, texts as a list, and
// what holds such parts as those.
func (p *web) part(title string, part any) {
	v := reflect.Indirect(reflect.ValueOf(part))
	if !v.IsValid() || v.IsZero() {
		return
	}
	switch {
	case v.Kind() == reflect.String:
		p.tag("<p>%s: %s</p>\n", title, v.String())
	case v.Kind() == reflect.Slice && v.Type().Elem().Kind() == reflect.Struct:
		if v.Len() > 0 {
			p.tag("<h3>%s</h3>", title)
			p.table(title, part)
		}
	case v.Kind() == reflect.Slice && v.Len() > 0:
		p.tag("<h3>%s</h3><ul>", title)
		for i := range v.Len() {
			p.tag("<li>%s</li>", fmt.Sprint(v.Index(i).Interface()))
		}
		p.tag("</ul>\n")
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			if name := jsonName(v.Type().Field(i)); name != "" {
				p.part(title+": "+columnName(name), v.Field(i).Interface())
			}
		}
	}
}

// jsonName is what a field is called in the JSON, empty if it is not there.
func jsonName(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	if !f.IsExported() || name == "-" {
		return ""
	}
	return name
}

func columnName(name string) string { return ruleWords(strings.ReplaceAll(name, "_", "-")) }

// folded are the columns that stand behind a click: how a figure was come by.
var folded = map[string]bool{"why": true, "source": true, "next": true, "demand_source": true, "standing": true}

// table writes rows as a table: a column for each field that any row fills, those of
// the working folded into the last.
func (p *web) table(title string, rows any) {
	v := reflect.ValueOf(rows)
	t := v.Type().Elem()
	var shown, hidden []int
	for c := range t.NumField() {
		name := jsonName(t.Field(c))
		if name == "" || !filled(v, c) {
			continue
		}
		if folded[name] {
			hidden = append(hidden, c)
		} else {
			shown = append(shown, c)
		}
	}
	p.tag(`<div class="scroll" tabindex="0" role="region" aria-label="%s"><table><caption class="sr">%s</caption>`,
		title, title)
	p.tag("<thead><tr>")
	for _, c := range shown {
		p.tag("<th scope=\"col\">%s</th>", columnName(jsonName(t.Field(c))))
	}
	if hidden != nil {
		p.tag("<th scope=\"col\" class=\"work\">Working</th>")
	}
	p.tag("</tr></thead><tbody>\n")
	for i := range v.Len() {
		p.tag("<tr>")
		for k, c := range shown {
			text := fieldText(v.Index(i).Field(c))
			if name := jsonName(t.Field(c)); name == "fixture" || name == "kind" {
				text = label(text)
			}
			cell(&p.b, text, k == 0)
		}
		if hidden != nil {
			p.working(v.Index(i), hidden)
		}
		p.tag("</tr>\n")
	}
	p.tag("</tbody></table></div>\n")
}

// filled reports whether any row has something in a column.
func filled(rows reflect.Value, column int) bool {
	for i := range rows.Len() {
		if !rows.Index(i).Field(column).IsZero() {
			return true
		}
	}
	return false
}

// fieldText is what a cell says; a yes is the word, a no nothing.
func fieldText(v reflect.Value) string {
	switch x := v.Interface().(type) {
	case string:
		return x
	case bool:
		if x {
			return "yes"
		}
		return ""
	case []string:
		return strings.Join(x, "; ")
	default:
		return fmt.Sprint(x)
	}
}

// isFigure tells whether a text is a number with its unit, and no sentence.
func isFigure(text string) bool {
	_, unit, ok := Quantity(text).Value()
	return ok && !strings.Contains(unit, " ")
}

func cell(b *strings.Builder, text string, first bool) {
	switch {
	case first:
		b.WriteString("<th scope=\"row\">" + esc(text) + "</th>")
	case isFigure(text):
		b.WriteString("<td class=\"n\">" + esc(text) + "</td>")
	default:
		b.WriteString("<td>" + esc(text) + "</td>")
	}
}

func (p *web) working(row reflect.Value, columns []int) {
	var lines []string
	for _, c := range columns {
		if text := fieldText(row.Field(c)); text != "" && text != "none" {
			lines = append(lines, columnName(jsonName(row.Type().Field(c)))+": "+text)
		}
	}
	if lines == nil {
		p.tag("<td class=\"work\"></td>")
		return
	}
	p.tag("<td class=\"work\"><details><summary>how</summary>")
	for _, l := range lines {
		p.tag("<p>%s</p>", l)
	}
	p.tag("</details></td>")
}

package drains

import (
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/units"
)

// UPC 2021 707.4: a cleanout at each urinal, above its connection. IPC has no such
// rule.
func TestUrinalCleanouts(t *testing.T) {
	tests := []struct {
		name, code string
		edit       func(l *Data)
		want       string
	}{
		{"none", "upc-2021", func(*Data) {}, "fail|cleanout-urinal|LA|-|-|-"},
		{"at the urinal", "upc-2021", func(l *Data) { pt(l, "LA").Cleanout = &Cleanout{} }, "pass|cleanout-urinal|LA|-|-|-"},
		{"where it joins", "upc-2021", func(l *Data) { pt(l, "LT").Cleanout = &Cleanout{} }, "pass|cleanout-urinal|LA|-|-|-"},
		{"farther down", "upc-2021", func(l *Data) { pt(l, "S3").Cleanout = &Cleanout{} }, "fail|cleanout-urinal|LA|-|-|-"},
		{"two at one point", "upc-2021", func(l *Data) { pt(l, "LA").Cleanout = &Cleanout{}; pt(l, "LA").Fixture.Count = 2 }, "ask|cleanout-urinal|LA|-|-|-"},
		{"IPC", "ipc-2021", func(*Data) {}, "none of cleanout-urinal"},
	}
	for _, tt := range tests {
		t.Run(strings.ReplaceAll(tt.name, " ", "-"), func(t *testing.T) {
			l := mustLayout(t, "workshop.json")
			pt(l, "LA").Fixture = &dwv.Fixture{Kind: "urinal", Count: 1, Use: dwv.Public, Control: dwv.Valve, Flush: units.USGallon / 2}
			tt.edit(l)
			wantFinding(t, mustCheck(t, mustBuild(t, l), mustCode(t, tt.code)), tt.want)
		})
	}
}

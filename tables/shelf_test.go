package tables_test

import (
	"encoding"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// every returns the tables of the shelf.
func every(t *testing.T) []*tables.Table {
	t.Helper()
	if _, err := tables.Embedded().Sources(); err != nil {
		t.Fatal(err)
	}
	var list []*tables.Table
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Error(err)
			continue
		}
		list = append(list, table)
	}
	if len(list) == 0 {
		t.Fatal("an empty shelf")
	}
	return list
}

// TestRulesLoad reads the single figures of every set, and wants each to say what it
// limits.
func TestRulesLoad(t *testing.T) {
	for _, table := range every(t) {
		if !strings.HasSuffix(table.ID(), "/rules") {
			continue
		}
		rs, err := tables.Embedded().Rules(table.Set())
		if err != nil {
			t.Error(err)
			continue
		}
		for i := range rs.Len() {
			if r := rs.At(i); r.What == "" {
				t.Errorf("%s %s does not say what it limits", table.ID(), r.ID)
			}
		}
	}
}

// counted are the units that count and are no physical quantity: loads of codes,
// shares, and rates of both kinds.
var counted = []string{
	"1", "dfu", "wsfu", "fu", "lu", "du", "count", "ratio", "deg", "pipe diameters", "pipe sizes", "year",
	"dfu/gpm", "fu/(L/s)", "L/fu", "L/(L/s)", "1e-6/K", "psi/(ft/s)", "psi/ft", "Btu-in/h-ft2-F", "h-ft2-F/Btu", "mm2",
}

// TestUnits wants every unit to be one that a quantity reads, or one that counts: a
// slip of the pen in a unit is a wrong answer.
func TestUnits(t *testing.T) {
	readers := []encoding.TextUnmarshaler{
		new(units.Length), new(units.Area), new(units.Volume), new(units.Flow), new(units.Velocity),
		new(units.Pressure), new(units.Head),
		new(units.Density), new(units.DynamicViscosity), new(units.KinematicViscosity), new(units.Power),
		new(units.HeatFlowPerLength),
		new(units.Conductivity), new(units.HeatTransferCoefficient), new(units.SpecificHeat), new(units.Mass),
		new(units.Duration),
		new(units.Temperature), new(slope.Grade),
	}
	known := func(unit string) bool {
		text := "3 " + unit
		if unit == "1:n" {
			text = "1:3"
		}
		return slices.Contains(counted, unit) ||
			slices.ContainsFunc(readers,
				func(r encoding.TextUnmarshaler) bool { return r.UnmarshalText([]byte(text)) == nil })
	}
	for _, table := range every(t) {
		for _, c := range table.Columns() {
			if c.Unit != "" && !known(c.Unit) {
				t.Errorf("%s: column %v", table.ID(), c)
			}
		}
		// A table of single figures carries its units in a column.
		value, unit := table.Column("value"), table.Column("unit")
		if value < 0 || unit < 0 {
			continue
		}
		for i := range table.Len() {
			u := table.Cell(i, unit)
			_, err := strconv.ParseFloat(table.Cell(i, value), 64)
			if u != "" && !known(u) {
				t.Errorf("%s: row %v in %q", table.ID(), table.Cite(i).Row(), u)
			}
			if u == "" && err == nil && table.Column("rule") >= 0 {
				t.Errorf("%s: row %v is a number without a unit: write 1 for a plain one", table.ID(),
					table.Cite(i).Row())
			}
		}
	}
}

// TestSourcesUsed wants every document to be cited, and every citation to say
// something.
func TestSourcesUsed(t *testing.T) {
	used := map[string]bool{}
	for _, table := range every(t) {
		used[table.Source().ID] = true
		for i := range table.Len() {
			for _, s := range table.Cite(i).Sources() {
				used[s.ID] = true
			}
		}
	}
	a, err := tables.Embedded().Audit()
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range a.Exceptions {
		used[b.Source.ID] = true
	}
	list, err := tables.Embedded().Sources()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range list {
		if !used[s.ID] {
			t.Errorf("no row cites %s (%v)", s.ID, s)
		}
	}
}

// TestExceptionsAreReal: the loader refuses an exception that excuses nothing; here
// each must give a reason.
func TestExceptionsAreReal(t *testing.T) {
	a, err := tables.Embedded().Audit()
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range a.Exceptions {
		if b.Reason == "" || b.Row == "" || b.Source.ID == "" {
			t.Errorf("%+v", b)
		}
	}
}

// find returns the row of a key whose cells are parted by bars.
func find(t *testing.T, table *tables.Table, key string) (int, bool) {
	t.Helper()
	return table.Find(strings.Split(key, "|")...)
}

type disagreement struct {
	Table  string `table:"table"`
	Row    string `table:"row"`
	Column string `table:"column"`
	Here   string `table:"here"`
	There  string `table:"there"`
	Reason string `table:"reason"`
}

func disagreements(t *testing.T) []disagreement {
	t.Helper()
	rows, err := tables.Load[disagreement](tables.Embedded(), "comparison/disagreements")
	if err != nil {
		t.Fatal(err)
	}
	var list []disagreement
	for i := range rows.Len() {
		list = append(list, *rows.At(i))
	}
	return list
}

func sameCell(a, b string) bool {
	x, err1 := strconv.ParseFloat(a, 64)
	y, err2 := strconv.ParseFloat(b, 64)
	return a == b || err1 == nil && err2 == nil && x == y
}

// TestDisagreements wants each declared disagreement to name a cell that is there, to
// hold what that cell holds, and to give a reason.
func TestDisagreements(t *testing.T) {
	for _, d := range disagreements(t) {
		table, err := tables.Embedded().Table(d.Table)
		if err != nil {
			t.Error(err)
			continue
		}
		row, ok := find(t, table, d.Row)
		column := table.Column(d.Column)
		switch {
		case !ok || column < 0:
			t.Errorf("%s has no cell %s %s", d.Table, d.Row, d.Column)
		case !sameCell(table.Cell(row, column), d.Here):
			t.Errorf("%s %s %s is %s, the disagreement says %s", d.Table, d.Row, d.Column, table.Cell(row, column),
				d.Here)
		case sameCell(d.Here, d.There):
			t.Errorf("%s %s %s: no disagreement", d.Table, d.Row, d.Column)
		case d.Reason == "":
			t.Errorf("%s %s %s: no reason", d.Table, d.Row, d.Column)
		}
	}
}

// TestSecondEntry compares tables with a second entry of the same figures, gathered
// apart from the first. A difference must be declared in comparison/disagreements.
func TestSecondEntry(t *testing.T) {
	files, err := filepath.Glob("testdata/second/*.csv")
	if err != nil || len(files) == 0 {
		t.Fatalf("no second entries: %v", err)
	}
	declared := disagreements(t)
	for _, file := range files {
		id := strings.ReplaceAll(strings.TrimSuffix(filepath.Base(file), ".csv"), "--", "/")
		table, err := tables.Embedded().Table(id)
		if err != nil {
			t.Error(err)
			continue
		}
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		r := csv.NewReader(f)
		r.Comment = '#'
		records, err := r.ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		head, keys, compared := records[0], table.Keys(), 0
		for _, record := range records[1:] {
			key := record[:len(keys)]
			row, ok := table.Find(key...)
			if !ok {
				t.Errorf("%s: no row %q", file, key)
				continue
			}
			for i := len(keys); i < len(head)-1; i++ {
				if record[i] == "" {
					continue // that copy leaves it out
				}
				name, _, _ := strings.Cut(head[i], "[")
				column := table.Column(name)
				if column < 0 || table.Columns()[column].String() != head[i] {
					t.Fatalf("%s: column %s is not in the table", file, head[i])
				}
				compared++
				if here := table.Cell(row, column); !sameCell(here, record[i]) &&
					!slices.ContainsFunc(declared, func(d disagreement) bool {
						return d.Table == id && d.Row == strings.Join(key, "|") && d.Column == name &&
							sameCell(d.There, record[i])
					}) {
					t.Errorf("%s %q %s: %s here, %s in the second entry, and no disagreement is declared", id, key,
						name, here, record[i])
				}
			}
		}
		if compared == 0 {
			t.Errorf("%s compares nothing", file)
		}
	}
}

// TestSecondEntryOrReason wants a second entry of each table that decides sizes, or in
// no-second.csv the reason why there is none.
func TestSecondEntryOrReason(t *testing.T) {
	deciding := strings.Fields("building-drain branches-and-stacks fixtures trap-arm vent-sizes vent-min-size " +
		"water-closets supply-fixture-units supply-demand supply-outlet-flow supply-pipe-by-load supply-pipe-size supply-peak-flow drain-capacity discharge-units stacks " +
		"absolute hazen-williams manning")
	f, err := os.Open("testdata/no-second.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	why := map[string]string{}
	for _, r := range records[1:] {
		why[r[0]] = r[1]
	}
	for table, err := range tables.Embedded().All() {
		if err != nil {
			t.Fatal(err)
		}
		set, name, _ := strings.Cut(table.ID(), "/")
		if !slices.Contains(deciding, name) && (set != "pipes" || name == "families" || name == "id-rules") {
			continue
		}
		second := "tables/testdata/second/" + set + "--" + name + ".csv"
		switch _, err := os.Stat(strings.TrimPrefix(second, "tables/")); {
		case err == nil && why[table.ID()] != "":
			t.Errorf("%s has the second entry %s: take its line out of tables/testdata/no-second.csv", table.ID(), second)
		case err != nil && why[table.ID()] == "":
			t.Errorf("%s decides sizes and was entered once: enter it again, from another copy, in %s, or say in "+
				"tables/testdata/no-second.csv why it cannot be", table.ID(), second)
		}
		delete(why, table.ID())
	}
	for id := range why {
		t.Errorf("tables/testdata/no-second.csv: %s is not a table that decides sizes", id)
	}
}

// TestFixtureIDsOfBothHalves: a fixture that only the drainage tables name and one that only
// the water tables name do not differ by a letter or two, for they would be meant to be one.
func TestFixtureIDsOfBothHalves(t *testing.T) {
	drained, fed := map[string]string{}, map[string]string{}
	for _, table := range every(t) {
		_, name, _ := strings.Cut(table.ID(), "/")
		ids := drained
		switch {
		case strings.HasPrefix(name, "supply-"):
			ids = fed
		case name != "fixtures" && name != "discharge-units":
			continue
		}
		at := table.Column("fixture")
		if at < 0 {
			continue
		}
		for row := range table.Len() {
			for id := range strings.SplitSeq(table.Cell(row, at), ";") {
				ids[id] = table.ID()
			}
		}
	}
	if len(drained) < 50 || len(fed) < 30 {
		t.Fatalf("%d fixtures with a drain, %d with water", len(drained), len(fed))
	}
	var alone []string
	for id := range fed {
		if drained[id] == "" {
			alone = append(alone, id)
		}
	}
	for id, table := range drained {
		if near := visible.Nearest(id, alone); near != "" && fed[id] == "" {
			t.Errorf("%s has the fixture %q, %s has %q: a fixture has one id for its drain and its water",
				table, id, fed[near], near)
		}
	}
}

// number reads a cell that must hold a number.
func number(t *testing.T, table *tables.Table, row int, column string) float64 {
	t.Helper()
	text := table.Cell(row, table.Column(column))
	if whole, fraction, ok := strings.Cut(text, "-"); ok {
		return number1(t, table, whole) + number1(t, table, fraction)
	}
	return number1(t, table, text)
}

func number1(t *testing.T, table *tables.Table, text string) float64 {
	t.Helper()
	n, d, ok := strings.Cut(text, "/")
	v, err := strconv.ParseFloat(n, 64)
	if err == nil && ok {
		var w float64
		w, err = strconv.ParseFloat(d, 64)
		v /= w
	}
	if err != nil || math.IsNaN(v) {
		t.Fatalf("%s: %q is not a number", table.ID(), text)
	}
	return v
}

// TestPipes checks each pipe against the rule that its row names for the bore.
func TestPipes(t *testing.T) {
	declared := disagreements(t)
	ruleTable, err := tables.Embedded().Table("pipes/id-rules")
	if err != nil {
		t.Fatal(err)
	}
	families, err := tables.Embedded().Table("pipes/families")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, table := range every(t) {
		if table.Set() != "pipes" || table == ruleTable || table == families {
			continue
		}
		seen++
		row, ok := families.Find(strings.TrimPrefix(table.ID(), "pipes/"))
		if !ok {
			t.Errorf("%s is not in pipes/families", table.ID())
			continue
		}
		usual, usualSeen := families.Cell(row, families.Column("id_rule")), false
		unit := table.Columns()[table.Column("id")].Unit
		if unit != families.Cell(row, families.Column("unit")) {
			t.Errorf("%s is in %s", table.ID(), unit)
		}
		for i := range table.Len() {
			od, wall, id := number(t, table, i, "od"), number(t, table, i, "wall"), number(t, table, i, "id")
			rule := table.Cell(i, table.Column("id_rule"))
			usualSeen = usualSeen || rule == usual
			// Half of the last place printed, of the diameters and of the wall twice.
			want, tolerance := od-2*wall, 0.0011
			if unit == "mm" {
				tolerance = 0.051
			}
			least := wall
			if c := table.Column("min_wall"); c >= 0 && table.Cell(i, c) != "" {
				least = number(t, table, i, "min_wall")
			}
			switch rule {
			case "nominal-wall":
			case "minimum-wall":
				if wall != least {
					t.Errorf("%s: %v: wall %v is not the least, %v", table.ID(), table.Cite(i).Row(), wall, least)
				}
			case "average-wall", "published-average", "half-tolerance":
				if wall <= least {
					t.Errorf("%s: %v: an average wall of %v is not over the least, %v", table.ID(), table.Cite(i).Row(),
						wall, least)
				}
			case "three-percent":
				want = od - 2*1.03*least
			case "printed":
				tolerance = 0.1 // diameters and wall are rounded apart
			default:
				t.Errorf("%s: no rule %q", table.ID(), rule)
			}
			if _, ok := ruleTable.Find(rule); !ok {
				t.Errorf("%s: rule %q is not in pipes/id-rules", table.ID(), rule)
			}
			excused := slices.ContainsFunc(declared, func(d disagreement) bool {
				at, ok := find(t, table, d.Row)
				return d.Table == table.ID() && d.Column == "id" && ok && at == i
			})
			if !excused && math.Abs(id-want) > tolerance {
				t.Errorf("%s: %v: bore %v, its rule gives %v", table.ID(), table.Cite(i).Row(), id, want)
			}
			if !(0 < wall && wall < od/2 && 0 < id && id < od) {
				t.Errorf("%s: %v: outside %v, wall %v, bore %v", table.ID(), table.Cite(i).Row(), od, wall, id)
			}
		}
		if !usualSeen {
			t.Errorf("%s has no row of its usual rule %q", table.ID(), usual)
		}
	}
	if seen != families.Len() {
		t.Errorf("%d families are listed, %d are there", families.Len(), seen)
	}
}

// TestGrids wants tables of size and grade to be whole: a case that is not allowed
// says so with a dash, it is not left out.
func TestGrids(t *testing.T) {
	for _, id := range []string{"ipc-2021/building-drain", "irc-2021/building-drain", "nspc-2018/building-drain",
		"npc-canada/building-drain", "ontario-obc/building-drain", "en12056-2/drain-capacity",
		"upc-2021/supply-pipe-by-load", "materials/solvent-cement-set"} {
		table, err := tables.Embedded().Table(id)
		if err != nil {
			t.Error(err)
			continue
		}
		keys := table.Keys()
		last := table.Column(keys[len(keys)-1])
		distinct := map[string]bool{}
		groups := map[string]int{}
		for i := range table.Len() {
			distinct[table.Cell(i, last)] = true
			var group []string
			for _, k := range keys[:len(keys)-1] {
				group = append(group, table.Cell(i, table.Column(k)))
			}
			groups[strings.Join(group, "|")]++
		}
		for group, n := range groups {
			if n != len(distinct) && id != "upc-2021/supply-pipe-by-load" {
				t.Errorf("%s: %s has %d of %d", id, group, n, len(distinct))
			}
		}
	}
}

// column returns the numbers of a column by the cells of some keys; other cells than
// numbers are left out.
func column(t *testing.T, id, value string, keys ...string) map[string]float64 {
	t.Helper()
	table, err := tables.Embedded().Table(id)
	if err != nil {
		t.Fatal(err)
	}
	m := map[string]float64{}
	for i := range table.Len() {
		var key []string
		for _, k := range keys {
			key = append(key, table.Cell(i, table.Column(k)))
		}
		if v, err := strconv.ParseFloat(table.Cell(i, table.Column(value)), 64); err == nil {
			m[strings.Join(key, "|")] = v
		}
	}
	return m
}

// drainCapacity returns the most that a branch or a drain of each size carries.
func drainCapacity(t *testing.T, set string) map[float64]float64 {
	t.Helper()
	most := map[float64]float64{}
	for key, load := range column(t, set+"/branches-and-stacks", "max_load", "part", "size") {
		if part, size, _ := strings.Cut(key, "|"); part == "branch" {
			v, _ := strconv.ParseFloat(size, 64)
			most[v] = max(most[v], load)
		}
	}
	for key, load := range column(t, set+"/building-drain", "max_load", "size", "grade") {
		size, _, _ := strings.Cut(key, "|")
		v, _ := strconv.ParseFloat(size, 64)
		most[v] = max(most[v], load)
	}
	return most
}

// TestTrapsAndDrains: a trap is never larger than the smallest drain that may carry
// it. In the International Plumbing Code a drain of the trap's own size carries the
// fixture; in the Uniform Plumbing Code small drains carry less than their traps, but
// the trap arm, and some larger drain does.
func TestTrapsAndDrains(t *testing.T) {
	for _, set := range []string{"ipc-2021", "upc-2021"} {
		most := drainCapacity(t, set)
		arms := column(t, set+"/trap-arm", "max_length", "size")
		carries := func(trap, load float64) bool {
			if set == "ipc-2021" {
				return most[trap] >= load
			}
			_, arm := arms[strconv.FormatFloat(trap, 'f', -1, 64)]
			for size, capacity := range most {
				if size >= trap && capacity >= load {
					return arm
				}
			}
			return false
		}
		traps, loads := column(t, set+"/fixtures", "trap", "row"), column(t, set+"/fixtures", "load", "row")
		n := 0
		for row, trap := range traps {
			load, ok := loads[row]
			if !ok {
				continue
			}
			n++
			if !carries(trap, load) {
				t.Errorf("%s: no drain carries %s, %v dfu with a trap of %v in", set, row, load, trap)
			}
		}
		for size, load := range column(t, set+"/trap-loads", "load", "size") {
			v, _ := strconv.ParseFloat(size, 64)
			if !carries(v, load) {
				t.Errorf("%s: no drain carries a trap of %v in that counts %v", set, v, load)
			}
		}
		if n < 10 {
			t.Errorf("%s: %d fixtures compared", set, n)
		}
	}
}

// TestVentsAndDrains: no vent is larger than the drain it serves.
func TestVentsAndDrains(t *testing.T) {
	for _, id := range []string{"ipc-2021/vent-sizes", "illinois-890/vent-sizes", "massachusetts-248cmr/vent-sizes"} {
		table, err := tables.Embedded().Table(id)
		if err != nil {
			t.Error(err)
			continue
		}
		for i := range table.Len() {
			if number(t, table, i, "vent") > number(t, table, i, "drain") {
				t.Errorf("%s: %v", id, table.Cite(i).Row())
			}
		}
	}
	for id, drain := range map[string]string{"en12056-2/branch-ventilated": "size",
		"ncc-2022/common-discharge-pipe": "size", "npc-canada/vent-min-size": "size"} {
		for key, vent := range column(t, id, "vent", drain) {
			if size, err := strconv.ParseFloat(key, 64); err == nil && vent > size {
				t.Errorf("%s: vent %v over drain %v", id, vent, size)
			}
		}
	}
}

// TestSupplyLoads: a load on both pipes is never more than the sum of the hot and cold
// ones, nor less than the greater.
func TestSupplyLoads(t *testing.T) {
	n := 0
	for _, table := range every(t) {
		if !strings.HasSuffix(table.ID(), "/supply-fixture-units") {
			continue
		}
		for i := range table.Len() {
			cell := func(name string) (float64, bool) {
				v, err := strconv.ParseFloat(table.Cell(i, table.Column(name)), 64)
				return v, err == nil
			}
			cold, ok1 := cell("cold")
			hot, ok2 := cell("hot")
			total, ok3 := cell("total")
			if !ok1 || !ok2 || !ok3 {
				continue
			}
			n++
			if total > cold+hot || total < max(cold, hot) {
				t.Errorf("%s: %v: cold %v, hot %v, total %v", table.ID(), table.Cite(i).Row(), cold, hot, total)
			}
		}
	}
	if n < 20 {
		t.Errorf("%d rows compared", n)
	}
}

// TestStacks: what enters in one interval, or from one storey, is never more than the
// stack carries.
func TestStacks(t *testing.T) {
	for _, set := range []string{"ipc-2021", "upc-2021", "npc-canada", "ontario-obc"} {
		load := column(t, set+"/branches-and-stacks", "max_load", "part", "over_intervals", "size")
		for key, interval := range load {
			size, ok := strings.CutPrefix(key, "stack-interval|0|")
			if whole, there := load["stack|0|"+size]; ok && there && interval > whole {
				t.Errorf("%s: %s in stack: interval %v, stack %v", set, size, interval, whole)
			}
		}
	}
	primary := column(t, "en12056-2/stacks", "max_flow", "vent", "entry", "size")
	for key, q := range primary {
		rest, ok := strings.CutPrefix(key, "primary|")
		if ok && primary["secondary|"+rest] <= q {
			t.Errorf("en12056-2: a second vent does not help %s", rest)
		}
	}
}

// TestSaidTwice wants a row called read2 to name two documents, or its table to say
// how it was compared.
func TestSaidTwice(t *testing.T) {
	for _, table := range every(t) {
		for i := range table.Len() {
			if c := table.Cite(i); c.Status() == tables.Read2 && len(c.Sources()) < 2 && len(table.Verified()) == 0 {
				t.Errorf("%s: %v is read2 and names one document", table.ID(), c.Row())
			}
		}
	}
}

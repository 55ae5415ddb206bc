package job

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"strings"

	"github.com/trapweir/trapweir/internal/files"
	"github.com/trapweir/trapweir/internal/visible"
)

// Schedule is one schedule of a report as a table: a line of heads, and the rows. Cells are
// texts as the report prints them; none of them is a formula.
type Schedule struct {
	Name string // such as "drains", "water-runs"
	Rows [][]string
}

// Schedules returns each schedule of the report that has rows.
func (r *Report) Schedules() []Schedule {
	var list []Schedule
	schedules(&list, "", reflect.ValueOf(*r))
	return list
}

// WriteCSV writes each schedule of the report into a folder, a file each, for spreadsheets. It
// returns the names of the tables in there that are not of this report.
func (r *Report) WriteCSV(dir string) (others []string, err error) {
	return writeFiles(dir, ".csv", r.scheduleFiles)
}

// ZipSchedules writes each schedule as a CSV file, all in one archive.
func (r *Report) ZipSchedules(w io.Writer) error { return zipFiles(w, r.scheduleFiles) }

// scheduleFiles are the schedules by the names of their files.
func (r *Report) scheduleFiles() (map[string][]byte, error) {
	out := map[string][]byte{}
	for _, s := range r.Schedules() {
		var b bytes.Buffer
		if err := writeCSV(&b, s.Rows...); err != nil {
			return nil, err
		}
		out[s.Name+".csv"] = b.Bytes()
	}
	return out, nil
}

// writeFiles writes files into a folder, if one is named, and lists those there with the same
// ending that are none of them.
func writeFiles(dir, ending string, files func() (map[string][]byte, error)) (others []string, err error) {
	if dir == "" {
		return nil, nil
	}
	list, err := files()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, err
	}
	for name, data := range list {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			return nil, err
		}
	}
	all, err := os.ReadDir(dir)
	for _, f := range all {
		if strings.HasSuffix(f.Name(), ending) && list[f.Name()] == nil {
			others = append(others, f.Name())
		}
	}
	return others, err
}

// zipFiles writes files into an archive.
func zipFiles(w io.Writer, list func() (map[string][]byte, error)) error {
	all, err := list()
	if err != nil {
		return err
	}
	return files.Zip(w, all)
}

// schedules gathers the lists of rows among the fields of a struct.
func schedules(list *[]Schedule, prefix string, part reflect.Value) {
	for i := range part.NumField() {
		name := jsonName(part.Type().Field(i))
		v := reflect.Indirect(part.Field(i))
		if name == "" || !v.IsValid() {
			continue
		}
		name = prefix + strings.ReplaceAll(name, "_", "-")
		if s, ok := v.Interface().(FindingSection); ok { // passes are counted
			v = reflect.ValueOf(findingRecord{Fail: s.Fail(), Ask: s.Ask()})
		}
		switch {
		case v.Kind() == reflect.Struct:
			schedules(list, name+"-", v)
		case v.Kind() != reflect.Slice || v.Len() == 0:
		case v.Type().Elem().Kind() == reflect.Struct:
			*list = append(*list, Schedule{name, scheduleRows(v)})
		case v.Type().Elem().Kind() == reflect.String:
			rows := [][]string{{"text"}}
			for k := range v.Len() {
				rows = append(rows, []string{plainCell(v.Index(k).String())})
			}
			*list = append(*list, Schedule{name, rows})
		}
	}
}

// scheduleRows writes rows of structs as cells, below their heads.
func scheduleRows(rows reflect.Value) [][]string {
	t := rows.Type().Elem()
	var head []string
	var columns []int
	for c := range t.NumField() {
		if name := jsonName(t.Field(c)); name != "" {
			head, columns = append(head, name), append(columns, c)
		}
	}
	table := [][]string{head}
	for i := range rows.Len() {
		var cells []string
		for _, c := range columns {
			cells = append(cells, plainCell(cellText(rows.Index(i).Field(c))))
		}
		table = append(table, cells)
	}
	return table
}

// cellText is a field as a cell: nothing where it says nothing, and a list with commas.
func cellText(v reflect.Value) string {
	switch list, ok := v.Interface().([]string); {
	case ok:
		return strings.Join(list, ", ")
	case v.IsZero() && v.Kind() != reflect.Bool && v.Kind() != reflect.Int:
		return ""
	}
	return fmt.Sprint(v.Interface())
}

// plainCell makes sure that no spreadsheet takes a text for a formula: what begins like one
// and is no quantity gets an apostrophe in front.
func plainCell(text string) string {
	text = visible.Text(text)
	if _, _, ok := Quantity(text).Value(); !ok && text != "" && strings.ContainsRune("=+-@'\t\r\n", rune(text[0])) {
		return "'" + text
	}
	return text
}

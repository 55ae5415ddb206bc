package job

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"

	"github.com/trapweir/trapweir/internal/visible"
)

// WriteCSV writes each schedule of the report into a folder, a file each, for spreadsheets.
// Cells are texts as the report prints them; none of them is a formula. It returns the names
// of the tables in there that are not of this report.
func (r *Report) WriteCSV(dir string) (others []string, err error) {
	if dir == "" {
		return nil, nil
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, err
	}
	var written []string
	if err := csvParts(dir, "", reflect.ValueOf(*r), &written); err != nil {
		return nil, err
	}
	return otherFiles(dir, ".csv", written)
}

// csvParts writes the lists of rows among the fields of a struct.
func csvParts(dir, prefix string, part reflect.Value, written *[]string) error {
	for i := range part.NumField() {
		name := jsonName(part.Type().Field(i))
		v := reflect.Indirect(part.Field(i))
		if name == "" || !v.IsValid() {
			continue
		}
		name = prefix + strings.ReplaceAll(name, "_", "-")
		var err error
		switch {
		case v.Kind() == reflect.Struct:
			err = csvParts(dir, name+"-", v, written)
		case v.Kind() == reflect.Slice && v.Type().Elem().Kind() == reflect.Struct && v.Len() > 0:
			*written = append(*written, name+".csv")
			err = csvTable(filepath.Join(dir, name+".csv"), v)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func csvTable(file string, rows reflect.Value) error {
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
			cells = append(cells, plainCell(fmt.Sprint(rows.Index(i).Field(c).Interface())))
		}
		table = append(table, cells)
	}
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	if err := csv.NewWriter(f).WriteAll(table); err != nil {
		f.Close()
		return err
	}
	return f.Close()
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

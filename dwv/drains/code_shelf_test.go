package drains

import (
	"testing"
	"testing/fstest"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/tables"
)

// TestAmendedPipe: a town's pipe acts in a code loaded from its shelf, in a check that is
// told of nothing else. The workshop's floor drain of 3 in keeps 19.716 in under the slab
// with the pipe of the shelf, 3.068 in of bore and a wall of 0.216 in. With a bore of
// 3.168 in in the same outside the wall is 0.166 in: the top comes 0.05 in higher.
func TestAmendedPipe(t *testing.T) {
	shelf, err := tables.Embedded().With(fstest.MapFS{
		"sources.csv": {Data: []byte("id,title,publisher,edition,year,url,note\ntown,Ordinance of the town,,,2024,,\n")},
		"pipes/pvc-dwv.csv": {Data: []byte("# id: pipes/pvc-dwv\n# source: town\nop,size[in],id_rule,id[in],src,status\n" +
			"set,3,minimum-wall,3.168,town,read\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	code, err := dwv.LoadCode(shelf, "ipc-2021")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		code *dwv.Code
		want string
	}{
		{mustCode(t, "ipc-2021"), `19.716"`},
		{code, `19.666"`},
	} {
		l := mustLayout(t, "workshop.json")
		found := mustCheck(t, l, tt.code)
		for _, f := range found {
			if f.Rule == "gravity-depth" && f.Place == "soil" && f.Value.String() != tt.want {
				t.Errorf("%v keeps %v, want %s", f.Place, f.Value, tt.want)
			}
		}
	}
}

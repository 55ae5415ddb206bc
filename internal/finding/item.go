package finding

import (
	"fmt"

	"github.com/trapweir/trapweir/tables"
)

// Item is something of a layout with what a comparison of two results looks at.
type Item struct {
	Kind, ID string
	Fields   []Field // in one order for all of a kind
}

// Field is a quantity of an item; nil: it has none.
type Field struct {
	Name  string
	Value fmt.Stringer
}

// Word is a text among quantities.
type Word string

// String returns it.
func (w Word) String() string { return string(w) }

// Changes returns which items came, went or have not the same fields.
func Changes(was, is []Item) (out []tables.ItemChange) {
	type key struct{ kind, id string }
	before := make(map[key]*Item, len(was))
	for i := range was {
		before[key{was[i].Kind, was[i].ID}] = &was[i]
	}
	for i := range is {
		x := &is[i]
		k := key{x.Kind, x.ID}
		old := before[k]
		delete(before, k)
		if old == nil {
			out = append(out, tables.ItemChange{Kind: x.Kind, ID: x.ID, Change: tables.Came, Fields: fields(nil, x.Fields)})
		} else if list := fields(old.Fields, x.Fields); list != nil {
			out = append(out, tables.ItemChange{Kind: x.Kind, ID: x.ID, Change: tables.Altered, Fields: list})
		}
	}
	for i := range was {
		x := &was[i]
		if before[key{x.Kind, x.ID}] == x {
			out = append(out, tables.ItemChange{Kind: x.Kind, ID: x.ID, Change: tables.Went, Fields: fields(x.Fields, nil)})
		}
	}
	return out
}

// fields returns those that differ. One of the lists may be empty.
func fields(was, is []Field) (out []tables.FieldChange) {
	for i := range max(len(was), len(is)) {
		var f tables.FieldChange
		if i < len(was) {
			f.Field, f.Was = was[i].Name, was[i].Value
		}
		if i < len(is) {
			f.Field, f.Is = is[i].Name, is[i].Value
		}
		if print(f.Was) != print(f.Is) {
			out = append(out, f)
		}
	}
	return out
}

func print(q fmt.Stringer) string {
	if q == nil {
		return ""
	}
	return q.String()
}

package slope

import (
	"github.com/trapweir/trapweir/internal/faults"
	"github.com/trapweir/trapweir/internal/forest"
	"github.com/trapweir/trapweir/units"
)

// Branch is a line that joins another, or the main that joins none.
type Branch struct {
	Name string `json:"name"`
	// Line holds the reaches. Its Outlet counts for a main only; that of a branch
	// follows from the line it joins.
	Line Line `json:"line"`
	// Into is the index of the line it joins, or -1 for a main.
	Into int `json:"into"`
	// At is the distance of the join from the outlet of that line.
	At units.Length `json:"at"`
	// Join is how the two meet in height.
	Join Join `json:"join"`
}

// Profiles computes a tree of lines from the outlets upward. Lines may come in
// any order; one that joins itself round a circle is refused. The bores that a
// join needs are those of the pipe that leaves the joint below it, and of the
// first reach of the branch. All faults of all lines are reported together.
func Profiles(branches []Branch) ([]*Profile, error) {
	var list faults.List
	item := func(i int) string { return itemName("line", i, branches[i].Name) }
	out := make([]*Profile, len(branches))
	parent := make([]int32, len(branches))
	lost := make([]bool, len(branches))
	for i, b := range branches {
		parent[i] = int32(b.Into)
		if lost[i] = b.Into < -1 || b.Into >= len(branches); lost[i] {
			list.Addf(item(i), "into", "%w: line %d of %d", units.ErrRange, b.Into, len(branches))
			parent[i] = -1 // so that what joins it is not called a circle
		}
	}
	order := forest.RootsFirst(parent)
	for _, node := range order {
		i := int(node)
		if lost[i] {
			continue
		}
		b := branches[i]
		line := b.Line
		if b.Into >= 0 {
			below := out[b.Into]
			if below == nil {
				continue // its own fault is listed
			}
			at, err := below.At(b.At)
			if !note(&list, "line", i, b.Name, "at", err) {
				continue
			}
			var bore units.Length
			if len(line.Reaches) > 0 {
				bore = line.Reaches[0].Pipe.Bore
			}
			rise, err := b.Join.Rise(at.Pipe.Bore, bore)
			if !note(&list, "line", i, b.Name, "join", err) {
				continue
			}
			line.Outlet = at.Leaving + rise
		}
		p, err := line.Profile()
		note(&list, "line", i, b.Name, "", err)
		out[i] = p
	}
	if len(order) < len(branches) {
		reached := make([]bool, len(branches))
		for _, i := range order {
			reached[i] = true
		}
		for i := range branches {
			if !reached[i] {
				list.Addf(item(i), "into", "%w: it never comes to a main", ErrTree)
			}
		}
	}
	return faults.Result(out, list.Err())
}

package drains

import (
	"slices"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/tables"
)

// circuitUse is what hangs on one circuit vent.
type circuitUse struct {
	fixtures int // all that it vents
	closets  int
	above    int // fixtures at and upstream of its take-off
	places   int // points at which those stand
}

// circuits judges where each circuit vent leaves its branch, and whether a branch
// with many closets has the relief vent that the code asks for before a stack.
func (j *judge) circuits() {
	use := j.circuitUses()
	if use == nil {
		return
	}
	takeOff, hasTakeOff := j.code.Rule("circuit-vent-take-off")
	most, mostCite, hasRelief := j.number("circuit-relief-closets", "count")
	var relief *reliefs
	for v := range use {
		if j.layout.Vents[v].Kind != VentCircuit || use[v].fixtures == 0 {
			continue
		}
		if hasTakeOff {
			j.circuitTakeOff(&j.layout.Vents[v], &use[v], takeOff.Cite)
		}
		if hasRelief && use[v].closets >= int(most) {
			if relief == nil {
				relief = j.reliefs()
			}
			j.circuitRelief(int32(v), use[v].closets, most == 0, relief, mostCite)
		}
	}
}

// circuitUses counts what each circuit vent serves, by vent; nil if there is none.
func (j *judge) circuitUses() []circuitUse {
	vents, g := j.layout.Vents, &j.tree.vents
	any := false
	for v := range vents {
		any = any || vents[v].Kind == VentCircuit && g.from[v] >= 0 && g.end[v] >= 0
	}
	if !any {
		return nil
	}
	use := make([]circuitUse, len(vents))
	for i := int32(j.tree.outlets); int(i) < j.tree.len(); i++ {
		pt, v := j.tree.point(i), j.routes.serving[i]
		if v < 0 || vents[v].Kind != VentCircuit || pt.Fixture == nil && pt.Reserved == 0 {
			continue
		}
		n := 1
		if f := pt.Fixture; f != nil {
			n = f.Count
			use[v].closets += n * dwv.ClosetsOf(f.Kind)
		}
		use[v].fixtures += n
		if j.routes.reached[i] == g.from[v] {
			use[v].above += n
			use[v].places++
		}
	}
	return use
}

// circuitTakeOff wants one fixture drain upstream of a circuit vent and the others
// downstream, so that all air and all flushing water pass it.
func (j *judge) circuitTakeOff(x *Vent, u *circuitUse, cite tables.Citation) {
	const remedy = "Take the vent off between the two fixture drains farthest upstream."
	m := on("circuit-vent-take-off", x.ID, cite)
	switch {
	case u.fixtures == 1:
		j.Ask(m.Rule, x.ID, tables.Designer, "Circuit vent "+x.ID+" serves one fixture only.",
			"Draw it as an individual vent, or say what else it vents.", cite)
		return
	case u.above > 1 && u.places == 1:
		j.Ask(m.Rule, x.ID, tables.Designer,
			j.Text("%d fixtures are drawn at one point upstream of circuit vent %s at %s, and only one may drain in there.",
				u.above, x.ID, x.From), remedy, cite)
		return
	}
	words := func() finding.Words {
		w := finding.Words{Fix: remedy}
		switch u.above {
		case 0:
			w.Reason = j.Text("Circuit vent %s leaves the branch at %s, upstream of every fixture drain it vents.", x.ID,
				x.From)
		case 1:
			w.Reason = j.Text("Circuit vent %s leaves the branch at %s, between the two fixture drains farthest upstream.",
				x.ID, x.From)
		default:
			w.Reason = j.Text("%d of the fixtures on circuit vent %s drain in at or upstream of %s, where it leaves the "+
				"branch; limit 1: %d too many.", u.above, x.ID, x.From, u.above-1)
		}
		return w
	}
	finding.Compare(j.Judge, m, finding.Compared[count]{Value: count(u.above), Limit: 1, Margin: count(1 - u.above),
		Passes: u.above == 1}, words)
}

// reliefs tells where branches enter stacks, and which relief vents lie on the way.
// A relief vent leaves the branch itself, or a drain that joins it; one of those is
// marked as wet, since that drain flows through it.
type reliefs struct {
	foot []int32 // by node: the last node before the stack, -1 if none lies downstream
	vent []int32 // by node: the first relief vent from there down to the stack, -1 for none
	at   []int32 // by node: the relief vent there, -1 for none
}

// wetRelief marks, in reliefs, a vent through which a drain flows.
const wetRelief = 1 << 30

func (j *judge) reliefs() *reliefs {
	t, g := j.tree, &j.tree.vents
	n := t.len()
	all := make([]int32, 3*n)
	for i := range all {
		all[i] = -1
	}
	r := &reliefs{foot: all[:n], vent: all[n : 2*n], at: all[2*n:]}
	put := func(node, vent int32) {
		// Of two at one node a dry one counts before a wet one, then the id.
		if was := r.at[node]; was < 0 || was&wetRelief > vent&wetRelief ||
			was&wetRelief == vent&wetRelief && j.layout.Vents[vent&^wetRelief].ID < j.layout.Vents[was&^wetRelief].ID {
			r.at[node] = vent
		}
	}
	for v := range int32(len(j.layout.Vents)) {
		if i := g.from[v]; i >= 0 && j.layout.Vents[v].Kind == VentRelief {
			put(i, v)
			put(t.parent[i], v|wetRelief)
		}
	}
	for _, i := range slices.Backward(t.order) {
		next := t.point(t.parent[i])
		switch {
		case t.point(i).Run.Vertical, next == nil:
			// on a stack, or at an outlet: no branch into a stack
		case next.Run.Vertical:
			r.foot[i] = i
		default:
			r.foot[i], r.vent[i] = r.foot[t.parent[i]], r.vent[t.parent[i]]
		}
		if r.at[i] >= 0 {
			r.vent[i] = r.at[i]
		}
	}
	return r
}

// relief returns the relief vent between the end of a stretch that is vented by
// circuit and the stack, -1 for none.
func (j *judge) relief(r *reliefs, end int32) int32 {
	at := r.at[end]
	if at >= wetRelief && !j.tree.point(j.tree.vents.from[at-wetRelief]).Run.Vertical {
		at = -1 // it may leave the stretch itself, upstream of the last fixture drain
	}
	if at < 0 && end != r.foot[end] {
		at = r.vent[j.tree.parent[end]]
	}
	return at
}

// circuitRelief asks for a relief vent between the last fixture drain of a branch
// with many closets and the stack it enters, if waste from above comes down there; or
// always, downstream of the last fixture drain, where the code does.
func (j *judge) circuitRelief(v int32, closets int, always bool, r *reliefs, cite tables.Citation) {
	t, x := j.tree, &j.layout.Vents[v]
	end := t.vents.end[v]
	why := j.Text("The branch vented by circuit vent %s", x.ID)
	if !always {
		foot := r.foot[end]
		if foot < 0 || !j.takesFromAbove(t.parent[foot]) {
			return
		}
		why += j.Text(" takes %d water closets to the stack at %s, where waste from above comes down; it", closets,
			j.id(t.parent[foot]))
	}
	at := j.relief(r, end)
	j.Holds(at >= 0, on("circuit-vent-relief", x.ID, cite), func() finding.Words {
		if at >= 0 {
			return finding.Words{Value: count(closets),
				Reason: why + " is relieved by vent " + j.layout.Vents[at&^wetRelief].ID + "."}
		}
		return finding.Words{Value: count(closets),
			Reason: why + " has no relief vent downstream of its last fixture drain.",
			Fix:    j.Text("Take a relief vent off downstream of %s, before the stack.", x.Through)}
	})
	if at >= wetRelief {
		j.reliefLoad(&j.layout.Vents[at&^wetRelief], t.vents.from[at&^wetRelief])
	}
}

// takesFromAbove reports whether waste comes down a stack to a node from above.
func (j *judge) takesFromAbove(stack int32) bool {
	for k := j.tree.first[stack]; k >= 0; k = j.tree.next[k] {
		if j.tree.point(k).Run.Vertical && j.sizing.load[k] > 0 {
			return true
		}
	}
	return false
}

// reliefLoad judges the waste that drains into a relief vent.
func (j *judge) reliefLoad(x *Vent, from int32) {
	rule, ok := j.code.Rule("circuit-relief-max-load")
	if !ok || rule.Kind != tables.Value {
		return
	}
	most, err := dwv.ParseFixtureUnits(rule.String())
	if err != nil {
		return // another unit than the code's loads
	}
	load := j.sizing.load[from]
	finding.AtMost(j.Judge, on("circuit-relief-load", x.ID, rule.Cite), load, most,
		finding.Say("The load that drains into the relief vent", "too much",
			"Lead the waste in elsewhere, or relieve the branch by a dry vent."))
}

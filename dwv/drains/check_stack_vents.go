package drains

import (
	"slices"

	"github.com/trapweir/trapweir/tables"
)

// stackVents judges whether a stack of many branch intervals has the vent stack and
// the relief vents that the code asks for. A vent stack takes off from the stack
// itself or where its foot comes into the drain, a relief vent from the stack.
func (j *judge) stackVents() {
	tall, tallCite, hasTall := j.number("vent-stack-intervals", "count")
	every, everyCite, hasEvery := j.number("stack-relief-intervals", "count")
	if !hasTall && !hasEvery {
		return
	}
	t, g := j.tree, &j.tree.vents
	// The vents that take off from a stack, by the node of its foot; made with the
	// first stack that is tall enough.
	var stacks, reliefs []int32
	_, intervalCite, _ := j.length(ruleBranchInterval)
	for _, i := range slices.Backward(j.order) {
		n := int(j.sizing.intervals[i])
		needsVent, needsRelief := hasTall && n >= int(tall), hasEvery && every > 0 && n > int(every)
		if !needsVent && !needsRelief || !t.point(i).Run.Vertical {
			continue
		}
		p := t.parent[i]
		if next := t.point(p); next != nil && next.Run.Vertical {
			continue // not the foot
		}
		if stacks == nil {
			stacks, reliefs = j.stackTakeOffs()
		}
		own := stacks[i]
		if g.takeoff != nil && own == 0 && int(p) >= t.outlets {
			for v := g.takeoff[p]; v >= 0; v = g.nextAt[v] {
				if j.layout.Vents[v].Kind == VentStack {
					own++
				}
			}
		}
		if needsVent {
			j.stackNeeds("vent-stack-needed", i, n, int(own), 1, weakestOf(tallCite, intervalCite), "vent stack",
				"Run a vent stack beside it, from its foot up.")
		}
		if needsRelief {
			j.stackNeeds("stack-relief", i, n, int(reliefs[i]), (n-1)/int(every), weakestOf(everyCite, intervalCite),
				"relief vent", j.text("Relieve the stack at every %d branch intervals, counted from its top.",
					int(every)))
		}
	}
}

// stackTakeOffs counts the vent stacks and the relief vents that leave each stack of
// the system in hand, by the node of its foot.
func (j *judge) stackTakeOffs() (stacks, reliefs []int32) {
	t, g := j.tree, &j.tree.vents
	stacks, reliefs = j.work.node(0, j.system), j.work.node(1, j.system)
	if g.takeoff == nil {
		return stacks, reliefs
	}
	for _, i := range j.order {
		if !t.point(i).Run.Vertical {
			continue
		}
		for v := g.takeoff[i]; v >= 0; v = g.nextAt[v] {
			switch j.layout.Vents[v].Kind {
			case VentStack:
				stacks[i]++
			case VentRelief:
				reliefs[i]++
			}
		}
		// What is upstream has been added already: hand it on downward.
		if p := t.parent[i]; t.point(p) != nil && t.point(p).Run.Vertical {
			stacks[p] += stacks[i]
			reliefs[p] += reliefs[i]
		}
	}
	return stacks, reliefs
}

// stackNeeds compares how many vents of a kind a stack has with how many it needs.
func (j *judge) stackNeeds(rule string, foot int32, intervals, has, needs int, cite tables.Citation, what,
	remedy string) {
	if has >= needs && j.skips(cite) {
		return
	}
	f := tables.Finding{Rule: rule, Place: j.id(foot), Verdict: tables.Pass, Value: count(has), Limit: count(needs),
		Margin: count(has - needs), Citation: cite}
	if has < needs || !j.brief(cite) {
		f.Reason = j.text("a %s is drawn %d times at this stack of %d branch intervals, and must be %d times at least",
			what, has, intervals, needs)
	}
	if has < needs {
		f.Verdict, f.Fix = tables.Fail, remedy
	}
	j.add(f)
}

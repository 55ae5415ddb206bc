package drains

import (
	"strings"

	"github.com/trapweir/trapweir/units"
)

// doubled counts the double fitting by which two runs come in at one point from opposite
// sides, and returns the two; vented tells that a vent may go on from its top. Without one
// they are -1. Two that name one double fitting share it.
func (c *counter) doubled(i int32) (one, other int32, vented bool) {
	t, s := c.lv.tree, c.lv.sizing
	down, runs := t.point(i), 0
	for k := t.first[i]; k >= 0 && runs <= mostRuns; k = t.next[k] {
		runs++
	}
	for a := t.first[i]; a >= 0 && runs <= mostRuns; a = t.next[a] {
		for b := t.next[a]; b >= 0; b = t.next[b] {
			kind := c.doubleFitting(i, a, b)
			if kind == "" {
				continue
			}
			joints := 4
			if t.next[t.first[i]] == b && t.next[b] < 0 && !down.Run.Vertical {
				joints = 3 // nothing comes from straight behind
			}
			c.add(kind, down.Run.Material, s.size[i], max(s.size[a], s.size[b]), joints)
			return a, b, down.Run.Vertical
		}
	}
	return -1, -1, false
}

// mostRuns is how many runs may come into one fitting; more are drawn together and not
// built so.
const mostRuns = 4

// doubleFitting names the double fitting of two runs, "" if they do not share one.
func (c *counter) doubleFitting(i, a, b int32) string {
	t, s := c.lv.tree, c.lv.sizing
	x, y, down := t.point(a), t.point(b), t.point(i)
	switch {
	case x.Run.Into != "" || y.Run.Into != "":
		if x.Run.Into == y.Run.Into && strings.Contains(x.Run.Into, "double") {
			return x.Run.Into
		}
		return ""
	case x.Run.Vertical || y.Run.Vertical:
		return ""
	case down.Run.Vertical:
		if m, ok := s.bearing(a).turn(s.bearing(b)); !ok || m == 180_000 {
			return "double-fixture-fitting"
		}
		return ""
	}
	turn := s.turn(a, i)
	if turn <= 0 || turn != s.turn(b, i) || s.bearing(a) == s.bearing(b) {
		return ""
	}
	if branchFitting(x, down, turn) == "wye" {
		return "double-wye"
	}
	return "double-combination-wye-eighth-bend"
}

// rises counts what stands on the drain at a point: the trap below the slab, the pipe up
// to the floor with the bend under it, the cap for the test.
func (c *counter) rises(i int32) {
	s := c.lv.sizing
	pt := c.lv.tree.point(i)
	if !s.drains(i) {
		return
	}
	size, material := s.size[i], pt.Run.Material
	upper := c.lv.tree.first[i] < 0
	if o := pt.Cleanout; o != nil {
		top := c.lv.layout.FinishedFloor
		if pt.ThroughWall && c.lv.layout.Ground != nil {
			top = *c.lv.layout.Ground
		}
		c.rise(pipeKey{material, size}, top-c.lv.upper[i], 1)
		switch {
		case upper && pt.Fixture == nil:
			c.add("long-sweep", material, size, 0, 2)
		case !o.TwoWay && !c.turnsAt(i):
			c.add("combination-wye-eighth-bend", material, size, 0, 3)
		}
	}
	if pt.Primer {
		c.fitting[fittingKey{"trap-primer-connection", "", c.trapSize(i), 0}]++
	}
	f := pt.Fixture
	if f == nil || !upper || f.Count < 1 {
		return
	}
	trapped := false
	switch f.Kind {
	case "floor-drain", "emergency-floor-drain", "floor-sink", "shower", "bathtub":
		trapped = true
	}
	if trapped {
		c.fitting[fittingKey{"p-trap", material, c.trapSize(i), 0}] += f.Count
		c.joint[pipeKey{material, c.trapSize(i)}] += 2 * f.Count
	} else if !pt.Run.ClosetBend { // which is that bend
		c.fitting[fittingKey{"long-sweep", material, size, 0}] += f.Count
		c.joint[pipeKey{material, size}] += 2 * f.Count
	}
	c.rise(pipeKey{material, size}, c.lv.layout.FinishedFloor-pt.RimBelow+pt.StubUp-c.lv.upper[i], f.Count)
	if !pt.Capped {
		c.fitting[fittingKey{"test-cap", "", size, 0}] += f.Count
	}
}

// rise counts so many upright pipes of a height.
func (c *counter) rise(k pipeKey, height units.Length, n int) {
	if height > 0 {
		c.riser[k] += height * units.Length(n)
	}
}

// turnsAt tells whether the line turns where it comes to a point.
func (c *counter) turnsAt(i int32) bool {
	k := c.acc.primary[i]
	return k >= 0 && bend(c.lv.tree.point(k), c.lv.tree.point(i), c.lv.sizing.turn(k, i)) != ""
}

// trapSize is the trap at a point: as drawn, or as the code asks, or as its drain.
func (c *counter) trapSize(i int32) units.Length {
	pt := c.lv.tree.point(i)
	if pt.Trap != nil && pt.Trap.Size > 0 {
		return pt.Trap.Size
	}
	if pt.Fixture != nil {
		if load, err := c.lv.sizing.code.FixtureLoad(*pt.Fixture); err == nil && load.TrapSize > 0 {
			return max(load.TrapSize, pt.Fixture.Size)
		}
	}
	return c.lv.sizing.size[i]
}

// larger returns the size of the upright drain that a vent goes on from; zero if it
// leaves another way.
func (c *counter) larger(x *Vent) units.Length {
	i, ok := c.lv.tree.index[x.From]
	if pt := c.lv.tree.point(i); !ok || pt == nil || !pt.Run.Vertical {
		return 0
	}
	return c.lv.sizing.size[i]
}

// sleeves counts the sleeves through footings.
func (c *counter) sleeves() {
	for k := range c.lv.layout.Footings {
		if f := &c.lv.layout.Footings[k]; f.Kind == FootingThrough && f.Sleeve > 0 {
			c.fitting[fittingKey{"sleeve", "", f.Sleeve, 0}]++
		}
	}
}

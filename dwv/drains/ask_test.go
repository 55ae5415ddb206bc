package drains

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/dwv"
	"github.com/trapweir/trapweir/dwv/en12056"
	"github.com/trapweir/trapweir/internal/proof/edges"
	"github.com/trapweir/trapweir/slope"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

// TestEveryAskMatters takes every question of every small job and answers it, each way that an
// answer can go, and wants two answers to differ in what is found or in a size:
//
//   - what rests on a figure from memory, with every such figure confirmed, comes out as the
//     question said it would, and is asked no more;
//   - what the layout leaves open is stated, one way and another;
//   - what the question offers to do is done, and it is asked no more;
//   - what only a person or a book can say is a verdict by itself; wordOf says of what.
//
// What no answer could change belongs to what is assumed.
func TestEveryAskMatters(t *testing.T) {
	firm, asked, stated, done := map[string]*dwv.Code{}, 0, 0, 0
	for _, x := range jobsAndCodes(t) {
		code := mustCode(t, x[1])
		l := mustLayout(t, "jobs/"+x[0]+".json", code)
		s, err := sizeOf(l, code)
		if err != nil {
			continue
		}
		if firm[x[1]] == nil {
			firm[x[1]] = confirmedCode(t, x[1])
		}
		var confirmed []tables.Finding
		if c, err := sizeOf(l, firm[x[1]]); err == nil {
			confirmed = problemsOf(t, c)
		}
		for _, f := range problemsOf(t, s) {
			if f.Verdict != tables.Ask {
				continue
			}
			asked++
			switch what := f.Rule + " " + f.SettledBy.String(); {
			case f.IfConfirmed != 0:
				if why := asConfirmed(&f, confirmed); why != "" {
					t.Errorf("%s: %s: %v", x, why, f)
				}
			case strings.Contains(f.Reason, "our tables do not hold this code's load"): // no answer is known
			case strings.Contains(f.Reason, "As bathroom groups they "): // counted so or not, it holds or not
			case answers[what] != nil && answers[what](s, &f) != nil:
				stated++
				if n := outcomes(t, s, &f, answers[what](s, &f)); len(n) < 2 {
					t.Errorf("%s: no answer changes a verdict or a size: %v: %v", x, f, n)
				}
			case settles[what] != nil:
				done++
				if again := settled(t, s, &f, settles[what]); again != "" {
					t.Errorf("%s: done as it says, it is asked again: %s", x, again)
				}
			case wordOf[what] == "":
				t.Errorf("%s: %s: what could an answer change? %v", x, what, f)
			}
		}
	}
	if asked < 2000 || stated < 100 || done < 100 {
		t.Errorf("%d questions, %d of what is left open, %d done as they say", asked, stated, done)
	}
}

// confirmedCode is a code as it is with every figure seen in print.
func confirmedCode(t *testing.T, id string) *dwv.Code {
	t.Helper()
	load := dwv.LoadCode
	if id == en12056.ID {
		load = dwv.LoadRules
	}
	c, err := load(edges.FirmShelfOn(t, tables.Embedded(), edges.Own{}, id, "floor-drains"), id)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// asConfirmed tells why a question is not answered as it said it would be, "" if it is.
func asConfirmed(f *tables.Finding, found []tables.Finding) string {
	k := slices.IndexFunc(found, func(x tables.Finding) bool { return x.ID() == f.ID() })
	switch {
	case k < 0 && f.IfConfirmed == tables.Fail:
		return "confirmed it does not fail"
	case k >= 0 && (found[k].Verdict != f.IfConfirmed):
		return fmt.Sprintf("confirmed it is %v", found[k].Verdict)
	}
	return ""
}

// outcomes are what comes of answers: the sizes, and what is found but the question. An answer
// that it outlives is none.
func outcomes(t *testing.T, s *Sizing, f *tables.Finding, edits []func(*Data)) (list []string) {
	t.Helper()
	uncounted := strings.HasPrefix(f.Reason, "Nothing is counted") // what is printed now leaves out the load
	if uncounted {
		edits = append(edits, func(*Data) {})
	}
	for k, edit := range edits {
		asIs := uncounted && k == len(edits)-1
		d := s.Layout().Data()
		edit(&d)
		l, err := New(d)
		if err != nil {
			t.Errorf("%v: %v", f, err)
			continue
		}
		after, err := s.again(t.Context(), l)
		if err != nil {
			t.Errorf("%v: %v", f, err)
			continue
		}
		var b strings.Builder
		open := false
		for _, q := range problemsOf(t, after) {
			open = open || q.ID() == f.ID() && q.Reason == f.Reason
			if q.ID() != f.ID() || fails(&q) {
				fmt.Fprint(&b, q.ID(), q.Verdict, q.IfConfirmed, " ")
			}
		}
		for i := range after.size {
			b.WriteString(dwv.FormatSize(after.size[i]) + "/" + dwv.FormatSize(after.required[i]) + " ")
		}
		for v := range after.vents {
			b.WriteString(dwv.FormatSize(after.vents[v].Size) + "/" + dwv.FormatSize(after.vents[v].Required) + " ")
		}
		if (!open || asIs) && !slices.Contains(list, b.String()) {
			list = append(list, b.String())
		}
	}
	return list
}

// pointOf is the point of an id in the data of a layout, or a point of nowhere.
func pointOf(d *Data, id string) *Point {
	for s := range d.Systems {
		for p := range d.Systems[s].Points {
			if d.Systems[s].Points[p].ID == id {
				return &d.Systems[s].Points[p]
			}
		}
	}
	return &Point{}
}

// setTo are answers that set one thing to each of several values.
func setTo[T any](set func(d *Data, value T), values ...T) (list []func(*Data)) {
	for _, v := range values {
		list = append(list, func(d *Data) { set(d, v) })
	}
	return list
}

// trapOf is the trap of the point of an id.
func trapOf(d *Data, id string) *Trap {
	pt := pointOf(d, id)
	if pt.Trap == nil {
		pt.Trap = &Trap{}
	}
	return pt.Trap
}

// settled does what a question offers, and returns the question if it is asked again.
func settled(t *testing.T, s *Sizing, f *tables.Finding, do func(*Data, *tables.Finding)) string {
	t.Helper()
	d := s.Layout().Data()
	do(&d, f)
	l, err := New(d)
	if err != nil {
		t.Errorf("%v: %v", f, err)
		return ""
	}
	after, err := s.again(t.Context(), l)
	if err != nil {
		t.Errorf("%v: %v", f, err)
		return ""
	}
	for _, q := range problemsOf(t, after) {
		if q.ID() == f.ID() && q.Reason == f.Reason {
			return q.String()
		}
	}
	return ""
}

// everyPoint goes through all points of a layout.
func everyPoint(d *Data, f func(pt *Point)) {
	for s := range d.Systems {
		for p := range d.Systems[s].Points {
			f(&d.Systems[s].Points[p])
		}
	}
}

// ventNamed is the vent of an id.
func ventNamed(d *Data, id string) *Vent {
	return &d.Vents[slices.IndexFunc(d.Vents, func(v Vent) bool { return v.ID == id })]
}

func setCleanout(d *Data, f *tables.Finding) {
	pointOf(d, f.Place).Cleanout = &Cleanout{Size: 4 * in, Clearance: 2 * ft}
}

func setGreaseInterceptor(d *Data, f *tables.Finding) {
	pointOf(d, f.Place).Interceptor = &Interceptor{Kind: "grease", Rated: 1, Inflow: 1, Vented: true}
}

func ventSump(d *Data, _ *tables.Finding) {
	for s := range d.Systems {
		if o := &d.Systems[s].Outlet; o.Kind == ToSump {
			if o.Sump == nil {
				o.Sump = &Sump{}
			}
			o.Sump.Vent = 3 * in
		}
	}
}

// settles are what questions offer to do, by rule and by who settles them.
var settles = map[string]func(*Data, *tables.Finding){
	"air-admittance-valve designer": func(d *Data, f *tables.Finding) {
		ventNamed(d, f.Place).Valve.Accessible = true
	},
	"cleanout-turn authority":      setCleanout,
	"cleanout-upper-end authority": setCleanout,
	"dead-end designer":            func(d *Data, f *tables.Finding) { pointOf(d, f.Place).Reserved = dwv.FixtureUnit },
	"drain-grade authority": func(d *Data, f *tables.Finding) {
		run := &pointOf(d, f.Place).Run
		if g, ok := f.Limit.(slope.Grade); ok {
			run.Grade = g
			return
		}
		run.Size, run.Grade = 4*in, slope.OneIn(40) // the table has none so small, or so flat
	},
	"drain-material designer": func(d *Data, f *tables.Finding) {
		everyPoint(d, func(pt *Point) {
			pt.Run.Material = cmp.Or(pt.Run.Material, "pvc-dwv")
			if strings.Contains(f.Reason, "is not made") {
				pt.Run.Size = 0
			}
		})
	},
	"floor-drain-primer authority": func(d *Data, f *tables.Finding) { pointOf(d, f.Place).Primer = true },
	"floor-drain-rim designer":     func(d *Data, f *tables.Finding) { pointOf(d, f.Place).RimBelow = in / 2 },
	"grease-interceptor authority": setGreaseInterceptor,
	"grease-interceptor designer":  setGreaseInterceptor,
	"interceptor-access authority": func(d *Data, f *tables.Finding) { pointOf(d, f.Place).Interceptor.CoverBelow = 0 },
	"interceptor-vent designer":    func(d *Data, f *tables.Finding) { pointOf(d, f.Place).Interceptor.Vented = true },
	"sump-vent authority":          ventSump,
	"sump-vent designer":           ventSump,
	"trap-size designer": func(d *Data, f *tables.Finding) {
		pt := pointOf(d, f.Place)
		least, ok := f.Limit.(units.Length)
		if !ok {
			least = pt.Fixture.Size // it is given twice
		}
		trapOf(d, f.Place).Size = least
	},
	"vent-terminal authority": func(d *Data, f *tables.Finding) { ventNamed(d, f.Place).Terminal.AboveRoof = 10 * ft },
	"vent-terminal designer": func(d *Data, f *tables.Finding) {
		v := ventNamed(d, f.Place)
		v.Terminal.AboveRoof = max(v.Terminal.AboveRoof, ft)
		v.Runs = append(v.Runs, VentRun{Length: 20 * ft, Direction: VentUp})
	},
	"washer-battery book": func(d *Data, f *tables.Finding) { pointOf(d, f.Place).Reserved = 9 * dwv.FixtureUnit },
}

type answer = func(s *Sizing, f *tables.Finding) []func(*Data)

// answers are how the questions that a layout can answer are answered, by rule and by who
// settles them.
var answers = map[string]answer{
	"trap-arm-length designer":     armAnswer,
	"trap-arm-min-length designer": armAnswer,
	"trap-arm-fall designer": func(_ *Sizing, f *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x units.Length) { trapOf(d, f.Place).Fall = x }, in/8, in/2, 100*in)
	},
	"cleanout-main designer": func(s *Sizing, f *tables.Finding) (list []func(*Data)) {
		points := s.layout.Systems[s.tree.systems[f.Place]].Points
		none := !slices.ContainsFunc(points, func(pt Point) bool { return pt.Cleanout != nil })
		for _, pt := range points {
			if pt.Cleanout != nil || none {
				list = append(list, func(d *Data) {
					x := pointOf(d, pt.ID)
					if none {
						x.Cleanout = &Cleanout{}
					}
					x.Cleanout.Main = true
				})
			}
		}
		return list
	},
	"drain-becomes-sewer designer": func(_ *Sizing, f *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x dwv.Part) {
			pt := pointOf(d, f.Place)
			if pt.Run.Part = x; x == dwv.Drain {
				pt.Run.Length = units.Foot
				return
			}
			if d.Ground == nil { // it may lie so shallow
				ground := d.Systems[0].Outlet.Invert + in
				d.Ground = &ground
			}
			d.SewerCover = max(d.SewerCover, in)
		}, dwv.Drain, dwv.Sewer)
	},
	"below-ground-size designer":  sizeAnswer,
	"drain-closets designer":      sizeAnswer,
	"fixture-drain-size designer": sizeAnswer,
	"drain-grade designer":        sizeAnswer,
	"drain-load designer":         loadAnswer,
	"drain-vent designer":         loadAnswer,
	"waste-stack-vent designer":   loadAnswer,
	"wet-vent-load designer":      loadAnswer,
	"drain-flow designer": func(s *Sizing, f *tables.Finding) (list []func(*Data)) {
		if i, ok := s.tree.find(f.Place); ok && !s.tree.points[i].Run.Vertical {
			list = setTo(func(d *Data, x dwv.Part) { pointOf(d, f.Place).Run.Part = x }, dwv.Drain, dwv.Branch)
		}
		return append(list, setTo(func(d *Data, kind string) {
			for i := range s.unrated {
				pt := pointOf(d, s.tree.point(i).ID)
				pt.Reserved, pt.Receptor = 0, nil
				pt.Fixture = &tables.Fixture{Kind: kind, Count: 1, Control: tables.Tank, Flush: 6 * units.Litre}
			}
		}, "lavatory", "water-closet")...)
	},
	"drain-size designer": func(s *Sizing, f *tables.Finding) []func(*Data) { // the outlet of a closet in system III
		return setTo(func(d *Data, x units.Length) { pointOf(d, f.Place).Fixture.Size = x }, 75*units.Millimetre,
			110*units.Millimetre)
	},
	"floor-drain-receptor designer": func(_ *Sizing, f *tables.Finding) []func(*Data) {
		return []func(*Data){func(d *Data) { pointOf(d, f.Place).Fixture.Kind = "floor-drain" },
			func(d *Data) { pointOf(d, f.Place).Drip = false }}
	},
	"outlet-size designer": func(s *Sizing, f *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x units.Length) {
			for i := range d.Systems {
				if o := &d.Systems[i].Outlet; o.ID == f.Place {
					o.Size = x
				}
			}
		}, 2*in, 6*in)
	},
	"sump-inlet designer": func(s *Sizing, f *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x units.Length) {
			o := &d.Systems[0].Outlet
			if o.Sump == nil {
				o.Sump = &Sump{}
			}
			high := o.Invert + x
			o.Sump.HighWater = &high
		}, -ft, ft)
	},
	"standpipe-trap-height designer": func(_ *Sizing, f *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x units.Length) { pointOf(d, f.Place).Receptor.TrapAboveFloor = x }, in, 12*in, 60*in)
	},
	"island-vent designer": func(s *Sizing, f *tables.Finding) []func(*Data) {
		if strings.Contains(f.Reason, "drawn below the floor") { // how far it goes down
			return setTo(func(d *Data, x units.Length) {
				for v := range d.Vents {
					if d.Vents[v].ID == f.Place {
						lengthenFirst(&d.Vents[v], VentDown, x)
					}
				}
			}, 32*in, 72*in)
		}
		return setTo(func(d *Data, x units.Length) {
			for i := s.tree.outlets; i < s.tree.len(); i++ {
				if v := s.routes.serving[i]; v >= 0 && s.layout.Vents[v].ID == f.Place {
					trapOf(d, s.tree.point(int32(i)).ID).Tail = x
				}
			}
		}, in, 40*in)
	},
	"vent-flat designer": func(*Sizing, *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x units.Length) {
			for s := range d.Systems {
				for p := range d.Systems[s].Points {
					if pt := &d.Systems[s].Points[p]; pt.Fixture != nil && pt.FloodRim == 0 {
						pt.FloodRim = x
					}
				}
			}
		}, in, 60*in)
	},
	"backwater-valve designer": func(s *Sizing, f *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x units.Length) {
			cover := d.FinishedFloor + x
			if d.UpstreamManhole == nil {
				d.UpstreamManhole = &cover
				return
			}
			for _, pt := range s.layout.Systems[0].Points {
				if pt.Fixture != nil && pt.FloodRim == 0 {
					pointOf(d, pt.ID).FloodRim = max(x, in)
				}
			}
		}, -20*ft, 20*ft)
	},
	"vent-size designer": func(s *Sizing, f *tables.Finding) []func(*Data) {
		if strings.Contains(f.Reason, "trap that it serves is not stated in") {
			return setTo(func(d *Data, x units.Length) {
				for i := s.tree.outlets; i < s.tree.len(); i++ {
					if v := s.routes.serving[i]; v >= 0 && s.layout.Vents[v].ID == f.Place {
						trapOf(d, s.tree.point(int32(i)).ID).Size = x
					}
				}
			}, in*3/2, 2*in)
		}
		return setTo(func(d *Data, x units.Length) {
			d.Vents[slices.IndexFunc(d.Vents, func(v Vent) bool { return v.ID == f.Place })].Size = x
		}, in*5/4, 4*in)
	},
	"sewer-cover designer": func(*Sizing, *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x units.Length) {
			if d.SewerCover = x; d.Ground == nil {
				ground := d.FinishedFloor - ft/2
				d.Ground = &ground
			}
		}, in, 10*ft)
	},
	"discharge-method authority": methodAnswer,
	"discharge-method designer":  methodAnswer,
	"interceptor-capacity designer": func(_ *Sizing, f *tables.Finding) []func(*Data) {
		return setTo(func(d *Data, x units.Flow) {
			n := pointOf(d, f.Place).Interceptor
			n.Inflow, n.Rated = x, 20*units.USGallonPerMinute
		}, units.USGallonPerMinute, 200*units.USGallonPerMinute)
	},
}

// armAnswer states the trap arm: under what is wanted at least, usual, and too long; or its trap.
func armAnswer(s *Sizing, f *tables.Finding) []func(*Data) {
	if s.size[s.tree.index[f.Place]] == 0 {
		return setTo(func(d *Data, x units.Length) { trapOf(d, f.Place).Size = x }, in*3/2, 2*in)
	}
	return setTo(func(d *Data, x units.Length) { trapOf(d, f.Place).Arm = x }, in, 2*ft, 50*ft)
}

// sizeAnswer writes a size that may be a name of another as those beside it in the code.
func sizeAnswer(s *Sizing, f *tables.Finding) []func(*Data) {
	size := s.size[s.tree.index[f.Place]]
	return setTo(func(d *Data, x units.Length) { pointOf(d, f.Place).Run.Size = x },
		s.code.MadeSize(size, false), s.code.MadeSize(size, true), size/2, 2*size)
}

// loadAnswer states what a code tells fixtures apart by; of what it does not list, any load.
func loadAnswer(s *Sizing, f *tables.Finding) (list []func(*Data)) {
	for _, as := range [...]struct {
		use     tables.Use
		control tables.Control
		flush   units.Volume
		size    units.Length
	}{{tables.Private, tables.Tank, units.USGallon, in * 5 / 4}, {tables.Public, tables.Valve, 5 * units.USGallon, in * 3 / 2}} {
		for _, load := range [...]dwv.FixtureUnits{0, 500 * dwv.FixtureUnit} {
			list = append(list, func(d *Data) {
				for i := s.tree.outlets; i < s.tree.len(); i++ {
					x := pointOf(d, s.tree.point(int32(i)).ID)
					if s.unrated[int32(i)] == nil {
						continue
					}
					if x.Fixture.Use == 0 {
						x.Fixture.Use = as.use
					}
					if strings.Contains(s.unrated[int32(i)].Error(), "size: not stated") {
						x.Fixture.Size = as.size
					}
					if dwv.ClosetsOf(x.Fixture.Kind) > 0 {
						if x.Fixture.Flush == 0 {
							x.Fixture.Flush = as.flush
						}
						if x.Fixture.Control == 0 {
							x.Fixture.Control = as.control
						}
						return
					}
					x.Fixture.Kind, x.Reserved = "lavatory", load
				}
			})
		}
	}
	return list
}

// methodAnswer states what the European method leaves open.
func methodAnswer(s *Sizing, f *tables.Finding) []func(*Data) {
	if !strings.Contains(f.Reason, "not stated") {
		return nil
	}
	return setTo(func(d *Data, o EuropeanOptions) {
		stated := s.european.stated
		if stated.System == "" {
			stated.System = o.System
		}
		if stated.Usage == "" {
			stated.Usage = o.Usage
		}
		if strings.Contains(f.Reason, "vent of the stacks") {
			stated.StackVent = o.StackVent
		}
		if strings.Contains(f.Reason, "entries into stacks") {
			stated.StackEntry = o.StackEntry
		}
		d.European = &stated
	}, EuropeanOptions{System: "I", Usage: "intermittent", StackVent: "primary", StackEntry: "square"},
		EuropeanOptions{System: "II", Usage: "special", StackVent: "secondary", StackEntry: "swept"},
		EuropeanOptions{System: "IV", Usage: "frequent", StackVent: "primary", StackEntry: "square"})
}

// wordOf says of the questions that no field of a layout answers what their answer is: yes or
// no to what is drawn, which then passes or fails, or a size.
var wordOf = map[string]string{
	"air-admittance-valve authority": "may vents end in valves: yes or no",
	"backwater-valve authority":      "must there be a valve, may it shut on these: yes or no",
	"branch-length authority":        "may the larger pipe go farther: yes or no",
	"cleanout-junction authority":    "is the last cleanout near enough: yes or no",
	"cleanout-junction book":         "must there be a cleanout: yes or no",
	"combination-vent authority":     "is it approved as a combination: yes or no",
	"common-vent-load authority":     "the greatest load, which the tables lack: holds or not",
	"footing-sleeve designer":        "does the pipe pass through or under: one of two drawings",
	"trap-tail designer":             "which of two figures is wrong: the drop goes by it",
	"discharge-method authority":     "what is counted of a flush that the table lacks: discharge units",
	"discharge-method designer":      "have they stacks of their own: yes or no",
	"double-fitting authority":       "may the closet enter so: yes or no",
	"double-fitting book":            "what counts as a size: holds or not",
	"drain-flow authority":           "the flow, of which the tables have no row",
	"drain-load authority":           "the size, of which the tables have no row",
	"drain-material authority":       "is the pipe taken there: yes or no",
	"fitting-turn authority":         "may the fitting turn so: yes or no",
	"footing-plane authority":        "may the trench lie there: yes or no",
	"footing-sleeve authority":       "the size two steps up, of which the tables have no row: large enough or not",
	"future-vent designer":           "how will what comes be vented: one of two drawings",
	"interceptor-soil book":          "may it pass one: yes or no",
	"island-vent authority":          "may there be such a vent: yes or no",
	"obstacle-clearance designer":    "where they lie: nothing is measured until then",
	"size-reduction authority":       "may it shrink: yes or no",
	"stack-base-branch designer":     "how far from the foot: far enough or not",
	"stack-length authority":         "the greatest length, of which the tables have no row",
	"system-apart authority":         "may it discharge by an air gap: yes or no",
	"trap-arm-length authority":      "the greatest length, of which the tables have no row",
	"trap-arm-riser authority":       "may the arm drop: yes or no",
	"trap-arm-shared designer":       "how they are vented together, which is judged then",
	"trap-tail authority":            "the greatest drop, which the tables lack: holds or not",
	"trap-vented authority":          "need the inlet of a mobile home a vent: yes or no",
	"trap-vented designer":           "do the two share the vent: yes or no",
	"vent-below-floor authority":     "may a vent lie there: yes or no",
	"vent-join designer":             "which of two figures is wrong: the length of the vent goes by it",
	"vent-size authority":            "the size, of which the tables have no row",
	"vent-take-off designer":         "does it leave above the centreline: yes or no",
	"waste-stack-vent authority":     "may it vent itself: yes or no",
	"wet-vent-fixtures authority":    "may it drain through the wet vent: yes or no",
	"wet-vent-load authority":        "the greatest load, which the tables lack: holds or not",
}

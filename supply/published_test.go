package supply_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/trapweir/trapweir/internal/proof"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/supply/hydraulics"
	"github.com/trapweir/trapweir/supply/simultaneous"
	"github.com/trapweir/trapweir/units"
)

// A published case is a worked example or a printed value, with where it stands.
// Rel is the tolerance for all answers, Abs overrides it by name; they cover the
// rounding of the print and what the note says, nothing else.
type published struct {
	ID     string                     `json:"id"`
	What   string                     `json:"what"`
	Ask    string                     `json:"ask"`
	In     publishedInputs            `json:"in"`
	Want   map[string]json.RawMessage `json:"want"`
	Rel    float64                    `json:"rel"`
	Abs    map[string]json.RawMessage `json:"abs"`
	Status string                     `json:"status"`
	Source string                     `json:"source"`
	Note   string                     `json:"note"`
	// Why an answer may be off by more than its printed digits leave open.
	Class proof.Class `json:"class"`
	Why   string      `json:"why"`
}

type publishedInputs struct {
	Method      hydraulics.LossMethod    `json:"method,omitzero"`
	Flow        units.Flow               `json:"flow"`
	Bore        units.Length             `json:"bore"`
	Length      units.Length             `json:"length"`
	C           float64                  `json:"c"`
	Roughness   units.Length             `json:"roughness"`
	F           float64                  `json:"f"` // a friction factor the source fixes
	K           float64                  `json:"k"`
	Viscosity   units.KinematicViscosity `json:"viscosity"`
	Density     units.Density            `json:"density"`
	Temperature units.Temperature        `json:"temperature"`
	Velocity    units.Velocity           `json:"velocity"`
	HeadLoss    units.Head               `json:"head_loss"`
	Reynolds    float64                  `json:"reynolds"`
	Relative    float64                  `json:"relative"`
	Head        units.Head               `json:"head"`
	Pressure    units.Pressure           `json:"pressure"`
	Volume      units.Volume             `json:"volume"`

	Wall                   units.Length                  `json:"wall"`
	Conductivity           units.Conductivity            `json:"conductivity"`
	Insulation             units.Length                  `json:"insulation"`
	InsulationConductivity units.Conductivity            `json:"insulation_conductivity"`
	Film                   units.HeatTransferCoefficient `json:"film"`
	Water                  units.Temperature             `json:"water"`
	Ambient                units.Temperature             `json:"ambient"`
	HeatLoss               units.Power                   `json:"heat_loss"`
	Drop                   units.TemperatureDifference   `json:"drop"`
	Hot                    units.Temperature             `json:"hot"`
	Cold                   units.Temperature             `json:"cold"`
	Mixed                  units.Temperature             `json:"mixed"`
	Fill                   units.Pressure                `json:"fill"`
	Highest                units.Pressure                `json:"highest"`
	Atmosphere             units.Pressure                `json:"atmosphere"`

	Modulus        units.Pressure `json:"modulus"`
	BulkModulus    units.Pressure `json:"bulk_modulus"`
	Restraint      *float64       `json:"restraint"`
	VelocityChange units.Velocity `json:"velocity_change"`
	WaveSpeed      units.Velocity `json:"wave_speed"`

	Count       int     `json:"count"`
	Probability float64 `json:"probability"`
	Confidence  float64 `json:"confidence"`
	Groups      []struct {
		Count       int        `json:"count"`
		Probability float64    `json:"probability"`
		Flow        units.Flow `json:"flow"`
	} `json:"groups"`

	Street   units.Pressure   `json:"street"`
	Rise     units.Length     `json:"rise"`
	Losses   []units.Pressure `json:"losses"`
	Required units.Pressure   `json:"required"`

	SquareUnit string `json:"square_unit"`
	Nodes      []struct {
		ID     string      `json:"id"`
		Head   *units.Head `json:"head"`
		Demand units.Flow  `json:"demand"`
	} `json:"nodes"`
	Pipes []struct {
		ID        string                `json:"id"`
		From      string                `json:"from"`
		To        string                `json:"to"`
		Method    hydraulics.LossMethod `json:"method,omitzero"`
		Length    units.Length          `json:"length"`
		Bore      units.Length          `json:"bore"`
		C         float64               `json:"c"`
		Roughness units.Length          `json:"roughness"`
		F         float64               `json:"f"`
		K         float64               `json:"k"`
		Square    float64               `json:"square"` // head lost for a unit of flow squared
	} `json:"pipes"`
}

func TestPublished(t *testing.T) {
	data, err := os.ReadFile("testdata/published.json")
	if err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(strings.NewReader(string(data)))
	d.DisallowUnknownFields()
	var cases []published
	if err := d.Decode(&cases); err != nil {
		t.Fatal(err)
	}
	var ledger proof.Ledger
	answers := 0
	for _, c := range cases {
		t.Run(c.ID, func(t *testing.T) {
			if c.Source == "" || c.Status != "read" && c.Status != "memory" || len(c.Want) == 0 {
				t.Fatalf("source %q, status %q, %d answers", c.Source, c.Status, len(c.Want))
			}
			got, err := c.In.answer(c.Ask)
			if err != nil {
				t.Fatal(err)
			}
			for name, raw := range c.Want {
				answers++
				want, err := quantity(name, raw)
				if err != nil {
					t.Fatal(err)
				}
				have, ok := got[name]
				if !ok {
					if have, ok, err = c.In.networkAnswer(name, got); err != nil || !ok {
						t.Fatalf("no answer %q among %v, %v", name, got, err)
					}
				}
				text := strings.Trim(string(raw), `"`)
				text, _, _ = strings.Cut(text, " ")
				ledger.Add(proof.Value{Source: proof.Document(c.Source), Case: c.ID, Answer: name, Ours: inPrintedUnit(text, have, want), Printed: text, Class: c.Class, Why: c.Why})
				tolerance := c.Rel * math.Abs(want)
				first, _, _ := strings.Cut(name, " ")
				for _, key := range []string{first, name} {
					if raw, ok := c.Abs[key]; ok {
						if tolerance, err = quantity(name, raw); err != nil {
							t.Fatal(err)
						}
					}
				}
				if !(math.Abs(have-want) <= tolerance) {
					t.Errorf("%s, %s: %.8g, printed %.8g (%+.3g %%), allowed %.3g", c.What, name, have, want, 100*(have/want-1), tolerance)
				}
			}
		})
	}
	ledger.Keep(t, "testdata/proof.csv")
	if answers < 100 {
		t.Errorf("%d printed answers compared, want at least 100", answers)
	}
}

// inPrintedUnit turns our answer into the unit of the printed number: want is that
// number in SI.
func inPrintedUnit(printed string, have, want float64) float64 {
	n, err := strconv.ParseFloat(printed, 64)
	if err != nil || want == 0 {
		return have
	}
	return have / want * n
}

// quantity reads an answer, whose kind goes with its name, in SI.
func quantity(name string, raw json.RawMessage) (float64, error) {
	var text string
	if json.Unmarshal(raw, &text) != nil {
		return strconv.ParseFloat(string(raw), 64)
	}
	kind, _, _ := strings.Cut(name, " ")
	switch kind {
	case "flow", "equal":
		v, err := units.Parse[units.Flow](text)
		return float64(v), err
	case "head", "head_loss", "head_rise", "loss":
		v, err := units.Parse[units.Head](text)
		return float64(v), err
	case "pressure", "pressure_loss", "pressure_rise", "static_loss", "left", "per_100_ft":
		v, err := units.Parse[units.Pressure](text)
		return float64(v), err
	case "velocity", "wave_speed":
		v, err := units.Parse[units.Velocity](text)
		return float64(v), err
	case "bore", "length":
		v, err := units.Parse[units.Length](text)
		return v.Metres(), err
	case "volume":
		v, err := units.Parse[units.Volume](text)
		return float64(v), err
	case "time", "critical_time":
		v, err := units.Parse[units.Duration](text)
		return float64(v), err
	case "per_length":
		v, err := units.Parse[units.HeatFlowPerLength](text)
		return float64(v), err
	}
	return 0, fmt.Errorf("no kind of quantity is known for %q", name)
}

// state is the water a source fixes: its own figures over those at its temperature
// (60 degF where it names none).
func (in *publishedInputs) state() (hydraulics.Water, error) {
	t := in.Temperature
	if t == 0 {
		t = units.Fahrenheit(60)
	}
	w, err := hydraulics.WaterAt(t)
	if in.Viscosity != 0 {
		w.KinematicViscosity = in.Viscosity
	}
	if in.Density != 0 {
		w.Density = in.Density
	}
	return w, err
}

func (in *publishedInputs) friction() (hydraulics.Friction, error) {
	w, err := in.state()
	f := hydraulics.Friction{Method: in.Method, Bore: in.Bore, Length: in.Length, C: in.C, Roughness: in.Roughness, K: in.K, Water: w}
	if in.F != 0 && err == nil {
		err = fixFactor(&f, in.F)
	}
	return f, err
}

// fixFactor turns a pipe of fixed friction factor into a coefficient without length.
func fixFactor(f *hydraulics.Friction, factor float64) error {
	k, err := hydraulics.CoefficientOfLength(f.Length, factor, f.Bore)
	f.Method, f.Length, f.K = hydraulics.DarcyWeisbach, 0, f.K+k
	return err
}

func (in *publishedInputs) answer(ask string) (map[string]float64, error) {
	one := func(name string, v float64, err error) (map[string]float64, error) {
		return map[string]float64{name: v}, err
	}
	switch ask {
	case "friction":
		f, err := in.friction()
		if err != nil {
			return nil, err
		}
		r, err := f.Resistance()
		if err != nil {
			return nil, err
		}
		l, err := r.Loss(in.Flow)
		return map[string]float64{"head_loss": float64(l.Head), "pressure_loss": float64(l.Pressure), "velocity": float64(l.Velocity),
			"reynolds": l.Reynolds, "friction_factor": l.FrictionFactor}, err
	case "friction-factor":
		f, _, err := hydraulics.FrictionFactor(in.Reynolds, in.Relative)
		return one("friction_factor", f, err)
	case "flow-for-loss":
		f, err := in.friction()
		if err != nil {
			return nil, err
		}
		r, err := f.Resistance()
		if err != nil {
			return nil, err
		}
		q, err := r.FlowForHeadLoss(in.HeadLoss)
		return map[string]float64{"flow": float64(q), "velocity": float64(r.Velocity(q))}, err
	case "bore-for-loss":
		f, err := in.friction()
		if err != nil {
			return nil, err
		}
		d, err := f.BoreForHeadLoss(in.Flow, in.HeadLoss)
		return one("bore", d.Metres, err)
	case "velocity":
		v, err := hydraulics.Velocity(in.Flow, in.Bore)
		return one("velocity", float64(v), err)
	case "flow-at-velocity":
		q, err := hydraulics.FlowAtVelocity(in.Velocity, in.Bore)
		return one("flow", float64(q), err)
	case "bore-for-velocity":
		d, err := hydraulics.BoreForVelocity(in.Flow, in.Velocity)
		return one("bore", d.Metres, err)
	case "pressure-of-head", "head-of-pressure":
		w, err := in.state()
		if err != nil {
			return nil, err
		}
		if ask == "pressure-of-head" {
			p, err := hydraulics.PressureOfHead(in.Head, w.Density)
			return one("pressure", float64(p), err)
		}
		h, err := hydraulics.HeadOfPressure(in.Pressure, w.Density)
		return one("head", float64(h), err)
	case "pipe-volume":
		v, err := hydraulics.PipeVolume(in.Bore, in.Length)
		return one("volume", float64(v), err)
	case "length-for-volume":
		l, err := hydraulics.PipeLengthForVolume(in.Bore, in.Volume)
		return one("length", l.Metres(), err)
	case "wait":
		d, err := heat.WaitTime(in.Volume, in.Flow)
		return one("time", float64(d), err)
	case "heat-loss":
		p := heat.Pipe{Bore: in.Bore, Wall: in.Wall, Conductivity: in.Conductivity, Insulation: in.Insulation,
			InsulationConductivity: in.InsulationConductivity, Film: in.Film}
		if in.Film != 0 {
			p.Surroundings = heat.InAir
		}
		q, err := p.PerLength(in.Water, in.Ambient)
		return one("per_length", float64(q), err)
	case "recirculation":
		w, err := in.state()
		if err != nil {
			return nil, err
		}
		q, err := heat.RecirculationFlow(in.HeatLoss, in.Drop, w)
		return one("flow", float64(q), err)
	case "mix":
		x, err := heat.HotFraction(in.Hot, in.Cold, in.Mixed)
		return one("hot_fraction", x, err)
	case "expansion":
		v, err := heat.ExpansionVolume(in.Volume, in.Cold, in.Hot, 0)
		return one("volume", float64(v), err)
	case "tank":
		v, err := heat.ExpansionTank(in.Volume, in.Fill, in.Highest, in.Atmosphere)
		return one("volume", float64(v), err)
	case "in-use":
		m, err := simultaneous.FixturesInUse(in.Count, in.Probability, in.Confidence)
		return one("in_use", float64(m), err)
	case "normal-flow":
		var groups []simultaneous.Group
		for _, g := range in.Groups {
			groups = append(groups, simultaneous.Group(g))
		}
		q, err := simultaneous.NormalFlow(groups, in.Confidence)
		return one("flow", float64(q), err)
	case "surge", "joukowsky":
		return in.surge(ask)
	case "budget":
		return in.budget()
	case "network":
		return in.network()
	}
	return nil, fmt.Errorf("no such kind of case: %q", ask)
}

func (in *publishedInputs) surge(ask string) (map[string]float64, error) {
	p := hydraulics.SurgePipe{Bore: in.Bore, Wall: in.Wall, Modulus: in.Modulus, Restraint: 1, BulkModulus: in.BulkModulus, Density: in.Density}
	if in.Restraint != nil {
		p.Restraint = *in.Restraint
	}
	if ask == "joukowsky" {
		// The wave speed is given: that of a rigid pipe with a bulk modulus to suit.
		p.Bore, p.Wall, p.Modulus, p.Restraint = units.Metre, units.Metre, 1e9, 0
		p.BulkModulus = units.Pressure(float64(in.Density) * float64(in.WaveSpeed) * float64(in.WaveSpeed))
	}
	a, err := p.WaveSpeed()
	if err != nil {
		return nil, err
	}
	rise, err := p.PressureRise(in.VelocityChange)
	if err != nil {
		return nil, err
	}
	h, err := hydraulics.HeadOfPressure(rise, in.Density)
	got := map[string]float64{"wave_speed": float64(a), "pressure_rise": float64(rise), "head_rise": float64(h)}
	if in.Length != 0 && err == nil {
		var t units.Duration
		t, err = p.CriticalTime(in.Length)
		got["critical_time"] = float64(t)
	}
	return got, err
}

func (in *publishedInputs) budget() (map[string]float64, error) {
	b := hydraulics.PressureBudget{Street: in.Street, Rise: in.Rise, Required: in.Required, Length: in.Length, Density: in.Density}
	for i, l := range in.Losses {
		b.Losses = append(b.Losses, hydraulics.NamedLoss{Name: strconv.Itoa(i), Loss: l})
	}
	left, err := b.Left()
	return map[string]float64{"static_loss": float64(left.Static), "left": float64(left.Left), "per_100_ft": float64(left.PerMetre) * 30.48}, err
}

func (in *publishedInputs) network() (map[string]float64, error) {
	w, err := in.state()
	if err != nil {
		return nil, err
	}
	square := map[string]float64{"": 0, "m/(L/s)2": 1e6, "ft/(ft3/s)2": 0.3048 / math.Pow(0.3048, 6)}[in.SquareUnit]
	var n hydraulics.Network
	for _, node := range in.Nodes {
		out := hydraulics.NetworkNode{ID: node.ID, Demand: node.Demand}
		if node.Head != nil {
			out.Fixed, out.Head = true, *node.Head
		}
		n.Nodes = append(n.Nodes, out)
	}
	for _, p := range in.Pipes {
		f := hydraulics.Friction{Method: p.Method, Bore: p.Bore, Length: p.Length, C: p.C, Roughness: p.Roughness, K: p.K, Water: w}
		switch {
		case p.F != 0:
			if err := fixFactor(&f, p.F); err != nil {
				return nil, err
			}
		case p.Square != 0:
			area := math.Pi / 4
			f.Method, f.Bore = hydraulics.DarcyWeisbach, units.Metre
			f.K = p.Square * square * 2 * units.StandardGravity * area * area
		}
		n.Pipes = append(n.Pipes, hydraulics.NetworkPipe{ID: p.ID, From: p.From, To: p.To, Friction: f})
	}
	s, err := n.Solve()
	if err != nil {
		return nil, err
	}
	got := map[string]float64{}
	for i, node := range n.Nodes {
		got["head "+node.ID] = float64(s.Heads[i])
	}
	for j, p := range n.Pipes {
		got["flow "+p.ID] = float64(s.Flows[j])
		got["loss "+p.ID] = got["head "+p.From] - got["head "+p.To]
	}
	return got, nil
}

// networkAnswer answers "equal loss 14 in 5000 ft": the flow at which one pipe of
// that bore and length, of the same C, loses what lies between the first and the
// last node of a network.
func (in *publishedInputs) networkAnswer(name string, got map[string]float64) (float64, bool, error) {
	var bore, length float64
	if n, err := fmt.Sscanf(name, "equal loss %g in %g ft", &bore, &length); n != 2 {
		return 0, false, err
	}
	f := hydraulics.Friction{Method: hydraulics.HazenWilliams, Bore: units.Inches(bore), Length: units.Feet(length), C: in.Pipes[0].C, Water: hydraulics.Water{Density: 999}}
	r, err := f.Resistance()
	if err != nil {
		return 0, false, err
	}
	loss := got["head "+in.Nodes[0].ID] - got["head "+in.Nodes[len(in.Nodes)-1].ID]
	q, err := r.FlowForHeadLoss(units.Head(loss))
	return float64(q), true, err
}

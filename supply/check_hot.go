package supply

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/trapweir/trapweir/internal/finding"
	"github.com/trapweir/trapweir/internal/fixture"
	"github.com/trapweir/trapweir/internal/grouped"
	"github.com/trapweir/trapweir/internal/visible"
	"github.com/trapweir/trapweir/supply/heat"
	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func (k *checker) hotWater() error {
	waits, err := k.HotWater()
	if err != nil {
		return err
	}
	most, cite, hasRule := ruled[units.Length](k.code, "hot-length-max")
	longest := k.hotLines()
	slices.SortStableFunc(waits, func(a, b HotWait) int { return visible.Counted(a.Fixture, b.Fixture) })
	var asked grouped.By[likeKey, tables.Finding]
	for i := range waits {
		w := &waits[i]
		if hasRule && !k.shortHotLine(w, longest) {
			k.hotLength(w, most, cite)
		}
		for _, f := range [...]tables.Finding{k.energy(w), k.wait(w), k.stagnant(w)} {
			k.like(&asked, f, k.layout.hot[w.at])
		}
	}
	for _, alike := range asked.Lists {
		f := alike[0]
		var more []string
		for _, other := range alike[1:] {
			more = append(more, other.Place)
		}
		if more != nil {
			f.Reason += k.Text(" The same at %s.", shortList(more))
		}
		k.Add(f)
	}
	loops, err := k.CirculationsContext(k.ctx)
	if errors.Is(err, tables.ErrNotStated) {
		k.Ask("recirculation-flow", k.layout.data.Recirculation[0].ID, tables.Designer,
			k.Text("The flow in the return is not known, and neither its size nor its pump is judged: %v.", err),
			"State the temperature of the air about the hot lines as ambient.", tables.Citation{})
		return nil
	}
	if err != nil {
		return err
	}
	for i := range loops {
		k.circulation(&loops[i])
		k.keptWarm(i, &loops[i])
		if err := k.coolsFar(i, &loops[i]); err != nil {
			return err
		}
	}
	for i := range loops {
		k.balance(&loops[i])
	}
	return nil
}

// likeKey is what is the same of findings that differ in the fixture at one point alone: they are
// one.
type likeKey struct {
	point        int32
	rule, reason string
	value, limit fmt.Stringer
}

// like takes a finding about what ends at a point.
func (k *checker) like(asked *grouped.By[likeKey, tables.Finding], f tables.Finding, point int32) {
	switch {
	case f.Rule == "":
		return
	case f.Settle().Verdict == tables.Pass: // passes are counted, one a fixture
		k.Add(f)
		return
	}
	asked.Add(likeKey{point, f.Rule, f.Reason, f.Value, f.Limit}, f)
}

// hotLines returns the developed length from each heater to the farthest of its hot ports.
func (k *checker) hotLines() map[int32]units.Length {
	l := k.layout
	longest := map[int32]units.Length{}
	for _, port := range l.hot {
		if port >= 0 {
			longest[l.heaterOf[port]] = max(longest[l.heaterOf[port]], k.fromHeater(port))
		}
	}
	return longest
}

// fromHeater is the developed length of the hot line from its heater to a point.
func (k *checker) fromHeater(point int32) (length units.Length) {
	l := k.layout
	for i := point; i >= 0 && i != l.heaterOf[point]; i = l.parent[i] {
		length += l.data.Points[i].Length
	}
	return length
}

// shortHotLine passes a fixture under a code that wants hot water kept up only where the line
// from the heater to its farthest outlet is longer than some length, and it is not.
func (k *checker) shortHotLine(w *HotWait, longest map[int32]units.Length) bool {
	most, cite, ok := ruled[units.Length](k.code, "hot-maintain-length")
	length := longest[k.layout.heaterOf[k.layout.hot[w.at]]]
	if !ok || length > most {
		return false
	}
	f := atMost(w.judged("hot-length", cite), true, length, most, k.system.length)
	f.Reason = "Developed length of the hot line to its farthest outlet; the code wants longer ones kept hot."
	k.Add(f)
	return true
}

// hotLength judges a hot line by the plumbing code's limit of its length.
func (k *checker) hotLength(w *HotWait, most units.Length, cite tables.Citation) {
	f := atMost(w.judged("hot-length", cite), w.Length <= most, w.Length, most, k.system.length)
	f.Reason = k.Sentence(&f, k.Text("The hot line from %s to %s", w.From, w.Fixture), "limit", "too long")
	f.Fix = "Recirculate or trace the line nearer to it, or set a heater there."
	k.Add(f)
}

// judged is what is judged of a hot line by a rule.
func (w *HotWait) judged(rule string, cite tables.Citation) finding.Case {
	return finding.Case{Rule: rule, Place: w.Fixture, Citation: cite}
}

// litres is a volume as it is compared.
func litres(v units.Volume) float64 { return roundTo(float64(v / units.Litre)) }

// energy judges a hot line by the two ways of the energy code, of which either will do:
// the length of its table, or the water in the pipe. What meets neither is one question.
func (k *checker) energy(w *HotWait) tables.Finding {
	length, judged := k.energyLength(w)
	if judged && length.Verdict == tables.Pass {
		return length
	}
	volume, other := k.hotVolume(&k.layout.data.Fixtures[w.at], w)
	if other && judged && volume.Verdict == tables.Ask {
		volume.Reason = k.Text("The line from %s meets neither way of the energy code: it is %v long, where its table "+
			"allows %v, and holds too much water.", w.From, length.Value, length.Limit)
	}
	switch {
	case other:
		return volume
	case judged:
		return length
	}
	return tables.Finding{}
}

// energyLength judges a hot line by the energy code's table of lengths, if there is one.
func (k *checker) energyLength(w *HotWait) (out tables.Finding, judged bool) {
	f := &k.layout.data.Fixtures[w.at]
	limit, err := k.code.HotLength(w.Largest, isPublicLavatory(f))
	if err != nil {
		return out, false
	}
	meets := w.Length <= limit.Length
	out = atMost(w.judged("hot-length-energy", limit.Citation), meets, w.Length, limit.Length, k.system.length)
	out.Reason = k.Text("The greatest size on the way from %s is %v.", w.From, nominal(w.Largest.String()))
	if w.Largest == 0 { // no length, which no figure limits
		out.Reason, out.Citation = k.Text("The line at %s, which is kept hot, serves it.", w.From), tables.Citation{}
	}
	if limit.Beyond {
		out.Reason += " The table ends at a smaller size, whose length is the limit."
	}
	if !meets {
		out.Verdict, out.SettledBy = tables.Ask, tables.Authority
		out.Reason += " It is longer than the energy code's table of lengths allows."
		out.Fix = energyFix
	}
	return out, true
}

// energyFix is what meets the energy code.
const energyFix = "Ask whether the energy code holds here and which of its ways is followed; a smaller or " +
	"shorter line, or recirculation nearer to the outlet, meets it."

// wait tells how long hot water takes, and asks the owner where that is not acceptable.
func (k *checker) wait(w *HotWait) tables.Finding {
	if w.Grade == "" {
		return tables.Finding{}
	}
	out := tables.Finding{
		Rule: "hot-wait", Place: w.Fixture, Verdict: tables.Pass, Value: seconds(w.Wait),
		Reason: k.Text("%s for hot water, a wait that is %s: %v in the pipe from %s runs off first, and the first hot "+
			"water warms the pipe.", waits(w.Wait, w.WaitMost), w.Grade, k.system.volume(w.Volume), w.From),
		Citation: w.Citation,
	}
	if w.Grade != "acceptable" {
		out.Verdict, out.SettledBy = tables.Ask, tables.Owner
		out.Fix = "Ask the owner; a smaller or shorter hot line, or recirculation, shortens it."
	}
	return out
}

// waits tells a range of waits: to the second, and in minutes from two on.
func waits(least, most units.Duration) string {
	if float64(least) < 120 {
		return fmt.Sprintf("%.0f s to %.0f s", math.Round(float64(least)), math.Round(float64(most)))
	}
	from, to := math.Round(float64(least)/60), math.Round(float64(most)/60)
	if from == to {
		return fmt.Sprintf("About %.0f min", from)
	}
	return fmt.Sprintf("About %.0f to %.0f min", from, to)
}

// stagnant judges the water between a heater, or a line kept hot, and an outlet, where the
// code limits it for hygiene.
func (k *checker) stagnant(w *HotWait) tables.Finding {
	most, cite, has := ruled[units.Volume](k.code, "hot-volume-max")
	ok := litres(w.Volume) <= litres(most)
	if !has || ok && !cite.Status().Firm() { // it would only ask
		return tables.Finding{}
	}
	f := atMost(w.judged("hot-volume", cite), ok, w.Volume, most, k.system.volume)
	f.Reason = k.Sentence(&f, k.Text("The water in the pipe from %s to %s, which stands and cools between draws,", w.From,
		f.Place), "limit", "too much")
	f.Fix = "Circulate the line nearer to the outlet, or lay a smaller or shorter one."
	return f
}

// keptWarm judges the temperature at which a loop comes back.
func (k *checker) keptWarm(loop int, c *Circulation) {
	least, cite, ok := ruled[units.Temperature](k.code, "circulation-min")
	if !ok {
		return
	}
	f := atLeast(finding.Case{Rule: "recirculation-temperature", Place: c.ID, Citation: cite},
		roundTo(c.Returns.Celsius()) >= roundTo(least.Celsius()), c.Returns, least, k.system.temperature)
	f.Margin = k.system.difference(units.TemperatureDifference(c.Returns - least))
	hot, from, valve := k.loopFrom(loop)
	f.Reason = k.Sentence(&f, k.Text("The temperature of the return of loop %s, of water that leaves %s at %v,", c.ID,
		from, k.system.temperature(hot)), "at least", "too cool")
	f.Fix = "Keep up more flow, insulate the loop better, or heat higher; hotter water scalds, and outlets then need " +
		"valves that limit it."
	if valve {
		f.Fix = k.Text("Circulate the water ahead of the mixing valve at %s, and set valves that limit it at the "+
			"outlets: hot water scalds.", from)
	}
	k.Add(f)
}

// loopFrom is how warm the water of a loop is at its warmest outlet, and where it leaves so: its
// heater, or the last mixing valve on its way.
func (k *checker) loopFrom(loop int) (hot units.Temperature, from string, valve bool) {
	r := &k.layout.data.Recirculation[loop]
	hot, from = k.hotAt(k.layout.parent[k.layout.index[r.Return]])
	if from == "" {
		return hot, r.Heater, false
	}
	return hot, from, true
}

// coolsFar asks about a loop whose stated flow lets the water cool farther than is usual,
// where the code does not say how warm it comes back.
func (k *checker) coolsFar(loop int, c *Circulation) error {
	if _, ok := k.code.Rule("circulation-min"); ok || !c.Stated {
		return nil
	}
	rules, err := k.code.pipes.shelf.Rules("hot-water/supply-rules")
	if err != nil {
		return err
	}
	usual, cite, err := tables.RuleValue[units.TemperatureDifference](rules, "return-drop")
	if err != nil || roundTo(float64(c.Cools)) <= roundTo(float64(usual)) {
		return nil // an amendment may have dropped it
	}
	hot, from, _ := k.loopFrom(loop)
	water := &k.worked.water[Hot]
	needs := units.Flow(float64(c.Heat) / (float64(usual) * float64(water.Density) * float64(water.SpecificHeat)))
	k.Add(tables.Finding{
		Rule: "recirculation-temperature", Place: c.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
		Value:  k.system.temperature(c.Returns),
		Limit:  k.system.temperature(hot - units.Temperature(usual)),
		Margin: k.system.difference(usual - c.Cools),
		Reason: k.Text("At the %v that the layout states the water comes back so cool, having left %s at %v; it is "+
			"usually let cool by %v.", k.system.flow(c.Flow), from, k.system.temperature(hot),
			k.system.difference(usual)),
		Fix:      k.Text("Keep up %v, or insulate the loop better.", k.system.flow(needs)),
		Citation: cite,
	})
	return nil
}

// balance asks for the valve that a loop needs beside longer ones of its heater.
func (k *checker) balance(c *Circulation) {
	if k.system.head(c.Throttle) == k.system.head(0) {
		return
	}
	k.asks(finding.Case{Rule: "recirculation-balance", Place: c.ID}, tables.Designer, k.system.head(c.Head), nil,
		k.Text("It circulates %v, %.0f %% of what the pump of %s moves, and it loses %v less than the "+
			"loop that loses most; without a valve it would take %v.",
			k.system.flow(c.Flow), 100*c.Share, c.Heater, k.system.head(c.Throttle), k.system.flow(c.Unbalanced)),
		k.Text("Ask where its balancing valve stands, set to take %v at %v.", k.system.head(c.Throttle),
			k.system.flow(c.Flow)))
}

// hotVolume judges the water in the pipe by the energy code's other way, which counts
// volume and not length, if there is a figure.
func (k *checker) hotVolume(f *LayoutFixture, w *HotWait) (out tables.Finding, judged bool) {
	id := "hot-volume-other"
	switch {
	case isPublicLavatory(f):
		id = "hot-volume-public-lavatory"
	case w.Recirculated:
		id = "hot-volume-recirculated"
	}
	most, cite, ok := ruleOf[units.Volume](k.code.hotVolume, id)
	if !ok {
		return out, false
	}
	ok = litres(w.Volume) <= litres(most)
	out = atMost(w.judged("hot-volume-energy", cite), ok, w.Volume, most, k.system.volume)
	out.Reason = k.Text("Water in the pipe from %s; the volume is the energy code's other way to comply, for a "+
		"line too long for its table of lengths.", w.From)
	if !ok {
		out.Verdict, out.SettledBy, out.Fix = tables.Ask, tables.Authority, energyFix
	}
	return out, true
}

func (k *checker) circulation(c *Circulation) {
	if c.At == "" {
		return // nothing circulates
	}
	i := k.layout.index[c.At]
	limit, err := k.code.returnVelocity(k.runs[i].family.material, k.layout.waterIn(i))
	if err != nil {
		return
	}
	f := k.velocity(c.ID, c.Fastest, limit)
	f.Rule = "recirculation-velocity"
	f.Reason = k.Text("It circulates %v, fastest at %s; the water comes back at %v.", k.system.flow(c.Flow), c.At,
		k.system.temperature(c.Returns))
	f.Fix = "A greater return, better insulation, or less flow."
	k.Add(f)
}

// closedSystem is what one device shuts off from the main: the storage heaters behind it, and
// the expansion tanks.
type closedSystem struct {
	by             int32  // the point of the device
	what           string // the device
	heaters, tanks []int32
	volume, tank   units.Volume // of all of them; zero: of one it is not given
}

// closedSystems finds, in the order of the water, what is shut off with a storage heater in it.
func (k *checker) closedSystems() []closedSystem {
	l := k.layout
	var list []closedSystem
	find := func(by int32) int { return slices.IndexFunc(list, func(s closedSystem) bool { return s.by == by }) }
	kind := func(i int32, kind string) bool { d := l.data.Points[i].Device; return d != nil && d.Kind == kind }
	for _, i := range l.order {
		if !kind(i, "storage-heater") {
			continue
		}
		if by, what := l.closesTheWay(i); by >= 0 {
			if find(by) < 0 {
				list = append(list, closedSystem{by: by, what: what})
			}
			s := &list[find(by)]
			s.heaters = append(s.heaters, i)
		}
	}
	for _, n := range k.points() {
		i := int32(n)
		if list == nil || !kind(i, expansionTank) || l.service[i] != Cold {
			continue
		}
		if by, _ := l.closesTheWay(i); by >= 0 && find(by) >= 0 {
			s := &list[find(by)]
			s.tanks = append(s.tanks, i)
		}
	}
	sum := func(points []int32) (all units.Volume) {
		for _, i := range points {
			v := l.data.Points[i].Device.Volume
			if v == 0 {
				return 0
			}
			all += v
		}
		return all
	}
	for i := range list {
		list[i].volume, list[i].tank = sum(list[i].heaters), sum(list[i].tanks)
	}
	return list
}

// expansions asks, or judges, what takes up the growth of heated water where the way back
// from a storage heater to the main is shut.
func (k *checker) expansions() {
	for _, s := range k.closedSystems() {
		f := tables.Finding{
			Rule: "thermal-expansion", Place: k.layout.data.Points[s.heaters[0]].ID, Verdict: tables.Ask,
			SettledBy: tables.Designer,
			Reason: k.Text("Closed system behind the %s: heated water needs somewhere to expand.", s.what) +
				k.alike(" It has %d storage heaters: %s.", s.heaters),
			Fix: "Ask where the expansion tank or other device stands, on the cold line after every check and " +
				"regulator.",
		}
		if r, ok := k.code.Rule("expansion-control"); ok {
			f.Citation = r.Cite
		}
		k.expansionTank(&f, &s)
		k.Add(f)
	}
}

// alike says how many points there are of a kind, and which; nothing of one.
func (k *checker) alike(format string, points []int32) string {
	if len(points) < 2 {
		return ""
	}
	var ids []string
	for _, i := range points {
		ids = append(ids, k.layout.data.Points[i].ID)
	}
	return k.Text(format, len(ids), shortList(ids))
}

// expansionTank says how large a tank the growth of the heaters' water asks, and judges those
// that the layout has.
func (k *checker) expansionTank(f *tables.Finding, s *closedSystem) {
	l, heater := k.layout, s.heaters[0]
	for _, i := range s.heaters { // where most stands at rest a tank has least room
		if k.runs[i].Static > k.runs[heater].Static {
			heater = i
		}
	}
	need, grows, highest, err := k.tankFor(heater, s.volume)
	switch {
	case s.volume == 0 && s.tanks == nil:
		f.Reason += " The volume of the heater is not given, so that no tank is sized."
		return
	case s.volume == 0:
		f.Reason = k.Text("An expansion tank stands at %s, and the volume of the heater is not given: its size is not "+
			"judged.", l.data.Points[s.tanks[0]].ID) + k.alike(" There are %d storage heaters: %s.", s.heaters)
		f.Fix = "State the volume of the heater."
		return
	case err != nil:
		f.Reason += k.Text(" Of its %v %v have to go somewhere, and no tank is sized: %v.", k.system.volume(s.volume),
			k.system.volume(grows), err)
		return
	}
	f.Limit = k.system.volume(need)
	sum := k.Text(" %v heated from %v to %v grow by %v: from %v at rest to no more than %v that takes a tank of %v, "+
		"charged to the pressure at rest.",
		k.system.volume(s.volume), k.system.temperature(l.data.Water.Cold), k.system.temperature(l.data.Water.Hot),
		k.system.volume(grows), k.system.pressure(k.runs[heater].Static), k.system.pressure(highest.pressure),
		k.system.volume(need))
	f.Reason += sum
	if s.tanks == nil {
		return
	}
	if s.tank == 0 {
		f.Reason += k.Text(" The volume of the tank at %s is not given.", l.data.Points[s.tanks[0]].ID)
		f.Fix = "State the volume of the tank."
		return
	}
	ok := litres(s.tank) >= litres(need)
	f.Verdict, f.SettledBy, f.Fix, f.Citation = passOrFail(ok), 0, "", highest.cite
	f.Value, f.Margin = k.system.volume(s.tank), k.system.volume(s.tank-need)
	sum = k.alike(" There are %d tanks: %s.", s.tanks) + k.alike(" There are %d storage heaters: %s.", s.heaters) + sum
	f.Reason = k.Text("The tank at %s is large enough for the closed system.", l.data.Points[s.tanks[0]].ID) + sum
	if !ok {
		f.Reason = k.Text("The tank at %s is too small for the closed system.", l.data.Points[s.tanks[0]].ID) + sum
		f.Fix = k.Text("Set a tank of %v or more, charged to %v.", f.Limit, k.system.pressure(k.runs[heater].Static))
	}
}

// highestAtRest is the pressure that heated water may rise to, and the row that says so.
type highestAtRest struct {
	pressure units.Pressure
	cite     tables.Citation
}

// tankFor sizes an expansion tank for a heater: filled at the pressure at rest there, up to
// the greatest that the code allows in the building.
func (k *checker) tankFor(heater int32, volume units.Volume) (need, grows units.Volume, most highestAtRest, err error) {
	w := k.layout.data.Water
	if grows, err = heat.ExpansionVolume(volume, w.Cold, w.Hot, 0); err != nil {
		return 0, 0, most, err
	}
	var ok bool
	if most.pressure, most.cite, ok = ruled[units.Pressure](k.code, "static-pressure-max"); !ok {
		return 0, grows, most, fmt.Errorf("%w: no greatest pressure at rest of %s", tables.ErrNotOnShelf, k.code.id)
	}
	fill := k.runs[heater].Static
	if fill >= most.pressure {
		return 0, grows, most, fmt.Errorf("the pressure at rest is no lower than the %v allowed",
			k.system.pressure(most.pressure))
	}
	need, err = heat.ExpansionTank(grows, fill, most.pressure, seaLevel)
	return need, grows, most, err
}

// seaLevel is the standard atmosphere, that gauge pressures are counted from.
const seaLevel = 101_325 * units.Pascal

// isPublicLavatory tells a lavatory in a room for the public.
func isPublicLavatory(f *LayoutFixture) bool { return fixture.IsLavatory(f.Kind) && forPublic(f) }

// forPublic tells what stands in a room for the public, a place of assembly among them.
func forPublic(f *LayoutFixture) bool { return f.Use == tables.Public || f.Use == tables.Assembly }

// hotLimits are the rules of the temperature at outlets, by fixture of whatever make. Those of
// showers and bathtubs are one question, for hot water scalds at once there.
var hotLimits = []struct {
	kind, limit, check string
	public             bool // in rooms for the public alone, those of assembly among them
}{
	{kind: "shower", limit: "shower-valve-max", check: "scald"},
	{kind: "separate-shower", limit: "shower-valve-max", check: "scald"},
	{kind: "bathroom-group", limit: "shower-valve-max", check: "scald"}, // it has a bathtub or a shower
	{kind: "bathtub", limit: "bathtub-max", check: "scald"},
	{kind: "bidet", limit: "bidet-max", check: "tempered-water"},
	{kind: "lavatory", limit: "public-lavatory-max", check: "tempered-water", public: true},
	{kind: "wash-fountain", limit: "public-lavatory-max", check: "tempered-water", public: true}, // a lavatory of many
	{kind: "wash-sink", limit: "public-lavatory-max", check: "tempered-water", public: true},
}

// scalds asks about outlets to which water hotter than the code's limit comes.
func (k *checker) scalds() {
	for _, x := range hotLimits {
		limit, lacks := k.hotLimit(x.limit)
		var most units.Temperature
		if !limit.Into(&most) {
			continue // not judged under this code, which the report says by name
		}
		var hot []string
		var water units.Temperature
		held := ""
		for _, i := range k.outlets() {
			f := &k.layout.data.Fixtures[i]
			if !fixture.IsMake(f.Kind, x.kind) || k.layout.hot[i] < 0 || x.public && !forPublic(f) {
				continue
			}
			t, valve := k.hotAt(k.layout.hot[i])
			switch {
			case roundTo(t.Fahrenheit()) > roundTo(most.Fahrenheit()):
				water = max(water, t)
				hot = append(hot, f.ID)
			case valve != "" && held == "" && limit.Cite.Status().Firm(): // else it would only ask
				held = valve
				k.Add(tables.Finding{Rule: x.check, Place: f.ID, Side: x.kind, Verdict: tables.Pass,
					Value: k.system.temperature(t), Limit: k.system.temperature(most),
					Reason:   k.Text("The mixing valve at %s holds it.", valve),
					Citation: limit.Cite})
			}
		}
		k.tooHot(tables.Finding{Rule: x.check, Verdict: tables.Ask, SettledBy: tables.Designer,
			Value: k.system.temperature(water), Limit: k.system.temperature(most), Citation: limit.Cite,
		}, x.kind, hot, lacks)
	}
}

// tooHot asks about outlets with water hotter than a limit: showers and bathtubs one by
// one, others together.
func (k *checker) tooHot(f tables.Finding, kind string, hot []string, lacks string) {
	if f.Rule == "scald" {
		for _, f.Place = range hot {
			f.Reason = k.Text("Hot water of %v comes to its valve; limit %v. Hot water scalds.", f.Value,
				f.Limit) + lacks
			f.Fix = "Ask how the valve at it is limited and who sets it."
			k.Add(f)
		}
		return
	}
	if len(hot) > 0 {
		f.Place, f.Side = hot[0], kind
		f.Reason = k.Text("The hot water is %v; limit %v at such a %s: %s. Hot water scalds.", f.Value, f.Limit,
			strings.ReplaceAll(kind, "-", " "), shortList(hot))
		f.Fix = "Ask which valve limits the water there and who sets it; a mixing valve on the way is drawn as a " +
			"device with its temperature."
		k.Add(f)
	}
}

// hotLimit is a code's limit of the temperature at an outlet. Hot water scalds under any
// code: at showers and bathtubs one that the shelf has no limit of asks by another's, and
// lacks says so.
func (k *checker) hotLimit(id string) (limit tables.Rule, lacks string) {
	limit, ok := k.code.Rule(id)
	if other, err := k.code.pipes.shelf.Rules("ipc-2021/supply-rules"); !ok && err == nil &&
		(id == "shower-valve-max" || id == "bathtub-max") {
		limit, _ = other.Rule(id)
		lacks = " No limit of the code in hand is known; this is that of IPC 2021."
	}
	return limit, lacks
}

// hotAt is the temperature of the water that comes to a hot point, and the point of the
// mixing valve that holds it, if one does.
func (k *checker) hotAt(point int32) (t units.Temperature, valve string) {
	l := k.layout
	if l.mixer != nil && l.mixer[point] >= 0 {
		valve = l.data.Points[l.mixer[point]].ID
	}
	return l.hotBehind(point), valve
}

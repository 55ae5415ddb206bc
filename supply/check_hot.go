package supply

import (
	"errors"

	"github.com/trapweir/trapweir/tables"
	"github.com/trapweir/trapweir/units"
)

func (k *checker) hotWater() error {
	waits, err := k.HotWater()
	if err != nil {
		return err
	}
	rule, hasRule := k.Code.Rule("hot-length-max")
	var most units.Length
	hasRule = hasRule && rule.into(&most)
	for i := range waits {
		w := &waits[i]
		if hasRule {
			k.hotLength(w, most, rule.Citation)
		}
		if !k.energyLength(w) {
			k.hotVolume(&k.Layout.data.Fixtures[w.Fixture], w)
		}
		k.wait(w)
	}
	loops, err := k.Circulations()
	if errors.Is(err, ErrNotStated) {
		k.Add(tables.Finding{
			Rule: "recirculation-flow", Place: k.Layout.data.Recirculation[0].ID, Verdict: tables.Ask,
			SettledBy: tables.Designer,
			Reason: k.Text("What is kept up in the return is not known, and neither its size nor its pump is "+
				"judged: %v.", err),
			Fix: "State the temperature of the air about the hot lines as ambient.",
		})
		return nil
	}
	if err != nil {
		return err
	}
	for i := range loops {
		k.circulation(&loops[i])
	}
	for i := range loops {
		k.balance(&loops[i])
	}
	return nil
}

// hotLength judges a hot line by the plumbing code's limit of its length.
func (k *checker) hotLength(w *HotWait, most units.Length, cite tables.Citation) {
	ok := w.Length <= most
	out := tables.Finding{
		Rule: "hot-length", Place: k.Layout.data.Fixtures[w.Fixture].ID, Verdict: passOrFail(ok),
		Value: k.trade.length(w.Length), Limit: k.trade.length(most), Margin: k.trade.length(most - w.Length),
		Reason: k.Text("Developed length of pipe from %s.", w.From), Citation: cite,
	}
	if !ok {
		out.Fix = "Recirculate or trace the line nearer to it, or set a heater there."
	}
	k.Add(out)
}

// energyLength judges a hot line by the energy code's table of lengths, and tells
// whether it meets it.
func (k *checker) energyLength(w *HotWait) (meets bool) {
	f := &k.Layout.data.Fixtures[w.Fixture]
	limit, err := k.Code.HotLength(w.Largest, f.Kind == "lavatory" && f.Use == Public)
	if err != nil {
		return false
	}
	meets = w.Length <= limit.Length
	out := tables.Finding{
		Rule: "hot-length-energy", Place: f.ID, Verdict: passOrFail(meets), Value: k.trade.length(w.Length),
		Limit: k.trade.length(limit.Length), Margin: k.trade.length(limit.Length - w.Length),
		Reason:   k.Text("The greatest size on the way from %s is %v.", w.From, nominal(w.Largest.String())),
		Citation: limit.Citation,
	}
	if w.Largest == 0 { // no length, which no figure limits
		out.Reason, out.Citation = k.Text("It hangs on the line at %s, which is kept hot.", w.From), tables.Citation{}
	}
	if !meets {
		out.Verdict, out.SettledBy = tables.Ask, tables.Authority
		out.Reason += " It is longer than the energy code's table of lengths allows."
		out.Fix = "Ask whether the energy code holds here and which of its ways is followed; a smaller or " +
			"shorter line, or recirculation nearer to the outlet, meets the table."
	}
	k.Add(out)
	return meets
}

// wait tells how long hot water takes, and asks the owner where that is not acceptable.
func (k *checker) wait(w *HotWait) {
	if w.Grade == "" {
		return
	}
	out := tables.Finding{
		Rule: "hot-wait", Place: k.Layout.data.Fixtures[w.Fixture].ID, Verdict: tables.Pass,
		Value: tidySeconds(w.Wait),
		Reason: k.Text("%v in the pipe from %s runs off cold; the wait is %s.", k.trade.volume(w.Volume),
			w.From, w.Grade),
		Citation: w.Citation,
	}
	if w.Grade != "acceptable" {
		out.Verdict, out.SettledBy = tables.Ask, tables.Owner
		out.Fix = "Ask the owner; a smaller or shorter hot line, or recirculation, shortens it."
	}
	k.Add(out)
}

// balance asks for the valve that a loop needs beside longer ones of its heater.
func (k *checker) balance(c *Circulation) {
	if k.trade.head(c.Throttle) == k.trade.head(0) {
		return
	}
	k.Add(tables.Finding{
		Rule: "recirculation-balance", Place: c.ID, Verdict: tables.Ask, SettledBy: tables.Designer,
		Value: k.trade.head(c.Head),
		Reason: k.Text("%v is kept up in it, %.0f %% of what the pump of %s moves, and it loses %v less than the "+
			"loop that loses most; without a valve it would take %v.",
			k.trade.flow(c.Flow), 100*c.Share, c.Heater, k.trade.head(c.Throttle), k.trade.flow(c.Unbalanced)),
		Fix: k.Text("Ask where its balancing valve stands, set to take %v at %v.", k.trade.head(c.Throttle),
			k.trade.flow(c.Flow)),
	})
}

// hotVolume sets the water in the pipe beside the limit of the energy code's other
// way, which counts volume and not length.
func (k *checker) hotVolume(f *LayoutFixture, w *HotWait) {
	id := "hot-volume-other"
	switch {
	case f.Kind == "lavatory" && f.Use == Public:
		id = "hot-volume-public-lavatory"
	case w.Recirculated:
		id = "hot-volume-recirculated"
	}
	rule, ok := k.Code.hotVolume.rule(id)
	var most units.Volume
	if !ok || !rule.into(&most) {
		return
	}
	ok = roundTo(float64(w.Volume/units.Litre)) <= roundTo(float64(most/units.Litre))
	out := tables.Finding{
		Rule: "hot-volume-energy", Place: f.ID, Verdict: passOrFail(ok),
		Value: k.trade.volume(w.Volume), Limit: k.trade.volume(most), Margin: k.trade.volume(most - w.Volume),
		Reason: k.Text("Water in the pipe from %s; the volume is the energy code's other way to comply, for a "+
			"line too long for its table of lengths.", w.From),
		Citation: rule.Citation,
	}
	if !ok {
		out.Verdict, out.SettledBy = tables.Ask, tables.Authority
		out.Fix = "A smaller or shorter line, or recirculation nearer to the outlet, meets one of the two."
	}
	k.Add(out)
}

func (k *checker) circulation(c *Circulation) {
	i := k.Layout.index[c.At]
	limit, err := k.Code.returnVelocity(k.Runs[i].Pipe.material, k.Layout.data.Water.Hot)
	if err != nil {
		return
	}
	ok := within(c.Fastest, limit.Velocity)
	f := tables.Finding{
		Rule: "recirculation-velocity", Place: c.ID, Verdict: passOrFail(ok),
		Value: k.trade.velocity(c.Fastest), Limit: k.trade.velocity(limit.Velocity),
		Margin: k.trade.velocity(limit.Velocity - c.Fastest),
		Reason: k.Text("%v kept up, fastest at %s; the water comes back at %v.", k.trade.flow(c.Flow), c.At,
			k.trade.temperature(c.Returns)),
		Citation: limit.Citation,
	}
	if !ok {
		f.Fix = "A greater return, better insulation, or less flow."
	}
	k.Add(f)
}

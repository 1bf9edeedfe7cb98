package landing

import (
	"cmp"
	"fmt"
	"slices"

	"tallywire/model"
)

// Controllers take 24 V from supplies of their panel. Those with a half-wave
// rectifier tie one lead of the supply to their signal common and those with a
// full-wave bridge must not share it with them, so each kind has supplies of
// its own. A supply is filled to a share of its nameplate and its inrush stays
// within it; where one listed Class 2 supply is not enough there are several,
// never one larger.

// supplyShare is the part of a supply that may be used unless the project
// states another; common practice (load to 80 % of the nameplate).
const supplyShare = 0.8

// feed is what one controller takes: the power inputs of its modules, which
// share a common and so stay on one supply.
type feed struct {
	controller  string
	ends        []model.End
	run, inrush float64 // VA
}

// powered is a supply as it fills up.
type powered struct {
	kind  string // ac half-wave, ac full-wave, dc ...
	feeds []feed
}

// power sizes the supplies of a panel's controllers and joins them.
func (l *lander) power(panel model.Panel, controllers []model.Controller) {
	byKind := map[string][]feed{}
	var kinds []string
	for _, c := range controllers {
		if c.Existing && !slices.ContainsFunc(c.Modules, func(m model.Module) bool { return !m.Existing }) {
			continue // fed already
		}
		kind, f := l.feedOf(c)
		if kind == "" {
			continue
		}
		if byKind[kind] == nil {
			kinds = append(kinds, kind)
		}
		byKind[kind] = append(byKind[kind], f)
	}
	slices.Sort(kinds)
	number := 0
	var b branch
	for _, kind := range kinds {
		types := l.supplyTypes(kind)
		if len(types) == 0 {
			continue
		}
		for _, s := range l.fill(byKind[kind], kind, types[len(types)-1]) {
			number++
			l.settle(panel, s, number, types, &b)
		}
	}
}

// feedOf reads what a controller takes; "" where its supply is not stated. The
// modules that hang already are fed already.
func (l *lander) feedOf(c model.Controller) (string, feed) {
	f := feed{controller: c.ID}
	kind := ""
	for _, m := range c.Modules {
		one, ok := l.model(m.Model)
		if !ok || one.Supply == nil || m.Existing {
			continue
		}
		kind = cmp.Or(kind, one.Supply.Current+" "+one.Supply.Rectifier)
		run := voltAmperes(one.Supply.Running)
		f.run += run
		f.inrush += max(run, voltAmperes(one.Supply.Inrush))
		f.ends = append(f.ends, model.End{Device: c.ID, Terminal: supplyTerminal(m.ID)})
	}
	return kind, f
}

// supplyTerminal is the name of a module's power input.
func supplyTerminal(module string) string {
	if module == "base" {
		return "PWR"
	}
	return module + "-PWR"
}

func voltAmperes(load *model.Load) float64 {
	switch {
	case load == nil:
		return 0
	case load.VA != nil:
		return *load.VA
	case load.Amps != nil:
		return 24 * *load.Amps
	}
	return 0
}

// supplyTypes lists the 24 V supplies of a kind that a 120 V branch feeds,
// smallest first.
func (l *lander) supplyTypes(kind string) []*model.DeviceType {
	var out []*model.DeviceType
	for _, t := range l.lib.DevicesOf("supply") {
		from, to := primary(t), secondary(t)
		if from != nil && to != nil && to.Capacity != nil && kind[:2] == to.Current && from.Volts != nil && from.Volts.Contains(model.Exactly(120)) {
			out = append(out, t)
		}
	}
	slices.SortStableFunc(out, func(a, b *model.DeviceType) int {
		return cmp.Compare(*secondary(a).Capacity, *secondary(b).Capacity)
	})
	return out
}

func primary(t *model.DeviceType) *model.Terminal {
	return find(t, func(x *model.Terminal) bool { return x.Nature == model.PowerIn })
}

func secondary(t *model.DeviceType) *model.Terminal {
	return find(t, func(x *model.Terminal) bool { return x.Nature == model.SupplyOut })
}

func find(t *model.DeviceType, is func(*model.Terminal) bool) *model.Terminal {
	for i := range t.Terminals {
		if is(&t.Terminals[i]) {
			return &t.Terminals[i]
		}
	}
	return nil
}

// holds: the running sum within the share, the inrush within the nameplate.
func (l *lander) holds(t *model.DeviceType, feeds []feed) bool {
	run, inrush := sums(feeds)
	c := *secondary(t).Capacity
	return run <= l.supplyShare()*c && inrush <= c
}

// supplyShare is how much of a supply's rating the running load may take.
func (l *lander) supplyShare() float64 {
	if s := l.p.Settings.Wiring.SupplyLoad; s != nil {
		return *s
	}
	return supplyShare
}

func sums(feeds []feed) (run, inrush float64) {
	for _, f := range feeds {
		run, inrush = run+f.run, inrush+f.inrush
	}
	return run, inrush
}

// fill shares controllers out among as few of the largest supplies as first
// fit, largest first, finds. One that is too much alone gets its own; the check
// of that supply tells it.
func (l *lander) fill(feeds []feed, kind string, largest *model.DeviceType) []powered {
	order := slices.Clone(feeds)
	slices.SortStableFunc(order, func(a, b feed) int { return cmp.Compare(b.inrush+b.run, a.inrush+a.run) })
	var out []powered
	for _, f := range order {
		i := slices.IndexFunc(out, func(s powered) bool { return l.holds(largest, append(slices.Clone(s.feeds), f)) })
		if i < 0 {
			i = len(out)
			out = append(out, powered{kind: kind})
		}
		out[i].feeds = append(out[i].feeds, f)
	}
	return out
}

// settle makes a supply as small as it may be, a device with its circuits.
func (l *lander) settle(panel model.Panel, s powered, number int, types []*model.DeviceType, b *branch) {
	spec := types[len(types)-1]
	if i := slices.IndexFunc(types, func(t *model.DeviceType) bool { return l.holds(t, s.feeds) }); i >= 0 {
		spec = types[i]
	}
	id := fmt.Sprintf("%s/power-%d", panel.ID, number)
	to := secondary(spec)
	run, inrush := sums(s.feeds)
	supply := model.Supply{ID: id, Device: id, Panel: panel.ID, Volts: 24, Current: to.Current, RunningVA: run, InrushVA: inrush, RatedVA: *to.Capacity, ClassTwo: to.ClassTwo}
	l.out.Devices = append(l.out.Devices, model.Device{ID: id, Type: spec.ID, Role: "supply", Panel: panel.ID, Location: panel.Location, Spec: spec,
		Why: fmt.Sprintf("feeds %d controllers (%s)", len(s.feeds), s.kind)})
	wire := model.Conductor{Gauge: 18, Count: 2, Stranded: true, Assumed: true}
	if run, ok := l.lib.Run("local"); ok {
		length := run.LengthFt
		wire = model.Conductor{Gauge: run.GaugeAWG, LengthFt: &length, Count: run.Conductors, Stranded: run.Stranded, TempC: run.TempC, Assumed: true}
	}
	for _, f := range s.feeds {
		l.out.Circuits = append(l.out.Circuits, model.Circuit{ID: f.controller + "/power", Purpose: "supply", Rule: "controller-power",
			Drive: model.End{Device: id, Terminal: to.ID}, Accepts: f.ends, Conductor: wire})
		for _, e := range f.ends {
			supply.Loads = append(supply.Loads, e.String())
		}
	}
	slices.Sort(supply.Loads)
	l.out.Supplies = append(l.out.Supplies, supply)
	l.branchFor(panel, id, spec, number, b)
}

// branch is the branch circuit that feeds a panel's supplies, as it fills up.
type branch struct {
	number int
	device string
	run    float64 // VA
}

// branchFor joins a supply to the panel's branch circuit, or to a further one
// where that would be loaded beyond the share that may be used.
func (l *lander) branchFor(panel model.Panel, supply string, spec *model.DeviceType, number int, b *branch) {
	kind, ok := l.lib.Device("branch-circuit-120")
	from := primary(spec)
	if !ok || from == nil || len(kind.Terminals) == 0 {
		return
	}
	run := 0.0
	if from.Running != nil && from.Running.VA != nil {
		run = *from.Running.VA
	}
	if c := kind.Terminals[0].Capacity; b.number == 0 || c != nil && b.run+run > l.supplyShare()**c {
		b.number++
		b.run, b.device = 0, panel.ID+"/power-branch"
		if b.number > 1 {
			b.device = fmt.Sprintf("%s-%d", b.device, b.number)
		}
		l.out.Devices = append(l.out.Devices, model.Device{ID: b.device, Type: kind.ID, Role: "branch", Panel: panel.ID, Location: panel.Location, Spec: kind,
			Why: "120 V for the panel's controllers, by the electrical trade"})
	}
	b.run += run
	c := model.Circuit{ID: fmt.Sprintf("%s/power-mains-%d", panel.ID, number), Purpose: "mains", Rule: "controller-power",
		Drive: model.End{Device: b.device, Terminal: kind.Terminals[0].ID}, Accepts: []model.End{{Device: supply, Terminal: from.ID}}}
	if run, ok := l.lib.Run("local-120v"); ok {
		length := run.LengthFt
		c.Conductor = model.Conductor{Gauge: run.GaugeAWG, LengthFt: &length, Count: run.Conductors, Stranded: run.Stranded, TempC: run.TempC, Assumed: true}
	}
	l.out.Circuits = append(l.out.Circuits, c)
}

package circuit

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

// rehooks lists the ways to wire a circuit otherwise that cost no part:
// another input or output of the same device, the supply leads the other way
// round, a heavier wire.
func (x *index) rehooks(c *model.Circuit, locals []model.End) []proposal {
	var out []proposal
	add := func(v model.Circuit, words string) {
		v.Checks, v.Fix, v.Verdict = nil, nil, ""
		out = append(out, proposal{words: words, circuits: []model.Circuit{v}, replaced: []string{c.ID}})
	}
	withSources := func(v model.Circuit, words string) {
		for _, s := range x.choices(&v, c, locals) {
			w := v
			w.Supply = s
			more := ""
			if s != nil && (c.Supply == nil || plain(*s) != plain(*c.Supply)) {
				more = ", supplied from " + s.Device
			} else if s == nil && c.Supply != nil {
				more = ", without the supply"
			}
			add(w, words+more)
		}
	}
	for i, a := range c.Accepts {
		for _, t := range x.others(a, false) {
			v := *c
			v.Accepts = slices.Clone(c.Accepts)
			v.Accepts[i] = model.End{Device: a.Device, Terminal: t.ID}
			withSources(v, fmt.Sprintf("use %s of %s instead of %s", label(t), a.Device, a.Terminal))
		}
	}
	for _, t := range x.others(c.Drive, true) {
		v := *c
		v.Drive = model.End{Device: c.Drive.Device, Terminal: t.ID}
		withSources(v, fmt.Sprintf("use %s of %s instead of %s", label(t), c.Drive.Device, c.Drive.Terminal))
	}
	for i, a := range c.Accepts {
		if t := x.terminal(plain(a)); t != nil && t.Nature == model.PowerIn && t.Rectifier != "none" && c.Purpose != "mains" {
			v := *c
			v.Accepts = slices.Clone(c.Accepts)
			v.Accepts[i].Reversed = !a.Reversed
			add(v, "swap the two supply wires of "+a.Device)
		}
	}
	return append(out, x.heavierWires(c)...)
}

// label names a terminal with its screws.
func label(t *model.Terminal) string {
	if len(t.Labels) == 0 {
		return t.ID
	}
	return t.ID + " (" + strings.Join(t.Labels, "/") + ")"
}

// choices are the supplies that a re-hooked circuit may have: none, its own,
// the local ones.
func (x *index) choices(v, c *model.Circuit, locals []model.End) []*model.End {
	out := []*model.End{}
	for _, s := range x.sourcesOf(v, x.suppliesFor(c, locals)) {
		switch {
		case s.none:
			out = append(out, nil)
		case !s.drive:
			e := s.end
			out = append(out, &e)
		}
	}
	return out
}

func (x *index) suppliesFor(c *model.Circuit, locals []model.End) []source {
	var out []source
	if c.Supply != nil {
		out = append(out, source{end: *c.Supply})
	}
	for _, e := range locals {
		if c.Supply == nil || plain(*c.Supply) != e {
			out = append(out, source{end: e})
		}
	}
	return out
}

// others lists the terminals of the same device that could stand in for an
// end: free ones of the same function, or of a controller the first free one
// of each class.
func (x *index) others(e model.End, drives bool) []*model.Terminal {
	d := x.device(e.Device)
	own := x.terminal(plain(e))
	if d == nil || d.Spec == nil || own == nil || x.net.Landed && own.Class != "" {
		return nil
	}
	var out []*model.Terminal
	classes := map[string]bool{}
	for i := range d.Spec.Terminals {
		t := &d.Spec.Terminals[i]
		here := model.End{Device: e.Device, Terminal: t.ID}
		if t.ID == own.ID || t.Drives != own.Drives || len(x.drives[here]) > 0 || len(x.accepts[here]) > 0 || t.Nature == model.SupplyOut {
			continue
		}
		switch {
		case own.Class != "" && t.Class != "" && !classes[t.Class]:
			classes[t.Class] = true
			out = append(out, t)
		case own.Class == "" && t.Function != "" && root(t.Function) == root(own.Function):
			out = append(out, t)
		}
	}
	return out
}

// root is what a terminal is for: start of start-dry and start-wet.
func root(function string) string {
	head, _, _ := strings.Cut(function, "-")
	return head
}

// heavierWires are the thicker gauges, the next one first.
func (x *index) heavierWires(c *model.Circuit) []proposal {
	j := &joint{lib: x.lib, wiring: x.wiring, c: c}
	now := j.conductor().gauge
	var out []proposal
	for _, g := range x.lib.Conductors.Gauges() {
		if g >= now || g < 12 {
			continue
		}
		v := *c
		v.Conductor.Gauge, v.Checks, v.Fix, v.Verdict = g, nil, nil, ""
		out = append(out, proposal{words: fmt.Sprintf("use %d AWG", g), circuits: []model.Circuit{v}, replaced: []string{c.ID}})
	}
	return out
}

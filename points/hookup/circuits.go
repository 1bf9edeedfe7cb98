package hookup

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// follow makes the circuits of one rule: one for each point that it names, or
// the one that carries no point.
func (n *net) follow(m *machine, up *library.HookUp, rule *library.CircuitRule) {
	if rule.Point == "" {
		if len(rule.Accepts) == 1 && rule.Accepts[0].Device == "*" {
			return // loads are fed when all devices stand
		}
		name := rule.Name
		if name == "" {
			name = rule.Purpose
		}
		n.make(m, up, rule, m.Tag+"/"+name, nil, "")
		return
	}
	for _, pt := range m.points {
		star, ok := tail(rule.Point, pt.Role)
		if !ok || rule.ObjectType != "" && rule.ObjectType != pt.ObjectType {
			continue
		}
		n.make(m, up, rule, pt.Key, pt, star)
	}
}

// make joins the ends of a rule, or notes why it could not. Devices are put in
// place only when every end is there.
func (n *net) make(m *machine, up *library.HookUp, rule *library.CircuitRule, id string, pt *model.Point, star string) {
	if n.made[id] != nil {
		return
	}
	a := &attempt{net: n, m: m, up: up, pt: pt, star: star}
	drive := a.end(&rule.Drive)
	var accepts []*joint
	for i := range rule.Accepts {
		accepts = append(accepts, a.end(&rule.Accepts[i]))
	}
	var supply *joint
	if rule.Supply != nil && needsSupply(accepts) {
		supply = a.end(rule.Supply)
	}
	if a.failed != "" {
		if !slices.Contains(n.why[id], a.failed) {
			n.why[id] = append(n.why[id], a.failed)
		}
		return
	}
	c := &wired{Circuit: model.Circuit{ID: id, Equipment: m.Tag, Purpose: rule.Purpose, Rule: up.ID, Where: m.Where}}
	if pt != nil {
		c.Point = pt.Key
	}
	c.Drive = n.place(drive, c)
	for _, j := range accepts {
		c.Accepts = append(c.Accepts, n.place(j, c))
	}
	line := false
	if supply != nil {
		e := n.place(supply, c)
		c.Supply = &e
		line = supply.shared == "" && supply.spec != nil && lineVoltage(supply)
	}
	for _, j := range append([]*joint{drive, supply}, accepts...) {
		if j != nil && j.shared != "" {
			n.pending = append(n.pending, pendingLoad{circuit: c, panel: m.panel, kind: j.shared, drives: j == drive})
		}
	}
	run := rule.Run
	if line && rule.LineRun != "" {
		run = rule.LineRun
	}
	c.run, _ = n.lib.Run(run)
	c.Conductor = n.conductor(c.run)
	if c.open() {
		c.who = m.panel
	}
	n.join(c)
}

func lineVoltage(j *joint) bool {
	return j.spec.Category == "service" || j.terminal != nil && j.terminal.Volts != nil && j.terminal.Volts.Hi > 60
}

func (w *wired) open() bool {
	return w.Drive.Open() || slices.ContainsFunc(w.Accepts, model.End.Open)
}

// needsSupply: a coil, a wet input or a load takes power from somewhere; a
// contact-sense input wets the contact itself. An open controller end does not
// need one.
func needsSupply(accepts []*joint) bool {
	return slices.ContainsFunc(accepts, func(j *joint) bool {
		if j == nil || j.terminal == nil {
			return false
		}
		switch j.terminal.Nature {
		case model.VoltageSense, model.Coil, model.PowerIn:
			return true
		}
		return false
	})
}

// joint is one end on its way: an open controller end, a share of a panel
// supply, or a terminal of a device that stands or is about to.
type joint struct {
	open     bool
	shared   string // 24vac, 24vdc
	id       string // device id
	spec     *model.DeviceType
	terminal *model.Terminal
	device   *model.Device // nil until it stands
	fresh    func() *model.Device
}

// attempt is one try at a circuit.
type attempt struct {
	net    *net
	m      *machine
	up     *library.HookUp
	pt     *model.Point
	star   string
	failed string
}

func (a *attempt) fail(format string, args ...any) *joint {
	if a.failed == "" {
		a.failed = fmt.Sprintf(format, args...)
	}
	return nil
}

// end resolves a rule's end.
func (a *attempt) end(r *library.EndRule) *joint {
	if r.Controller {
		return &joint{open: true}
	}
	role := r.Device
	if head, star := strings.CutSuffix(role, "*"); star {
		role = head + a.star
	}
	if kind, ok := strings.CutPrefix(role, "panel-"); ok {
		return &joint{shared: kind}
	}
	id := a.m.Tag + "/" + role
	j := &joint{id: id}
	if d, ok := a.net.byID[id]; ok {
		j.device, j.spec = d, d.Spec
	} else if j = a.fresh(id, role, r.Device); j == nil {
		return nil
	}
	if j.shared != "" {
		return j
	}
	for _, fn := range a.functions(r) {
		for i := range j.spec.Terminals {
			if j.spec.Terminals[i].Function == fn {
				j.terminal = &j.spec.Terminals[i]
				return j
			}
		}
	}
	return a.fail("%s (%s) has no terminal for %s", id, j.spec.Name, strings.Join(r.Functions, " or "))
}

// functions are those of the rule; a point that asks for a current signal
// tries the current terminals first.
func (a *attempt) functions(r *library.EndRule) []string {
	if a.pt == nil || !strings.Contains(a.pt.Signal, "mA") {
		return r.Functions
	}
	var out []string
	for _, fn := range r.Functions {
		out = append(out, fn+"-ma")
	}
	return append(out, r.Functions...)
}

// place puts the joint's device into the plan if it does not stand yet.
func (n *net) place(j *joint, c *wired) model.End {
	if j.open || j.shared != "" {
		return model.End{}
	}
	if j.device == nil {
		if d, ok := n.byID[j.id]; ok { // the same device serves two ends
			j.device = d
		} else {
			j.device = j.fresh()
			n.stand(j.device)
		}
	}
	return model.End{Device: j.device.ID, Terminal: j.terminal.ID}
}

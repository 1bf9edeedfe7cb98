package hookup_test

import (
	"fmt"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/circuit"
	"tallywire/points/derive"
	"tallywire/points/hookup"
	"tallywire/points/library"
)

// TestStandardHookUpsHold derives, joins and checks a machine of every scheme
// under every control that makes sense, on the services that it may have: each
// hardwired point has a wire, each wire lands on some terminal class, and no
// check of a standard hook-up is a fault.
func TestStandardHookUpsHold(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	services := map[string][][2]float64{
		"fan-interface-box": {{120, 1}, {208, 1}, {277, 1}, {208, 3}}, "ec-direct": {{120, 1}, {277, 1}, {480, 3}}, "relay": {{120, 1}},
		"variable-frequency-drive": {{208, 3}, {480, 3}, {600, 3}}, "variable-frequency-drive-bypass": {{480, 3}},
		"starter": {{120, 1}, {208, 3}, {480, 3}}, "packaged": {{208, 3}, {480, 3}}, "fire-panel": {{480, 3}},
	}
	controls := []string{"fan-interface-box", "ec-direct", "relay", "variable-frequency-drive", "variable-frequency-drive-bypass", "starter", "packaged", "fire-panel"}
	dampers := []float64{24, 0, 120}
	n := 0
	try := func(scheme, control string, service [2]float64, damper float64) {
		n++
		e := machineOf(lib, scheme, control, service, damper)
		t.Run(fmt.Sprintf("%s/%s/%g-%g/%g", scheme, control, service[0], service[1], damper), func(t *testing.T) { holds(t, lib, e) })
	}
	for i, scheme := range lib.Schemes() {
		for j, control := range controls {
			if scheme.ID == "exhaust-variable" { // every service and damper once
				for _, s := range services[control] {
					for _, damper := range dampers {
						try(scheme.ID, control, s, damper)
					}
				}
				continue
			}
			try(scheme.ID, control, services[control][i%len(services[control])], dampers[(i+j)%len(dampers)])
		}
	}
	if n < 200 {
		t.Errorf("%d machines", n)
	}
}

func machineOf(lib *library.Library, scheme, control string, service [2]float64, damper float64) model.Equipment {
	e := model.Equipment{Tag: "X-1", Scheme: scheme, Control: control, Bid: model.Base, FireResponse: "stop", Service: "HALL"}
	for _, k := range lib.Kinds {
		if k.Constant == scheme || k.Variable == scheme {
			e.Kind = k.ID
		}
	}
	e.Ratings.Service = &model.Service{Volts: []model.Interval{model.Exactly(service[0])}, Phases: int(service[1])}
	e.Ratings.Power = &model.Quantity{Value: model.Exactly(0.5), Unit: "hp"}
	if service[1] == 3 {
		e.Ratings.Power.Value = model.Exactly(3)
	}
	switch {
	case strings.HasPrefix(control, "variable") || control == "starter" && service[1] == 3:
		e.Ratings.MotorType = "three-phase"
	case control == "fan-interface-box" || control == "ec-direct":
		e.Ratings.MotorType = "ec"
	case service[1] == 1:
		e.Ratings.MotorType = "single-phase"
	}
	if damper > 0 {
		e.Damper = model.Damper{Kind: "motorised", Volts: model.Span(damper, damper), AC: "ac"}
	}
	return e
}

func holds(t *testing.T, lib *library.Library, e model.Equipment) {
	p := &model.Project{}
	p.Settings.Fire = model.FireSettings{Volts: model.Span(24, 24), Current: "dc"}
	points := derive.Derive(lib, p, []model.Equipment{e}).Points
	r := hookup.Connect(lib, p, []model.Equipment{e}, points)
	for _, f := range r.Findings {
		if f.Code == "no-hookup" && !excused(e, f.Subject) {
			t.Errorf("%s", f.Message)
		}
	}
	net := land(t, lib, p, r)
	for _, c := range circuit.Check(lib, p, net).Circuits {
		if c.Verdict != model.Fault {
			continue
		}
		for _, k := range c.Checks {
			if k.Verdict == model.Fault {
				t.Errorf("%s: %s: %s", c.ID, k.Code, k.Text)
			}
		}
	}
}

// excused are points that the device really has no contact for; the user is told.
func excused(e model.Equipment, key string) bool {
	_, role, _ := model.Split(key)
	switch role {
	case "not-in-auto", "speed", "speed-feedback", "drive-fault", "damper-open", "override-active", "bypass-active":
		return true // a box, a relay or a unit without it
	case "start", "enable", "status":
		return e.Control == "fire-panel" || e.Control == "packaged"
	}
	return false
}

// land binds every open end to a terminal of its own of the class that suits
// it best.
func land(t *testing.T, lib *library.Library, p *model.Project, r hookup.Result) circuit.Net {
	net := circuit.Net{Devices: r.Devices, Circuits: r.Circuits, Cables: r.Cables}
	judge := circuit.NewJudge(lib, p, net)
	isolated := true
	ctl := model.Device{ID: "PANEL-1/C1", Type: "controller", Role: "controller", Panel: "PANEL-1", Spec: &model.DeviceType{ID: "controller", Name: "controller", Category: "controller"}}
	for i := range net.Circuits {
		c := &net.Circuits[i]
		if !c.Drive.Open() && !c.Accepts[0].Open() {
			continue
		}
		var best circuit.Legality
		class := ""
		for _, id := range []string{"BI", "UI", "WI", "RO", "TO", "PO", "AO", "UO", "CO"} {
			k, _ := lib.Class(id)
			if l := judge.Legal(*c, k); l.OK() && len(l.Parts) == 0 && (class == "" || l.Verdict.Rank() < best.Verdict.Rank()) {
				best, class = l, id
			}
		}
		if class == "" {
			t.Errorf("%s lands on no terminal class", c.ID)
			continue
		}
		k, _ := lib.Class(class)
		m, _ := k.Mode(best.Mode)
		term := *m
		term.ID, term.Common, term.Isolated = fmt.Sprintf("%s%d", class, i), fmt.Sprint(i), &isolated
		ctl.Spec.Terminals = append(ctl.Spec.Terminals, term)
		end := model.End{Device: ctl.ID, Terminal: term.ID}
		if c.Drive.Open() {
			c.Drive = end
		} else {
			c.Accepts[0] = end
		}
		if best.OwnSupply {
			c.Supply = nil
		}
	}
	net.Devices = append(net.Devices, ctl)
	return net
}

package circuit

import (
	"slices"
	"testing"

	"tallywire/model"
)

// device stands an instance of a library type on the bench.
func (b *bench) device(id, typeID string) *bench {
	b.t.Helper()
	spec, ok := b.lib.Device(typeID)
	if !ok {
		b.t.Fatalf("the library has no device %s", typeID)
	}
	b.net.Devices = append(b.net.Devices, model.Device{ID: id, Type: typeID, Spec: spec})
	return b
}

// Which terminal classes a circuit of the fan interface box may land on, and
// what it takes where it may not as it is.
func TestLegalOfTheInterfaceBox(t *testing.T) {
	b := onBench(t).device("EF-1/box", "interface-box").put("PANEL-1/supply", acSupply(24, 75))
	b.net.Devices[1].Role = "supply"
	b.net.Devices[0].Panel, b.net.Devices[1].Panel = "PANEL-1", "PANEL-1"
	supply := model.End{Device: "PANEL-1/supply", Terminal: "t1"}
	box := func(terminal string) model.End { return model.End{Device: "EF-1/box", Terminal: terminal} }
	start := model.Circuit{ID: "EF-1/start", Purpose: "start", Accepts: []model.End{box("start-dry")}, Drive: model.End{}}
	wet := model.Circuit{ID: "EF-1/start", Purpose: "start", Accepts: []model.End{box("start-wet")}, Supply: &supply}
	status := model.Circuit{ID: "EF-1/status", Purpose: "status", Drive: box("status"), Accepts: []model.End{{}}}
	speed := model.Circuit{ID: "EF-1/speed", Purpose: "speed", Accepts: []model.End{box("speed-in")}}
	for _, c := range []struct {
		name, class string
		circuit     model.Circuit
		ok          bool
		mode        string
		parts       []string
		own         bool
	}{
		{"dry start on a relay", "RO", start, true, "relay", nil, false},
		{"dry start on a triac", "TO", start, true, "triac", []string{"gold-relay-24vac"}, false},
		{"dry start on a powered output", "PO", start, true, "powered", []string{"gold-relay-24vac"}, false},
		{"dry start on an input", "UI", start, false, "", nil, false},
		{"wet start on a relay", "RO", wet, true, "relay", nil, false},
		{"wet start on a powered output", "PO", wet, true, "powered", []string{"bleeder-1500"}, true},
		{"status on a universal input", "UI", status, true, "contact", nil, false},
		{"status on a dry input", "BI", status, true, "contact", nil, false},
		{"speed on an analog output", "AO", speed, true, "voltage", nil, false},
		{"speed on a universal output", "UO", speed, true, "voltage", nil, false},
		{"speed on a current output", "CO", speed, true, "current", []string{"converter-current-to-voltage"}, false},
	} {
		class, ok := b.lib.Class(c.class)
		if !ok {
			t.Fatalf("no class %s", c.class)
		}
		got := Legal(b.lib, &b.p, b.net, c.circuit, class)
		if got.OK() != c.ok || got.Mode != c.mode || !slices.Equal(got.Parts, c.parts) || got.OwnSupply != c.own {
			t.Errorf("%s: %+v", c.name, got)
		}
		if !got.OK() && len(got.Reasons) == 0 {
			t.Errorf("%s: no reason given", c.name)
		}
	}
}

package hookup

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

var loadOnce = sync.OnceValues(func() (*library.Library, error) { return library.Load(nil) })

// loaded is the built-in library, read once for all tests.
func loaded(t testing.TB) *library.Library {
	t.Helper()
	lib, err := loadOnce()
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// fan is a machine with a service of one voltage; volts 0 leaves it unknown.
func fan(tag, control, scheme string, volts float64, phases int) model.Equipment {
	e := model.Equipment{Tag: tag, Control: control, Scheme: scheme, Kind: "general-exhaust-fan"}
	if volts > 0 {
		e.Ratings.Service = &model.Service{Volts: []model.Interval{model.Exactly(volts)}, Phases: phases, Text: fmt.Sprintf("%g/%d", volts, phases)}
	}
	return e
}

func motorised(e model.Equipment, volts float64) model.Equipment {
	e.Damper.Kind = "motorised"
	if volts > 0 {
		e.Damper.Volts = model.Span(volts, volts)
	}
	return e
}

// hardwired makes the points of a machine from role names as the library describes them.
func hardwired(t *testing.T, lib *library.Library, tag string, roles ...string) []model.Point {
	t.Helper()
	var out []model.Point
	for _, r := range roles {
		role, ok := lib.Role(r)
		if !ok {
			t.Fatalf("no role %q", r)
		}
		out = append(out, model.Point{Key: tag + "/" + r, Equipment: tag, Role: r, ObjectType: role.Object, Carried: model.Hardwired, Signal: role.Signal})
	}
	return out
}

func lines(r Result) []string {
	var out []string
	for _, c := range r.Circuits {
		var to []string
		for _, e := range c.Accepts {
			to = append(to, e.String())
		}
		s := c.ID + ": " + c.Drive.String() + " > " + strings.Join(to, " + ")
		if c.Supply != nil {
			s += " from " + c.Supply.String()
		}
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

// TestCircuitsByControl holds the circuits of each control against a list
// written by hand.
func TestCircuitsByControl(t *testing.T) {
	lib := loaded(t)
	cases := []struct {
		name  string
		fan   model.Equipment
		roles []string
		fire  *model.Interval
		want  []string
	}{
		{"box, variable speed, 24 V damper, override", motorised(fan("EF-1", "fan-interface-box", "exhaust-variable", 277, 1), 24),
			[]string{"start", "status", "speed", "override-active", "damper-open"}, model.Span(24, 24), []string{
				"EF-1/damper-open: EF-1/damper:end-switch > (controller)",
				"EF-1/damper-power: EF-1/box:damper > EF-1/damper:power from PANEL-1/supply-1:secondary",
				"EF-1/fire: EF-1/fire-relay:pole-1 > EF-1/override-relay:coil from EF-1/fire-source:out",
				"EF-1/mains: EF-1/service:line > EF-1/box:mains + EF-1/motor:mains",
				"EF-1/override: EF-1/override-relay:pole-1 > EF-1/box:override from EF-1/fire-source:out",
				"EF-1/override-active: EF-1/override-relay:pole-2 > (controller)",
				"EF-1/speed-motor: EF-1/box:speed-out > EF-1/motor:speed-in",
				"EF-1/speed: (controller) > EF-1/box:speed-in",
				"EF-1/start: (controller) > EF-1/box:start-dry",
				"EF-1/status: EF-1/box:status > (controller)",
				"PANEL-1/mains-1: PANEL-1/branch:line > PANEL-1/supply-1:primary",
			}},
		{"box, constant speed, 120 V damper without switch", motorised(fan("TX-1", "fan-interface-box", "toilet-exhaust", 120, 1), 120),
			[]string{"start", "status", "override-active"}, model.Span(120, 120), []string{
				"TX-1/damper-power: TX-1/box:damper > TX-1/damper:power from TX-1/damper-supply:line",
				"TX-1/fire: TX-1/fire-relay:pole-1 > TX-1/override-relay:coil from TX-1/fire-source:out",
				"TX-1/mains: TX-1/service:line > TX-1/box:mains + TX-1/motor:mains",
				"TX-1/override: TX-1/override-relay:pole-1 > TX-1/box:override from TX-1/fire-source:out",
				"TX-1/override-active: TX-1/override-relay:pole-2 > (controller)",
				"TX-1/speed-motor: TX-1/box:speed-out > TX-1/motor:speed-in",
				"TX-1/start: (controller) > TX-1/box:start-dry",
				"TX-1/status: TX-1/box:status > (controller)",
			}},
		{"box in a laboratory proves air", fan("LEF-1", "fan-interface-box", "lab-exhaust", 208, 1),
			[]string{"start", "status"}, nil, []string{
				"LEF-1/mains: LEF-1/service:line > LEF-1/box:mains + LEF-1/motor:mains",
				"LEF-1/speed-motor: LEF-1/box:speed-out > LEF-1/motor:speed-in",
				"LEF-1/start: (controller) > LEF-1/box:start-dry",
				"LEF-1/status: LEF-1/status-switch:contact > (controller)",
			}},
		{"drive with safeties and a commanded damper", motorised(fan("SF-1", "variable-frequency-drive", "supply-variable", 480, 3), 24),
			[]string{"start", "status", "speed", "speed-feedback", "drive-fault", "not-in-auto", "duct-pressure", "high-static", "freeze", "smoke", "damper", "damper-open"}, nil, []string{
				"PANEL-1/mains-1: PANEL-1/branch:line > PANEL-1/supply-1:primary",
				"SF-1/damper-open: SF-1/damper:end-switch > (controller)",
				"SF-1/damper: (controller) > SF-1/damper:power from PANEL-1/supply-1:secondary",
				"SF-1/drive-fault: SF-1/drive:fault-relay > (controller)",
				"SF-1/duct-pressure: SF-1/duct-pressure:signal > (controller)",
				"SF-1/freeze-interlock: SF-1/freezestat:pole-1 > SF-1/drive:interlock-2",
				"SF-1/freeze: SF-1/freezestat:pole-2 > (controller)",
				"SF-1/high-static-interlock: SF-1/high-static-switch:pole-1 > SF-1/drive:interlock-3",
				"SF-1/high-static: SF-1/high-static-switch:pole-2 > (controller)",
				"SF-1/mains: SF-1/service:line > SF-1/drive:mains",
				"SF-1/motor: SF-1/drive:motor-out > SF-1/motor:mains",
				"SF-1/not-in-auto: SF-1/drive:auto-relay > (controller)",
				"SF-1/smoke-interlock: SF-1/smoke-detector:pole-1 > SF-1/drive:interlock-4",
				"SF-1/smoke: SF-1/smoke-detector:pole-2 > (controller)",
				"SF-1/speed-feedback: SF-1/drive:speed-out > (controller)",
				"SF-1/speed: (controller) > SF-1/drive:speed-in",
				"SF-1/start: (controller) > SF-1/drive:start-dry",
				"SF-1/status: SF-1/drive:run-relay > (controller)",
			}},
		{"starter with fire stop", fan("EF-3", "starter", "exhaust-constant", 208, 3),
			[]string{"start", "status", "not-in-auto", "fire-stop"}, model.Span(24, 24), []string{
				"EF-3/fire-interlock: EF-3/fire-pilot-relay:pole-1 > EF-3/starter:interlock from EF-3/starter:control-supply",
				"EF-3/fire-stop: EF-3/fire-relay:pole-2 > (controller)",
				"EF-3/fire: EF-3/fire-relay:pole-1 > EF-3/fire-pilot-relay:coil from EF-3/fire-source:out",
				"EF-3/mains: EF-3/service:line > EF-3/starter:mains + EF-3/motor:mains",
				"EF-3/not-in-auto: EF-3/starter:auto > (controller)",
				"EF-3/start-coil: EF-3/start-relay:pole-1 > EF-3/starter:coil from EF-3/starter:control-supply",
				"EF-3/start: (controller) > EF-3/start-relay:coil from PANEL-1/supply-1:secondary",
				"EF-3/status: EF-3/status-switch:contact > (controller)",
				"PANEL-1/mains-1: PANEL-1/branch:line > PANEL-1/supply-1:primary",
			}},
		{"relay", fan("EF-4", "relay", "exhaust-constant", 120, 1), []string{"start", "status"}, nil, []string{
			"EF-4/mains: EF-4/fan-relay:pole-1 > EF-4/motor:mains from EF-4/service:line",
			"EF-4/start: (controller) > EF-4/fan-relay:coil from PANEL-1/supply-1:secondary",
			"EF-4/status: EF-4/status-switch:contact > (controller)",
			"PANEL-1/mains-1: PANEL-1/branch:line > PANEL-1/supply-1:primary",
		}},
		{"EC motor without a box", fan("TF-1", "ec-direct", "transfer", 277, 1), []string{"start", "status", "speed", "room-temperature"}, nil, []string{
			"TF-1/mains: TF-1/service:line > TF-1/motor:mains",
			"TF-1/room-temperature: TF-1/room-temperature:signal > (controller)",
			"TF-1/speed: (controller) > TF-1/motor:speed-in",
			"TF-1/start: (controller) > TF-1/motor:start-dry",
			"TF-1/status: TF-1/status-switch:contact > (controller)",
		}},
		{"packaged unit", fan("MAU-1", "packaged", "make-up-air", 208, 3), []string{"enable", "unit-status", "unit-alarm", "discharge-setpoint", "discharge-temperature"}, nil, []string{
			"MAU-1/discharge-setpoint: (controller) > MAU-1/unit:setpoint-in",
			"MAU-1/discharge-temperature: MAU-1/discharge-temperature:signal > (controller)",
			"MAU-1/enable: (controller) > MAU-1/unit:enable",
			"MAU-1/mains: MAU-1/service:line > MAU-1/unit:mains",
			"MAU-1/unit-alarm: MAU-1/unit:alarm > (controller)",
			"MAU-1/unit-status: MAU-1/unit:run > (controller)",
		}},
		{"garage on a drive with gas sensors", fan("GEF-1", "variable-frequency-drive", "garage-exhaust", 460, 3), []string{"start", "status", "speed", "drive-fault", "gas-co", "gas-no2", "gas-alarm", "gas-fault"}, nil, []string{
			"GEF-1/drive-fault: GEF-1/drive:fault-relay > (controller)",
			"GEF-1/gas-alarm: GEF-1/gas-panel:alarm > (controller)",
			"GEF-1/gas-co: GEF-1/gas-co:signal > (controller)",
			"GEF-1/gas-fault: GEF-1/gas-panel:fault > (controller)",
			"GEF-1/gas-full-speed: GEF-1/gas-panel:full > GEF-1/drive:override",
			"GEF-1/gas-no2: GEF-1/gas-no2:signal > (controller)",
			"GEF-1/mains-gas-panel: GEF-1/gas-panel-branch:line > GEF-1/gas-panel:mains",
			"GEF-1/mains: GEF-1/service:line > GEF-1/drive:mains",
			"GEF-1/motor: GEF-1/drive:motor-out > GEF-1/motor:mains",
			"GEF-1/speed: (controller) > GEF-1/drive:speed-in",
			"GEF-1/start: (controller) > GEF-1/drive:start-dry",
			"GEF-1/status: GEF-1/drive:run-relay > (controller)",
			"GEF-1/supply-gas-co: PANEL-1/supply-1:secondary > GEF-1/gas-co:power",
			"GEF-1/supply-gas-no2: PANEL-1/supply-1:secondary > GEF-1/gas-no2:power",
			"PANEL-1/mains-1: PANEL-1/branch:line > PANEL-1/supply-1:primary",
		}},
		{"stair fan of the fire trade", fan("SPF-1", "fire-panel", "stair-pressurization", 480, 3), []string{"run", "trouble"}, nil, []string{
			"SPF-1/mains: SPF-1/service:line > SPF-1/motor:mains",
			"SPF-1/run: SPF-1/fire-panel:run > (controller)",
			"SPF-1/trouble: SPF-1/fire-panel:trouble > (controller)",
		}},
		{"kitchen hood on a drive proves by current", fan("KEF-1", "variable-frequency-drive", "kitchen-exhaust", 208, 3), []string{"start", "status", "speed", "hood-on", "suppression"}, nil, []string{
			"KEF-1/hood-on: KEF-1/hood-panel:hood-on > (controller)",
			"KEF-1/mains: KEF-1/service:line > KEF-1/drive:mains",
			"KEF-1/motor: KEF-1/drive:motor-out > KEF-1/motor:mains",
			"KEF-1/speed: (controller) > KEF-1/drive:speed-in",
			"KEF-1/start: (controller) > KEF-1/drive:start-dry",
			"KEF-1/status: KEF-1/status-switch:contact > (controller)",
			"KEF-1/suppression: KEF-1/suppression-panel:pole-a > (controller)",
		}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := &model.Project{}
			p.Settings.Fire.Volts = c.fire
			r := Connect(lib, p, []model.Equipment{c.fan}, hardwired(t, lib, c.fan.Tag, c.roles...))
			got, want := lines(r), slices.Sorted(slices.Values(c.want))
			for _, l := range want {
				if !slices.Contains(got, l) {
					t.Errorf("missing  %s", l)
				}
			}
			for _, l := range got {
				if !slices.Contains(want, l) {
					t.Errorf("too much %s", l)
				}
			}
			for _, f := range r.Findings {
				if f.Code != "device-assumed" {
					t.Errorf("finding %s %s: %s", f.Code, f.Subject, f.Message)
				}
			}
		})
	}
}

// TestCoherence checks that every function that a hook-up names exists on
// some device type that can play the role, every type and run is known.
func TestCoherence(t *testing.T) {
	lib := loaded(t)
	types := map[string][]*model.DeviceType{}
	for _, up := range lib.HookUps() {
		for _, d := range up.Devices {
			if _, ok := lib.Task(d.Item); d.Item != "" && !ok {
				t.Errorf("%s: %s belongs to %q, which is no row of the responsibility table", up.ID, d.Role, d.Item)
			}
			for _, c := range d.Choices {
				if c.Panel != "" || c.Type == "$status-device" {
					continue
				}
				dt, ok := lib.Device(c.Type)
				if !ok {
					t.Errorf("%s: %s is to be a %q, which no record describes", up.ID, d.Role, c.Type)
					continue
				}
				types[d.Role] = append(types[d.Role], dt)
			}
		}
	}
	for _, up := range lib.HookUps() {
		for _, c := range up.Circuits {
			ends := append([]library.EndRule{c.Drive}, c.Accepts...)
			if c.Supply != nil {
				ends = append(ends, *c.Supply)
			}
			for i, e := range ends {
				if e.Controller || e.Device == "*" || strings.HasPrefix(e.Device, "panel-") {
					continue
				}
				if !plays(types[e.Device], e.Functions, i == 0 || c.Supply != nil && i == len(ends)-1) {
					t.Errorf("%s: no device type of role %s has a terminal for %v on the right side", up.ID, e.Device, e.Functions)
				}
			}
			for _, run := range []string{c.Run, c.LineRun} {
				if _, ok := lib.Run(run); run != "" && !ok {
					t.Errorf("%s: no run %q", up.ID, run)
				}
			}
		}
	}
}

func plays(types []*model.DeviceType, functions []string, drives bool) bool {
	for _, dt := range types {
		for _, term := range dt.Terminals {
			if slices.Contains(functions, term.Function) && term.Drives == drives {
				return true
			}
		}
	}
	return false
}

// TestEveryRoleHasAHookUp: every role that can be hardwired gets a wire from at
// least one way of control.
func TestEveryRoleHasAHookUp(t *testing.T) {
	lib := loaded(t)
	for _, role := range lib.Roles() {
		if role.Carried != model.Hardwired || othersOnly(lib, role.ID) {
			continue
		}
		wired := false
		for _, control := range []string{"fan-interface-box", "variable-frequency-drive-bypass", "packaged", "starter", "fire-panel", "ec-direct"} {
			e := motorised(fan("X-1", control, "exhaust-variable", 208, 3), 24)
			if role.ID == "high-speed" || role.ID == "high-speed-status" {
				e.Ratings.MotorType = "two-speed"
			}
			r := Connect(lib, &model.Project{}, []model.Equipment{e}, hardwired(t, lib, "X-1", role.ID))
			wired = wired || slices.ContainsFunc(r.Circuits, func(c model.Circuit) bool { return c.Point == "X-1/"+role.ID })
		}
		if !wired {
			t.Errorf("no control gives the role %s a wire", role.ID)
		}
	}
}

// TestOwners: devices belong to the trades of the responsibility table.
func TestOwners(t *testing.T) {
	lib := loaded(t)
	e := fan("EF-1", "fan-interface-box", "exhaust-constant", 120, 1)
	r := Connect(lib, &model.Project{}, []model.Equipment{e}, hardwired(t, lib, "EF-1", "start", "override-active"))
	for id, want := range map[string][3]string{
		"EF-1/box":            {"controls", "electrical", "controls"},
		"EF-1/motor":          {"mechanical", "mechanical", ""},
		"EF-1/override-relay": {"fire alarm", "fire alarm", "controls"},
		"EF-1/service":        {"electrical", "electrical", "electrical"},
	} {
		d := device(t, r, id)
		if got := [3]string{d.FurnishedBy, d.InstalledBy, d.WiredBy}; got != want {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
}

// TestMissingTerminalIsTold: a point that no terminal can carry is a finding
// with the reason, never silence.
func TestMissingTerminalIsTold(t *testing.T) {
	lib := loaded(t)
	e := fan("EF-1", "fan-interface-box", "exhaust-constant", 120, 1)
	e.Damper = model.Damper{Kind: "motorised", Volts: model.Span(24, 24), EndSwitch: new(bool)}
	r := Connect(lib, &model.Project{}, []model.Equipment{e}, hardwired(t, lib, "EF-1", "start", "not-in-auto", "damper-open"))
	for _, key := range []string{"EF-1/not-in-auto", "EF-1/damper-open"} {
		i := slices.IndexFunc(r.Findings, func(f finding.Finding) bool { return f.Code == "no-hookup" && f.Subject == key })
		if i < 0 {
			t.Errorf("%s: nothing told; findings %v", key, r.Findings)
			continue
		}
		if !strings.Contains(r.Findings[i].Message, "has no terminal for") {
			t.Errorf("%s: %s", key, r.Findings[i].Message)
		}
	}
	if len(r.Findings) != 2 {
		t.Errorf("findings %v, want two", r.Findings)
	}
}

// TestUnknownControlIsTold: a fan whose control nobody states keeps its points
// and says that they have no wire.
func TestUnknownControlIsTold(t *testing.T) {
	lib := loaded(t)
	r := Connect(lib, &model.Project{}, []model.Equipment{fan("EF-1", "", "", 0, 0)}, hardwired(t, lib, "EF-1", "start"))
	if !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Code == "no-hookup" && f.Subject == "EF-1/start" }) {
		t.Errorf("findings %v", r.Findings)
	}
}

// TestUnknownFireVoltsStayUnknown: the source of the override has no volts
// until the project states them.
func TestUnknownFireVoltsStayUnknown(t *testing.T) {
	lib := loaded(t)
	e := fan("EF-1", "fan-interface-box", "exhaust-constant", 120, 1)
	volts := func(p *model.Project) *model.Interval {
		r := Connect(lib, p, []model.Equipment{e}, hardwired(t, lib, "EF-1", "start", "override-active"))
		d := device(t, r, "EF-1/fire-source")
		return d.Spec.Terminals[0].Volts
	}
	if v := volts(&model.Project{}); v != nil {
		t.Errorf("volts %v without a word from the project", v)
	}
	p := &model.Project{}
	p.Settings.Fire = model.FireSettings{Volts: model.Span(120, 120), Current: "ac"}
	if v := volts(p); v == nil || v.Lo != 120 {
		t.Errorf("volts %v, want 120", v)
	}
	r := Connect(lib, p, []model.Equipment{e}, hardwired(t, lib, "EF-1", "start", "override-active"))
	if d := device(t, r, "EF-1/override-relay"); d.Type != "override-relay-120" {
		t.Errorf("override relay %s", d.Type)
	}
}

// TestPilotRelayTakesTheFireTradesCurrent: the relay in the common leg of a
// starter has the coil that the stated voltage can pull in; a direct current is
// taken where nothing is stated, and asked for.
func TestPilotRelayTakesTheFireTradesCurrent(t *testing.T) {
	lib := loaded(t)
	e := fan("EF-1", "starter", "exhaust-constant", 460, 3)
	for _, c := range []struct {
		fire model.FireSettings
		want string
	}{
		{model.FireSettings{Volts: model.Span(24, 24), Current: "ac"}, "pilot-relay-24vac"},
		{model.FireSettings{Volts: model.Span(24, 24), Current: "dc"}, "pilot-relay-24vdc"},
		{model.FireSettings{Volts: model.Span(24, 24)}, "pilot-relay-24vdc"},
		{model.FireSettings{Volts: model.Span(120, 120), Current: "ac"}, "pilot-relay-120vac"},
	} {
		p := &model.Project{}
		p.Settings.Fire = c.fire
		r := Connect(lib, p, []model.Equipment{e}, hardwired(t, lib, "EF-1", "start", "fire-stop"))
		if d := device(t, r, "EF-1/fire-pilot-relay"); d.Type != c.want {
			t.Errorf("%v V %s: %s, want %s", c.fire.Volts, c.fire.Current, d.Type, c.want)
		}
	}
}

func device(t *testing.T, r Result, id string) model.Device {
	t.Helper()
	for _, d := range r.Devices {
		if d.ID == id {
			return d
		}
	}
	t.Fatalf("no device %s", id)
	return model.Device{}
}

// othersOnly: every rule that makes the role gives it to another trade.
func othersOnly(lib *library.Library, role string) bool {
	some := false
	for _, r := range lib.Rules() {
		if r.Emits.Role == role {
			some = true
			if !r.Emits.ByOthers {
				return false
			}
		}
	}
	return some
}

// TestPointsByOthersHaveNoWireOfOurs: they land on the other trade's panel.
func TestPointsByOthersHaveNoWireOfOurs(t *testing.T) {
	lib := loaded(t)
	points := hardwired(t, lib, "SEF-1", "fire-command")
	points[0].ByOthers = true
	r := Connect(lib, &model.Project{}, []model.Equipment{fan("SEF-1", "fire-panel", "smoke-exhaust", 480, 3)}, points)
	for _, c := range r.Circuits {
		if c.Point != "" {
			t.Errorf("circuit %s", c.ID)
		}
	}
	for _, f := range r.Findings {
		if f.Code == "no-hookup" {
			t.Errorf("finding %v", f)
		}
	}
}

// TestMotorCurrent: the listed current, else the table's; an EC motor's is not
// in the table.
func TestMotorCurrent(t *testing.T) {
	lib := loaded(t)
	e := fan("EF-1", "relay", "exhaust-constant", 120, 1)
	e.Ratings.Power = &model.Quantity{Value: model.Exactly(0.25), Unit: "hp"}
	amps := func(e model.Equipment) *model.Load {
		d := device(t, Connect(lib, &model.Project{}, []model.Equipment{e}, hardwired(t, lib, "EF-1", "start")), "EF-1/motor")
		return terminalOf(d.Spec, "mains").Running
	}
	if l := amps(e); l == nil || *l.Amps != 5.8 { // NEC table 430.248
		t.Errorf("1/4 hp at 115 V: %+v, want 5.8 A", l)
	}
	e.Ratings.Current = &model.Quantity{Value: model.Exactly(4.9), Unit: "A"}
	if l := amps(e); l == nil || *l.Amps != 4.9 {
		t.Errorf("listed 4.9 A: %+v", l)
	}
	e.Ratings.Current, e.Ratings.MotorType = nil, "ec"
	if l := amps(e); l != nil {
		t.Errorf("an EC motor's current is not known: %+v", l)
	}
}

func BenchmarkConnect(b *testing.B) {
	lib := loaded(b)
	var fans []model.Equipment
	var points []model.Point
	for i := range 2000 {
		e := motorised(fan(fmt.Sprintf("EF-%d", i+1), "fan-interface-box", "exhaust-variable", 277, 1), 24)
		fans = append(fans, e)
		for _, r := range []struct{ role, object string }{{"start", model.BinaryOutput}, {"status", model.BinaryInput}, {"speed", model.AnalogOutput}, {"override-active", model.BinaryInput}, {"damper-open", model.BinaryInput}} {
			points = append(points, model.Point{Key: e.Tag + "/" + r.role, Equipment: e.Tag, Role: r.role, ObjectType: r.object, Carried: model.Hardwired})
		}
	}
	for b.Loop() {
		Connect(lib, &model.Project{}, fans, points)
	}
}

// TestBranchesOfManySupplies: no branch circuit of a panel carries more than its
// share, however many supplies hang in the panel.
func TestBranchesOfManySupplies(t *testing.T) {
	lib := loaded(t)
	var list []model.Equipment
	var points []model.Point
	for i := range 400 {
		tag := fmt.Sprintf("EF-%d", i+1)
		list = append(list, fan(tag, "relay", "exhaust-constant", 277, 1))
		points = append(points, hardwired(t, lib, tag, "start")...)
	}
	r := Connect(lib, &model.Project{}, list, points)
	types := map[string]*model.DeviceType{}
	for _, d := range r.Devices {
		types[d.ID] = d.Spec
	}
	load := map[string]float64{}
	for _, c := range r.Circuits {
		if c.Rule == "panel-supply" {
			term, _ := types[c.Accepts[0].Device].Terminal(c.Accepts[0].Terminal)
			load[c.Drive.Device] += *term.Running.VA
		}
	}
	if len(load) < 2 {
		t.Fatalf("one branch feeds all: %v", load)
	}
	for id, va := range load {
		if va > 0.8*2400 {
			t.Errorf("%s carries %g VA", id, va)
		}
	}
}

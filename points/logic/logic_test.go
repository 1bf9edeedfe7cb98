package logic_test

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
	"tallywire/points/logic"
)

var builtIn = sync.OnceValues(func() (*library.Library, error) { return library.Load(nil) })

// site is a small building made by hand: machines with one device each.
type site struct {
	t         testing.TB
	lib       *library.Library
	project   *model.Project
	equipment []model.Equipment
	devices   []model.Device
	circuits  []model.Circuit
	points    []model.Point
	alarms    []model.Alarm
}

func newSite(t testing.TB) *site {
	t.Helper()
	lib, err := builtIn()
	if err != nil {
		t.Fatal(err)
	}
	return &site{t: t, lib: lib, project: &model.Project{}}
}

// fan adds a machine with a device of a library type and wires the named
// points: start, speed, status, not-in-auto, by the functions of the device.
func (s *site) fan(tag, scheme, role, deviceType, fire string, roles ...string) *model.Equipment {
	s.t.Helper()
	kind := map[string]string{"make-up-air": "make-up-air-unit", "supply-variable": "supply-fan", "kitchen-exhaust": "kitchen-exhaust-fan", "garage-exhaust": "garage-exhaust-fan", "toilet-exhaust": "toilet-exhaust-fan"}[scheme]
	control := map[string]string{"box": "fan-interface-box", "drive": "variable-frequency-drive", "starter": "starter", "unit": "packaged", "motor": "ec-direct", "fan-relay": "relay"}[role]
	s.equipment = append(s.equipment, model.Equipment{Tag: tag, Kind: kind, Scheme: scheme, Control: control, FireResponse: fire})
	d := s.device(tag, role, deviceType)
	for _, r := range roles {
		switch r {
		case "start":
			s.point(tag, r, model.End{}, s.end(d, d.Spec.Logic.StartInputs[0]), "start")
		case "speed":
			s.point(tag, r, model.End{}, s.end(d, d.Spec.Logic.SpeedInput), "speed")
		case "status", "not-in-auto":
			s.point(tag, r, s.end(d, s.terminal(d, r)), model.End{}, "status")
		default:
			s.points = append(s.points, model.Point{Key: tag + "/" + r, Equipment: tag, Role: r})
		}
	}
	return &s.equipment[len(s.equipment)-1]
}

func (s *site) device(tag, role, deviceType string) *model.Device {
	s.t.Helper()
	spec, ok := s.lib.Device(deviceType)
	if !ok {
		s.t.Fatalf("no device type %q in the library", deviceType)
	}
	s.devices = append(s.devices, model.Device{ID: tag + "/" + role, Type: deviceType, Equipment: tag, Role: role, Spec: spec})
	return &s.devices[len(s.devices)-1]
}

// terminal finds a terminal of a device by its function.
func (s *site) terminal(d *model.Device, function string) string {
	s.t.Helper()
	for _, t := range d.Spec.Terminals {
		if t.Function == function {
			return t.ID
		}
	}
	s.t.Fatalf("%s has no terminal for %s", d.Type, function)
	return ""
}

func (s *site) end(d *model.Device, terminal string) model.End {
	return model.End{Device: d.ID, Terminal: terminal}
}

func (s *site) at(device, terminal string) model.End {
	return model.End{Device: device, Terminal: terminal}
}

func (s *site) point(tag, role string, drive, accept model.End, purpose string) {
	s.points = append(s.points, model.Point{Key: tag + "/" + role, Equipment: tag, Role: role, Carried: model.Hardwired})
	s.circuits = append(s.circuits, model.Circuit{ID: tag + "/" + role, Point: tag + "/" + role, Equipment: tag, Drive: drive, Accepts: []model.End{accept}, Purpose: purpose})
}

func (s *site) wire(tag, name, purpose string, drive, accept model.End) {
	s.circuits = append(s.circuits, model.Circuit{ID: tag + "/" + name, Equipment: tag, Drive: drive, Accepts: []model.End{accept}, Purpose: purpose})
}

// fireOverride wires a fire relay into the override input of a device.
func (s *site) fireOverride(tag, device string) {
	s.device(tag, "fire-relay", "fire-alarm-relay")
	s.wire(tag, "override", "override", s.at(tag+"/fire-relay", "pole-1"), s.at(device, "override"))
}

func (s *site) prove() logic.Result {
	return logic.Prove(s.lib, s.project, s.equipment, s.devices, s.circuits, s.points, s.alarms)
}

// found returns the findings of a code about a subject.
func found(r logic.Result, code, subject string) []finding.Finding {
	var out []finding.Finding
	for _, f := range r.Findings {
		if f.Code == code && f.Subject == subject {
			out = append(out, f)
		}
	}
	return out
}

func (s *site) want(r logic.Result, code, subject string, severity finding.Severity, words ...string) {
	s.t.Helper()
	for _, f := range found(r, code, subject) {
		ok := f.Severity == severity
		for _, w := range words {
			ok = ok && strings.Contains(f.Message, w)
		}
		if ok {
			return
		}
	}
	s.t.Errorf("want %s %s about %s with %q; have:", severity, code, subject, words)
	for _, f := range r.Findings {
		s.t.Logf("  %s %s %s: %s", f.Severity, f.Code, f.Subject, f.Message)
	}
}

func (s *site) clean(r logic.Result, codes ...string) {
	s.t.Helper()
	for _, f := range r.Findings {
		if slices.Contains(codes, f.Code) || len(codes) == 0 && f.Severity == finding.Fault {
			s.t.Errorf("unwanted %s %s about %s: %s", f.Severity, f.Code, f.Subject, f.Message)
		}
	}
}

// rows finds what the table of a fan says where the given inputs hold.
func rows(t *testing.T, r logic.Result, tag string, given map[string]string, output string) []string {
	t.Helper()
	for _, table := range r.TruthTables {
		if table.Equipment != tag {
			continue
		}
		o := slices.Index(table.Outputs, output)
		if o < 0 {
			t.Fatalf("%s has no output %q, only %q", tag, output, table.Outputs)
		}
		var out []string
		for _, row := range table.Rows {
			fits := true
			for name, v := range given {
				i := slices.Index(table.Inputs, name)
				if i < 0 {
					t.Fatalf("%s has no input %q, only %q", tag, name, table.Inputs)
				}
				fits = fits && (row.Inputs[i] == v || row.Inputs[i] == "-")
			}
			if fits && !slices.Contains(out, row.Outputs[o]) {
				out = append(out, row.Outputs[o])
			}
		}
		return out
	}
	t.Fatalf("no truth table of %s", tag)
	return nil
}

func wantRows(t *testing.T, r logic.Result, tag string, given map[string]string, output string, want ...string) {
	t.Helper()
	if got := rows(t, r, tag, given, output); !slices.Equal(got, want) {
		t.Errorf("%s with %v: %s is %q, want %q", tag, given, output, got, want)
	}
}

func cell(t *testing.T, r logic.Result, tag, event string) string {
	t.Helper()
	i := slices.Index(r.CauseEffect.Events, event)
	for _, row := range r.CauseEffect.Rows {
		if row.Equipment == tag && i >= 0 {
			return row.Effects[i]
		}
	}
	t.Fatalf("no cell %s × %s in %q", tag, event, r.CauseEffect.Events)
	return ""
}

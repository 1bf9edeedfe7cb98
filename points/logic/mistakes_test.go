package logic_test

import (
	"os"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// pair is a mistake of the field and its usual fix: the mistake is found with
// the state in which it shows, the fix is clean of it.
type pair struct {
	code    string
	subject string
	words   []string // of the counter-example
	mistake func(*site)
	fix     func(*site)
}

// mistakes are the rows of testdata/mistakes.tsv that the logic decides.
var mistakes = map[string][]pair{}

func cases(row string, list ...pair) { mistakes[row] = append(mistakes[row], list...) }

func num(v float64) *float64 { return &v }

func quantity(v float64, unit string) *model.Quantity {
	return &model.Quantity{Value: model.Exactly(v), Unit: unit}
}

var yes, no = true, false

// change gives one device a type of its own to alter.
func (s *site) change(device string, alter func(*model.DeviceType)) {
	s.t.Helper()
	for i := range s.devices {
		if s.devices[i].ID != device {
			continue
		}
		spec := *s.devices[i].Spec
		spec.Terminals = append([]model.Terminal(nil), spec.Terminals...)
		if spec.Logic != nil {
			l := *spec.Logic
			l.Overrides = append([]model.OverrideInput(nil), l.Overrides...)
			l.Safeties = append([]model.SafetyInput(nil), l.Safeties...)
			spec.Logic = &l
		}
		alter(&spec)
		s.devices[i].Spec = &spec
		return
	}
	s.t.Fatalf("no device %s", device)
}

// switchFor proves a fan by a device of its own.
func (s *site) switchFor(tag, deviceType string) {
	d := s.device(tag, "status-switch", deviceType)
	s.point(tag, "status", s.end(d, "contact"), model.End{}, "status")
}

func (s *site) of(tag string) *model.Equipment {
	for i := range s.equipment {
		if s.equipment[i].Tag == tag {
			return &s.equipment[i]
		}
	}
	s.t.Fatalf("no machine %s", tag)
	return nil
}

func (s *site) alarm(id string, delay float64, by ...string) {
	tag, _, _ := model.Split(id)
	m := &model.Mismatch{Commanded: "on", Seconds: 15, HoldOn: delay}
	if strings.HasSuffix(id, "/running-while-off") {
		m = &model.Mismatch{Commanded: "off", Seconds: 15, HoldOff: delay}
	}
	s.alarms = append(s.alarms, model.Alarm{ID: id, Equipment: tag, Algorithm: "change-of-state", DelaySeconds: delay, InhibitedBy: by, Mismatch: m})
}

func (s *site) link(from, to, signal, action string, hard *bool) {
	s.project.Interlocks = append(s.project.Interlocks, model.Interlock{From: from, To: to, Signal: signal, Action: action, Hard: hard})
}

func (s *site) safety(tag, role, deviceType, device, terminal string) {
	s.device(tag, role, deviceType)
	s.wire(tag, role+"-interlock", "interlock", s.at(tag+"/"+role, "pole-1"), s.at(device, terminal))
}

func TestMistakesOfTheField(t *testing.T) {
	for row, list := range mistakes {
		for _, p := range list {
			t.Run(row, func(t *testing.T) {
				s := newSite(t)
				p.mistake(s)
				r := s.prove()
				hit := false
				for _, f := range found(r, p.code, p.subject) {
					ok := f.Severity != finding.Note
					for _, w := range p.words {
						ok = ok && strings.Contains(f.Message, w)
					}
					hit = hit || ok
				}
				if !hit {
					t.Errorf("not found: %s about %s with %q", p.code, p.subject, p.words)
					for _, f := range r.Findings {
						t.Logf("  %s %s %s: %s", f.Severity, f.Code, f.Subject, f.Message)
					}
				}
				s = newSite(t)
				p.fix(s)
				for _, f := range found(s.prove(), p.code, p.subject) {
					if f.Severity != finding.Note {
						t.Errorf("the fix is not clean: %s %s: %s", f.Severity, f.Code, f.Message)
					}
				}
			})
		}
	}
}

// TestMistakesAreCovered: each row has a pair.
func TestMistakesAreCovered(t *testing.T) {
	data, err := os.ReadFile("testdata/mistakes.tsv")
	if err != nil {
		t.Fatal(err)
	}
	rows := strings.Split(strings.TrimSpace(string(data)), "\n")[1:]
	known := map[string]bool{}
	for _, line := range rows {
		id := strings.Split(line, "\t")[0]
		known[id] = true
		if len(mistakes[id]) == 0 {
			t.Errorf("%s: no pair", line)
		}
	}
	if len(rows) != 42 {
		t.Errorf("%d rows", len(rows))
	}
	for id := range mistakes {
		if !known[id] {
			t.Errorf("%s is no row", id)
		}
	}
}

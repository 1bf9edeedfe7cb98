package circuit

import (
	"fmt"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// bench is a small test bench: devices by id, circuits that join them.
type bench struct {
	t   testing.TB
	lib *library.Library
	p   model.Project
	net Net
}

var loaded *library.Library

func onBench(t testing.TB) *bench {
	t.Helper()
	if loaded == nil {
		lib, err := library.Load(nil)
		if err != nil {
			t.Fatal(err)
		}
		loaded = lib
	}
	return &bench{t: t, lib: loaded}
}

// put stands a device of one terminal, or several, on the bench.
func (b *bench) put(id string, terminals ...model.Terminal) *bench {
	for i := range terminals {
		if terminals[i].ID == "" {
			terminals[i].ID = fmt.Sprintf("t%d", i+1)
		}
	}
	b.net.Devices = append(b.net.Devices, model.Device{ID: id, Type: id, Spec: &model.DeviceType{ID: id, Name: id, Terminals: terminals}})
	return b
}

// end reads "device:terminal"; without a terminal it is t1.
func end(s string) model.End {
	for i := len(s) - 1; i >= 0; i-- {
		if s[i] == ':' {
			return model.End{Device: s[:i], Terminal: s[i+1:]}
		}
	}
	return model.End{Device: s, Terminal: "t1"}
}

// join wires a circuit.
func (b *bench) join(id, drive, supply string, accepts ...string) *model.Circuit {
	c := model.Circuit{ID: id, Drive: end(drive)}
	if supply != "" {
		e := end(supply)
		c.Supply = &e
	}
	for _, a := range accepts {
		c.Accepts = append(c.Accepts, end(a))
	}
	b.net.Circuits = append(b.net.Circuits, c)
	return &b.net.Circuits[len(b.net.Circuits)-1]
}

func (b *bench) check() Result { return Check(b.lib, &b.p, b.net) }

// verdict is the worst answer of a code in a circuit, "" if it was not asked.
func verdict(r Result, id, code string) model.Verdict {
	var v model.Verdict
	for _, c := range r.Circuits {
		if c.ID != id {
			continue
		}
		for _, k := range c.Checks {
			if k.Code == code && (v == "" || k.Verdict.Rank() > v.Rank()) {
				v = k.Verdict
			}
		}
	}
	return v
}

// one returns the check of a code in a circuit.
func one(t *testing.T, r Result, id, code string) model.Check {
	t.Helper()
	for _, c := range r.Circuits {
		if c.ID == id {
			for _, k := range c.Checks {
				if k.Code == code {
					return k
				}
			}
		}
	}
	t.Fatalf("circuit %s has no check %s", id, code)
	return model.Check{}
}

// near tells that a figure equals a printed one at its last digit.
func printed(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if d := got - want; d > tolerance || d < -tolerance {
		t.Errorf("%s: got %v, printed %v", what, got, want)
	}
}

func wantVerdict(t *testing.T, r Result, id, code string, want model.Verdict) {
	t.Helper()
	if got := verdict(r, id, code); got != want {
		text := ""
		for _, c := range r.Circuits {
			if c.ID == id {
				for _, k := range c.Checks {
					text += fmt.Sprintf("\n  %s %s: %s", k.Code, k.Verdict, k.Text)
				}
			}
		}
		t.Errorf("circuit %s, %s: got %q, want %q%s", id, code, got, want, text)
	}
}

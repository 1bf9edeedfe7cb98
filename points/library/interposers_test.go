package library

import "testing"

// The interposers are many, priced, cheapest first, unlike any device's id, and
// name terminals that they have.
func TestInterposers(t *testing.T) {
	l, err := Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	list := l.Interposers()
	if len(list) < 20 {
		t.Errorf("%d interposers", len(list))
	}
	for i := range list {
		p := &list[i]
		if p.Device.Price == nil || *p.Device.Price <= 0 || p.Device.Source == "" || p.Device.Name == "" {
			t.Errorf("%s: no price, source or name", p.ID)
		}
		if i > 0 && list[i-1].Price() > p.Price() {
			t.Errorf("%s stands behind the dearer %s", p.ID, list[i-1].ID)
		}
		if _, clash := l.devices[p.ID]; clash {
			t.Errorf("%s is the id of a device as well", p.ID)
		}
		if d, ok := l.Device(p.ID); !ok || d != &p.Device {
			t.Errorf("%s is not found as a device", p.ID)
		}
		ends := append([]string{p.In, p.Out, p.Power}, p.Outs...)
		for _, id := range ends {
			if id == "" {
				continue
			}
			if _, ok := p.Device.Terminal(id); !ok {
				t.Errorf("%s has no terminal %q", p.ID, id)
			}
		}
		switch p.How {
		case "in-line":
			if p.In == "" || p.Out == "" {
				t.Errorf("%s in line without both ends", p.ID)
			}
		case "supply":
			if p.Out == "" {
				t.Errorf("%s supplies nothing", p.ID)
			}
		case "across":
			if p.Ohm == nil || p.Watts == nil {
				t.Errorf("%s across without ohms and watts", p.ID)
			}
		case "poles":
			if p.In == "" || len(p.Outs) < 2 {
				t.Errorf("%s has no poles", p.ID)
			}
		}
	}
}

package intake

import (
	"fmt"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

func testReader(t testing.TB) *reader {
	t.Helper()
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	return newReader(lib)
}

// String is a reading in the form of testdata/values.tsv.
func (v value) String() string {
	switch {
	case v.problem != "":
		return "refused: " + v.problem
	case v.empty:
		return "empty"
	case v.pending:
		return "pending"
	case v.quantity == nil:
		return "nothing"
	}
	return strings.TrimSpace(model.Figure(v.quantity.Value.Lo) + " " + v.quantity.Unit)
}

func (s serviceReading) String() string {
	var parts []string
	if s.service == nil {
		parts = append(parts, s.value.String())
	} else {
		var volts []string
		for _, v := range s.service.Volts {
			if v.Point() {
				volts = append(volts, model.Figure(v.Lo))
			} else {
				volts = append(volts, model.Figure(v.Lo)+"-"+model.Figure(v.Hi))
			}
		}
		parts = append(parts, "V="+strings.Join(volts, "|"))
		for _, one := range []struct {
			name  string
			value float64
		}{{"Ph", float64(s.service.Phases)}, {"Hz", s.service.Hertz}, {"W", float64(s.service.Wires)}} {
			if one.value != 0 {
				parts = append(parts, fmt.Sprintf("%s=%s", one.name, model.Figure(one.value)))
			}
		}
		if s.service.System != "" {
			parts = append(parts, "system="+s.service.System)
		}
	}
	if s.power != nil {
		parts = append(parts, "power="+model.Figure(s.power.Value.Lo)+" "+s.power.Unit)
	}
	return strings.Join(parts, ";")
}

package hookup

import (
	"slices"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// The feeds that a landing adds get cables of their own, numbered on behind the
// panel's; one that the project put into a cable stays there.
func TestLateCables(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	feet := 10.0
	feed := func(id, purpose, from, to string) model.Circuit {
		return model.Circuit{ID: id, Purpose: purpose, Drive: model.End{Device: from, Terminal: "out"}, Accepts: []model.End{{Device: to, Terminal: "power"}},
			Conductor: model.Conductor{Gauge: 18, Count: 2, LengthFt: &feet, Assumed: true}}
	}
	devices := []model.Device{{ID: "PANEL-1/power-1", Panel: "PANEL-1"}, {ID: "PANEL-1/power-branch", Panel: "PANEL-1"}, {ID: "PANEL-2/power-1", Panel: "PANEL-2"}, {ID: "loose"}}
	circuits := []model.Circuit{feed("PANEL-1/C1/power", "supply", "PANEL-1/power-1", "PANEL-1/C1"), feed("PANEL-1/power-mains-1", "mains", "PANEL-1/power-branch", "PANEL-1/power-1"),
		feed("PANEL-2/C2/power", "supply", "PANEL-2/power-1", "PANEL-2/C2"), feed("PANEL-1/C3/power", "supply", "PANEL-1/power-1", "PANEL-1/C3"), feed("x", "supply", "loose", "y")}
	have := []model.Cable{{ID: "PANEL-1/W3"}, {ID: "EF-1/W7"}, {ID: "by the project", Circuits: []string{"PANEL-1/C3/power"}}}
	cables := Late(lib, have, devices, circuits)
	var got []string
	for _, c := range circuits {
		got = append(got, c.Cable)
	}
	if want := []string{"PANEL-1/W4", "PANEL-1/W5", "PANEL-2/W1", "by the project", ""}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if len(cables) != 6 || cables[3].Class != "class-2" || cables[4].Class != "class-1" || cables[4].From != "PANEL-1/power-branch" || cables[4].Conductors != 2 || !slices.Equal(cables[5].Circuits, []string{"PANEL-2/C2/power"}) {
		t.Errorf("%+v", cables)
	}
}

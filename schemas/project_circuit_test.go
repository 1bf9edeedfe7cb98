package schemas

import (
	"slices"
	"testing"

	"tallywire/model"
)

// What a project file may say of circuits, cables and devices arrives in the
// model, every figure in its place.
func TestCircuitsOfAProject(t *testing.T) {
	const text = `project: {name: Trial}
devices:
  - {id: EF-1/drive, settings: {mac: 5, reference-source: bus}, barrier: false}
circuits:
  - id: EF-1/speed
    drive: PANEL-1/C1:AO1
    accepts: ["EF-1/drive:speed-in"]
    reversed: true
    shielded: true
    shield_earths: 2
    temp_c: 40
    across: [{at: "EF-1/drive:speed-in", ohm: [499, 501], watts: 0.5}]
    trunk: {max_master: 20, terminators: 2, terminators_ends: true, bias_ohm: 560}
cables:
  - {id: W1, circuits: [EF-1/speed], class: class-2, raceway: R1}
`
	file, err := ReadProject("p.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	p := file.Project
	c, d := p.Circuits[0].Circuit, p.Devices[0]
	switch {
	case !c.Accepts[0].Reversed || c.Conductor.ShieldEarths == nil || *c.Conductor.ShieldEarths != 2 || c.Conductor.TempC != 40:
		t.Errorf("circuit %+v", c)
	case len(c.Across) != 1 || c.Across[0].Ohm != (model.Interval{Lo: 499, Hi: 501}) || *c.Across[0].Watts != 0.5 || c.Across[0].At.Terminal != "speed-in":
		t.Errorf("across %+v", c.Across)
	case c.Trunk == nil || *c.Trunk.MaxMaster != 20 || *c.Trunk.BiasOhm != 560 || !*c.Trunk.AtEnds:
		t.Errorf("trunk %+v", c.Trunk)
	case !slices.Equal(d.Settings, []model.Parameter{{Name: "mac", Value: "5"}, {Name: "reference-source", Value: "bus"}}) || d.Barrier == nil || *d.Barrier:
		t.Errorf("device %+v", d)
	case len(p.Cables) != 1 || p.Cables[0].Raceway != "R1" || p.Cables[0].Class != "class-2":
		t.Errorf("cables %+v", p.Cables)
	}
}

package landing

import "testing"

func TestReadPlace(t *testing.T) {
	for text, want := range map[string]string{
		"ROOF": "roof", "Penthouse": "roof", "LEVEL 2": "level 2", "Level 1 mechanical room": "level 1", "2nd floor": "level 2", "THIRD FLOOR": "level 3", "L3": "level 3", "FL. 12": "level 12",
		"LEVEL P1": "basement 1", "LEVEL P2": "basement 2", "P2": "basement 2", "B1": "basement 1", "BASEMENT": "basement 1", "BASEMENT 2": "basement 2", "LOWER LEVEL": "basement 1",
		"GROUND FLOOR": "level 1", "LEVEL 2 MEZZANINE": "level 2.5", "MEZZANINE": "level 1.5", "ROOM 214": "level 2", "RM. 1204A": "level 12", "ROOM B12": "basement 1",
		"BLDG B LEVEL 4": "building B level 4", "Building 2 roof": "building 2 roof", "TOWER A": "", "ATRIUM CEILING": "", "MECH RM": "", "": "", "ELEVATOR 2": "", "ROOF, LEVEL 5": "level 5",
		"BUILDING": "", "PLANT ROOM 3": "", "NORTH": "",
	} {
		p := readPlace(text)
		got := ""
		if p.known {
			got = p.words()
		}
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

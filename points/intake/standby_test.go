package intake

import (
	"strings"
	"testing"

	"tallywire/model"
)

// TestWhoStandsIn: the words, the column and the project's interlocks say which
// machines stand in for each other; what only sounds like it does not count.
func TestWhoStandsIn(t *testing.T) {
	p := project(t, "fans.csv", `TAG,SERVICE,CFM,DUTY/STANDBY,REMARKS
EF-1,LAB EXHAUST,300,,DUTY/STANDBY WITH EF-2. INTERLOCK WITH SF-1
EF-2,LAB EXHAUST,300,,
EF-3A,STORE,300,,LEAD/LAG
EF-3B,OFFICE,300,,LEAD/LAG
EF-4,GENERATOR ROOM,300,,REDUNDANT FAN
EF-5,GENERATOR ROOM,300,,REDUNDANT FAN
EF-6,GENERATOR ROOM,300,,ON STANDBY POWER
EF-7,ARCHIVE,300,,N+1 REDUNDANCY
EF-8,KITCHENETTE,300,EF-9,
EF-9,KITCHENETTE,300,,
EF-10,SHOP,300,NONE,
EF-11,SHOP,300,DUTY,
EF-12,SHOP,300,STANDBY,
EF-13,ROOF,300,,STANDBY FOR EF-77
EF-14,HALL,300,,
EF-15,HALL,300,,
EF-16,PLANT,300,,"DUTY FAN; STANDBY IS EF-17, EF-18"
EF-17,PLANT,300,,
EF-18,PLANT,300,,
EF-19,CRAFT,300,,
EF-20,CRAFT,300,,
SF-1,LAB SUPPLY,300,,
`)
	p.Interlocks = []model.Interlock{{From: "EF-14", To: "EF-15", Signal: "failure", Action: "start"}, {From: "EF-19", To: "EF-20", Action: "Standby"}, {From: "EF-10", To: "EF-9", Signal: "status", Action: "start"}}
	got := read(t, p)
	for tag, want := range map[string]string{"EF-1": "EF-2", "EF-2": "EF-1", "EF-3A": "EF-3B", "EF-3B": "EF-3A", "EF-4": "EF-5", "EF-6": "", "EF-7": "", "EF-8": "EF-9", "EF-9": "EF-8", "EF-10": "",
		"EF-11": "EF-12", "EF-12": "EF-11", "EF-13": "", "EF-14": "EF-15", "EF-16": "EF-17 EF-18", "EF-17": "EF-16 EF-18", "EF-20": "EF-19", "SF-1": ""} {
		if s := strings.Join(got.tag(t, tag).Standby, " "); s != want {
			t.Errorf("%s: %q stand in, want %q", tag, s, want)
		}
	}
	if got.find("standby-partner", "EF-13") == nil {
		t.Error("nobody is told that the partner of EF-13 is not known")
	}
	if !got.says("assumed", "EF-4", "stands by with EF-5") {
		t.Error("the pair by service is not told as an assumption")
	}
	for _, tag := range []string{"EF-6", "EF-7", "EF-9", "EF-10", "EF-14"} {
		if got.find("standby-partner", tag) != nil {
			t.Errorf("%s: a partner is asked for", tag)
		}
	}
}

package points_test

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"tallywire/model"
)

// TestFanAlarmVectors holds the alarms of a plan to fifteen vectors under three
// settings, as the plan prints them: which alarm stands, and of which level. The
// vectors are worked out from ASHRAE Guideline 36-2021 and the two readings of
// its 2024 addendum.
func TestFanAlarmVectors(t *testing.T) {
	data, err := os.ReadFile("testdata/fan-alarm-vectors.tsv")
	if err != nil {
		t.Fatal(err)
	}
	levels := map[string]int{"none": 0, "L2": 2, "L4": 4}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")[1:]
	if len(lines) != 15 {
		t.Fatalf("%d vectors", len(lines))
	}
	for i, edition := range []string{"", "2024-parallel", "2024-serial"} { // 2021 is the default
		_, plan := planned(t, "Tag,Type,CFM,HP,Volts,Phase,Control,Damper\nEF-1,exhaust fan,1000,1,460,3,Starter,none\n", model.Project{Settings: model.Settings{Alarms: model.AlarmSettings{Edition: edition}}})
		var compared []model.Alarm
		for _, a := range plan.Alarms {
			if a.Mismatch != nil && a.Equipment == "EF-1" {
				compared = append(compared, a)
			}
		}
		if len(compared) != 2 {
			t.Fatalf("%d alarms of EF-1 compare command and status", len(compared))
		}
		for _, line := range lines {
			f := strings.Split(line, "\t")
			since, err1 := strconv.ParseFloat(f[3], 64)
			differed, err2 := strconv.ParseFloat(f[4], 64)
			want, known := levels[f[5+i]]
			if err1 != nil || err2 != nil || !known {
				t.Fatal(line)
			}
			got := 0
			for _, a := range compared {
				if a.Mismatch.Raised(f[1] == "on", f[2] == "on", since, differed) {
					got = a.Level
				}
			}
			if got != want {
				t.Errorf("case %s under %q: level %d, want %d", f[0], edition, got, want)
			}
		}
	}
}

// A damper and a ramp lengthen the wait after a start; a fan that has long been
// told to run is alarmed after the mismatch alone. The project's own delay wins.
func TestFanAlarmWaitsForTheDamperAtTheStartAlone(t *testing.T) {
	list := "Tag,Type,CFM,HP,Volts,Phase,Control,Damper,Damper stroke (s)\nEF-1,exhaust fan,1000,1,460,3,Starter,\"motorized, 24 V\",60\n"
	own := 120.0
	for _, c := range []struct {
		settings model.AlarmSettings
		at       float64
	}{{model.AlarmSettings{}, 75}, {model.AlarmSettings{Edition: "2024-serial"}, 75}, {model.AlarmSettings{StartDelay: &own}, 120}} {
		_, plan := planned(t, list, model.Project{Settings: model.Settings{Alarms: c.settings}})
		seen := false
		for _, a := range plan.Alarms {
			if a.ID != "EF-1/failed" {
				continue
			}
			seen = true
			if a.DelaySeconds != c.at || a.Mismatch.Raised(true, false, c.at-1, c.at-1) || !a.Mismatch.Raised(true, false, c.at, c.at) {
				t.Errorf("%+v: delay %v s, %+v: want the alarm %v s after the start", c.settings, a.DelaySeconds, *a.Mismatch, c.at)
			}
			if a.Mismatch.Raised(true, false, 600, 14) || !a.Mismatch.Raised(true, false, 600, 15) {
				t.Errorf("%+v: %+v does not come after 15 s on a fan that ran", c.settings, *a.Mismatch)
			}
		}
		if !seen {
			t.Error("no failure alarm")
		}
	}
}

package logic_test

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/logic"
)

// TestFanAlarmVectors holds the alarm logic to fifteen vectors under three
// settings. The vectors are worked out from ASHRAE Guideline 36-2021 and the two
// readings of its 2024 addendum.
func TestFanAlarmVectors(t *testing.T) {
	data, err := os.ReadFile("testdata/fan-alarm-vectors.tsv")
	if err != nil {
		t.Fatal(err)
	}
	levels := map[string]int{"none": 0, "L2": 2, "L4": 4}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	if len(lines) != 16 {
		t.Fatalf("%d lines", len(lines))
	}
	for _, line := range lines[1:] {
		f := strings.Split(line, "\t")
		since, err1 := strconv.ParseFloat(f[3], 64)
		mismatch, err2 := strconv.ParseFloat(f[4], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(line)
		}
		for i, edition := range []string{"2021", "2024-parallel", "2024-serial"} {
			want, known := levels[f[5+i]]
			if !known {
				t.Fatalf("case %s: %q", f[0], f[5+i])
			}
			timing := logic.TimingOf(model.AlarmSettings{Edition: edition})
			if got := timing.Level(f[1] == "on", f[2] == "on", since, mismatch); got != want {
				t.Errorf("case %s under %s: level %d, want %d", f[0], edition, got, want)
			}
		}
	}
}

// The default is the 2021 edition; the project's own delays hold the test.
func TestFanAlarmSettings(t *testing.T) {
	if logic.TimingOf(model.AlarmSettings{}) != logic.Timings["2021"] {
		t.Error("the default is not the 2021 edition")
	}
	own := logic.TimingOf(model.AlarmSettings{StartDelay: num(90)})
	if own.Level(true, false, 89, 89) != 0 || own.Level(true, false, 90, 90) != 2 {
		t.Error("a start delay of 90 s is not kept")
	}
}

package logic

import "tallywire/model"

// Timing is when a fan's mismatch alarms come, in seconds: Mismatch is how long
// command and status must differ, HoldOn and HoldOff how long the fan must have
// been commanded on or off before the difference counts. Serial begins to count
// the mismatch after the hold, parallel inside it.
type Timing struct {
	Mismatch, HoldOn, HoldOff float64
	Serial                    bool
}

// Timings are the fan alarm timings by edition. ASHRAE Guideline 36-2021: 15 s
// of mismatch both ways. Its 2024 addendum holds the test until the fan has
// been commanded on for 15 s, off for 60 s, and does not say whether the
// mismatch runs inside the hold or after it: both readings stand.
var Timings = map[string]Timing{
	"":              {Mismatch: 15},
	"2021":          {Mismatch: 15},
	"2024-parallel": {Mismatch: 15, HoldOn: 15, HoldOff: 60},
	"2024-serial":   {Mismatch: 15, HoldOn: 15, HoldOff: 60, Serial: true},
}

// TimingOf returns the timing that the project's settings ask for; the
// project's own delays replace the hold.
func TimingOf(s model.AlarmSettings) Timing {
	t := Timings[s.Edition]
	if s.StartDelay != nil {
		t.HoldOn = *s.StartDelay
	}
	if s.StopDelay != nil {
		t.HoldOff = *s.StopDelay
	}
	return t
}

// Level is the alarm level of a fan, 0 none: commanded and status as they are,
// since how many seconds the command stands, and how many seconds the two have
// differed without a break. Level 2: commanded on and not running. Level 4:
// running while off.
func (t Timing) Level(commanded, running bool, since, mismatch float64) int {
	if commanded == running {
		return 0
	}
	hold, level := t.HoldOff, 4
	if commanded {
		hold, level = t.HoldOn, 2
	}
	if t.Serial {
		mismatch = min(mismatch, since-hold)
	}
	if since < hold || mismatch < t.Mismatch {
		return 0
	}
	return level
}

package logic

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// say adds a finding about a fan with its place; Source is common practice
// unless given.
func (k *checker) say(f *fan, x finding.Finding) {
	x.Subject, x.Where = f.eq.Tag, f.eq.Where
	x.Message = f.whose() + x.Message
	if x.Source == "" {
		x.Source = "common practice"
	}
	k.tell(x)
}

// Figures of status devices.
const (
	tripMargin   = 1.5  // full-load current against the lowest trip (common practice)
	magnetising  = 0.35 // least current of an induction motor on a drive, share of full load (common practice: 0.3 to 0.4)
	bladeSwitchP = 25   // hp from which the actuator's own switch is no proof of the blades (common practice)
)

func (k *checker) checkStatus(f *fan) {
	if !f.status.bound {
		return
	}
	d := k.devices[f.status.device]
	k.statusTrip(f, d)
	k.statusPlace(f, d)
	k.statusShared(f, d)
	k.bypassUnseen(f)
	k.oneWayAlarm(f)
}

// fullLoad is the motor's full-load current in A.
func fullLoad(f *fan) (float64, bool) {
	if f.eq.Ratings.Current == nil {
		return 0, false
	}
	v, ok := f.eq.Ratings.Current.In("A")
	return v.Lo, ok
}

// lowest is the lowest speed of the fan as a share; 1 for one speed.
func lowest(f *fan) (float64, bool) {
	if f.speedBy == "" {
		return 1, true
	}
	if f.eq.Ratings.MinSpeed == nil {
		return 0, false
	}
	v, ok := f.eq.Ratings.MinSpeed.In("%")
	return v.Lo / 100, ok
}

// statusTrip: current and pressure switches prove at full load and at the
// lowest speed. Affinity laws: pressure goes with the square of speed, the
// current of an electronic motor with the cube; an induction motor on a drive
// keeps its magnetising current.
func (k *checker) statusTrip(f *fan, d *model.Device) {
	for _, t := range d.Spec.Terminals {
		switch {
		case t.Trip != nil:
			k.currentTrip(f, t.Trip.Lo/turns(d))
		case t.TripPressure != nil:
			k.pressureTrip(f, t.TripPressure.Lo)
		}
	}
}

// turns is how often the motor lead passes through a current switch; 1 unless
// the project sets it on the device.
func turns(d *model.Device) float64 {
	for _, s := range d.Settings {
		if n, err := strconv.ParseFloat(s.Value, 64); s.Name == "turns" && err == nil && n >= 1 {
			return n
		}
	}
	return 1
}

// currentTrip takes the lowest current of the motor lead that trips the switch.
func (k *checker) currentTrip(f *fan, trip float64) {
	amps, known := fullLoad(f)
	if !known {
		k.fan(f, "status-never-trips", finding.Note, "whether its current switch trips is not known: the motor's full-load current is not stated", "give the full-load current in the list")
		return
	}
	if amps < tripMargin*trip {
		k.say(f, finding.Finding{Code: "status-never-trips", Severity: finding.Caution,
			Message: fmt.Sprintf("its current switch never proves: full load is %s A, the lowest trip is %s A, and full load is to be %s times that", model.Figure(amps), model.Figure(trip), model.Figure(tripMargin)),
			Numbers: []finding.Number{{Name: "full load", Value: amps, Unit: "A"}, {Name: "lowest trip", Value: trip, Unit: "A"}},
			Fix:     fmt.Sprintf("a low-range switch, or %d turns of the motor lead through it", int(math.Ceil(tripMargin*trip/amps)))})
		return
	}
	least, known := lowest(f)
	switch {
	case !known:
		k.fan(f, "status-at-low-speed", finding.Note, "whether its status proves at the lowest speed is not known: the lowest speed is not stated", "state the lowest speed; the current switch is set below the current at that speed")
		return
	case least >= 1:
		return
	}
	share, law := magnetising, "an induction motor keeps about 35 % of its current"
	if f.eq.Ratings.MotorType == "ec" || f.eq.Control == "ec-direct" || f.eq.Control == "fan-interface-box" {
		share, law = least*least*least, "the current of an electronic motor goes with the cube of speed"
	}
	if low := amps * share; low < trip {
		k.say(f, finding.Finding{Code: "status-at-low-speed", Severity: finding.Caution,
			Message: fmt.Sprintf("its current switch loses the fan at its lowest speed: at %s %% %s, %s A, and the lowest trip is %s A", model.Figure(100*least), law, model.Figure(low), model.Figure(trip)),
			Numbers: []finding.Number{{Name: "current at lowest speed", Value: low, Unit: "A"}, {Name: "lowest trip", Value: trip, Unit: "A"}},
			Fix:     "more turns through the switch, a lower range, or a drive relay on motor current", Source: "fan affinity laws"})
	}
	if idle := amps * magnetising; f.eq.Ratings.Drive == "belt" && strings.HasPrefix(f.eq.Control, "variable-frequency-drive") && idle >= trip {
		k.say(f, finding.Finding{Code: "status-at-low-speed", Severity: finding.Caution,
			Message: fmt.Sprintf("a broken belt is not seen at low speed: belt off, lowest speed: the motor alone draws about %s A, the switch trips from %s A: it reads running with the belt off", model.Figure(idle), model.Figure(trip)),
			Numbers: []finding.Number{{Name: "current without load", Value: idle, Unit: "A"}, {Name: "lowest trip", Value: trip, Unit: "A"}},
			Fix:     "a pressure switch, or a drive function that compares current with speed"})
	}
}

func (k *checker) pressureTrip(f *fan, trip float64) {
	least, known := lowest(f)
	if f.eq.Ratings.Pressure == nil || !known {
		if f.speedBy != "" {
			k.fan(f, "status-at-low-speed", finding.Note, "whether its pressure switch proves at the lowest speed is not known: fan pressure or lowest speed is not stated", "state both: pressure goes with the square of speed")
		}
		return
	}
	full, ok := f.eq.Ratings.Pressure.In("in.wc")
	if !ok {
		return
	}
	if low := full.Lo * least * least; trip > low {
		k.say(f, finding.Finding{Code: "status-at-low-speed", Severity: finding.Caution,
			Message: fmt.Sprintf("its pressure switch loses the fan at its lowest speed: %s in.wc x %s^2 = %s in.wc, and the switch makes from %s in.wc", model.Figure(full.Lo), model.Figure(least), model.Figure(low), model.Figure(trip)),
			Numbers: []finding.Number{{Name: "pressure at lowest speed", Value: low, Unit: "in.wc"}, {Name: "lowest trip", Value: trip, Unit: "in.wc"}},
			Fix:     "a lower or an analog pressure switch, or proof by current", Source: "fan affinity laws"})
	}
}

// statusPlace: a current switch on the line side of a drive sees the
// rectifier, not the motor.
func (k *checker) statusPlace(f *fan, d *model.Device) {
	for _, t := range d.Spec.Terminals {
		if t.Trip == nil || !strings.HasPrefix(f.eq.Control, "variable-frequency-drive") {
			continue
		}
		for _, c := range k.into[model.End{Device: d.ID, Terminal: t.ID}] {
			if from := k.devices[c.Drive.Device]; from != nil && from.Role != "drive" {
				k.fan(f, "status-place", finding.Fault, "its current switch sits on the line side of the drive: motor stopped, drive powered: standby and rectifier current can read running",
					"put it on the load side, rated for a drive's output, or use the drive's relay set to motor current")
			}
		}
	}
}

// statusShared: one sensing device for several fans hides a dead one.
func (k *checker) statusShared(f *fan, d *model.Device) {
	for _, other := range k.fans {
		if other == f || !other.status.bound || other.status.device != d.ID || k.byDevice[d.ID] != nil {
			continue
		}
		k.fan(f, "status-shared", finding.Fault, "one status device stands for several fans: one of them dead, the other running: both read running", "one sensor for each motor")
		return
	}
}

// bypassUnseen: a drive with a bypass tells the BAS when the bypass runs the motor.
func (k *checker) bypassUnseen(f *fan) {
	if f.bypass == never && f.eq.Control != "variable-frequency-drive-bypass" || k.points[f.eq.Tag+"/bypass-active"] != nil {
		return
	}
	q := k.and(f.told, f.bypass, k.not(f.speed))
	s, runs := k.engine.possible(k.and(q, k.calm(q, kindEvent, kindPower, kindMotor)))
	if !runs {
		return
	}
	k.fan(f, "bypass-unseen", finding.Caution, k.story(s, f)+": the motor runs at full speed, the drive's speed and status read off, and no point tells the BAS: its loop winds up",
		"land the bypass contact as bypass-active, take the status after the bypass, and hold the loop in bypass")
}

// forever is longer than any alarm waits, s.
const forever = 1e9

// oneWayAlarm: a mismatch of command and status has two directions.
func (k *checker) oneWayAlarm(f *fan) {
	if !f.hasBAS || len(k.alarms[f.eq.Tag]) == 0 {
		return
	}
	failed, off := false, false
	for _, a := range k.alarms[f.eq.Tag] {
		if m := a.Mismatch; m != nil {
			failed = failed || m.Raised(true, false, forever, forever)
			off = off || m.Raised(false, true, forever, forever)
		} else if strings.HasSuffix(a.ID, "/failed") && a.Algorithm == "command-failure" {
			failed, off = true, true
		}
	}
	if !failed || off {
		return
	}
	s, runs := k.runsUnasked(f, always)
	if !runs {
		return // nothing but the BAS runs it
	}
	k.fan(f, "one-way-alarm", finding.Caution, "only failed-to-run is alarmed: "+k.story(s, f)+": it runs for months and nobody is told", "add running-while-off with a longer delay")
}

// protection are the schemes whose fans protect something when nobody looks.
var protection = []string{"elevator-machine-room", "electrical-room", "generator-room", "chemical-store-exhaust", "natatorium-exhaust"}

func protects(f *fan) bool { return slices.Contains(protection, f.scheme.ID) }

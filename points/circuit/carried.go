package circuit

import (
	"fmt"
	"math"
	"strings"

	"tallywire/model"
)

// askCarried asks what depends on what a circuit is for: the point it carries,
// the machine it serves, its alarms.
func (x *index) askCarried() map[int][]answer {
	points := map[string]*model.Point{}
	for i := range x.net.Points {
		points[x.net.Points[i].Key] = &x.net.Points[i]
	}
	machines := map[string]*model.Equipment{}
	for i := range x.net.Equipment {
		machines[x.net.Equipment[i].Tag] = &x.net.Equipment[i]
	}
	delays := map[string]*model.Alarm{}
	for i := range x.net.Alarms {
		if a := &x.net.Alarms[i]; a.Algorithm == "command-failure" || strings.Contains(a.ID, "fail") {
			delays[a.Equipment] = a
		}
	}
	out := map[int][]answer{}
	for i := range x.net.Circuits {
		c := &x.net.Circuits[i]
		if !x.carries(c) {
			continue
		}
		j, trouble := x.join(c)
		if trouble != nil {
			continue
		}
		j.askFailSafe()
		j.askSense(points[c.Point])
		j.askAction()
		j.askFailValue(points[c.Point])
		j.askSpeeds(machines[c.Equipment], x.devices)
		j.askDelay(delays[c.Equipment], machines[c.Equipment])
		if len(j.answers) > 0 {
			out[i] = j.answers
		}
	}
	return out
}

// carries says that there may be something to ask of what a circuit carries.
func (x *index) carries(c *model.Circuit) bool {
	if len(x.net.Points)+len(x.net.Equipment)+len(x.net.Alarms) > 0 {
		return true
	}
	t := x.terminal(plain(c.Drive))
	return t != nil && (t.Action != "" || t.Follows == "trip")
}

// askFailSafe: a safety contact opens on the event, so that a cut wire does too.
func (j *joint) askFailSafe() {
	d := j.drive.t
	safety := j.c.Purpose == "safety" || j.c.Purpose == "shutdown" || j.c.Purpose == "interlock"
	if !safety || d.Nature != model.Contact || d.Follows != "trip" {
		return
	}
	opens := d.Form == "normally-closed"
	if d.Healthy == "energised" {
		opens = d.Form == "normally-open"
	}
	switch {
	case d.Form == "":
		j.unknown("fail-safe", atDrive, "whether "+j.drive.name()+" opens or closes on the event", "one that opens")
	case d.Form == "changeover", opens:
		j.tell("fail-safe", model.Pass, atDrive, "the contact opens on the event, and so does a cut wire", "common practice", "")
	default:
		j.tell("fail-safe", model.Fault, atDrive, j.drive.name()+" is open while all is well: a cut or loose wire is never noticed, and the shutdown does not come", "common practice",
			"use the contact that is closed while all is well")
	}
}

// askSense: contact form, polarity and state agree, the sense being turned
// round at most once.
func (j *joint) askSense(p *model.Point) {
	d := j.drive.t
	if p == nil || d.Nature != model.Contact || p.ObjectType != model.BinaryInput || p.ContactSense == "" || p.Polarity == "" || d.Form == "" || d.Form == "changeover" {
		return
	}
	closes := d.Form == "normally-open" // on the event that the point reports
	if d.Healthy == "energised" {
		closes = !closes
	}
	if closes == (p.Polarity == "normal") {
		j.tell("sense", model.Pass, atDrive, fmt.Sprintf("the contact %s on the event and the polarity is %s: the point is active then", opensOrCloses(closes), p.Polarity), "ASHRAE 135, clause 12.6", "")
		return
	}
	want := "reverse"
	if closes {
		want = "normal"
	}
	j.tell("sense", model.Fault, atDrive, fmt.Sprintf("the contact %s on the event, and polarity %s turns that into inactive: the state texts stand the wrong way round, a permanent alarm or one that never comes", opensOrCloses(closes), p.Polarity),
		"ASHRAE 135, clause 12.6", "set the polarity to "+want+", and turn the sense nowhere else")
}

func opensOrCloses(closes bool) string {
	if closes {
		return "closes"
	}
	return "opens"
}

// askAction: both ends of a signal count the same way.
func (j *joint) askAction() {
	d := j.drive.t
	if d.Nature != model.AnalogVoltage && d.Nature != model.AnalogCurrent || d.Action == "" {
		return
	}
	for i, a := range j.accepts {
		if a.t.Nature != d.Nature || a.t.Action == "" {
			continue
		}
		if a.t.Action == d.Action {
			j.tell("action", model.Pass, i, "both ends are "+d.Action+"-acting", a.t.Source, "")
			continue
		}
		j.tell("action", model.Fault, i, fmt.Sprintf("%s is %s-acting and %s %s-acting: at 0 %%, at power-up and with a lost wire the fan runs at full speed", j.drive.name(), d.Action, a.name(), a.t.Action), a.t.Source,
			"set both ends alike, and write what 0 V does beside the point")
	}
}

// askFailValue: what an input does when its wire breaks is what the scheme
// asks for.
func (j *joint) askFailValue(p *model.Point) {
	if p == nil || p.Role != model.RoleSpeed {
		return
	}
	want, asked := p.FailPercent()
	for i, a := range j.accepts {
		if a.t.Nature != j.drive.t.Nature || !asked || a.t.RunThreshold == nil && a.t.FailValue == nil {
			continue
		}
		switch {
		case a.t.FailValue == nil && want != 0:
			j.unknown("fail-value", i, "what "+a.name()+" does when its wire breaks", show(want)+" %")
		case a.t.FailValue == nil:
		case *a.t.FailValue == want:
			j.tell("fail-value", model.Pass, i, fmt.Sprintf("a broken wire leaves %s %%, as the scheme asks", show(want)), a.t.Source, "")
		default:
			j.tell("fail-value", model.Fault, i, fmt.Sprintf("a broken wire leaves %s at %s %%, and the scheme asks for %s %%", a.name(), show(*a.t.FailValue), show(want)), a.t.Source,
				"use a live zero (2-10 V, 4-20 mA) with a preset speed on loss of the reference")
		}
	}
}

// askSpeeds: the lowest command turns the motor, one place owns the minimum,
// and the drive reaches the speed on the schedule.
func (j *joint) askSpeeds(e *model.Equipment, devices map[string]*model.Device) {
	d := j.drive.t
	if e == nil || d.Nature != model.AnalogVoltage && d.Nature != model.AnalogCurrent {
		return
	}
	for i, a := range j.accepts {
		if a.t.Nature != d.Nature || !strings.HasPrefix(a.t.Function, "speed") && a.t.RunThreshold == nil {
			continue
		}
		least, set := 0.0, false
		if q := e.Ratings.MinSpeed; q != nil {
			if v, ok := q.In("%"); ok {
				least, set = v.Lo, true
			}
		}
		if r, ok := commonRange(settings(d), settings(a.t)); ok && set && a.t.RunThreshold != nil {
			signal := r.Lo + (r.Hi-r.Lo)*least/100
			j.hold(limit{code: "min-command", place: i, value: model.Exactly(signal), relation: ">=", limit: *a.t.RunThreshold, unit: unitOf(d), source: a.t.Source, broken: model.Caution,
				text: fmt.Sprintf("the lowest command of %s %% is %s %s; %s turns the motor from %s %s", show(least), show(signal), unitOf(d), a.name(), show(*a.t.RunThreshold), unitOf(d)),
				fix:  "set the lowest command above the run threshold, or the fan is on and does not turn"})
		}
		j.driveSpeeds(i, e, devices[a.end.Device], least, set)
	}
}

// driveSpeeds compares what is set on the drive with the schedule.
func (j *joint) driveSpeeds(i int, e *model.Equipment, drive *model.Device, least float64, set bool) {
	own, ok := numberSet(drive, "min-speed")
	switch {
	case !ok || !set || own <= 0 || least <= 0:
	case own == least:
		j.tell("two-minima", model.Pass, i, fmt.Sprintf("drive and automation system hold the same minimum of %s %%", show(own)), "common practice", "")
	default:
		j.tell("two-minima", model.Caution, i, fmt.Sprintf("the drive holds %s %% at least and the automation system %s %%: the fan cannot turn down below the higher of the two", show(own), show(least)), "common practice",
			"let one place own the minimum: the drive as a protection, the automation system as the setting")
	}
	most, okMost := numberSet(drive, "max-frequency")
	base, okBase := numberSet(drive, "base-speed")
	if q := e.Ratings.Speed; okMost && okBase && q != nil && base > 0 && e.Ratings.Drive == "direct" {
		if rpm, ok := q.In("rpm"); ok {
			need := rpm.Hi / base * mainsHertz
			j.hold(limit{code: "speed-limit", place: i, value: model.Exactly(need), relation: "<=", limit: most, unit: "Hz", source: "common practice",
				text: fmt.Sprintf("%s rpm / %s rpm x %d Hz = %s Hz; the drive is set to %s Hz at most, so it gives %s %% of the speed", show(rpm.Hi), show(base), mainsHertz, show(need), show(most), show(math.Min(100, most/need*100))),
				fix:  fmt.Sprintf("set the highest frequency to %s Hz if motor and fan may, and take 100 %% as that", show(math.Ceil(need)))})
		}
	}
}

// startSlack is what a failure alarm waits beyond damper and ramp, s: common practice.
const startSlack = 10

// askDelay: a failure alarm waits for the damper and the ramp.
func (j *joint) askDelay(a *model.Alarm, e *model.Equipment) {
	if a == nil || e == nil || j.c.Purpose != "start" || e.Damper.Stroke == nil || j.logic == nil || j.logic.RampSeconds == nil {
		return
	}
	stroke, ok := e.Damper.Stroke.In("s")
	if !ok {
		return
	}
	need := stroke.Hi + *j.logic.RampSeconds + startSlack
	j.hold(limit{code: "alarm-delay", place: 0, value: model.Exactly(a.DelaySeconds), relation: ">=", limit: need, unit: "s", source: "common practice",
		text: fmt.Sprintf("damper %s s + ramp %s s + %d s = %s s until the fan can be proved; the alarm waits %s s", show(stroke.Hi), show(*j.logic.RampSeconds), startSlack, show(need), show(a.DelaySeconds)),
		fix:  fmt.Sprintf("let the alarm wait %s s", show(need))})
}

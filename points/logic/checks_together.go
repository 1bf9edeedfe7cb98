package logic

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// checkTogether asks what concerns several fans, and points of all.
func (k *checker) checkTogether() {
	k.chains()
	k.oneLoop()
	k.priorities()
	k.restartSettings()
	k.listings()
	for _, f := range k.fans {
		k.sensorRanges(f)
		k.backspin(f)
		k.proofSkipped(f)
		k.owners(f)
		k.standby(f)
	}
}

// longest chain of starts that is still easy to see through.
const chainDepth = 2

// chains tells starts that hang on each other more than two deep.
func (k *checker) chains() {
	up := map[*fan][]*fan{}
	followed := map[*fan]bool{}
	for _, f := range k.fans {
		up[f] = k.startersOf(f)
		for _, u := range up[f] {
			followed[u] = true
		}
	}
	longest, busy := map[*fan][]*fan{}, map[*fan]bool{}
	var path func(*fan) []*fan
	path = func(f *fan) []*fan {
		if p, done := longest[f]; done || busy[f] {
			return p
		}
		busy[f] = true
		best := []*fan{}
		for _, u := range up[f] {
			if p := path(u); len(p) > len(best) {
				best = p
			}
		}
		busy[f] = false
		longest[f] = append(slices.Clone(best), f)
		return longest[f]
	}
	for _, f := range k.fans {
		if followed[f] || len(up[f]) == 0 {
			continue
		}
		if p := path(f); len(p)-1 > chainDepth {
			names := make([]string, 0, len(p))
			for _, x := range p {
				names = append(names, x.name)
			}
			k.say(f, finding.Finding{Code: "interlock-depth", Severity: finding.Caution,
				Message: "its start hangs at the end of a chain: " + strings.Join(names, " starts ") + ": the first one trips and every one of them alarms",
				Fix:     "start them side by side from one command, and hold back the alarms below the first"})
		}
	}
}

// startersOf lists the fans that a fan's start reads.
func (k *checker) startersOf(f *fan) []*fan {
	var out []*fan
	add := func(u *fan) {
		if u != nil && u != f && !slices.Contains(out, u) {
			out = append(out, u)
		}
	}
	for _, e := range k.soft[f.name] {
		if e.action == "start" || e.action == "follow" {
			add(e.from)
		}
	}
	for _, c := range f.starts {
		for _, w := range k.wiresIn(c.value) {
			add(k.isFan[w])
		}
	}
	return out
}

// wiresIn lists the wires a formula reads directly.
func (k *checker) wiresIn(r ref) []ref {
	if k.list[r].op == opWire {
		return []ref{r}
	}
	var out []ref
	for _, a := range k.args(r) {
		out = append(out, k.wiresIn(a)...)
	}
	return out
}

// oneLoop: one pressure of one space is held by one loop.
func (k *checker) oneLoop() {
	seen := map[string]*fan{}
	for _, f := range k.fans {
		if f.scheme.ID != "return" && f.scheme.ID != "relief" || k.points[f.eq.Tag+"/building-pressure"] == nil {
			continue
		}
		key := f.eq.System
		first := seen[key]
		switch {
		case first == nil:
			seen[key] = f
		case first.scheme.ID != f.scheme.ID:
			k.say(f, finding.Finding{Code: "one-loop", Severity: finding.Caution,
				Message: fmt.Sprintf("%s and %s both hold the building pressure: two loops on one pressure hunt", first.name, f.name),
				Fix:     "one loop for each space: relief holds the building pressure, the return fan a flow offset or its own plenum", Source: "ASHRAE Guideline 36, clause 5.16"})
		}
	}
}

// operator is the BACnet priority of a manual operator (ASHRAE 135, table 19-1).
const operator = 8

// priorities: what life safety writes outranks an operator.
func (k *checker) priorities() {
	keys := make([]string, 0, len(k.points))
	for key := range k.points {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, finding.CompareTags)
	for _, key := range keys {
		p := k.points[key]
		if !p.LifeSafety || p.Priority == nil || *p.Priority < operator || !strings.HasSuffix(p.ObjectType, "-output") {
			continue
		}
		k.tell(finding.Finding{Code: "life-safety-priority", Severity: finding.Fault, Subject: key, Where: p.Where,
			Message: fmt.Sprintf("a life-safety command writes at priority %d, an operator at %d: operator override left on, fire alarm: the operator's value stays", *p.Priority, operator),
			Numbers: []finding.Number{{Name: "priority", Value: float64(*p.Priority)}}, Fix: "priority 1 or 2 for life safety; report operator overrides that stay", Source: "ASHRAE 135, table 19-1"})
	}
}

// accuracy of a pressure sensor, share of its range (common practice: 1 %).
const accuracy = 0.01

// Small pressures that fans hold, in.wc (common practice).
var smallPressure = map[string]float64{"building-pressure": 0.05, "room-pressure": 0.01}

// sensorRanges: a sensor's range is the input's, and fine enough for what it holds.
func (k *checker) sensorRanges(f *fan) {
	for _, d := range k.of[f.eq.Tag] {
		if d.Spec == nil {
			continue
		}
		for _, t := range d.Spec.Terminals {
			if t.Measures == nil {
				continue
			}
			for _, p := range k.carriedFrom(d.ID, t.ID) {
				if p.Range != nil && *p.Range != *t.Measures {
					true35, shown := 35.0, 0.0
					shown = (true35-t.Measures.Lo)/(t.Measures.Hi-t.Measures.Lo)*(p.Range.Hi-p.Range.Lo) + p.Range.Lo
					k.say(f, finding.Finding{Code: "sensor-range", Severity: finding.Fault,
						Message: fmt.Sprintf("the sensor of %s measures %s %s, its input is scaled %s: %s true shows %s", p.Role, t.Measures, t.MeasuresUnit, p.Range, model.Figure(true35), model.Figure(shown)),
						Fix:     "one range in the submittal and at the input", Source: "arithmetic"})
				}
			}
		}
	}
	for _, role := range []string{"building-pressure", "room-pressure"} {
		p, set := k.points[f.eq.Tag+"/"+role], smallPressure[role]
		if p == nil || p.Range == nil || p.Units != "inches-of-water" {
			continue
		}
		if sp := k.points[f.eq.Tag+"/setpoint-pressure"]; sp != nil {
			if v, err := strconv.ParseFloat(sp.RelinquishDefault, 64); err == nil && v != 0 {
				set = max(v, -v)
			}
		}
		if err := accuracy * (p.Range.Hi - p.Range.Lo); err > 0.2*set {
			k.say(f, finding.Finding{Code: "sensor-fineness", Severity: finding.Caution,
				Message: fmt.Sprintf("the sensor of %s is too coarse: 1 %% of %s in.wc is %s in.wc, more than a fifth of the %s in.wc that it is to hold", role, p.Range, model.Figure(err), model.Figure(set)),
				Numbers: []finding.Number{{Name: "error", Value: err, Unit: "in.wc"}, {Name: "set point", Value: set, Unit: "in.wc"}},
				Fix:     "a range of 0.25 or 0.5 in.wc"})
		}
	}
}

// carriedFrom lists the points that a terminal's circuits carry.
func (k *checker) carriedFrom(device, terminal string) []*model.Point {
	var out []*model.Point
	for _, c := range k.circuits {
		if c.Drive.Device == device && c.Drive.Terminal == terminal {
			if p := k.points[c.Point]; p != nil {
				out = append(out, p)
			}
		}
	}
	return out
}

// backspin: primary air must not turn a series fan backwards before it starts.
func (k *checker) backspin(f *fan) {
	if f.scheme.ID != "series-terminal" || k.points[f.eq.Tag+"/primary-damper"] == nil {
		return
	}
	for _, e := range k.soft[f.name] {
		if e.action == "permit" && strings.Contains(e.Signal, "damper") {
			return
		}
	}
	k.fan(f, "backspin", finding.Caution, "nothing keeps primary air from turning the fan backwards before it starts: damper open, fan off, start: the motor stalls",
		"state the interlock of the terminal on itself: signal primary-damper-shut, action permit: damper shut for 30 to 60 s, start, wait 10 s, release the damper")
}

// proofSkipped: damper proof inside a drive works with a wired start only.
func (k *checker) proofSkipped(f *fan) {
	p := k.points[f.eq.Tag+"/start"]
	if p == nil || p.Carried != model.Network || f.dev == nil || f.dev.Role != "drive" {
		return
	}
	for _, s := range f.safeties {
		for _, c := range k.into[model.End{Device: f.dev.ID, Terminal: s.input}] {
			if d := k.devices[c.Drive.Device]; d != nil && d.Role == "damper" {
				k.fan(f, "proof-skipped", finding.Fault, "the drive proves the damper by its own logic and is started over the network: network start, damper shut: the proof is skipped and it runs",
					"wire the start to the drive's start input")
			}
		}
	}
}

// owners: of a factory-controlled unit each point has an owner.
func (k *checker) owners(f *fan) {
	if f.eq.Control != "packaged" || f.name != f.eq.Tag {
		return
	}
	var blank, twice []string
	for _, key := range k.keysOf[f.eq.Tag] {
		p := k.points[key]
		if p.Carried == model.Software {
			continue
		}
		if p.FurnishedBy == "" {
			blank = append(blank, p.Role)
		}
		if p.Carried == model.Network && k.points[f.eq.Tag+"/"+strings.TrimPrefix(p.Role, "net-")] != p && k.points[f.eq.Tag+"/"+strings.TrimPrefix(p.Role, "net-")] != nil {
			twice = append(twice, p.Role)
		}
	}
	if len(blank) > 0 {
		k.fan(f, "point-owner", finding.Caution, "who furnishes these points of the factory-controlled unit is not said: "+strings.Join(blank, ", "), "one owner for each point: factory or controls; put the protocol option on the order")
	}
	if len(twice) > 0 {
		k.fan(f, "point-owner", finding.Caution, "wired and on the network as well: "+strings.Join(twice, ", "), "say which of the two is the source of truth")
	}
}

// standby: the fan that takes over when another fails does so, and gives way.
func (k *checker) standby(f *fan) {
	for _, e := range k.soft[f.name] {
		signal := strings.ToLower(e.Signal)
		if e.from == nil || e.from == f || !slices.Contains([]string{"failed", "failure", "alarm", "fault"}, signal) || e.action != "start" {
			continue
		}
		if !e.from.status.bound || e.from.status.follows == "command" {
			k.fan(f, "standby-handover", finding.Fault, "it is to take over when "+e.from.name+" fails, and that status follows the command: motor failed, told to run: reads running, standby stays off", "prove the duty fan by current or air")
			continue
		}
		q := k.and(e.from.command, k.not(k.motor(e.from)), k.not(f.told), f.inAuto)
		q = k.and(q, k.calm(q, kindEvent, kindPower))
		if e.from.inAuto != always {
			q = k.and(q, e.from.inAuto)
		}
		if s, bad := k.engine.possible(q); bad {
			k.fan(f, "standby-handover", finding.Fault, "it does not take over in every state: "+k.story(s, f)+": it stays off", "start it on the failure of the duty fan alone; check reference and permissives")
			continue
		}
		q = k.and(f.told, k.follow(e.from, "motor-current"), e.from.command, f.inAuto, k.not(f.request), k.not(f.speed), k.not(f.bypass))
		for _, c := range f.starts {
			q = k.and(q, k.not(c.value))
		}
		if s, bad := k.engine.possible(k.and(q, k.calm(q, kindEvent, kindPower, kindMotor, kindOwn))); bad {
			k.fan(f, "standby-handover", finding.Caution, "it does not give way when "+e.from.name+" is back: "+k.story(s, f)+": both run", "a start that drops out with the failure, not one that holds itself; let the sequence change the duty back")
		}
	}
}

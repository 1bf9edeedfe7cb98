package logic_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/logic"
)

// checkPair is a check that the rows of the field mistakes do not reach: what
// it finds, with which severity, and what is clean of it.
type checkPair struct {
	name, code, subject string
	severity            finding.Severity
	words               []string
	bad, good           func(*site)
}

func conflict(events ...string) func(*site) {
	return func(s *site) {
		s.fan("SEF-1", "smoke-exhaust", "drive", "drive-460", "", "speed")
		for i, e := range events {
			s.link(e, "SEF-1", "", []string{"start", "stop"}[i], &yes)
		}
	}
}

func withRelease(release string) func(*site) {
	return func(s *site) {
		s.fan("EF-1", "exhaust-constant", "box", "interface-box", "stop", "start", "status", "override-active")
		s.fireOverride("EF-1", "EF-1/box")
		s.change("EF-1/box", func(t *model.DeviceType) { t.Logic.Overrides[0].Release = release })
	}
}

func standby(proof, signal, action string) func(*site) {
	return func(s *site) {
		for _, tag := range []string{"LEF-1", "LEF-2"} {
			s.fan(tag, "lab-exhaust", "starter", "starter-480", "continue", "start", "not-in-auto")
			if proof != "" {
				s.switchFor(tag, proof)
			} else {
				s.point(tag, "status", s.at(tag+"/starter", "aux"), model.End{}, "status")
			}
		}
		s.link("LEF-1", "LEF-2", signal, action, &no)
	}
}

func smoke(stroke, limit float64, ramp *float64) func(*site) {
	return func(s *site) {
		e := s.fan("SEF-1", "smoke-exhaust", "drive", "drive-460", "run", "speed", "override-active")
		s.fireOverride("SEF-1", "SEF-1/drive")
		e.Damper = model.Damper{Kind: "motorised", Fail: "open", Stroke: quantity(stroke, "s")}
		s.project.Settings.Fire.ResponseSeconds = &limit
		s.change("SEF-1/drive", func(t *model.DeviceType) { t.Logic.RampSeconds = ramp })
	}
}

func commanded(fire string, byFan bool) func(*site) {
	return func(s *site) {
		s.fan("EF-1", "exhaust-constant", "box", "interface-box", fire, "start", "status", "override-active")
		s.fireOverride("EF-1", "EF-1/box")
		damper(s, "EF-1", "damper-24v", "")
		if byFan {
			s.wire("EF-1", "damper-power", "damper-power", s.at("EF-1/box", "damper"), s.at("EF-1/damper", "power"))
		} else {
			s.point("EF-1", "damper", model.End{}, s.at("EF-1/damper", "power"), "damper-command")
		}
	}
}

func lag(stroke float64) func(*site) {
	return func(s *site) {
		s.fan("EF-1", "exhaust-variable", "drive", "drive-460", "none", "start", "speed", "not-in-auto")
		s.device("EF-1", "damper", "damper-24v")
		s.of("EF-1").Damper = model.Damper{Kind: "motorised", Stroke: quantity(stroke, "s")}
		s.wire("EF-1", "damper-power", "damper-power", s.at("EF-1/drive", "damper-relay"), s.at("EF-1/damper", "power"))
	}
}

func alarmed(by ...string) func(*site) {
	return func(s *site) {
		s.fan("EF-1", "exhaust-constant", "box", "interface-box", "stop", "start", "status", "override-active")
		s.fireOverride("EF-1", "EF-1/box")
		s.alarm("EF-1/failed", 60, by...)
		s.alarm("EF-1/running-while-off", 60)
	}
}

func late(delay float64) func(*site) {
	return func(s *site) {
		s.fan("EF-1", "exhaust-variable", "drive", "drive-460", "none", "start", "speed", "not-in-auto")
		s.of("EF-1").Damper.Stroke = quantity(60, "s")
		s.alarm("EF-1/failed", delay, "EF-1/not-in-auto")
	}
}

func chained(permit bool) func(*site) {
	return func(s *site) {
		boxFan(s, "EF-1")
		if permit {
			s.link("EF-1", "EF-1", "status", "permit", &no)
		}
	}
}

// stairPanel is a stair fan that the fire panel runs, with what stops and starts it.
func stairPanel(events ...string) func(*site) {
	return func(s *site) {
		s.equipment = append(s.equipment, model.Equipment{Tag: "SPF-1", Kind: "stair-pressurization-fan", Scheme: "stair-pressurization", Control: "fire-panel", FireResponse: "run"})
		for _, e := range events {
			action := "start"
			if e == "duct-smoke" || e == "firefighter-off" {
				action = "stop"
			}
			s.link(e, "SPF-1", "", action, &yes)
		}
	}
}

// alwaysOn is a laboratory fan whose start fails as given.
func alwaysOn(fail string) func(*site) {
	return func(s *site) {
		s.fan("LEF-1", "lab-exhaust", "starter", "starter-480", "continue", "start", "not-in-auto")
		s.points[0].FailState = fail
	}
}

// beside is a standby fan on a starter that holds itself, or does not.
func beside(seals bool) func(*site) {
	return func(s *site) {
		standby("current-switch-split", "failed", "start")(s)
		s.change("LEF-2/starter", func(t *model.DeviceType) { t.Logic.SealsIn = seals })
	}
}

// followsInFire is a fan that fire leaves alone and that follows one that it stops.
func followsInFire(follows bool) func(*site) {
	return func(s *site) {
		fireStop(s, &no, &no)
		boxFan(s, "EF-2")
		s.of("EF-2").FireResponse = "continue"
		if follows {
			s.link("EF-1", "EF-2", "status", "permit", &yes)
		}
	}
}

// stays is a fan that fire runs with a damper that fails as given.
func stays(fail string) func(*site) {
	return func(s *site) {
		smoke(30, 100, num(30))(s)
		s.of("SEF-1").Damper.Fail = fail
	}
}

// speedWire is a laboratory fan whose reference fails to a value when its wire breaks.
func speedWire(to float64) func(*site) {
	return func(s *site) {
		s.fan("LEF-1", "lab-exhaust", "drive", "drive-460", "continue", "start", "speed", "not-in-auto")
		s.change("LEF-1/drive", func(t *model.DeviceType) {
			for i := range t.Terminals {
				if t.Terminals[i].ID == t.Logic.SpeedInput {
					t.Terminals[i].FailValue = &to
				}
			}
		})
	}
}

var checkPairs = []checkPair{
	{"standby does not give way", "standby-handover", "LEF-2", finding.Caution, []string{"does not give way when LEF-1 is back", "both run"}, beside(true), beside(false)},
	{"fire stops what is to go on", "override-reach", "EF-2", finding.Caution, []string{"asks continue", "it stops with EF-1"}, followsInFire(true), followsInFire(false)},
	{"damper stays in fire", "fail-state", "SEF-1", finding.Caution, []string{"stays where it is", "fan on, damper shut"}, stays("in-place"), stays("open")},
	{"speed wire broken", "fail-state", "LEF-1", finding.Caution, []string{"broken speed wire takes it to 0 %", "moves no air"}, speedWire(0), speedWire(60)},
	{"stops with the controller", "fail-state", "LEF-1", finding.Caution, []string{"controller down", "it stops", "run always"}, alwaysOn("Off"), alwaysOn("On")},
	{"intake smoke against fire alarm", "override-conflict", "SPF-1", finding.Caution, []string{"fire alarm runs it and duct smoke detector stops it", "duct smoke detector wins, it stops"},
		stairPanel("fire-alarm", "duct-smoke", "firefighter-on", "firefighter-off"), stairPanel("fire-alarm", "firefighter-on", "firefighter-off")},
	{"stair fan without a restart", "intake-smoke", "SPF-1", finding.Caution, []string{"no firefighters' switch"},
		stairPanel("fire-alarm", "duct-smoke"), stairPanel("fire-alarm", "duct-smoke", "firefighter-on")},
	{"conflict", "override-conflict", "SEF-1", finding.Caution, []string{"fire alarm runs it", "duct smoke detector stops it", "it stops"}, conflict("fire-alarm", "duct-smoke"), conflict("fire-alarm")},
	{"release unknown", "override-release", "EF-1", finding.Caution, []string{"not declared"}, withRelease(""), withRelease("returns")},
	{"release restarts", "override-release", "EF-1", finding.Caution, []string{"all such fans start together"}, withRelease("restarts"), withRelease("stays-off")},
	{"standby on a false proof", "standby-handover", "LEF-2", finding.Fault, []string{"LEF-1 fails", "standby stays off"}, standby("", "failed", "start"), standby("current-switch-split", "failed", "start")},
	{"standby in one word", "standby-handover", "LEF-2", finding.Fault, []string{"LEF-1 fails", "standby stays off"}, standby("", "", "standby"), standby("current-switch-split", "", "standby")},
	{"smoke too slow", "smoke-response", "SEF-1", finding.Fault, []string{"relay 1 s + damper 60 s + ramp 30 s = 91 s", "75 s"}, smoke(60, 75, num(30)), smoke(30, 75, num(30))},
	{"smoke unknown", "smoke-response", "SEF-1", finding.Caution, []string{"is not known"}, smoke(30, 75, nil), smoke(30, 75, num(30))},
	{"damper does not follow fire", "override-reach", "EF-1", finding.Caution, []string{"fire alarm active", "shut damper"}, commanded("run", false), commanded("run", true)},
	{"dead head in hand", "damper-dead-head", "EF-1", finding.Caution, []string{"HAND", "fan on, damper shut"}, commanded("stop", false), commanded("stop", true)},
	{"damper lag", "damper-lag", "EF-1", finding.Caution, []string{"90 s to open", "speed in 30 s"}, lag(90), lag(25)},
	{"false failure", "false-alarm", "EF-1", finding.Caution, []string{"fire alarm active", "rightly not running"}, alarmed(), alarmed("EF-1/override-active", "start-delay")},
	{"alarm too early", "alarm-too-early", "EF-1", finding.Fault, []string{"waits 60 s", "= 100 s"}, late(60), late(100)},
	{"start waits for itself", "start-authority", "EF-1", finding.Fault, []string{"from standstill"}, chained(true), chained(false)},
}

func TestChecks(t *testing.T) {
	for _, c := range checkPairs {
		t.Run(c.name, func(t *testing.T) {
			s := newSite(t)
			c.bad(s)
			s.want(s.prove(), c.code, c.subject, c.severity, c.words...)
			s = newSite(t)
			c.good(s)
			for _, f := range found(s.prove(), c.code, c.subject) {
				if f.Severity != finding.Note {
					t.Errorf("unwanted: %s", f.Message)
				}
			}
		})
	}
}

// Hand never holds back running-while-off.
func TestRunningWhileOffIsNotHeldBackByHand(t *testing.T) {
	s := newSite(t)
	plain(s, 6)
	s.alarm("EF-1/failed", 60, "EF-1/not-in-auto")
	s.alarm("EF-1/running-while-off", 60, "EF-1/not-in-auto")
	s.want(s.prove(), "false-alarm", "EF-1", finding.Caution, "running-while-off is held back by not-in-auto")
}

// Make-up air and exhaust that follow each other are told, and the loop of it.
func TestMakeUpBothWays(t *testing.T) {
	s := newSite(t)
	makeUp(s, "current-switch-split", "status")
	s.link("MAU-1", "KEF-1", "status", "permit", &yes)
	s.want(s.prove(), "make-up-both-ways", "MAU-1", finding.Fault, "each wait for or start the other")
}

// The list alone ties two machines: direction and form are assumed and said.
func TestInterlockOfTheListIsDirected(t *testing.T) {
	s := newSite(t)
	makeUp(s, "current-switch-split", "status")
	s.project.Interlocks = nil
	s.of("KEF-1").Interlocks, s.of("MAU-1").Interlocks = []string{"MAU-1"}, []string{"KEF-1"}
	r := s.prove()
	if len(found(r, "interlock-direction", "MAU-1")) != 1 {
		t.Error("the assumption is not told once")
	}
	s.clean(r, "latch-loop", "deadlock-loop", "make-up-both-ways")
	for _, il := range r.Interlocks {
		if il.From == "KEF-1" && il.To == "MAU-1" && il.Action == "follow" && il.Hard != nil && !*il.Hard {
			return
		}
	}
	t.Errorf("no edge from exhaust to make-up air: %+v", r.Interlocks)
}

// An interlock that names nothing is told with the nearest name.
func TestUnknownInterlockNames(t *testing.T) {
	s := newSite(t)
	boxFan(s, "EF-1")
	s.link("fire-alrm", "EF-1", "", "stop", &yes)
	s.link("fire-alarm", "EF-11", "", "stop", &yes)
	s.link("fire-alarm", "EF-1", "", "dance", &yes)
	all := fmt.Sprint(s.prove().Findings)
	for _, w := range []string{`did you mean "fire-alarm"?`, `did you mean "EF-1"?`, "start, stop, permit, follow, full-speed"} {
		if !strings.Contains(all, w) {
			t.Errorf("not told: %s in %s", w, all)
		}
	}
}

// A fan that the status of another stops, and that starts it, never settles.
func TestHuntingLoop(t *testing.T) {
	s := newSite(t)
	boxFan(s, "EF-1")
	boxFan(s, "EF-2")
	s.link("EF-1", "EF-2", "status", "start", &no)
	s.clean(s.prove(), "hunting-loop")
	s.link("EF-2", "EF-1", "status", "stop", &no)
	s.want(s.prove(), "hunting-loop", "EF-1", finding.Fault, "EF-1, EF-2", "BAS start of EF-1 on", "no state is stable")
}

// A status that a relay repeats proves what the contact before it proves.
func TestStatusThroughARelay(t *testing.T) {
	for contact, want := range map[string]int{"aux": 1, "": 0} {
		s := newSite(t)
		s.fan("EF-1", "exhaust-constant", "starter", "starter-480", "none", "start", "not-in-auto")
		from := s.at("EF-1/starter", contact)
		if contact == "" {
			s.device("EF-1", "status-switch", "current-switch-split")
			from = s.at("EF-1/status-switch", "contact")
		}
		s.device("EF-1", "interlock-relay", "interlock-relay-24vac")
		s.wire("EF-1", "repeat", "status", from, s.at("EF-1/interlock-relay", "coil"))
		s.point("EF-1", "status", s.at("EF-1/interlock-relay", "pole-2"), model.End{}, "status")
		if n := len(found(s.prove(), "status-is-command", "EF-1")); n != want {
			t.Errorf("through a relay on %q: %d findings, want %d", contact, n, want)
		}
	}
}

// Times add up along the fans that wait for each other by wire.
func TestSmokeResponseAddsUpAlongThePath(t *testing.T) {
	s := newSite(t)
	smoke(30, 100, num(30))(s)
	s.fan("SF-9", "supply-variable", "drive", "drive-460", "run", "speed")
	s.change("SF-9/drive", func(t *model.DeviceType) { t.Logic.RampSeconds = num(20) })
	s.clean(s.prove(), "smoke-response")
	s.link("SEF-1", "SF-9", "status", "permit", &yes)
	s.clean(s.prove(), "smoke-response")
	limit := 80.0
	s.project.Settings.Fire.ResponseSeconds = &limit
	s.want(s.prove(), "smoke-response", "SF-9", finding.Fault, "SEF-1: relay 1 s + damper 30 s + ramp 30 s + relay 1 s + ramp 20 s = 82 s")
}

// A relay that its own contact holds is a latch; with the BAS off it stays in.
func TestRelayThatHoldsItself(t *testing.T) {
	s := newSite(t)
	s.fan("EF-1", "exhaust-constant", "starter", "starter-480", "none", "status", "not-in-auto")
	s.device("EF-1", "start-relay", "interlock-relay-24vac")
	s.point("EF-1", "start", model.End{}, s.at("EF-1/start-relay", "coil"), "start")
	s.wire("EF-1", "start-coil", "start", s.at("EF-1/start-relay", "pole-1"), s.at("EF-1/starter", "coil"))
	s.clean(s.prove(), "latch-loop", "stop-authority")
	s.wire("EF-1", "seal", "start", s.at("EF-1/start-relay", "pole-2"), s.at("EF-1/start-relay", "coil"))
	r := s.prove()
	s.want(r, "latch-loop", "EF-1/start-relay", finding.Fault, "EF-1/start-relay holds itself on")
	s.want(r, "stop-authority", "EF-1", finding.Fault, "BAS start off", "held by the loop")
}

// Damaged input is told or passed over, never a crash: devices without a type,
// circuits that end nowhere, terminals that do not exist, fans that follow
// themselves.
func TestDamagedInputDoesNotCrash(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	rows := make([]string, 0, len(mistakes))
	for row := range mistakes {
		rows = append(rows, row)
	}
	slices.Sort(rows)
	for _, row := range rows {
		for range 6 {
			s := newSite(t)
			mistakes[row][0].mistake(s)
			for i := range s.devices {
				switch rng.IntN(5) {
				case 0:
					s.devices[i].Spec = nil
				case 1:
					s.devices[i].Equipment = "NOBODY-1"
				}
			}
			for i := range s.circuits {
				switch rng.IntN(6) {
				case 0:
					s.circuits[i].Drive.Terminal = "none"
				case 1:
					s.circuits[i].Accepts = nil
				case 2:
					s.circuits[i].Drive, s.circuits[i].Point = s.circuits[0].Drive, ""
				case 3:
					s.circuits[i].Accepts = append(s.circuits[i].Accepts, s.circuits[i].Drive)
				}
			}
			for i := range s.equipment {
				s.equipment[i].Interlocks = append(s.equipment[i].Interlocks, s.equipment[0].Tag, "GONE-1")
				if rng.IntN(4) == 0 {
					s.equipment[i].Scheme = "no-such-scheme"
				}
			}
			s.prove()
		}
	}
}

// A zone of the fire alarm is a column of its own; a fan on the building's fire
// relay obeys any zone, a fan interlocked with one zone that zone alone.
func TestFireZones(t *testing.T) {
	s := newSite(t)
	s.fan("SEF-1", "smoke-exhaust", "drive", "drive-460", "run", "speed")
	s.fan("SEF-2", "smoke-exhaust", "drive", "drive-460", "run", "speed")
	s.fan("EF-1", "exhaust-constant", "box", "interface-box", "stop", "start", "status", "override-active")
	s.fireOverride("EF-1", "EF-1/box")
	s.link("fire-zone-1", "SEF-1", "", "full-speed", &yes)
	s.link("fire-zone-2", "SEF-2", "", "full-speed", &yes)
	r := s.prove()
	for tag, want := range map[string][3]string{"SEF-1": {"-", "runs at full speed", "-"}, "SEF-2": {"-", "-", "runs at full speed"}, "EF-1": {"stops", "stops", "stops"}} {
		for i, event := range []string{"Fire alarm", "Fire alarm, zone 1", "Fire alarm, zone 2"} {
			if got := cell(t, r, tag, event); got != want[i] {
				t.Errorf("%s under %s: %q, want %q", tag, event, got, want[i])
			}
		}
	}
	s.clean(r, "fire-row", "override-reach")
}

// Fire rows: none stated, two at once.
func TestFireRows(t *testing.T) {
	s := newSite(t)
	boxFan(s, "EF-1")
	s.of("EF-1").FireResponse = ""
	s.want(s.prove(), "fire-row", "EF-1", finding.Caution, "is not stated")
	s.of("EF-1").FireResponse = "run"
	s.link("fire-alarm", "EF-1", "", "stop", &yes)
	s.want(s.prove(), "fire-row", "EF-1", finding.Fault, "run and stop")
}

// Findings of the same kind about several fans have one text, so that they
// gather into one line.
func TestFindingsGather(t *testing.T) {
	s := newSite(t)
	for i := range 5 {
		s.fan(fmt.Sprint("EF-", i+1), "exhaust-variable", "box", "interface-box", "", "start", "speed", "status")
	}
	for _, f := range finding.Gather(s.prove().Findings) {
		if f.Subject != "" && len(f.Subjects) != 5 {
			t.Errorf("%s stands for %d fans: %s", f.Code, max(1, len(f.Subjects)), f.Message)
		}
	}
}

// Every code that the logic tells is in the catalogue, with help.
func TestCodesAreCatalogued(t *testing.T) {
	check := func(r logic.Result) {
		for _, f := range r.Findings {
			if c, ok := finding.Lookup(f.Code); !ok || c.Help == "" || f.Fix == "" || f.Source == "" && f.Code != "interlock-unknown" {
				t.Errorf("%s: catalogued %v, fix %q, source %q", f.Code, ok, f.Fix, f.Source)
			}
		}
	}
	for _, c := range checkPairs {
		s := newSite(t)
		c.bad(s)
		check(s.prove())
	}
	for _, list := range mistakes {
		for _, p := range list {
			s := newSite(t)
			p.mistake(s)
			check(s.prove())
		}
	}
}

// A switch that loses the fan at its lowest speed is told once, also where a
// belt drives it: with the belt off it reads off.
func TestBeltOffIsNotToldWhereTheSwitchLosesTheFan(t *testing.T) {
	s := newSite(t)
	driven(s, "variable-frequency-drive", "drive-460", 30).Ratings.Drive = "belt"
	s.switchFor("SF-1", "current-switch-solid")
	s.change("SF-1/status-switch", func(t *model.DeviceType) {
		for i := range t.Terminals {
			if t.Terminals[i].Trip != nil {
				t.Terminals[i].Trip = model.Span(9, 9)
			}
		}
	})
	if all := found(s.prove(), "status-at-low-speed", "SF-1"); len(all) != 1 || !strings.Contains(all[0].Message, "loses the fan at its lowest speed") {
		t.Errorf("%v", all)
	}
}

package logic_test

import (
	"fmt"

	"tallywire/model"
)

func boxFan(s *site, tag string) {
	s.fan(tag, "exhaust-constant", "box", "interface-box", "none", "start", "status")
}

func damper(s *site, tag, deviceType, from string) {
	s.device(tag, "damper", deviceType)
	s.of(tag).Damper.Kind = "motorised"
	if from != "" {
		s.wire(tag, "damper-power", "damper-power", s.at(tag+"/box", from), s.at(tag+"/damper", "power"))
	}
}

func endSwitch(s *site, tag string) {
	s.point(tag, "damper-open", s.at(tag+"/damper", "end-switch"), model.End{}, "damper-open")
}

func emergency(s *site, fail string, onBranch bool) {
	boxFan(s, "GRF-1")
	e := s.of("GRF-1")
	e.Emergency, e.Damper.Fail = &yes, fail
	damper(s, "GRF-1", "damper-24v", "damper")
	s.project.Panels = []model.Panel{{ID: "PANEL-1", Emergency: onBranch}}
	s.device("PANEL-1", "supply", "transformer-120-24-40")
	s.devices[len(s.devices)-1].Panel = "PANEL-1"
	s.circuits[len(s.circuits)-1].Supply = &model.End{Device: "PANEL-1/supply", Terminal: "secondary"}
}

func starterWith(s *site, leg, terminal string) {
	s.fan("SF-1", "supply-constant", "starter", "starter-480", "none", "start", "status", "not-in-auto", "freeze")
	s.safety("SF-1", "freezestat", "freezestat", "SF-1/starter", terminal)
	s.change("SF-1/starter", func(t *model.DeviceType) {
		for i := range t.Logic.Safeties {
			t.Logic.Safeties[i].Leg = leg
		}
	})
}

func bypassWith(s *site, leg string) {
	driven(s, "variable-frequency-drive-bypass", "drive-bypass-460", 30)
	s.safety("SF-1", "freezestat", "freezestat", "SF-1/drive", "interlock")
	s.change("SF-1/drive", func(t *model.DeviceType) { t.Logic.Safeties[0].Leg = leg })
}

func threeWire(s *site, stop bool) {
	s.fan("EF-1", "exhaust-constant", "starter", "starter-480", "none", "start", "status", "not-in-auto")
	s.change("EF-1/starter", func(t *model.DeviceType) { t.Logic.SealsIn = !stop })
}

func policy(s *site, back string) {
	boxFan(s, "EF-1")
	s.change("EF-1/box", func(t *model.DeviceType) { t.Logic.PowerReturn = back })
}

func written(s *site, priority int) {
	s.fan("SEF-1", "smoke-exhaust", "drive", "drive-460", "run", "start", "speed")
	s.points[0].LifeSafety, s.points[0].ObjectType, s.points[0].Priority = true, model.BinaryOutput, &priority
}

func init() {
	cases("M56", pair{"stop-authority", "EF-1", []string{"BAS start off", "hood:contact closed", "it runs"},
		func(s *site) {
			boxFan(s, "EF-1")
			s.device("EF-1", "hood", "thermostat")
			s.wire("EF-1", "hood", "start", s.at("EF-1/hood", "contact"), s.at("EF-1/box", "start-wet"))
		},
		func(s *site) { // the contact becomes a permissive in series
			boxFan(s, "EF-1")
			s.device("EF-1", "hood", "thermostat")
			s.point("EF-1", "hood-on", s.at("EF-1/hood", "contact"), model.End{}, "sensor")
		}})
	chain := func(depth int) func(*site) {
		return func(s *site) {
			for i := range 4 {
				boxFan(s, fmt.Sprint("EF-", i+1))
				if i > 0 {
					s.link(fmt.Sprint("EF-", max(1, i+1-depth)), fmt.Sprint("EF-", i+1), "status", "start", &no)
				}
			}
		}
	}
	cases("M57", pair{"interlock-depth", "EF-4", []string{"EF-1 starts EF-2 starts EF-3 starts EF-4"}, chain(1), chain(3)})
	cases("M58", pair{"deadlock-loop", "EF-1", []string{"EF-1", "needs itself"},
		func(s *site) {
			boxFan(s, "EF-1")
			damper(s, "EF-1", "damper-24v-switch", "damper")
			s.link("EF-1", "EF-1", "damper-open", "permit", &yes)
		},
		func(s *site) { // the damper opens on the command
			boxFan(s, "EF-1")
			damper(s, "EF-1", "damper-24v-switch", "")
			s.point("EF-1", "damper", model.End{}, s.at("EF-1/damper", "power"), "damper-command")
			s.link("EF-1", "EF-1", "damper-open", "permit", &yes)
		}})
	big := func(proof bool) func(*site) {
		return func(s *site) {
			boxFan(s, "EF-1")
			s.of("EF-1").Ratings.Power = quantity(30, "hp")
			damper(s, "EF-1", "damper-24v-switch", "damper")
			if proof {
				endSwitch(s, "EF-1")
				return
			}
			d := s.device("EF-1", "blade-switch", "auxiliary-contact") // on the blades
			s.point("EF-1", "damper-open", s.end(d, "contact"), model.End{}, "damper-open")
		}
	}
	cases("M60", pair{"end-switch", "EF-1", []string{"shaft slipped"}, big(true), big(false)})
	made := func(at float64) func(*site) {
		return func(s *site) {
			boxFan(s, "EF-1")
			damper(s, "EF-1", "damper-24v-switch", "damper")
			endSwitch(s, "EF-1")
			s.change("EF-1/damper", func(t *model.DeviceType) {
				for i := range t.Terminals {
					t.Terminals[i].MadeAt = num(at)
				}
			})
		}
	}
	cases("M61", pair{"end-switch", "EF-1", []string{"makes at 10 % open", "at a crack"}, made(10), made(85)})
	cases("M62", pair{"damper-power-branch", "GRF-1", []string{"normal power gone", "nothing feeds the actuator", "shut blades"},
		func(s *site) { emergency(s, "closed", false) }, func(s *site) { emergency(s, "open", false) }},
		pair{"damper-power-branch", "GRF-1", []string{"normal power gone"}, // or the actuator on the fan's branch
			func(s *site) { emergency(s, "closed", false) }, func(s *site) { emergency(s, "closed", true) }})
	cases("M64", pair{"safety-bypass", "SF-1", []string{"freezestat", "HAND", "runs through the trip"},
		func(s *site) { starterWith(s, "auto", "interlock") }, func(s *site) { starterWith(s, "common", "interlock") }})
	cases("M65", pair{"safety-bypass", "SF-1", []string{"in bypass", "freezestat", "runs through the trip"},
		func(s *site) { bypassWith(s, "drive") }, func(s *site) { bypassWith(s, "common") }})
	cases("M66", pair{"safety-bypass", "SF-1", []string{"program alone", "controller down"},
		func(s *site) {
			s.fan("SF-1", "supply-constant", "starter", "starter-480", "none", "start", "status", "not-in-auto", "freeze")
		},
		func(s *site) { starterWith(s, "common", "interlock") }})
	cases("M68", pair{"stop-authority", "EF-1", []string{"BAS start off", "EF-1 runs (held by the loop)", "it runs"},
		func(s *site) { threeWire(s, false) }, func(s *site) { threeWire(s, true) }})
	cases("M69", pair{"restart-policy", "EF-1", []string{"not stated", "after an outage"},
		func(s *site) { policy(s, "") }, func(s *site) { policy(s, "previous-mode") }})
	cases("M70", pair{"life-safety-priority", "SEF-1/start", []string{"priority 9", "operator at 8", "stays"},
		func(s *site) { written(s, 9) }, func(s *site) { written(s, 2) }})
}

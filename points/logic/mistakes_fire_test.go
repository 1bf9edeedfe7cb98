package logic_test

import "tallywire/model"

func fireStop(s *site, energise, supervised *bool) {
	s.fan("EF-1", "exhaust-constant", "drive", "drive-460", "stop", "start", "speed", "not-in-auto", "fire-stop")
	s.device("EF-1", "fire-relay", "fire-alarm-relay")
	s.wire("EF-1", "fire-interlock", "interlock", s.at("EF-1/fire-relay", "pole-1"), s.at("EF-1/drive", "interlock"))
	s.project.Settings.Fire.EnergiseToAct, s.project.Settings.Fire.Supervised = energise, supervised
}

func smokeRun(s *site, energise, supervised *bool) {
	s.fan("SEF-1", "smoke-exhaust", "drive", "drive-460", "run", "speed", "override-active")
	s.fireOverride("SEF-1", "SEF-1/drive")
	s.project.Settings.Fire.EnergiseToAct, s.project.Settings.Fire.Supervised = energise, supervised
}

func stair(s *site, interlocks ...string) {
	s.fan("SPF-1", "stair-pressurization", "drive", "drive-460", "run", "speed", "override-active")
	s.fireOverride("SPF-1", "SPF-1/drive")
	for _, il := range interlocks {
		s.link(il, "SPF-1", "", map[string]string{"duct-smoke": "stop", "firefighter-on": "full-speed"}[il], &yes)
	}
}

func kitchen(s *site, exhaustStops, airStops bool) {
	s.fan("KEF-1", "kitchen-exhaust", "starter", "starter-480", "continue", "start", "not-in-auto")
	s.switchFor("KEF-1", "current-switch-split")
	s.fan("MAU-1", "make-up-air", "unit", "make-up-air-unit-480", "stop", "enable")
	s.point("MAU-1", "enable", model.End{}, s.at("MAU-1/unit", "enable"), "start")
	s.link("KEF-1", "MAU-1", "status", "follow", &no)
	if exhaustStops {
		s.link("suppression", "KEF-1", "", "stop", &yes)
	} else if !airStops {
		s.link("suppression", "KEF-1", "", "start", &yes)
	}
	if airStops {
		s.link("suppression", "MAU-1", "", "stop", &yes)
	}
}

func panelled(s *site, onEmergency bool) {
	boxFan(s, "EF-1")
	s.of("EF-1").Emergency = &yes
	s.project.Panels = []model.Panel{{ID: "PANEL-1", Emergency: onEmergency}}
}

func init() {
	cases("M72", pair{"energise-to-act", "EF-1", []string{"wire cut, fire alarm: no shutdown"},
		func(s *site) { fireStop(s, &yes, &no) }, func(s *site) { fireStop(s, &no, &no) }},
		pair{"energise-to-act", "EF-1", []string{"is not stated"}, // not stated is not known
			func(s *site) { fireStop(s, nil, nil) }, func(s *site) { fireStop(s, &yes, &yes) }})
	cases("M73", pair{"energise-to-act", "SEF-1", []string{"wire cut, fire alarm: no start"},
		func(s *site) { smokeRun(s, &yes, &no) }, func(s *site) { smokeRun(s, &yes, &yes) }})
	cases("M74", pair{"override-first", "EF-1", []string{"fire alarm active", "selector in HAND", "it runs on"},
		func(s *site) {
			s.fan("EF-1", "exhaust-constant", "starter", "starter-480", "stop", "start", "status", "not-in-auto", "fire-stop")
			s.link("fire-alarm", "EF-1", "", "stop", &yes)
			s.project.Interlocks[0].Leg = "auto"
		},
		func(s *site) {
			s.fan("EF-1", "exhaust-constant", "starter", "starter-480", "stop", "start", "status", "not-in-auto", "fire-stop")
			s.link("fire-alarm", "EF-1", "", "stop", &yes)
		}})
	series := func(yields bool) func(*site) {
		return func(s *site) {
			stair(s, "firefighter-on")
			s.safety("SPF-1", "smoke-detector", "duct-smoke-detector", "SPF-1/drive", "interlock")
			s.wire("SPF-1", "panel", "override", s.at("SPF-1/fire-relay", "pole-1"), s.at("SPF-1/drive", "override"))
			s.change("SPF-1/drive", func(t *model.DeviceType) { t.Logic.Safeties[0].Yields = yields })
		}
	}
	cases("M76", pair{"series-safety", "SPF-1", []string{"firefighters' panel at ON", "duct smoke detector in alarm", "stays off"}, series(false), series(true)})
	group := func(fire string) func(*site) {
		return func(s *site) {
			s.fan("KEF-1", "kitchen-exhaust", "starter", "starter-480", fire, "start", "not-in-auto")
		}
	}
	cases("M77", pair{"fire-row", "KEF-1", []string{"stops it with the rest"}, group("stop"), group("continue")})
	cases("M78", pair{"suppression", "KEF-1", []string{"hood suppression discharged", "the exhaust stops"},
		func(s *site) { kitchen(s, true, true) }, func(s *site) { kitchen(s, false, true) }},
		pair{"suppression", "MAU-1", []string{"goes on and feeds the fire"},
			func(s *site) { kitchen(s, false, false) }, func(s *site) { kitchen(s, false, true) }})
	cases("M80", pair{"status-is-command", "SEF-1", []string{"motor or belt failed", "no air moves"},
		func(s *site) {
			smokeRun(s, &no, nil)
			s.point("SEF-1", "run", s.at("SEF-1/drive", "run-relay"), model.End{}, "status")
		},
		func(s *site) {
			smokeRun(s, &no, nil)
			d := s.device("SEF-1", "status-switch", "dp-switch")
			s.point("SEF-1", "run", s.end(d, "contact"), model.End{}, "status")
		}})
	cases("M81", pair{"intake-smoke", "SPF-1", []string{"smoke outside, fan running"},
		func(s *site) { stair(s) }, func(s *site) { stair(s, "duct-smoke", "firefighter-on") }},
		pair{"intake-smoke", "SPF-1", []string{"no firefighters' switch"},
			func(s *site) { stair(s, "duct-smoke") }, func(s *site) { stair(s, "duct-smoke", "firefighter-on") }})
	cases("M82", pair{"water-flow", "HVLS-1", []string{"water flows", "it runs on"},
		func(s *site) {
			s.fan("HVLS-1", "high-volume", "unit", "packaged-unit-480", "none")
		},
		func(s *site) {
			s.fan("HVLS-1", "high-volume", "unit", "packaged-unit-480", "none")
			s.device("HVLS-1", "water-flow", "water-flow-relay")
			s.wire("HVLS-1", "stop", "interlock", s.at("HVLS-1/water-flow", "contact"), s.at("HVLS-1/unit", "shutdown"))
		}})
	cases("M84", pair{"controller-branch", "EF-1", []string{"normal power gone, controller down"},
		func(s *site) { panelled(s, false) }, func(s *site) { panelled(s, true) }},
		pair{"controller-branch", "EF-1", []string{"normal power gone, controller down"}, // or a start that falls to on
			func(s *site) { panelled(s, false) },
			func(s *site) {
				panelled(s, false)
				s.points[0].FailState = "On"
			}})
}

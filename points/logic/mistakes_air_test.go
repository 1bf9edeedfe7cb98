package logic_test

import "tallywire/model"

func garage(s *site, byOverride bool, min float64) {
	e := s.fan("GX-1", "garage-exhaust", "box", "interface-box-gated", "none", "start", "speed", "status", "not-in-auto")
	e.Ratings.Airflow, e.Ratings.Area, e.Ratings.MinSpeed = quantity(15000, "cfm"), quantity(20000, "ft2"), quantity(min, "%")
	s.device("GX-1", "gas-panel", "gas-panel")
	input := "start-dry"
	if byOverride {
		input = "override"
	}
	for _, contact := range []string{"full", "fault"} {
		s.wire("GX-1", "gas-"+contact, "start", s.at("GX-1/gas-panel", contact), s.at("GX-1/box", input))
	}
}

func makeUp(s *site, status, signal string) {
	e := s.fan("KEF-1", "kitchen-exhaust", "starter", "starter-480", "continue", "start", "not-in-auto")
	e.Ratings.Current = quantity(6, "A")
	if status != "" {
		s.switchFor("KEF-1", status)
	}
	s.fan("MAU-1", "make-up-air", "unit", "make-up-air-unit-480", "stop")
	s.point("MAU-1", "enable", model.End{}, s.at("MAU-1/unit", "enable"), "start")
	s.link("KEF-1", "MAU-1", signal, "follow", &no)
}

func sensed(s *site, hi float64) {
	garage(s, true, 20)
	d := s.device("GX-1", "gas-co-1", "gas-co-powered")
	s.point("GX-1", "gas-co-1", s.at(d.ID, "signal"), model.End{}, "sensor")
	s.points[len(s.points)-1].Range = model.Span(0, hi)
	s.change("GX-1/gas-co-1", func(t *model.DeviceType) {
		for i := range t.Terminals {
			if t.Terminals[i].ID == "signal" {
				t.Terminals[i].Measures, t.Terminals[i].MeasuresUnit = model.Span(0, 250), "ppm"
			}
		}
	})
}

func factory(s *site, owner string) {
	s.fan("ERU-1", "energy-recovery", "unit", "packaged-unit-480", "none")
	for _, role := range []string{"enable", "unit-status"} {
		s.points = append(s.points, model.Point{Key: "ERU-1/" + role, Equipment: "ERU-1", Role: role, Carried: model.Hardwired, FurnishedBy: owner})
	}
}

func holds(s *site, tag, scheme string) {
	e := s.fan(tag, scheme, "drive", "drive-460", "none", "start", "speed", "not-in-auto")
	e.System = "AHU-1"
}

func pressurePoint(s *site, tag string, span float64) {
	s.points = append(s.points, model.Point{Key: tag + "/building-pressure", Equipment: tag, Role: "building-pressure", Units: "inches-of-water", Range: model.Span(-span, span)})
}

func proofInDrive(s *site, carried string) {
	s.fan("SF-1", "supply-variable", "drive", "drive-460", "none", "start", "speed", "not-in-auto")
	for i := range s.points {
		if s.points[i].Role == "start" {
			s.points[i].Carried = carried
		}
	}
	s.device("SF-1", "damper", "damper-24v-switch")
	s.wire("SF-1", "proof", "interlock", s.at("SF-1/damper", "end-switch"), s.at("SF-1/drive", "interlock"))
}

func init() {
	cases("M85", pair{"sensor-range", "GX-1", []string{"measures 0 to 250 ppm", "35 true shows 14"},
		func(s *site) { sensed(s, 100) }, func(s *site) { sensed(s, 250) }})
	cases("M86", pair{"gas-full-flow", "GX-1", []string{"gas above the full-flow level", "BAS reference at its lowest", "does not run at full flow"},
		func(s *site) { garage(s, false, 20) }, func(s *site) { garage(s, true, 20) }},
		pair{"gas-minimum", "GX-1", []string{"0.0375 cfm/ft2", "standby flow is 0.05"},
			func(s *site) { garage(s, true, 5) }, func(s *site) { garage(s, true, 20) }})
	cases("M88", pair{"make-up-follows-exhaust", "MAU-1", []string{"KEF-1", "make-up air on, no exhaust"},
		func(s *site) { makeUp(s, "", "command") }, func(s *site) { makeUp(s, "current-switch-split", "status") }})
	cases("M89", pair{"point-owner", "ERU-1", []string{"enable, unit-status"},
		func(s *site) { factory(s, "") }, func(s *site) { factory(s, "mechanical") }})
	burner := func(least float64) func(*site) {
		return func(s *site) {
			makeUp(s, "current-switch-split", "status")
			e := s.of("MAU-1")
			e.Ratings.Airflow, e.Ratings.MinSpeed, e.Ratings.BurnerFlow = quantity(2700, "cfm"), quantity(least, "%"), quantity(1600, "cfm")
			d := s.devices[len(s.devices)-1]
			s.point("MAU-1", "speed", model.End{}, s.at(d.ID, d.Spec.Logic.SpeedInput), "speed")
		}
	}
	cases("M90", pair{"burner-airflow", "MAU-1", []string{"2700 cfm x 50 % = 1350 cfm", "asks for 1600 cfm"}, burner(50), burner(60)})
	stack := func(roles ...string) func(*site) {
		return func(s *site) {
			e := s.fan("LEF-1", "lab-exhaust", "drive", "drive-460", "continue", append(roles, "start", "speed", "not-in-auto")...)
			e.Ratings.Airflow, e.Ratings.MinSpeed, e.Ratings.StackArea = quantity(12000, "cfm"), quantity(60, "%"), quantity(3, "ft2")
		}
	}
	cases("M114", pair{"stack-velocity", "LEF-1", []string{"12000 cfm x 60 % / 3 ft2 = 2400 ft/min", "no bypass damper"}, stack(), stack("bypass-damper")})
	terminal := func(stated bool) func(*site) {
		return func(s *site) {
			s.fan("VAV-1", "series-terminal", "motor", "motor-ec-208-277", "none", "start", "primary-damper")
			if stated {
				s.link("VAV-1", "VAV-1", "primary-damper-shut", "permit", &no)
			}
		}
	}
	cases("M113", pair{"backspin", "VAV-1", []string{"damper open, fan off, start"}, terminal(false), terminal(true)})
	cases("M116", pair{"one-loop", "RLF-1", []string{"RF-1 and RLF-1 both hold the building pressure"},
		func(s *site) {
			holds(s, "RF-1", "return")
			holds(s, "RLF-1", "relief")
			pressurePoint(s, "RF-1", 0.25)
			pressurePoint(s, "RLF-1", 0.25)
		},
		func(s *site) {
			holds(s, "RF-1", "return")
			holds(s, "RLF-1", "relief")
			pressurePoint(s, "RLF-1", 0.25)
		}})
	cases("M117", pair{"sensor-fineness", "RLF-1", []string{"1 % of -5 to 5 in.wc is 0.1 in.wc"},
		func(s *site) {
			holds(s, "RLF-1", "relief")
			pressurePoint(s, "RLF-1", 5)
		},
		func(s *site) {
			holds(s, "RLF-1", "relief")
			pressurePoint(s, "RLF-1", 0.25)
		}})
	room := func(roles ...string) func(*site) {
		return func(s *site) {
			s.fan("EEF-1", "electrical-room", "starter", "starter-480", "none", append(roles, "start")...)
		}
	}
	cases("M118", pair{"hand-hidden", "EEF-1", []string{"protects a room", "left in OFF"}, room(), room("not-in-auto")})
	cases("M120", pair{"proof-skipped", "SF-1", []string{"network start, damper shut", "it runs"},
		func(s *site) { proofInDrive(s, model.Network) }, func(s *site) { proofInDrive(s, model.Hardwired) }})
}

package logic_test

import "tallywire/model"

// plain is a constant fan on a starter that proves by current, in order.
func plain(s *site, amps float64) {
	e := s.fan("EF-1", "exhaust-constant", "starter", "starter-480", "none", "start", "not-in-auto")
	e.Ratings.Current = quantity(amps, "A")
	s.switchFor("EF-1", "current-switch-split")
}

// driven is a variable fan on a drive, its least speed and pressure stated.
func driven(s *site, control, drive string, min float64) *model.Equipment {
	e := s.fan("SF-1", "supply-variable", "drive", drive, "none", "start", "speed", "not-in-auto")
	e.Control = control
	e.Ratings.Current, e.Ratings.MinSpeed, e.Ratings.Pressure = quantity(20, "A"), quantity(min, "%"), quantity(0.4, "in.wc")
	return e
}

func pressureSwitch(s *site, from float64) {
	s.switchFor("SF-1", "dp-switch")
	s.change("SF-1/status-switch", func(t *model.DeviceType) {
		for i := range t.Terminals {
			t.Terminals[i].TripPressure = model.Span(from, 1)
		}
	})
}

func init() {
	cases("M44", pair{"status-never-trips", "EF-1", []string{"full load is 0.4 A", "lowest trip is 0.5 A"},
		func(s *site) { plain(s, 0.4) },
		func(s *site) { // four turns of the lead
			plain(s, 0.4)
			for i := range s.devices {
				if s.devices[i].Role == "status-switch" {
					s.devices[i].Settings = []model.Parameter{{Name: "turns", Value: "4"}}
				}
			}
		}})
	cases("M45", pair{"status-place", "SF-1", []string{"motor stopped, drive powered", "running"},
		func(s *site) {
			driven(s, "variable-frequency-drive", "drive-460", 30)
			s.switchFor("SF-1", "current-switch-solid")
			s.device("SF-1", "service", "electrical-service")
			s.wire("SF-1", "sense", "mains", s.at("SF-1/service", "line"), s.at("SF-1/status-switch", "sense"))
		},
		func(s *site) {
			driven(s, "variable-frequency-drive", "drive-460", 30)
			s.switchFor("SF-1", "current-switch-solid")
			s.wire("SF-1", "sense", "mains", s.at("SF-1/drive", "motor-out"), s.at("SF-1/status-switch", "sense"))
		}})
	cases("M46", pair{"status-is-command", "EF-1", []string{"motor or belt failed", "reads running"},
		func(s *site) {
			s.fan("EF-1", "exhaust-constant", "starter", "starter-480", "none", "start", "status", "not-in-auto")
		},
		func(s *site) { plain(s, 6) }})
	cases("M48", pair{"status-at-low-speed", "SF-1", []string{"broken belt", "draws about 7 A", "reads running with the belt off"},
		func(s *site) {
			driven(s, "variable-frequency-drive", "drive-460", 30).Ratings.Drive = "belt"
			s.switchFor("SF-1", "current-switch-solid")
		},
		func(s *site) {
			driven(s, "variable-frequency-drive", "drive-460", 60).Ratings.Drive = "belt"
			pressureSwitch(s, 0.05)
		}})
	cases("M49", pair{"status-at-low-speed", "SF-1", []string{"0.4 in.wc x 0.5^2 = 0.1 in.wc", "makes from 0.15"},
		func(s *site) {
			driven(s, "variable-frequency-drive", "drive-460", 50)
			pressureSwitch(s, 0.15)
		},
		func(s *site) {
			driven(s, "variable-frequency-drive", "drive-460", 50)
			pressureSwitch(s, 0.05)
		}})
	cases("M50", pair{"bypass-unseen", "SF-1", []string{"in bypass", "runs at full speed", "no point tells"},
		func(s *site) {
			driven(s, "variable-frequency-drive-bypass", "drive-bypass-460", 30)
			s.switchFor("SF-1", "current-switch-solid")
		},
		func(s *site) {
			driven(s, "variable-frequency-drive-bypass", "drive-bypass-460", 30)
			s.switchFor("SF-1", "current-switch-solid")
			s.points = append(s.points, model.Point{Key: "SF-1/bypass-active", Equipment: "SF-1", Role: "bypass-active"})
		}})
	cases("M52", pair{"hand-hidden", "EF-1", []string{"BAS start off, selector in HAND: it runs", "no point tells"},
		func(s *site) {
			s.fan("EF-1", "exhaust-constant", "starter", "starter-480", "none", "start")
		},
		func(s *site) { plain(s, 6) }})
	cases("M53", pair{"one-way-alarm", "EF-1", []string{"BAS start off", "selector in HAND", "it runs for months"},
		func(s *site) {
			plain(s, 6)
			s.alarm("EF-1/failed", 60, "EF-1/not-in-auto")
		},
		func(s *site) {
			plain(s, 6)
			s.alarm("EF-1/failed", 60, "EF-1/not-in-auto")
			s.alarm("EF-1/running-while-off", 120)
		}})
	cases("M54", pair{"status-shared", "EF-1", []string{"one of them dead, the other running"},
		func(s *site) {
			plain(s, 6)
			s.fan("EF-2", "exhaust-constant", "starter", "starter-480", "none", "start", "not-in-auto")
			s.point("EF-2", "status", s.at("EF-1/status-switch", "contact"), model.End{}, "status")
		},
		func(s *site) {
			plain(s, 6)
			s.fan("EF-2", "exhaust-constant", "starter", "starter-480", "none", "start", "not-in-auto")
			s.switchFor("EF-2", "current-switch-split")
		}})
}

// Package network says which device on the network holds the object of every
// point, and gives the devices their instances and names.
package network

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// defaultFirst is the device instance of the first controller where the
// project gives none: above the small numbers that trial devices come with
// (common practice).
const defaultFirst = 1001

// Place lists the devices: the controllers in the order of the plan, each with
// the hardwired and software points of the machines that land on it, then the
// machines' own devices with their network points. A point without a home is
// named in a finding.
func Place(p *model.Project, controllers []model.Controller, devices []model.Device, points []model.Point) ([]model.BACnetDevice, []finding.Finding) {
	s := &placing{project: p, at: map[string]int{}}
	for _, c := range controllers {
		s.add(model.BACnetDevice{ID: c.ID, Panel: c.Panel, Existing: c.Existing})
	}
	own := ownDevices(devices)
	homes := s.homes(points)
	for i := range points {
		q := &points[i]
		home := q.Controller
		switch {
		case q.Carried == model.Network:
			d, has := own[q.Equipment]
			if !has {
				s.homeless(q, "no device of its own stands in the plan for this machine")
				continue
			}
			if _, known := s.at[d.ID]; !known {
				s.add(model.BACnetDevice{ID: d.ID, Equipment: d.Equipment, Panel: d.Panel, Instance: setting(d, "instance")})
			}
			home = d.ID
		case home == "" && q.Carried == model.Hardwired:
			if !q.ByOthers { // others' objects are in others' devices
				s.homeless(q, "it is on no terminal of a controller")
			}
			continue
		case home == "":
			home = cmp.Or(homes["equipment "+q.Equipment], homes["system "+q.System], homes["all"])
		}
		at, known := s.at[home]
		if !known {
			s.homeless(q, "no controller of the plan carries a point of this machine or its system")
			continue
		}
		s.list[at].Points = append(s.list[at].Points, q.Key)
	}
	s.list = slices.DeleteFunc(s.list, func(d model.BACnetDevice) bool { return d.Equipment != "" && len(d.Points) == 0 })
	s.number()
	s.name()
	return s.list, s.findings
}

// placing is the work of one Place.
type placing struct {
	project  *model.Project
	list     []model.BACnetDevice
	at       map[string]int
	findings []finding.Finding
}

func (s *placing) add(d model.BACnetDevice) {
	s.at[d.ID] = len(s.list)
	s.list = append(s.list, d)
}

func (s *placing) homeless(q *model.Point, why string) {
	s.findings = append(s.findings, finding.Finding{Code: "no-device", Severity: finding.Note, Subject: q.Key, Where: q.Where,
		Message: "its object has no device: " + why, Fix: "land a point of the machine, or give it a device"})
}

// ownDevices are the machines' devices that can stand on a network: the one
// that controls the machine, told by the role it plays.
func ownDevices(devices []model.Device) map[string]model.Device {
	out := map[string]model.Device{}
	order := []string{"unit", "drive", "box", "motor", "starter"}
	rank := func(d model.Device) int { return slices.Index(order, d.Role) }
	for _, d := range devices {
		if d.Equipment == "" || rank(d) < 0 {
			continue
		}
		if best, has := out[d.Equipment]; !has || rank(d) < rank(best) {
			out[d.Equipment] = d
		}
	}
	return out
}

// setting reads a whole number that is set on a device; nil if there is none.
func setting(d model.Device, name string) *int {
	for _, one := range d.Settings {
		if one.Name != name {
			continue
		}
		if n, err := strconv.Atoi(strings.TrimSpace(one.Value)); err == nil {
			return &n
		}
	}
	return nil
}

// homes says where the software points of a machine, of a system and of
// anything else go: to the controller that carries most of its wires, the
// first of equals.
func (s *placing) homes(points []model.Point) map[string]string {
	count := map[string]map[string]int{}
	for i := range points {
		q := &points[i]
		if _, known := s.at[q.Controller]; !known || q.Controller == "" {
			continue
		}
		for _, group := range []string{"equipment " + q.Equipment, "system " + q.System, "all"} {
			if group == "system " {
				continue
			}
			if count[group] == nil {
				count[group] = map[string]int{}
			}
			count[group][q.Controller]++
		}
	}
	out := map[string]string{}
	for group, by := range count {
		for _, d := range s.list {
			if by[d.ID] > by[out[group]] {
				out[group] = d.ID
			}
		}
	}
	return out
}

// number gives device instances: what the project states stays; the planned
// controllers count up from the first one, stepping over what is taken.
// Existing controllers and machines' own devices are not numbered by us.
func (s *placing) number() {
	taken := map[int]string{}
	for i := range s.list {
		d := &s.list[i]
		if d.Existing {
			d.Instance = s.existing(d.ID)
		}
		if d.Instance == nil {
			continue
		}
		if other, twice := taken[*d.Instance]; twice {
			s.findings = append(s.findings, finding.Finding{Code: "device-instance-repeated", Severity: finding.Fault, Subject: d.ID,
				Message: fmt.Sprintf("the device instance %d is that of %s as well", *d.Instance, other),
				Numbers: []finding.Number{{Name: "instance", Value: float64(*d.Instance)}}, Source: "ASHRAE 135, clause 12.11",
				Fix: "give one of them another instance; it must be the only one on the whole internetwork"})
		}
		if *d.Instance < 0 || *d.Instance > library.LastInstance {
			s.findings = append(s.findings, finding.Finding{Code: "device-instance-range", Severity: finding.Fault, Subject: d.ID,
				Message: fmt.Sprintf("the device instance %d lies outside 0 to %d", *d.Instance, library.LastInstance),
				Numbers: []finding.Number{{Name: "instance", Value: float64(*d.Instance)}}, Source: "ASHRAE 135, clause 12.11", Fix: "give it an instance in this range"})
		}
		taken[*d.Instance] = d.ID
	}
	if s.project.Settings.Naming.Instances == "vendor" {
		return
	}
	next := cmp.Or(s.project.Settings.Naming.FirstDevice, defaultFirst)
	given := 0
	for i := range s.list {
		d := &s.list[i]
		if d.Instance != nil || d.Existing || d.Equipment != "" {
			continue
		}
		for taken[next] != "" {
			next++
		}
		if next > library.LastInstance {
			s.findings = append(s.findings, finding.Finding{Code: "device-instance-range", Severity: finding.Fault, Subject: d.ID,
				Message: fmt.Sprintf("no device instance is left up to %d", library.LastInstance), Source: "ASHRAE 135, clause 12.11", Fix: "lower settings.naming.first_device"})
			return
		}
		n := next
		d.Instance, taken[n] = &n, d.ID
		given++
	}
	if given > 0 && s.project.Settings.Naming.FirstDevice == 0 {
		s.findings = append(s.findings, finding.Finding{Code: "assumed", Severity: finding.Note, Subject: "device instances",
			Message: fmt.Sprintf("device instances of controllers count up from %d", defaultFirst),
			Fix:     "set naming.first_device to a range that is free on the whole internetwork"})
	}
}

// existing is the instance that the project's panels state for a controller.
func (s *placing) existing(id string) *int {
	for _, p := range s.project.Panels {
		for _, e := range p.Existing {
			if e.ID == id && e.DeviceInstance != nil {
				n := *e.DeviceInstance
				return &n
			}
		}
	}
	return nil
}

// name gives the device objects their names: the building's mark and the id,
// in the characters that names may hold.
func (s *placing) name() {
	taken := map[string]bool{}
	for i := range s.list {
		d := &s.list[i]
		base := d.ID
		if s.project.Building != "" {
			base = s.project.Building + "_" + base
		}
		base = s.plain(base)
		d.Name = base
		for n := 2; taken[d.Name]; n++ { // ids that differ only in characters that names may not hold
			d.Name = fmt.Sprintf("%s%s%d", base, s.separator(), n)
		}
		taken[d.Name] = true
	}
}

func (s *placing) separator() string {
	for _, r := range cmp.Or(s.project.Settings.Naming.Allowed, "_") {
		return string(r)
	}
	return ""
}

func (s *placing) plain(name string) string {
	allowed := cmp.Or(s.project.Settings.Naming.Allowed, "_-.")
	var b strings.Builder
	for _, r := range name {
		if r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || strings.ContainsRune(allowed, r) {
			b.WriteRune(r)
			continue
		}
		b.WriteString(s.separator())
	}
	return b.String()
}

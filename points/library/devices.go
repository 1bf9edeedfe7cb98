package library

import (
	"maps"
	"slices"

	"tallywire/model"
)

// DeviceRecord is one kind of thing with terminals, as it stands in
// devices/*.yaml. Its limits carry their source; a limit left out is unknown.
type DeviceRecord struct {
	model.DeviceType
}

// RecordID returns the id of the device type.
func (d DeviceRecord) RecordID() string { return d.ID }

func (d *DeviceRecord) place(w model.Where) { d.DeviceType.Where = &w }

// loadDevices reads the device types. A terminal without a source of its own
// takes that of its device.
func (l *Library) loadDevices(own []model.LibraryFile) error {
	records, err := load[DeviceRecord]("devices", own)
	if err != nil {
		return err
	}
	l.devices = make(map[string]*model.DeviceType, len(records))
	for i := range records {
		t := &records[i].DeviceType
		for j := range t.Terminals {
			term := &t.Terminals[j]
			if term.Source == "" {
				term.Source = t.Source
			}
			if term.Function == "" {
				term.Function = term.ID
			}
		}
		l.devices[t.ID] = t
	}
	return nil
}

// Device returns the device type of that id, interposers included. It is shared: copy before changing.
func (l *Library) Device(id string) (*model.DeviceType, bool) {
	if t, ok := l.devices[id]; ok {
		return t, true
	}
	if p, ok := l.Interposer(id); ok {
		return &p.Device, true
	}
	return nil, false
}

// DeviceIDs lists the ids of all device types in order.
func (l *Library) DeviceIDs() []string { return slices.Sorted(maps.Keys(l.devices)) }

// DevicesOf lists the device types of a category in order of id.
func (l *Library) DevicesOf(category string) []*model.DeviceType {
	var out []*model.DeviceType
	for _, id := range l.DeviceIDs() {
		if t := l.devices[id]; t.Category == category {
			out = append(out, t)
		}
	}
	return out
}

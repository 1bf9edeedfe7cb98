package network

import "tallywire/model"

// Serve puts the objects that serve points into devices: a notification class
// into every device that has an alarm of it, since an object refers to the
// class of its own device (ASHRAE 135, clause 13.2); anything else into the
// device of the first point that it serves. It fills in Support of the devices.
func Serve(devices []model.BACnetDevice, support []model.SupportObject, alarms []model.Alarm) {
	home := map[string]int{}
	for i := range devices {
		for _, key := range devices[i].Points {
			home[key] = i
		}
	}
	for _, a := range alarms {
		if i, ok := home[a.Source]; ok {
			home[a.ID] = i
		}
	}
	for _, o := range support {
		in := map[int]bool{}
		for _, served := range o.For {
			i, ok := home[served]
			if !ok || in[i] || len(in) > 0 && o.ObjectType != model.NotificationClass {
				continue
			}
			in[i] = true
			devices[i].Support = append(devices[i].Support, o.ObjectName)
		}
	}
}

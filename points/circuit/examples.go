package circuit

import (
	"slices"

	"tallywire/model"
)

// Example is a pair of wirings that show what a code proves: one that fails and
// one that passes, in words and as nets that the tests check.
type Example struct {
	Code    string
	Fails   string
	Passes  string
	Failing Net
	Passing Net
}

func ptr[T any](v T) *T { return &v }

// drawn is a net while an example draws it.
type drawn struct{ Net }

// at puts a device with one terminal, t1, or several.
func (d *drawn) at(id string, terminals ...model.Terminal) *drawn {
	terminals = slices.Clone(terminals)
	for i := range terminals {
		if terminals[i].ID == "" {
			terminals[i].ID = "t" + string(rune('1'+i))
		}
	}
	d.Devices = append(d.Devices, model.Device{ID: id, Type: id, Spec: &model.DeviceType{ID: id, Name: id, Terminals: terminals}})
	return d
}

// wire joins first terminals: the driving device, the supply ("" none), the
// accepting devices. A name may carry a terminal behind a colon.
func (d *drawn) wire(drive, supply string, accepts ...string) *drawn {
	c := model.Circuit{ID: drive + " to " + accepts[0], Drive: named(drive), Conductor: model.Conductor{Gauge: 18, Stranded: true, LengthFt: ptr(50.0)}}
	if supply != "" {
		e := named(supply)
		c.Supply = &e
	}
	for _, a := range accepts {
		c.Accepts = append(c.Accepts, named(a))
	}
	d.Circuits = append(d.Circuits, c)
	return d
}

// last is the circuit drawn last, to be given a length or a purpose.
func (d *drawn) last(change func(*model.Circuit)) *drawn {
	change(&d.Circuits[len(d.Circuits)-1])
	return d
}

func named(s string) model.End {
	for i := len(s) - 1; i >= 0; i-- {
		if s[i] == ':' {
			return model.End{Device: s[:i], Terminal: s[i+1:]}
		}
	}
	return model.End{Device: s, Terminal: "t1"}
}

// Terminals that the examples and the tests share.

func dcSupply(lo, hi float64) model.Terminal {
	return model.Terminal{Nature: model.SupplyOut, Drives: true, Current: "dc", Volts: model.Span(lo, hi), Absolute: true, Capacity: ptr(60.0), ClassTwo: ptr(true)}
}

func acSupply(v, va float64) model.Terminal {
	return model.Terminal{Nature: model.SupplyOut, Drives: true, Current: "ac", Volts: model.Span(v, v), Absolute: true, Capacity: ptr(va), ClassTwo: ptr(true), Earthed: ptr(false)}
}

func contact(minLoad float64, pilot ...string) model.Terminal {
	return model.Terminal{Nature: model.Contact, Drives: true, Form: "normally-open", PilotDuty: pilot, MinLoad: &model.MinimumLoad{Amps: minLoad}, Isolated: ptr(true)}
}

func dryInput(volts, ohm float64) model.Terminal {
	return model.Terminal{Nature: model.ContactSense, Wetting: &model.Wetting{Volts: model.Exactly(volts), Amps: model.Exactly(volts / ohm), Current: "dc"}}
}

func coil(current string, volts, runVA, inrushVA float64) model.Terminal {
	return model.Terminal{Nature: model.Coil, Current: current, Volts: model.Span(volts*0.8, volts*1.1), Absolute: true, Rectifier: "none",
		Running: &model.Load{VA: &runVA}, Inrush: &model.Load{VA: &inrushVA}, Off: &model.Threshold{Volts: volts * 0.15}}
}

func classInput(class, current string) model.Terminal {
	return model.Terminal{Nature: model.VoltageSense, Current: current, InputClass: class}
}

func analogOut(maxAmps float64) model.Terminal {
	return model.Terminal{Nature: model.AnalogVoltage, Drives: true, Current: "dc", Range: model.Span(0, 10), MaxCurrent: &maxAmps, Isolated: ptr(true)}
}

func analogIn(ohm float64) model.Terminal {
	return model.Terminal{Nature: model.AnalogVoltage, Current: "dc", Volts: model.Span(0, 12), Absolute: true, Range: model.Span(0, 10), Impedance: model.Span(ohm, ohm), Isolated: ptr(true)}
}

func currentIn(ohm float64, power string) model.Terminal {
	return model.Terminal{Nature: model.AnalogCurrent, Current: "dc", Range: model.Span(4, 20), Burden: model.Span(ohm, ohm), LoopPower: power, LoopVolts: model.Span(23, 25), Isolated: ptr(true)}
}

func transmitter(power string) model.Terminal {
	return model.Terminal{Nature: model.AnalogCurrent, Drives: true, Current: "dc", Range: model.Span(4, 20), LoopPower: power, LiftOff: ptr(10.8), MaxLoop: model.Span(0, 500), Isolated: ptr(true)}
}

func triac() model.Terminal {
	return model.Terminal{Nature: model.SolidState, Drives: true, Current: "ac", Snubber: ptr(100e-9), Holding: ptr(0.030), OnDrop: ptr(1.5),
		Ratings: []model.LoadRating{{Current: "ac", Volts: 30, Amps: 0.5, Inrush: ptr(1.5), Duty: "pilot"}}}
}

func powered(volts float64) model.Terminal {
	return model.Terminal{Nature: model.VoltageOut, Drives: true, Current: "ac", Volts: model.Span(volts, volts), Absolute: true, MaxCurrent: ptr(0.5), OffVolts: ptr(0.0)}
}

func load24(va float64) model.Terminal {
	return model.Terminal{Nature: model.PowerIn, Current: "ac", Volts: model.Span(19.2, 28.8), Absolute: true, Running: &model.Load{VA: &va}, Inrush: &model.Load{VA: &va}, Rectifier: "none"}
}

func service(volts float64, phases int) model.Terminal {
	return model.Terminal{Nature: model.SupplyOut, Drives: true, Current: "ac", Volts: model.Span(volts, volts), Phases: []int{phases}}
}

func motor(lo, hi float64, phases ...int) model.Terminal {
	return model.Terminal{Nature: model.PowerIn, Current: "ac", Volts: model.Span(lo, hi), Phases: phases}
}

func long(ft float64) func(*model.Circuit) {
	return func(c *model.Circuit) {
		c.Conductor = model.Conductor{Gauge: 18, Stranded: true, LengthFt: &ft}
	}
}

func mains(c *model.Circuit) { c.Purpose = "mains" }

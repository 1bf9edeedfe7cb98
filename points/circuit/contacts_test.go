package circuit

import (
	"strings"
	"testing"

	"tallywire/model"
)

// NEMA ICS 5, note to the pilot-duty table: from 120 V up the limit is VA / V.
func TestCR1B300At277Volts(t *testing.T) {
	d := onBench(t).lib.Ratings.PilotDuty["B300"]
	makes, breaks, _, ok := d.Limits(277)
	if !ok {
		t.Fatal("277 V is within 300 V")
	}
	printed(t, "make A", makes, 13.0, 0.05)
	printed(t, "break A", breaks, 1.30, 0.005)
	for _, c := range []struct {
		volts, run, inrush float64
		want               model.Verdict
	}{{277, 1.29, 12.9, model.Pass}, {277, 1.31, 5, model.Fault}, {277, 1, 13.1, model.Fault}, {480, 0.1, 0.1, model.Fault}} {
		load := coil("ac", c.volts, c.run*c.volts, c.inrush*c.volts)
		b := onBench(t).put("mains", acSupply(c.volts, 1e5)).put("relay", contact(0.001, "B300")).put("coil", load)
		b.join("c", "relay", "mains", "coil")
		wantVerdict(t, b.check(), "c", "contact-overload", c.want)
	}
	// A 277 V service stated as nominal is still within a 300 V contact.
	nominal := acSupply(277, 1e5)
	nominal.Absolute = false
	b := onBench(t).put("mains", nominal).put("relay", contact(0.001, "B300")).put("coil", coil("ac", 277, 100, 400))
	b.join("c", "relay", "mains", "coil")
	wantVerdict(t, b.check(), "c", "contact-overload", model.Pass)
}

// 120 V starter coil 218 VA inrush, 25 VA sealed (common practice) on a D300 contact (NEMA ICS 5).
func TestCR2StarterCoilOnD300(t *testing.T) {
	b := onBench(t).put("mains", acSupply(120, 1e5)).put("relay", contact(0.001, "D300")).put("coil", coil("ac", 120, 25, 218))
	b.join("c", "relay", "mains", "coil")
	r := b.check()
	wantVerdict(t, r, "c", "contact-overload", model.Pass)
	got := one(t, r, "c", "contact-overload")
	printed(t, "inrush A", got.Value.Lo, 1.817, 0.0005)
	printed(t, "make limit A", got.Limit.Lo, 3.6, 0.0005)
}

// DC pilot duty R300: 28 VA, capped at 1 A thermal (NEMA ICS 5).
func TestCR3R300OnDCCoils(t *testing.T) {
	for _, c := range []struct {
		volts, amps, limit float64
		want               model.Verdict
	}{{24, 0.9, 1.0, model.Pass}, {48, 0.7, 0.583, model.Fault}} {
		s := dcSupply(c.volts, c.volts)
		b := onBench(t).put("supply", s).put("relay", contact(0.001, "R300")).put("coil", coil("dc", c.volts, c.amps*c.volts, c.amps*c.volts))
		b.join("c", "relay", "supply", "coil")
		r := b.check()
		wantVerdict(t, r, "c", "contact-overload", c.want)
		printed(t, "limit A", one(t, r, "c", "contact-overload").Limit.Lo, c.limit, 0.0005)
	}
}

// Below 120 V the 120 V amperes hold, not VA / V (NEMA ICS 5 note).
func TestCR4A600At24Volts(t *testing.T) {
	makes, breaks, carries, _ := onBench(t).lib.Ratings.PilotDuty["A600"].Limits(24)
	if makes != 60 || breaks != 6 || carries != 10 {
		t.Errorf("A600 at 24 V AC: make %v, break %v, carry %v", makes, breaks, carries)
	}
	b := onBench(t).put("supply", acSupply(24, 1000)).put("relay", contact(0.001, "A600")).put("coil", coil("ac", 24, 6.5*24, 6.5*24))
	b.join("c", "relay", "supply", "coil")
	wantVerdict(t, b.check(), "c", "contact-overload", model.Fault)
}

// Minimum loads: silver 10 mA, gold 1 mA (common practice).
func TestCR5WettingOfStatusContacts(t *testing.T) {
	for _, c := range []struct {
		least, volts, ohm, milliamps float64
		want                         model.Verdict
	}{{0.010, 18, 3000, 6, model.Caution}, {0.001, 12, 15000, 0.8, model.Caution}, {0.001, 18, 3000, 6, model.Pass}} {
		b := onBench(t).put("status", contact(c.least)).put("input", dryInput(c.volts, c.ohm))
		b.join("c", "status", "", "input")
		r := b.check()
		wantVerdict(t, r, "c", "contact-underload", c.want)
		printed(t, "mA", one(t, r, "c", "contact-underload").Value.Lo*1000, c.milliamps, 1e-9)
	}
}

// For every AC cell of the pilot-duty table amperes x volts is the VA column.
func TestPilotDutyCells(t *testing.T) {
	n := 0
	for id, d := range onBench(t).lib.Ratings.PilotDuty {
		for _, c := range d.Cells {
			if d.Current == "ac" {
				n++
				printed(t, id+" make VA", c.Make*c.Volts, d.VAMake, 1e-6)
				printed(t, id+" break VA", c.Break*c.Volts, d.VABreak, 1e-6)
			}
		}
		if d.Current == "ac" && (id[0] == 'R' || id == "D600" || id == "E300") {
			t.Errorf("%s does not exist for AC", id)
		}
	}
	if n != 25 {
		t.Errorf("%d AC cells, the table prints 25", n)
	}
}

// IEC 60947-5-1: an AC-15 rating is tested making 10 times, AC-14 making 6
// times its current; a DC-13 rating makes what it breaks; a general-use rating
// says nothing of more than its amperes.
func TestUtilisationCategories(t *testing.T) {
	for _, c := range []struct {
		duty   string
		inrush float64
		want   model.Verdict
	}{{"AC-15", 10, model.Pass}, {"AC-15", 10.1, model.Fault}, {"AC-14", 6, model.Pass}, {"AC-14", 6.1, model.Fault}, {"general", 1, model.Pass}, {"general", 1.1, model.Fault}, {"pilot", 1.1, model.Fault}} {
		rated := model.Terminal{Nature: model.Contact, Drives: true, MinLoad: &model.MinimumLoad{Amps: 0.001},
			Ratings: []model.LoadRating{{Current: "ac", Volts: 120, Amps: 1, Duty: c.duty}}}
		b := onBench(t).put("mains", acSupply(120, 1e5)).put("relay", rated).put("coil", coil("ac", 120, 60, c.inrush*120))
		b.join("c", "relay", "mains", "coil")
		wantVerdict(t, b.check(), "c", "contact-overload", c.want)
	}
}

// An inrush that nobody states is unknown where the running current fits, and a
// fault at once where that does not.
func TestUnknownInrush(t *testing.T) {
	for va, want := range map[float64]model.Verdict{25: model.Unknown, 500: model.Fault} {
		load := coil("ac", 120, va, 0)
		load.Inrush = nil
		b := onBench(t).put("mains", acSupply(120, 1e5)).put("relay", contact(0.001, "B300")).put("coil", load)
		b.join("c", "relay", "mains", "coil")
		r := b.check()
		wantVerdict(t, r, "c", "contact-overload", want)
		if want == model.Unknown && !strings.Contains(one(t, r, "c", "contact-overload").Text, "up to 30 A would pass") {
			t.Error(one(t, r, "c", "contact-overload").Text)
		}
	}
}

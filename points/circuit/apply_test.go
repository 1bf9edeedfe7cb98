package circuit

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tallywire/model"
)

// A dozen relays that all want the one small transformer at hand: as many hang
// on it as it carries, the others get their own, and no part is put in twice.
func TestFixesGoTogether(t *testing.T) {
	b := onBench(t)
	for relays, own := range map[int]int{3: 0, 5: 2, 12: 9} {
		d := sketch().at("T", with(acSupply(24, 40), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) }))
		for i := range relays {
			r, c := fmt.Sprintf("relay %d", i), fmt.Sprintf("coil %d", i)
			d.at(r, gold()).at(c, with(coil("ac", 24, 10, 12), func(t *model.Terminal) { t.Volts = model.Span(19.2, 28.8) })).wire(r, "", c)
		}
		net := d.Net.machine()
		for range 5 {
			net, _ = ApplyTogether(b.lib, &b.p, net, b.repaired(net))
		}
		for _, f := range Check(b.lib, &b.p, net).Findings {
			t.Errorf("%d relays: %s %s: %s", relays, f.Code, f.Subject, f.Message)
		}
		seen := map[string]bool{}
		for _, d := range net.Devices {
			if seen[d.ID] {
				t.Errorf("%s stands twice", d.ID)
			}
			seen[d.ID] = true
		}
		if got := len(net.Devices) - 1 - 2*relays; got != own {
			t.Errorf("%d relays: %d transformers put in, want %d", relays, got, own)
		}
	}
}

// No relay is hung on a transformer that carries too much already.
func TestNoLoadOnAnOverloadedSupply(t *testing.T) {
	b := onBench(t)
	for va, parts := range map[float64]int{10: 0, 35: 1} {
		net := sketch().at("T", with(acSupply(24, 40), func(t *model.Terminal) { t.PhaseDeg = ptr(0.0) })).at("damper", load24(va)).at("relay", gold()).
			at("coil", with(coil("ac", 24, 5, 6), func(t *model.Terminal) { t.Volts = model.Span(19.2, 28.8) })).wire("T", "", "damper").wire("relay", "", "coil").Net.machine()
		if fix := b.repaired(net).Circuits[1].Fix; fix == nil || len(fix.Parts) != parts {
			t.Errorf("beside %v VA: %+v", va, fix)
		}
	}
}

// Whatever the net: what is applied together brings no new fault and nothing
// unknown that was not there before.
func TestAppliedBringsNoNewTrouble(t *testing.T) {
	b := onBench(t)
	r := rand.New(rand.NewPCG(59, 61))
	applied, alone := 0, 0
	for range 30 {
		net := floor(r)
		for range 3 {
			before := troublesOf(b.lib, &b.p, net, newMemo())
			repaired := b.repaired(net)
			next, done := ApplyTogether(b.lib, &b.p, net, repaired)
			for _, c := range done.Circuits {
				if c.Fix != nil && c.Fix.Applied {
					applied++
				}
			}
			plain, _ := Apply(b.lib, net, repaired)
			for k, v := range troublesOf(b.lib, &b.p, plain, newMemo()) {
				if v.verdict.Rank() > max(before[k].verdict.Rank(), model.Caution.Rank()) {
					alone++
				}
			}
			for k, v := range troublesOf(b.lib, &b.p, next, newMemo()) {
				if v.verdict.Rank() > max(before[k].verdict.Rank(), model.Caution.Rank()) {
					t.Errorf("%v was %q and is %q", k, before[k].verdict, v.verdict)
				}
			}
			net = next
		}
	}
	if applied < 100 || alone < 1 {
		t.Errorf("%d fixes applied, %d troubles without care: too few to prove anything", applied, alone)
	}
}

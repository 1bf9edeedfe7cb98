package circuit

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// ApplyTogether is Apply without the fixes that do not go together: each was
// found by itself, and ten that are right alone may load one supply. Of those
// that bring new trouble the later half is left out until none does; they are
// to be searched again in the net that comes back.
func ApplyTogether(lib *library.Library, p *model.Project, net Net, r Result) (Net, Result) {
	wanted := 0
	for i := range r.Circuits {
		if open(r.Circuits[i].Fix) {
			wanted++
		}
	}
	next, done := Apply(lib, net, r)
	if wanted == 0 {
		return next, done
	}
	memo := newMemo()
	before := troublesOf(lib, p, net, memo)
	r.Circuits = slices.Clone(r.Circuits)
	for {
		dropped := false
		after := troublesOf(lib, p, next, memo)
		for _, k := range sortedTroubles(after) {
			if after[k].verdict.Rank() <= max(before[k].verdict.Rank(), model.Caution.Rank()) {
				continue
			}
			involved := fixedBy(r, next, after[k].circuits)
			for _, i := range involved[len(involved)/2:] {
				r.Circuits[i].Fix, dropped = nil, true
			}
		}
		if !dropped {
			return next, done
		}
		next, done = Apply(lib, net, r)
	}
}

// open says that a fix could be applied and is not yet.
func open(f *model.Fix) bool { return f != nil && f.PriceCents != nil && !f.Applied }

// told is trouble with the circuits that show it.
type told struct {
	verdict  model.Verdict
	circuits []int
}

func troublesOf(lib *library.Library, p *model.Project, net Net, m *memo) map[troubleKey]told {
	x := newIndex(lib, p, net)
	x.memo = m
	out := map[troubleKey]told{}
	for i, row := range x.all() {
		for k := range row {
			a := &row[k]
			if a.Verdict == model.Pass {
				continue
			}
			key := keyOf(a, net.Circuits[i].ID)
			t := out[key]
			t.verdict = model.Worst(t.verdict, a.Verdict)
			if len(t.circuits) == 0 || t.circuits[len(t.circuits)-1] != i {
				t.circuits = append(t.circuits, i)
			}
			out[key] = t
		}
	}
	return out
}

func sortedTroubles(m map[troubleKey]told) []troubleKey {
	return slices.SortedFunc(maps.Keys(m), func(a, b troubleKey) int { return cmp.Or(cmp.Compare(a.code, b.code), cmp.Compare(a.where, b.where)) })
}

// fixedBy lists the circuits of a result whose fix put in one of the circuits of
// the net that came of it.
func fixedBy(r Result, net Net, circuits []int) []int {
	shown := map[string]bool{}
	for _, i := range circuits {
		shown[net.Circuits[i].ID] = true
	}
	var out []int
	for i := range r.Circuits {
		f := r.Circuits[i].Fix
		if open(f) && slices.ContainsFunc(f.Circuits, func(n model.Circuit) bool { return shown[n.ID] }) {
			out = append(out, i)
		}
	}
	return out
}

// Apply puts the fixes of a result into the net: the circuits they replace go,
// the new circuits and devices come, and each fix says that it is applied. The
// net is to be checked again after it: two fixes may load one supply.
func Apply(lib *library.Library, net Net, r Result) (Net, Result) {
	out := net
	out.Devices = slices.Clone(net.Devices)
	gone, done := map[string]bool{}, Result{Circuits: slices.Clone(r.Circuits), Supplies: r.Supplies, Findings: r.Findings}
	var added []model.Circuit
	for i := range done.Circuits {
		c := &done.Circuits[i]
		if !open(c.Fix) || gone[c.ID] {
			continue
		}
		replaced := replacedBy(c, c.Fix, net.Circuits)
		if slices.ContainsFunc(replaced, func(id string) bool { return gone[id] }) {
			continue
		}
		fix := *c.Fix
		fix.Applied = true
		c.Fix = &fix
		for _, id := range replaced {
			gone[id] = true
		}
		out.Devices = append(out.Devices, newDevices(lib, c, &fix)...)
		for _, n := range fix.Circuits {
			n.Fix = nil
			if n.ID == c.ID {
				n.Fix = &fix
			}
			added = append(added, n)
		}
	}
	out.Circuits = nil
	for _, c := range net.Circuits {
		if !gone[c.ID] {
			out.Circuits = append(out.Circuits, c)
		}
	}
	out.Circuits = append(out.Circuits, added...)
	order := map[string]int{}
	for i, c := range net.Circuits {
		order[c.ID] = i
	}
	slices.SortStableFunc(out.Circuits, func(a, b model.Circuit) int {
		return cmp.Compare(place(order, a.ID), place(order, b.ID))
	})
	return out, done
}

// place is where a circuit stood, or the one that it is a part of.
func place(order map[string]int, id string) int {
	for id != "" {
		if n, ok := order[id]; ok {
			return n
		}
		id = id[:max(0, strings.LastIndexByte(id, '/'))]
	}
	return len(order)
}

// replacedBy lists the circuits of the net that a fix stands for: its own, and
// those whose id the new ones carry.
func replacedBy(c *model.Circuit, fix *model.Fix, net []model.Circuit) []string {
	out := []string{c.ID}
	for i := range net {
		id := net[i].ID
		if id != c.ID && slices.ContainsFunc(fix.Circuits, func(n model.Circuit) bool { return n.ID == id }) {
			out = append(out, id)
		}
	}
	return out
}

func newDevices(lib *library.Library, c *model.Circuit, fix *model.Fix) []model.Device {
	var parts []*library.Interposer
	for _, id := range fix.Parts {
		if p, ok := lib.Interposer(id); ok {
			parts = append(parts, p)
		}
	}
	return installed(c, parts, fix.Parts)
}

package logic

import (
	"strings"

	"tallywire/model"
)

// script walks through every row of the truth table once, nearest row first,
// leaving what does not matter as it stands. Each row but the one it begins in
// needs a switching at least: that is the lower bound.
func (k *checker) script(f *fan, t truthTable) model.FunctionalTest {
	out := model.FunctionalTest{Equipment: f.name, LifeSafety: k.lifeSafety(f)}
	now := uint(0)
	for i, v := range t.rest {
		if v {
			now |= 1 << i
		}
	}
	left := make([]pattern3, len(t.rows))
	copy(left, t.rows)
	for len(left) > 0 {
		best, least := 0, 1<<30
		for i, row := range left {
			if d := switchings(now&row.care, row.value); d < least {
				best, least = i, d
			}
		}
		row := left[best]
		left = append(left[:best], left[best+1:]...)
		next := now&^row.care | row.value
		out.Steps = append(out.Steps, k.step(f, t, len(out.Steps)+1, now, next, row))
		now = next
	}
	out.LowerBound = max(0, len(t.rows)-1)
	return out
}

func (k *checker) step(f *fan, t truthTable, number int, from, to uint, row pattern3) model.TestStep {
	s := model.TestStep{Number: number, Action: strings.Join(k.changes(f, t, from, to), "; ")}
	if number == 1 {
		s.Before = "power on, selector in AUTO, every contact and command at rest, area clear"
	}
	if s.Action == "" {
		s.Action = "leave as it is"
	}
	for i, o := range t.Outputs {
		s.Expect = append(s.Expect, o+": "+row.outputs[i])
	}
	return s
}

// changes are the switchings from one state to the next, in words.
func (k *checker) changes(f *fan, t truthTable, from, to uint) []string {
	var out []string
	for i, r := range t.places {
		if from>>i&1 == to>>i&1 {
			continue
		}
		v := to>>i&1 == 1
		in := input{}
		if k.list[r].op == opInput {
			in = k.inputs[k.list[r].a]
		}
		switch {
		case in.kind == kindAuto && v:
			out = append(out, "turn the selector to AUTO")
		case in.kind == kindAuto:
			out = append(out, "turn the selector to "+k.handWord(t, to))
		case in.kind == kindHand && in.name != "":
			if !k.selectorMoved(t, from, to) && !k.inAutoAt(t, to) {
				out = append(out, "turn the selector to "+k.handWord(t, to))
			}
		default:
			out = append(out, "set "+k.heading(f, r)+" to "+k.cellOf(r, v))
		}
	}
	return out
}

func (k *checker) kindAt(t truthTable, kind inputKind) int {
	for i, r := range t.places {
		if k.list[r].op == opInput && k.inputs[k.list[r].a].kind == kind {
			return i
		}
	}
	return -1
}

func (k *checker) handWord(t truthTable, to uint) string {
	if i := k.kindAt(t, kindHand); i >= 0 && to>>i&1 == 1 {
		return "HAND"
	}
	return "OFF"
}

func (k *checker) selectorMoved(t truthTable, from, to uint) bool {
	i := k.kindAt(t, kindAuto)
	return i >= 0 && (from^to)>>i&1 == 1
}

func (k *checker) inAutoAt(t truthTable, to uint) bool {
	i := k.kindAt(t, kindAuto)
	return i >= 0 && to>>i&1 == 1
}

package logic

import (
	"strings"

	"tallywire/model"
)

// script walks through every row of the truth table once, with few switchings,
// leaving what does not matter as it stands; it states how many it makes and
// how many no walk can do without.
func (k *checker) script(f *fan, t truthTable) model.FunctionalTest {
	out := model.FunctionalTest{Equipment: f.name, LifeSafety: k.lifeSafety(f)}
	start := uint(0)
	for i, v := range t.rest {
		if v {
			start |= 1 << i
		}
	}
	t.rows = k.testRows(t)
	w := k.newWalk(&t)
	order := w.order(start)
	now := start
	for _, i := range order {
		next := t.rows[i].enter(now)
		out.Steps = append(out.Steps, k.step(f, t, len(out.Steps)+1, now, next, t.rows[i]))
		out.Switchings += w.cost(now, next)
		now = next
	}
	out.LowerBound = w.bound(start)
	return out
}

func (k *checker) step(f *fan, t truthTable, number int, from, to uint, row pattern3) model.TestStep {
	s := model.TestStep{Number: number, Action: strings.Join(k.changes(f, t, from, to), "; ")}
	if number == 1 {
		s.Before = "power on, every contact and command at rest, nobody at the fan"
		if k.kindAt(t, kindAuto) >= 0 {
			s.Before = "power on, selector in AUTO, every contact and command at rest, nobody at the fan"
		}
		if k.lifeSafety(f) {
			s.Before += "; fire trade present, authority told"
		}
	}
	for i, r := range t.places {
		if k.undeclared(r) && row.care>>i&1 == 1 {
			s.Before = strings.TrimPrefix(s.Before+"; only where: "+lower(k.heading(f, r))+" "+k.cellOf(f, r, row.value>>i&1 == 1), "; ")
		}
	}
	if s.Action == "" {
		s.Action = "nothing yet"
	}
	for i, o := range t.Outputs {
		s.Expect = append(s.Expect, o+": "+row.outputs[i])
	}
	return s
}

// changes are the switchings from one state to the next, in words.
func (k *checker) changes(f *fan, t truthTable, from, to uint) []string {
	var out []string
	on, off := k.panelPlaces(t)
	if on >= 0 && off >= 0 && (from^to)>>on&(from^to)>>off&1 == 1 {
		out = append(out, "turn the firefighters' switch to "+map[bool]string{true: "ON", false: "OFF"}[to>>on&1 == 1])
		from ^= 1<<on | 1<<off
	}
	for i, r := range t.places {
		if from>>i&1 == to>>i&1 || k.undeclared(r) {
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
		case i == on || i == off:
			out = append(out, "turn the firefighters' switch to "+map[bool]string{true: map[bool]string{true: "ON", false: "OFF"}[i == on], false: "AUTO"}[v])
		case k.statusOf[r] != nil:
			out = append(out, map[bool]string{true: "start ", false: "stop "}[v]+k.statusOf[r].name+" and see its status change")
		case k.isFan[r] != nil && r != f.command:
			out = append(out, map[bool]string{true: "start ", false: "stop "}[v]+k.isFan[r].name)
		case k.list[r].op != opInput && r != f.command:
			out = append(out, "bring about that "+k.wires[k.list[r].a].words+map[bool]string{true: "", false: " no longer"}[v])
		case in.kind == kindEvent:
			out = append(out, k.eventWords(r, v))
		default:
			out = append(out, k.handling(f, r, v))
		}
	}
	return out
}

// eventWords bring an event about and take it back.
func (k *checker) eventWords(r ref, v bool) string {
	if v {
		return "simulate: " + k.events[r].On
	}
	return "restore: " + k.events[r].Off
}

// handling are the actions on the other inputs of a fan.
func (k *checker) handling(f *fan, r ref, v bool) string {
	if r == f.command {
		return map[bool]string{true: "command it on from the BAS", false: "command it off from the BAS"}[v]
	}
	in := k.inputs[k.list[r].a]
	switch in.kind {
	case kindOwn:
		if f.byFirePanel() {
			return map[bool]string{true: "start it from the fire panel", false: "withdraw the start from the fire panel"}[v]
		}
		return map[bool]string{true: "let its own controls call for it", false: "let its own controls stop calling for it"}[v]
	case kindSpeed:
		return map[bool]string{true: "raise the BAS reference to " + threshold(f) + " or more", false: "take the BAS reference to 0 %"}[v]
	case kindBypass:
		return map[bool]string{true: "switch to bypass", false: "switch back to the drive"}[v]
	case kindOther:
		if strings.HasPrefix(in.column, "Contact ") {
			return map[bool]string{true: "close ", false: "open "}[v] + lower(k.heading(f, r))
		}
	}
	return "set " + lower(k.heading(f, r)) + " to " + k.cellOf(f, r, v)
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

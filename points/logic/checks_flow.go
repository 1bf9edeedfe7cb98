package logic

import (
	"fmt"
	"math"

	"tallywire/model"
	"tallywire/model/finding"
)

// gasFullFlow: gas and a fault of what measures it give full flow, whatever
// the BAS commands.
func (k *checker) gasFullFlow(f *fan) {
	if f.scheme.ID != "garage-exhaust" || f.logic == nil {
		return
	}
	seen := map[string]bool{}
	for _, r := range k.ownEvents(f) {
		e := k.events[r]
		if e.ID != "gas-high" && e.ID != "gas-fault" {
			continue
		}
		seen[e.ID] = true
		q := k.and(r, k.not(f.full), f.inAuto, k.not(f.bypass))
		for _, other := range k.ownEvents(f) {
			if k.events[other].LifeSafety {
				q = k.and(q, k.not(other))
			}
		}
		q = k.and(q, k.calm(q, kindPower, kindMotor))
		if s, bad := k.engine.possible(q); bad {
			state := k.story(s, f)
			if f.full == never {
				state += ", BAS reference at its lowest"
			}
			k.say(f, finding.Finding{Code: "gas-full-flow", Severity: finding.Fault,
				Message: "two masters: " + state + ": it does not run at full flow",
				Fix:     "let the panel's relay act on the override or full-speed input; the BAS trims above standby", Source: "IMC 404.1; common practice"})
		}
	}
	message := map[[2]bool]string{
		{false, true}:  "full flow on gas is the program's alone: controller down, gas above the level: it stays where it is",
		{true, false}:  "full flow on a sensor or panel fault is the program's alone, or not stated: sensor dead: it may stay at standby",
		{false, false}: "full flow on gas and on a sensor or panel fault is the program's alone, or not stated: controller down, gas above the level or the sensor dead: it stays where it is",
	}[[2]bool{seen["gas-high"], seen["gas-fault"]}]
	if message != "" {
		k.say(f, finding.Finding{Code: "gas-full-flow", Severity: finding.Caution, Message: message,
			Fix: "a relay of the gas panel for both on the full-speed input, or say in the sequence that a fault gives full flow", Source: "IMC 404.1; common practice"})
	}
}

// standbyFlow is the least flow of an enclosed garage, cfm per square foot
// (IMC 404.2).
const standbyFlow = 0.05

// gasMinimum: the lowest speed still gives the standby flow.
func (k *checker) gasMinimum(f *fan) {
	least, known := lowest(f)
	if f.scheme.ID != "garage-exhaust" || f.eq.Ratings.Airflow == nil || f.eq.Ratings.Area == nil || !known || least >= 1 {
		return
	}
	flow, ok1 := f.eq.Ratings.Airflow.In("cfm")
	area, ok2 := f.eq.Ratings.Area.In("ft2")
	if !ok1 || !ok2 || area.Hi <= 0 {
		return
	}
	if got := flow.Lo * least / area.Hi; got < standbyFlow {
		k.say(f, finding.Finding{Code: "gas-minimum", Severity: finding.Fault,
			Message: fmt.Sprintf("its lowest speed gives %s cfm/ft2, the standby flow is %s cfm/ft2: %s cfm x %s %% / %s ft2", model.Figure(got), model.Figure(standbyFlow), model.Figure(flow.Lo), model.Figure(100*least), model.Figure(area.Hi)),
			Numbers: []finding.Number{{Name: "standby flow", Value: got, Unit: "cfm/ft2"}, {Name: "least", Value: standbyFlow, Unit: "cfm/ft2"}},
			Fix:     "raise the lowest speed, or stage fewer fans for standby", Source: "IMC 404.2"})
	}
}

// burnerFlow: the least airflow of a make-up air unit keeps its burner lit.
func (k *checker) burnerFlow(f *fan) {
	least, known := lowest(f)
	if f.eq.Ratings.MinSpeed != nil { // whoever sets the speed
		v, ok := f.eq.Ratings.MinSpeed.In("%")
		least, known = v.Lo/100, ok
	}
	if f.scheme.ID != "make-up-air" || f.eq.Ratings.Airflow == nil || f.eq.Ratings.BurnerFlow == nil || !known {
		return
	}
	flow, ok1 := f.eq.Ratings.Airflow.In("cfm")
	need, ok2 := f.eq.Ratings.BurnerFlow.In("cfm")
	if !ok1 || !ok2 || flow.Lo*least >= need.Hi {
		return
	}
	k.say(f, finding.Finding{Code: "burner-airflow", Severity: finding.Fault,
		Message: fmt.Sprintf("its burner trips at the lowest speed: reference at its lowest, %s cfm x %s %% = %s cfm, the burner asks for %s cfm", model.Figure(flow.Lo), model.Figure(100*least), model.Figure(flow.Lo*least), model.Figure(need.Hi)),
		Numbers: []finding.Number{{Name: "airflow at lowest speed", Value: flow.Lo * least, Unit: "cfm"}, {Name: "burner", Value: need.Hi, Unit: "cfm"}},
		Fix:     fmt.Sprintf("a lowest speed of %s %% or more, at the drive and in the BAS alike", model.Figure(math.Ceil(100*need.Hi/flow.Lo)))})
}

// stackLeast is the least discharge velocity of a laboratory stack, ft/min
// (common practice; ANSI/ASSP Z9.5 asks for 3,000).
const stackLeast = 3000

// stackVelocity: a laboratory stack throws its air clear at the lowest speed, or
// a bypass damper keeps the flow of the stack up.
func (k *checker) stackVelocity(f *fan) {
	if f.scheme.ID != "lab-exhaust" || f.eq.Ratings.Airflow == nil || f.eq.Ratings.StackArea == nil {
		return
	}
	least, known := lowest(f)
	flow, ok1 := f.eq.Ratings.Airflow.In("cfm")
	area, ok2 := f.eq.Ratings.StackArea.In("ft2")
	if !ok1 || !ok2 || area.Lo <= 0 {
		return
	}
	if !known {
		k.fan(f, "stack-velocity", finding.Note, "whether its stack throws clear at the lowest speed is not known: the lowest speed is not stated", "state the lowest speed")
		return
	}
	got := flow.Lo * least / area.Hi
	for _, tag := range append([]string{f.eq.Tag}, k.system(f)...) {
		if k.points[tag+"/bypass-damper"] != nil && flow.Lo/area.Hi >= stackLeast {
			return // opens before the flow of the stack falls
		}
	}
	if got < stackLeast {
		k.say(f, finding.Finding{Code: "stack-velocity", Severity: finding.Fault,
			Message: fmt.Sprintf("its stack does not throw clear at the lowest speed: BAS reference at its lowest, no bypass damper: %s cfm x %s %% / %s ft2 = %s ft/min, %d ft/min are asked for: the air comes back in", model.Figure(flow.Lo), model.Figure(100*least), model.Figure(area.Hi), model.Figure(got), stackLeast),
			Numbers: []finding.Number{{Name: "velocity", Value: got, Unit: "ft/min"}, {Name: "least", Value: stackLeast, Unit: "ft/min"}},
			Fix:     "a higher lowest speed, a smaller nozzle, or a bypass damper that opens at the lowest speed", Source: "ANSI/ASSP Z9.5 (from memory); common practice"})
	}
}

// system lists the other machines of a fan's system.
func (k *checker) system(f *fan) []string {
	var out []string
	for _, g := range k.fans {
		if f.eq.System != "" && g.eq.System == f.eq.System && g.eq.Tag != f.eq.Tag {
			out = append(out, g.eq.Tag)
		}
	}
	return out
}

package logic

// ref points at a gate of the net; equal formulas have equal refs.
type ref int32

const (
	never  ref = 0
	always ref = 1
)

type op uint8

const (
	opConst op = iota
	opInput    // a: index into inputs
	opWire     // a: index into wires
	opNot
	opAnd
	opOr
)

type gate struct {
	op   op
	a, b ref
}

// input is a free two-valued quantity: a switch, a contact of the world, a
// command of the BAS. rest is its value in everyday idleness; a counter-example
// keeps as many inputs at rest as it can.
type input struct {
	name    string // unique: EF-1|start
	fan     string // whose it is; "" an event of the building
	kind    inputKind
	rest    bool
	on, off string // words: "BAS start on", "BAS start off"
	column  string // heading in a truth table
	yes, no string // cells
}

type inputKind uint8

const (
	kindStart  inputKind = iota // the BAS start output's own request
	kindSpeed                   // reference at or above the run threshold
	kindAuto                    // selector in AUTO
	kindHand                    // if not in AUTO: HAND, else OFF
	kindBypass                  // bypass selected
	kindEvent                   // fire, freeze, gas: an event
	kindOther                   // a start contact that is not the BAS's
	kindOwn                     // the call of controls that the plan does not see
	kindPower
	kindMotor // motor and belt whole
	kindUndeclared
)

// wire is a named value that may be fed back: what a fan is told, a relay, a
// damper. Its definition is a formula over inputs and wires.
type wire struct {
	name  string
	words string // "EF-1 runs"
	def   ref
}

// gates holds every formula of a project once.
type gates struct {
	list   []gate
	index  map[gate]ref
	inputs []input
	byName map[string]ref
	wires  []wire
}

func newGates() *gates {
	g := &gates{index: map[gate]ref{}, byName: map[string]ref{}}
	g.list = append(g.list, gate{opConst, 0, 0}, gate{opConst, 1, 0})
	return g
}

func (g *gates) put(x gate) ref {
	if r, ok := g.index[x]; ok {
		return r
	}
	r := ref(len(g.list))
	g.list = append(g.list, x)
	g.index[x] = r
	return r
}

// input returns the input of that name, made on first use.
func (g *gates) input(in input) ref {
	if r, ok := g.byName[in.name]; ok {
		return r
	}
	g.inputs = append(g.inputs, in)
	r := g.put(gate{opInput, ref(len(g.inputs) - 1), 0})
	g.byName[in.name] = r
	return r
}

// wire declares a wire whose definition follows by define.
func (g *gates) wire(name, words string) ref {
	key := "wire " + name
	if r, ok := g.byName[key]; ok {
		return r
	}
	g.wires = append(g.wires, wire{name: name, words: words, def: never})
	r := g.put(gate{opWire, ref(len(g.wires) - 1), 0})
	g.byName[key] = r
	return r
}

func (g *gates) define(w, def ref) { g.wires[g.list[w].a].def = def }

func (g *gates) not(a ref) ref {
	switch {
	case a == never:
		return always
	case a == always:
		return never
	case g.list[a].op == opNot:
		return g.list[a].a
	}
	return g.put(gate{opNot, a, 0})
}

func (g *gates) and(terms ...ref) ref { return g.fold(opAnd, always, never, terms) }
func (g *gates) or(terms ...ref) ref  { return g.fold(opOr, never, always, terms) }

func (g *gates) fold(o op, unit, zero ref, terms []ref) ref {
	out := unit
	for _, t := range terms {
		switch {
		case t == zero || out == zero:
			return zero
		case t == unit || t == out:
		case out == unit:
			out = t
		case g.not(t) == out:
			return zero
		default:
			out = g.put(gate{o, min(out, t), max(out, t)})
		}
	}
	return out
}

// iff is true where a and b agree.
func (g *gates) iff(a, b ref) ref {
	return g.or(g.and(a, b), g.and(g.not(a), g.not(b)))
}

// choose is then where c, otherwise other.
func (g *gates) choose(c, then, other ref) ref {
	if then == other {
		return then
	}
	return g.or(g.and(c, then), g.and(g.not(c), other))
}

// args returns the formulas a gate is made of, definitions of wires included.
func (g *gates) args(r ref) []ref {
	x := g.list[r]
	switch x.op {
	case opWire:
		return []ref{g.wires[x.a].def}
	case opNot:
		return []ref{x.a}
	case opAnd, opOr:
		return []ref{x.a, x.b}
	}
	return nil
}

// visit calls into for a formula and what it reads, each once and what reads
// before what is read; it goes on below where into says so.
func (g *gates) visit(f ref, into func(ref) bool) {
	seen := map[ref]bool{}
	var walk func(ref)
	walk = func(r ref) {
		if seen[r] {
			return
		}
		seen[r] = true
		if !into(r) {
			return
		}
		for _, a := range g.args(r) {
			walk(a)
		}
	}
	walk(f)
}

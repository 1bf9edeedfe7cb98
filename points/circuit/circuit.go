// Package circuit proves every circuit electrically: whether the two ends can
// work together at all, and every limit at its unfavourable end. It also says
// which controller terminals a circuit may land on, and what to put into a
// circuit that fails.
package circuit

import (
	"cmp"
	"runtime"
	"slices"
	"sync"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// Net is what the checks look at: every device with its Spec set, every
// circuit, and the cables that say which circuits run together. Points, Alarms
// and Equipment are what the circuits carry and serve; without them what they
// say of a circuit is not asked.
type Net struct {
	Devices   []model.Device
	Circuits  []model.Circuit
	Cables    []model.Cable
	Points    []model.Point
	Alarms    []model.Alarm
	Equipment []model.Equipment
	// Landed says that a landing chose the controller terminals with all other
	// points in view: a fix leaves every wire on the terminal where it landed.
	Landed bool
}

// Result is the answer: the circuits with Verdict and Checks filled in, the
// supplies with their sums, and a finding for whatever is a fault, unknown or a
// caution.
type Result struct {
	Circuits []model.Circuit
	Supplies []model.Supply
	Findings []finding.Finding
}

// Check proves every circuit of the net and every supply in it. The circuits
// of the net are not changed; the result holds copies.
func Check(lib *library.Library, p *model.Project, net Net) Result {
	x := newIndex(lib, p, net)
	x.memo = newMemo()
	rows := x.all()
	out := Result{Circuits: slices.Clone(net.Circuits), Supplies: x.sums}
	for i := range out.Circuits {
		c := &out.Circuits[i]
		c.Checks, c.Verdict = checksOf(c, rows[i])
	}
	out.Findings = x.findings(rows)
	finding.Sort(out.Findings)
	return out
}

// all answers every question about every circuit of the net, by itself and
// together with the others.
func (x *index) all() [][]answer {
	rows := make([][]answer, len(x.net.Circuits))
	near := x.questions(false)
	questions := slices.Concat(near[:2], x.questions(true), near[2:]) // in the order they are printed
	together := make([]map[int][]answer, len(questions))
	var wg sync.WaitGroup
	for i, ask := range questions {
		if len(rows) < fewCircuits {
			together[i] = ask()
			continue
		}
		wg.Go(func() { together[i] = ask() })
	}
	inParallel(len(rows), func(i int) { rows[i] = x.circuit(&x.net.Circuits[i]) })
	wg.Wait()
	for _, m := range together {
		for i, more := range m {
			rows[i] = slices.Concat(rows[i], more) // the row itself may be shared
		}
	}
	return rows
}

// questions are those about circuits together with others: of the network of
// commons, which reaches through everything joined, or of all else.
func (x *index) questions(commons bool) []func() map[int][]answer {
	if commons {
		return []func() map[int][]answer{x.askNetwork}
	}
	return []func() map[int][]answer{x.sharing, x.supplies, x.askSeparation, x.askBus, x.askCarried}
}

// askNetwork asks what depends on the network of commons.
func (x *index) askNetwork() map[int][]answer {
	x.kind = x.commonsOf(guess{"none", true, 0})
	out := x.askCommons()
	for i, more := range x.askReference() {
		out[i] = append(out[i], more...)
	}
	return out
}

// fewCircuits is how many are done faster by one core.
const fewCircuits = 256

// inParallel calls f for 0..n-1 on every core; f writes to its own place only,
// so the order does not show.
func inParallel(n int, f func(int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers <= 1 || n < fewCircuits {
		for i := range n {
			f(i)
		}
		return
	}
	const chunk = 128
	var wg sync.WaitGroup
	next := make(chan int, workers)
	for range workers {
		wg.Go(func() {
			for from := range next {
				for i := from; i < min(from+chunk, n); i++ {
					f(i)
				}
			}
		})
	}
	for from := 0; from < n; from += chunk {
		next <- from
	}
	close(next)
	wg.Wait()
}

// index is the net made easy to look things up in.
type index struct {
	lib      *library.Library
	wiring   model.WiringSettings
	net      Net
	devices  map[string]*model.Device
	specs    map[*model.DeviceType]map[string]*model.Terminal
	drives   map[model.End][]int // circuits by the terminal that drives them
	accepts  map[model.End][]int
	supplied map[model.End][]int     // circuits by the supply terminal they hang on
	started  map[string]bool         // devices with a start circuit of their own
	cable    map[string]*model.Cable // by circuit id
	across   map[laid]*model.Terminal
	laying   sync.Mutex
	memo     *memo
	sums     []model.Supply
	kind     *commons // the network of commons, unknown facts taken kindly
	at       *places
	rows     [][]answer // of all circuits, where a repair asks again and again
	twins    map[string][]twin
	known    *faces
	work     *work

	// A trial adds devices and takes a circuit out of what stands in parallel.
	extra     map[string]*model.Device
	replacing string
	shelf     []library.Interposer // what a repair may put in; nil: the library at its own prices
	priced    map[string]bool      // parts whose price the user gave
}

// laid is an accepting terminal with a resistor across it.
type laid struct {
	t      *model.Terminal
	ohm    model.Interval
	driver model.Nature
}

func newIndex(lib *library.Library, p *model.Project, net Net) *index {
	x := &index{lib: lib, net: net, work: &work{}, devices: make(map[string]*model.Device, len(net.Devices)),
		specs:  map[*model.DeviceType]map[string]*model.Terminal{},
		drives: make(map[model.End][]int, len(net.Circuits)), accepts: make(map[model.End][]int, len(net.Circuits)),
		supplied: map[model.End][]int{}, started: map[string]bool{}, cable: map[string]*model.Cable{}, across: map[laid]*model.Terminal{}}
	if p != nil {
		x.wiring = p.Settings.Wiring
		x.shelf, x.priced = shelf(lib, p.Prices)
	}
	for i := range net.Devices {
		d := &net.Devices[i]
		x.devices[d.ID] = d
		x.learn(d.Spec)
	}
	for i := range net.Circuits {
		x.enter(i, &net.Circuits[i])
	}
	for i := range net.Cables {
		for _, id := range net.Cables[i].Circuits {
			x.cable[id] = &net.Cables[i]
		}
	}
	return x
}

// learn makes the terminals of a device type easy to look up.
func (x *index) learn(spec *model.DeviceType) {
	if spec == nil || x.specs[spec] != nil {
		return
	}
	byID := make(map[string]*model.Terminal, len(spec.Terminals))
	for k := range spec.Terminals {
		byID[spec.Terminals[k].ID] = &spec.Terminals[k]
	}
	x.specs[spec] = byID
}

// device is the device of that id, nil if there is none.
func (x *index) device(id string) *model.Device {
	if d := x.extra[id]; d != nil {
		return d
	}
	return x.devices[id]
}

// enter notes which terminals a circuit uses.
func (x *index) enter(i int, c *model.Circuit) {
	if !c.Drive.Open() {
		k := plain(c.Drive)
		x.drives[k] = append(x.drives[k], i)
		if t := x.terminal(k); t != nil && t.Nature == model.SupplyOut {
			x.supplied[k] = append(x.supplied[k], i)
		}
	}
	for _, e := range c.Accepts {
		if !e.Open() {
			x.accepts[plain(e)] = append(x.accepts[plain(e)], i)
			if c.Purpose == "start" {
				x.started[e.Device] = true
			}
		}
	}
	if c.Supply != nil && !c.Supply.Open() {
		k := plain(*c.Supply)
		x.supplied[k] = append(x.supplied[k], i)
	}
}

// plain is the terminal of an end, whichever way round its leads are.
func plain(e model.End) model.End { return model.End{Device: e.Device, Terminal: e.Terminal} }

func (x *index) terminal(e model.End) *model.Terminal {
	d := x.device(e.Device)
	if d == nil || d.Spec == nil {
		return nil
	}
	return x.specs[d.Spec][e.Terminal]
}

// sortedEnds lists the keys of a map that are asked for in order, so that
// results do not depend on the map's.
func sortedEnds(m map[model.End][]int, want func(model.End, []int) bool) []model.End {
	var out []model.End
	for e, list := range m {
		if want(e, list) {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, func(a, b model.End) int {
		return cmp.Or(finding.CompareTags(a.Device, b.Device), finding.CompareTags(a.Terminal, b.Terminal))
	})
	return out
}

package circuit

import (
	"fmt"

	"tallywire/model"
)

// offsetLimit is the share of the span that a shared return may falsify a
// signal by: 1 %, common practice.
const offsetLimit = 0.01

// askReference: a signal between two ends that are not isolated has a common
// reference, and has it once: no shield earthed twice, no second earth, no
// return current of a load in the signal's common.
func (x *index) askReference() map[int][]answer {
	out := map[int][]answer{}
	tied := x.tiedToEarth()
	for i := range x.net.Circuits {
		c := &x.net.Circuits[i]
		d := x.terminal(plain(c.Drive))
		if d == nil || d.Nature != model.AnalogVoltage && d.Nature != model.AnalogCurrent || len(c.Accepts) == 0 {
			continue
		}
		x.shield(out, i, c)
		for _, a := range c.Accepts {
			t := x.terminal(plain(a))
			if t == nil || t.Nature != d.Nature {
				continue
			}
			if t.Isolated != nil && *t.Isolated || d.Isolated != nil && *d.Isolated {
				continue
			}
			from, to := commonOf(c.Drive.Device, d), commonOf(a.Device, t)
			if c.Conductor.Count == 1 {
				x.oneConductor(out, i, c, d, from, to)
			}
			if tied.apart(from, to) && d.Isolated != nil && t.Isolated != nil {
				out[i] = append(out[i], answer{fix: "use a signal isolator, a 4-20 mA signal, or take one earth off", Check: model.Check{Code: "common", Verdict: model.Caution, At: a.String(), Source: "common practice",
					Text: "both ends of the signal are earthed apart: the voltage between the two earths adds to the signal, and does so when the drive runs"}})
			}
		}
	}
	return out
}

// shield tells a shield that is not earthed at exactly one end.
func (x *index) shield(out map[int][]answer, i int, c *model.Circuit) {
	n := c.Conductor.ShieldEarths
	if !c.Conductor.Shielded || n == nil {
		return
	}
	a := answer{Check: model.Check{Code: "common", Verdict: model.Pass, Relation: "equals", At: c.Drive.String(), Source: "common practice",
		Value: ptr(model.Exactly(float64(*n))), Limit: ptr(model.Exactly(1)), Text: fmt.Sprintf("the shield is earthed at %d ends; at one, the controller's, it keeps noise out", *n)}}
	if *n != 1 {
		a.Verdict, a.fix = model.Fault, "earth the shield at one end only, the controller's"
		if *n > 1 {
			a.Text += "; at two it carries an earth loop beside the signal"
		}
	}
	out[i] = append(out[i], a)
}

// earths tells which commons reach earth, and where.
type earths struct {
	part   map[node]node // commons and leads that one another tie, without signals
	joined map[node]node // the same with signals
	points map[node]int  // places at which a joined part is earthed
}

// apart says that a signal joins two parts of a network that is earthed at more
// than one place.
func (e earths) apart(a, b node) bool {
	return top(e.part, a) != top(e.part, b) && e.points[top(e.joined, a)] > 1
}

// tiedToEarth looks at the commons, feeds and earths of the net.
func (x *index) tiedToEarth() earths {
	n := x.kind
	e := earths{part: map[node]node{}, joined: map[node]node{}, points: map[node]int{}}
	for _, j := range n.joins {
		if j.volts != 0 || j.how == "shield" || j.b.lead == earth.lead {
			continue
		}
		unite(e.joined, j.a, j.b)
		if j.how != "signal common" {
			unite(e.part, j.a, j.b)
		}
	}
	for _, j := range n.joins {
		if j.b.lead == earth.lead && j.how != "shield" {
			e.points[top(e.joined, j.a)]++
		}
	}
	return e
}

// top is the node that stands for all that is united with a; the way to it is
// shortened, so that a hub of a thousand signals is no chain.
func top(m map[node]node, a node) node {
	root := a
	for {
		up, ok := m[root]
		if !ok {
			break
		}
		root = up
	}
	for a != root {
		a, m[a] = m[a], root
	}
	return root
}

func unite(m map[node]node, a, b node) {
	if a, b = top(m, a), top(m, b); a != b {
		m[a] = b
	}
}

// oneConductor asks of a signal without a wire for its common where its return
// is: the common of the supply both ends share, or nowhere.
func (x *index) oneConductor(out map[int][]answer, i int, c *model.Circuit, d *model.Terminal, from, to node) {
	feedFrom, feedTo := x.feedOf(from), x.feedOf(to)
	if feedFrom == nil || feedTo == nil || feedFrom.supply != feedTo.supply || feedFrom.reversed != feedTo.reversed {
		out[i] = append(out[i], answer{fix: "pull a conductor for the common", Check: model.Check{Code: "common", Verdict: model.Fault, At: c.Drive.String(), Source: "common practice",
			Text: "the signal has one conductor, and the two ends share no other reference: the voltage at the input is anything"}})
		return
	}
	r, amps, ok := x.returnDrop(feedTo)
	if !ok || d.Range == nil {
		out[i] = append(out[i], answer{fix: "state the length and load of the feed, or pull a conductor for the common", Check: model.Check{Code: "common", Verdict: model.Unknown, At: c.Drive.String(),
			Text: "cannot tell: needs the length of the 24 V feed whose common returns the signal, and what it carries; a common of its own would pass"}})
		return
	}
	share := amps * r / (d.Range.Hi - d.Range.Lo) * 100
	v, fix := model.Pass, ""
	if share > offsetLimit*100 {
		v, fix = model.Caution, "pull a conductor for the signal's common, apart from the supply's"
	}
	out[i] = append(out[i], answer{fix: fix, Check: model.Check{Code: "common", Verdict: v, At: c.Drive.String(), Source: "common practice", Unit: "%", Relation: "<=",
		Value: ptr(model.Exactly(share)), Limit: ptr(model.Exactly(offsetLimit * 100)), Margin: ptr(offsetLimit*100 - share),
		Text: fmt.Sprintf("the signal returns through the supply's common: %s x %s ohm = %s V, %s %% of its span", milli(amps), show(r), show(amps*r), show(share))}})
}

// feedRef is the half-wave feed that ties a common to a supply's lead.
type feedRef struct {
	supply   model.End
	circuit  int
	reversed bool
}

func (x *index) feedOf(common node) *feedRef {
	for i := range x.net.Circuits {
		c := &x.net.Circuits[i]
		s, t := x.feeding(c)
		if t == nil {
			continue
		}
		for _, a := range c.Accepts {
			at := x.terminal(plain(a))
			if a.Device == common.end.Device && at != nil && at.Nature == model.PowerIn && at.Rectifier == "half-wave" && commonOf(a.Device, at) == common {
				return &feedRef{s, i, a.Reversed}
			}
		}
	}
	return nil
}

// returnDrop is the resistance of the common conductor of a feed, one way, and
// the current it carries.
func (x *index) returnDrop(f *feedRef) (ohm, amps float64, ok bool) {
	c := &x.net.Circuits[f.circuit]
	j, trouble := x.join(c)
	t := x.terminal(f.supply)
	if trouble != nil || t == nil {
		return 0, 0, false
	}
	loop, known := j.loopOhm()
	sum, noRun, _ := j.total(t)
	return loop / 2, sum.run, known && noRun < 0
}

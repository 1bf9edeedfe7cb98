package hookup

import (
	"fmt"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

func (n *net) tell(f finding.Finding) { n.findings = append(n.findings, f) }

// assume notes what was taken for granted in choosing a device.
func (n *net) assume(m *machine, role, words string) {
	key := [2]string{m.Tag, words}
	if words == "" || n.assumed[key] {
		return
	}
	n.assumed[key] = true
	n.tell(finding.Finding{Code: "device-assumed", Severity: finding.Note, Subject: m.Tag, Message: words, Where: m.Where,
		Fix: fmt.Sprintf("state it in the list, or set the type of the device …/%s in the project file", role), Source: "common practice"})
}

// tellMissing reports every hardwired point that no circuit carries.
func (n *net) tellMissing(points []model.Point) {
	carried := map[string]bool{}
	for _, c := range n.circuits {
		carried[c.Point] = true
	}
	for i := range points {
		pt := &points[i]
		if !ourWire(pt) || carried[pt.Key] {
			continue
		}
		f := finding.Finding{Code: "no-hookup", Severity: finding.Caution, Subject: pt.Key, Where: pt.Where}
		switch reasons := n.why[pt.Key]; {
		case n.removed[pt.Key]:
			f.Severity = finding.Note
			f.Message = fmt.Sprintf("the project file takes the wire of %s away; the point is listed without one", pt.Key)
			f.Fix = "take the point off as well, or state the circuit that carries it"
		case len(reasons) > 0:
			f.Message = fmt.Sprintf("no wire for %s: %s", pt.Key, strings.Join(reasons, "; "))
			f.Fix = "choose a device that has the terminal, state the circuit in the project file, or take the point off the list"
		default:
			f.Message = fmt.Sprintf("no wire for %s: no hook-up of the library joins the role %q to this machine's control", pt.Key, pt.Role)
			f.Fix = "state how the fan is controlled (controls column), state the circuit in the project file, or add a hook-up record"
		}
		n.tell(f)
	}
}

package circuit

import (
	"tallywire/model"
	"tallywire/model/finding"
)

// findings makes one finding for each circuit and code that is not plain good:
// the worst answer of the code speaks. What concerns a supply is told once, of
// the supply.
func (x *index) findings(rows [][]answer) []finding.Finding {
	var out []finding.Finding
	told := map[[3]string]bool{}
	for i, row := range rows {
		c := &x.net.Circuits[i]
		for _, code := range codesOf(row) {
			a := worstOf(row, code)
			if a == nil || c.Drive.Open() && a.Text == "" {
				continue
			}
			if code == "under-voltage" && a.Verdict == model.Fault && wireIsToBlame(row, a.place) {
				continue // conductor-drop says it, with the length and the gauge
			}
			f := finding.Finding{Code: code, Subject: c.ID, Severity: finding.Caution, Message: a.Text, Fix: a.fix, Source: a.Source, Numbers: numbers(a.Check)}
			if a.Verdict == model.Fault {
				f.Severity = finding.Fault
			}
			if a.Verdict == model.Unknown {
				f.Asks = a.fix
			}
			if a.group != "" {
				f.Subject = a.group
				if told[[3]string{code, a.group, a.Text}] {
					continue
				}
				told[[3]string{code, a.group, a.Text}] = true
			}
			f.Where = x.where(c)
			out = append(out, f)
		}
	}
	return out
}

// where is the place a circuit was written at: its own, or its driving device's.
func (x *index) where(c *model.Circuit) *model.Where {
	if c.Where != nil {
		return c.Where
	}
	for _, e := range append([]model.End{c.Drive}, c.Accepts...) {
		if d := x.devices[e.Device]; d != nil && d.Where != nil {
			return d.Where
		}
	}
	return nil
}

func codesOf(row []answer) []string {
	var out []string
	for _, a := range row {
		seen := false
		for _, c := range out {
			seen = seen || c == a.Code
		}
		if !seen {
			out = append(out, a.Code)
		}
	}
	return out
}

func worstOf(row []answer, code string) *answer {
	var best *answer
	for i := range row {
		if a := &row[i]; a.Code == code && a.Verdict != model.Pass && (best == nil || a.Verdict.Rank() > best.Verdict.Rank()) {
			best = a
		}
	}
	return best
}

func wireIsToBlame(row []answer, place int) bool {
	for _, a := range row {
		if a.Code == "conductor-drop" && a.Verdict == model.Fault && a.place == place {
			return true
		}
	}
	return false
}

// numbers are the figures of a check as a finding carries them.
func numbers(c model.Check) []finding.Number {
	var out []finding.Number
	add := func(name string, i *model.Interval) {
		switch {
		case i == nil:
		case i.Point():
			out = append(out, finding.Number{Name: name, Value: i.Lo, Unit: c.Unit})
		default:
			out = append(out, finding.Number{Name: name + " lowest", Value: i.Lo, Unit: c.Unit}, finding.Number{Name: name + " highest", Value: i.Hi, Unit: c.Unit})
		}
	}
	add("value", c.Value)
	add("limit", c.Limit)
	if c.Margin != nil {
		out = append(out, finding.Number{Name: "margin", Value: *c.Margin, Unit: c.Unit})
	}
	return out
}

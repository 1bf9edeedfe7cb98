package excel

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
)

// pairing is one check of one circuit; check is nil for a circuit that none was made of.
type pairing struct {
	circuit *model.Circuit
	check   *model.Check
	folded  bool // passes, and another check of the circuit stands before it
}

// pairingSheet shows every circuit and every check of it. The first check of a
// circuit is its worst; those that pass are folded under it, so that the sheet
// and a print of it show what has to be looked at.
func pairingSheet(is *issued) *sheet {
	n := 0
	for i := range is.plan.Circuits {
		n += max(1, len(is.plan.Circuits[i].Checks))
	}
	list := make([]pairing, 0, n)
	for i := range is.plan.Circuits {
		c := &is.plan.Circuits[i]
		if len(c.Checks) == 0 {
			list = append(list, pairing{circuit: c})
		}
		for k, check := range worstFirst(c.Checks) {
			list = append(list, pairing{c, check, k > 0 && check.Verdict == model.Pass})
		}
	}
	fields := pairingFields(is)
	if is.opts.money() {
		fields = append(fields, money("fix_price", "Fix price", func(p pairing) *int64 {
			if p.circuit.Fix == nil || fixWords(p) == "" {
				return nil
			}
			return p.circuit.Fix.PriceCents
		}))
	}
	s := keyedSheet(nil, tableSpec[pairing]{name: pairingSheetName, table: "Pairing", folded: func(p pairing) bool { return p.folded }}, list,
		paperFirst(fields, "circuit", "check", "verdict", "caution", "value", "relation", "limit", "margin", "unit", "arithmetic", "fix"))
	s.across = 1
	return s.printTo("fix")
}

// worstFirst puts the checks of a circuit in the order in which they have to be
// read: the worst verdict first, and of the same verdict the least reserve.
func worstFirst(checks []model.Check) []*model.Check {
	list := rowsOf(checks)
	slices.SortStableFunc(list, func(a, b *model.Check) int {
		return cmp.Or(b.Verdict.Rank()-a.Verdict.Rank(), cmp.Compare(reserve(a), reserve(b)))
	})
	return list
}

// reserve is the margin of a check as a share of its limit; of checks that
// compare no figures there is more than of any other.
func reserve(c *model.Check) float64 {
	if c.Margin == nil || c.Limit == nil {
		return math.Inf(1)
	}
	if size := max(math.Abs(c.Limit.Lo), math.Abs(c.Limit.Hi)); size > 0 && !math.IsInf(size, 1) {
		return *c.Margin / size
	}
	return *c.Margin
}

func pairingFields(is *issued) []field[pairing] {
	words := func(id, title string, least, most float64, note string, get func(pairing) string) field[pairing] {
		return field[pairing]{column{id: id, title: title, least: least, most: most, look: lookText, note: note},
			func(p pairing) value { return text(get(p)) }}
	}
	checked := func(id, title string, least, most float64, note string, get func(*model.Check) string) field[pairing] {
		return words(id, title, least, most, note, func(p pairing) string {
			if p.check == nil {
				return ""
			}
			return get(p.check)
		})
	}
	return []field[pairing]{
		words("circuit", "Circuit", 14, 30, "Circuit; the point key where it carries a point", func(p pairing) string { return p.circuit.ID }).
			leading(func(p pairing) target { return is.toPoint(p.circuit.Point) }),
		words("purpose", "Purpose", 10, 16, "What the circuit is for", func(p pairing) string { return p.circuit.Purpose }),
		checked("check", "Check", 12, 20, "What was asked of the circuit", func(c *model.Check) string { return c.Code }),
		field[pairing]{column{id: "verdict", title: "Verdict", least: 14, most: 14, look: lookText, note: "PASS, CAUTION, CANNOT TELL or FAULT; leads to the finding", verdict: true},
			func(p pairing) value {
				if p.check == nil {
					return verdictCell(p.circuit.Verdict)
				}
				return verdictCell(p.check.Verdict)
			}}.leading(func(p pairing) target {
			if p.check == nil || p.check.Verdict.Rank() == 0 {
				return target{}
			}
			return is.toFinding(p.circuit.ID)
		}),
		words("caution", "Caution", 9, 17, "What a licensed person has to decide", func(p pairing) string {
			return safety(is.danger[p.circuit.Point] || is.danger[p.circuit.Equipment] && p.circuit.Point == "")
		}),
		checked("value", "Value", 10, 16, "Worst-case value, lowest to highest", func(c *model.Check) string { return span(c.Value) }),
		checked("relation", "Must be", 9, 11, "Relation of value and limit", func(c *model.Check) string { return c.Relation }),
		checked("limit", "Limit", 10, 16, "What it must keep to", func(c *model.Check) string { return span(c.Limit) }),
		{column{id: "margin", title: "Margin", least: 9, most: 12, look: lookNumber, note: "Distance to the limit; negative when it is broken"},
			func(p pairing) value {
				if p.check == nil || p.check.Margin == nil {
					return value{}
				}
				return number(rounded(*p.check.Margin))
			}},
		checked("unit", "Unit", 7, 9, "Unit of value, limit and margin", func(c *model.Check) string { return c.Unit }),
		checked("arithmetic", "Arithmetic", 24, 52, "How the value comes about", func(c *model.Check) string { return c.Text }),
		words("drive", "Drives", 14, 32, "Device and terminal that drives", func(p pairing) string { return end(p.circuit.Drive) }),
		words("accepts", "Accepts", 14, 32, "Devices and terminals that accept", func(p pairing) string {
			var list []string
			for _, a := range p.circuit.Accepts {
				list = append(list, end(a))
			}
			return strings.Join(list, "\n")
		}),
		words("supply", "Supply", 10, 28, "Supply of the circuit, if it needs one", func(p pairing) string {
			if p.circuit.Supply == nil {
				return ""
			}
			return end(*p.circuit.Supply)
		}),
		words("conductor", "Conductor", 12, 28, "Count, gauge and one-way length", func(p pairing) string { return conductor(p.circuit.Conductor) }),
		checked("source", "Source", 16, 34, "Where limit and figures come from", func(c *model.Check) string { return c.Source }),
		words("fix", "Fix", 14, 32, "What would make the circuit work", func(p pairing) string { return fixWords(p) }),
		checked("at", "At", 10, 24, "The end that the check concerns", func(c *model.Check) string { return c.At }),
		{column{id: "equipment", title: "Equipment", least: 10, most: 18, look: lookCode}, func(p pairing) value { return text(p.circuit.Equipment) }},
		{column{id: "point", title: "Point key", least: 14, most: 26, look: lookCode}, func(p pairing) value { return text(p.circuit.Point).leads(is.toPoint(p.circuit.Point)) }},
	}
}

// rounded keeps the figures that a person reads: the margin of an interval
// computation carries noise in its last digits.
func rounded(v float64) float64 {
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	if err != nil {
		return v
	}
	return short
}

func end(e model.End) string {
	if e.Open() {
		return "controller (not landed)"
	}
	return e.Device + " : " + e.Terminal
}

// conductor prints "2 × 18 AWG, 100 ft", and whether it is assumed.
func conductor(c model.Conductor) string {
	if c.Gauge == 0 && c.LengthFt == nil {
		return ""
	}
	var parts []string
	if c.Gauge != 0 {
		parts = append(parts, strconv.Itoa(max(c.Count, 1))+" × "+strconv.Itoa(c.Gauge)+" AWG")
	}
	if c.LengthFt != nil {
		parts = append(parts, model.Figure(*c.LengthFt)+" ft")
	}
	if c.Assumed {
		parts = append(parts, "assumed")
	}
	return strings.Join(parts, ", ")
}

// fixWords shows the fix beside the checks that call for it.
func fixWords(p pairing) string {
	f := p.circuit.Fix
	if f == nil || p.check != nil && p.check.Verdict.Rank() < model.Caution.Rank() {
		return ""
	}
	if f.Applied {
		return "Applied: " + f.Summary
	}
	return f.Summary
}

// verdictWords are the verdicts as people read them.
var verdictWords = map[model.Verdict]string{
	model.Pass: "PASS", model.Caution: "CAUTION", model.Unknown: "CANNOT TELL", model.Fault: "FAULT",
}

func verdictCell(v model.Verdict) value {
	word, ok := verdictWords[v]
	if !ok {
		return text("not checked")
	}
	return text(word).as(map[model.Verdict]look{model.Pass: lookPass, model.Caution: lookCaution,
		model.Unknown: lookUnknown, model.Fault: lookFault}[v])
}

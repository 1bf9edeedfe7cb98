package excel

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// issued is a plan on its way into a workbook: what is written, for whom, in
// which order, what people wrote before, and in which row everything stands.
type issued struct {
	plan     *model.Plan
	opts     Options
	danger   map[string]bool   // life-safety points and equipment
	location map[string]string // of equipment, by tag
	points   []*model.Point    // in the order of the point schedule
	kept     *keepsakes

	// revised says of a point or an alarm what changed since the issue before.
	// Where revisions is false the sheets have no column for it.
	revised   map[string]string
	revisions bool

	// Rows by what stands in them, for links; the first of several.
	pointRow, equipmentRow, alarmRow, circuitRow, landingRow, findingRow, changeRow map[string]int
	codes                                                                           map[string][]string // codes of faults and cautions by subject
}

func newIssued(plan *model.Plan, opts Options) *issued {
	if !opts.money() {
		plan = withoutMoney(plan)
	}
	is := &issued{plan: plan, opts: opts, danger: lifeSafety(plan), kept: keep(opts.Keep)}
	is.revised, is.revisions = revisionsOf(opts.Changes), len(opts.Changes) > 0
	is.changeRow = map[string]int{}
	for i := range opts.Changes {
		first(is.changeRow, opts.Changes[i].Subject, i+2)
	}
	is.location = map[string]string{}
	for _, e := range plan.Equipment {
		is.location[e.Tag] = e.Location
	}
	is.points = is.kept.arrange(plan.Points)
	is.pointRow, is.equipmentRow = map[string]int{}, map[string]int{}
	for i, p := range is.points {
		first(is.pointRow, p.Key, i+2)
		first(is.pointRow, p.Equipment, i+2)
	}
	for i := range plan.Equipment {
		first(is.equipmentRow, plan.Equipment[i].Tag, i+2)
	}
	is.alarmRow = map[string]int{}
	for i := range plan.Alarms {
		first(is.alarmRow, plan.Alarms[i].ID, i+2)
		first(is.alarmRow, plan.Alarms[i].Source, i+2)
	}
	is.circuitRow = map[string]int{}
	at := 2
	for i := range plan.Circuits {
		c := &plan.Circuits[i]
		first(is.circuitRow, c.ID, at)
		first(is.circuitRow, c.Point, at)
		at += max(1, len(c.Checks))
	}
	is.landingRow = map[string]int{}
	for i, t := range terminations(plan) {
		first(is.landingRow, t.Point, i+2)
	}
	is.findingRow, is.codes = map[string]int{}, map[string][]string{}
	for i := range plan.Findings {
		f := &plan.Findings[i]
		for _, s := range append([]string{f.Subject}, f.Subjects...) {
			first(is.findingRow, s, i+2)
			if f.Severity != finding.Note && s != "" && !slices.Contains(is.codes[s], f.Code) {
				is.codes[s] = append(is.codes[s], f.Code)
			}
		}
	}
	return is
}

// speaksOfMoney finds a text that a copy without money must not carry.
var speaksOfMoney = regexp.MustCompile(`(?i)\b(prices?|priced|costs?|cents?|dollars?|euros?)\b|[$€£]\s?\d`)

// withoutMoney is the plan less the findings that speak of prices: they are
// the estimator's business. Everything else of a plan keeps its prices in
// fields that such a copy does not print.
func withoutMoney(plan *model.Plan) *model.Plan {
	out := *plan
	out.Findings = slices.DeleteFunc(slices.Clone(plan.Findings), func(f finding.Finding) bool {
		return speaksOfMoney.MatchString(f.Message) || speaksOfMoney.MatchString(f.Fix) ||
			slices.ContainsFunc(f.Numbers, func(n finding.Number) bool { return speaksOfMoney.MatchString(n.Name + " " + n.Unit) })
	})
	return &out
}

func first(m map[string]int, key string, row int) {
	if _, ok := m[key]; !ok && key != "" {
		m[key] = row
	}
}

// sheetsFor lists which sheets a copy leaves out, by who gets it. What is not
// named goes to everybody; what is named money only to those who price.
var leftOut = map[string][]string{
	"vendor":   {"Bid"},
	"estimate": {"Point check-out", "Functional tests", "Function list", "Objects", "Network"},
	"field": {"Bid", "Charts", "Objects", "Supporting objects", "Function list", "Materials", "Equipment", "Cross-check", "Clarifications",
		"Responsibility", "Pairings"},
	"all": nil,
}

// Copies are the words that Options.For knows.
func Copies() []string { return []string{"vendor", "estimate", "field", "all"} }

func (o Options) copy() string {
	if o.For == "" {
		return "vendor"
	}
	return o.For
}

// check refuses options that name nothing, with the nearest that exists.
func (is *issued) check() error {
	if _, ok := leftOut[is.opts.copy()]; !ok {
		return fmt.Errorf("there is no copy for %q; choose vendor, estimate, field or all", is.opts.For)
	}
	for _, name := range is.opts.Only {
		if _, ok := sheetWords[name]; !ok {
			return fmt.Errorf("there is no sheet %q (nearest: %q)", name, finding.Nearest(name, sortedKeys(sheetWords)))
		}
	}
	return CheckColumns(is.plan.Settings.Workbook)
}

// CheckColumns reports the first column of the settings that the point
// schedule does not have, with the nearest that it has.
func CheckColumns(w model.WorkbookSettings) error {
	ids := ColumnIDs()
	for _, id := range w.Columns {
		if !slices.Contains(ids, id) {
			near := ""
			if n := finding.Nearest(id, ids); n != "" {
				near = fmt.Sprintf("; nearest is %q", n)
			}
			return fmt.Errorf("workbook.columns names %q, which is no column of the point schedule%s (columns: %s)", id, near, strings.Join(ids, ", "))
		}
	}
	return nil
}

// ColumnIDs are the columns of the point schedule that a project may choose
// and order, in their usual order.
func ColumnIDs() []string {
	var ids []string
	for _, f := range pointFields(&issued{kept: keep(nil)}) {
		ids = append(ids, f.id)
	}
	return ids
}

// wanted reports whether a sheet goes into this copy.
func (is *issued) wanted(name string) bool {
	if len(is.opts.Only) > 0 && !slices.Contains(is.opts.Only, name) {
		return false
	}
	return !slices.Contains(leftOut[is.opts.copy()], name)
}

// Links to the row of something; none if it stands nowhere.

func (is *issued) toPoint(key string) target { return to(pointSheetName, is.pointRow[key]) }
func (is *issued) toAlarm(id string) target  { return is.optional("Alarms", is.alarmRow[id]) }
func (is *issued) toCircuit(id string) target {
	return is.optional(pairingSheetName, is.circuitRow[id])
}
func (is *issued) toLanding(key string) target { return is.optional("Landings", is.landingRow[key]) }
func (is *issued) toFinding(s string) target   { return is.optional(findingSheetName, is.findingRow[s]) }
func (is *issued) toEquipment(t string) target { return is.optional("Equipment", is.equipmentRow[t]) }

// toSubject leads from a finding to what it is about: a point, a circuit or a machine.
func (is *issued) toSubject(f *finding.Finding) target {
	for _, s := range append([]string{f.Subject}, f.Subjects...) {
		if t := is.toNamed(s); t.row > 0 {
			return t
		}
	}
	return target{}
}

// toNamed leads to whatever bears a name: a point, a circuit, an alarm or a machine.
func (is *issued) toNamed(s string) target {
	for _, t := range []target{is.toPoint(s), is.toCircuit(s), is.toAlarm(s), is.toEquipment(s)} {
		if t.row > 0 {
			return t
		}
	}
	return target{}
}

func (is *issued) optional(s string, row int) target {
	if !is.wanted(s) {
		return target{}
	}
	return to(s, row)
}

func to(sheet string, row int) target {
	if row == 0 {
		return target{}
	}
	return target{sheet, row}
}

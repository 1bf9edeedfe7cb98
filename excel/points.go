package excel

import (
	"strings"

	"tallywire/model"
)

// Names of sheets and native tables that other places point to.
const (
	pointSheetName   = "Point schedule"
	countSheetName   = "Counts"
	pairingSheetName = "Pairings"
	findingSheetName = "Findings and assumptions"
)

// lifeSafetyCaution stands beside every row that touches life safety.
const lifeSafetyCaution = "LIFE SAFETY: codes and licensed people decide"

// pointSheet is the point schedule: one row a point, folded under the first
// point of its equipment.
func pointSheet(is *issued) *sheet {
	type P = *model.Point
	s := keyedSheet(is, tableSpec[P]{name: pointSheetName, table: "Points", key: func(p P) string { return p.Key },
		group: func(p P) string { return p.Equipment }}, is.points, chosen(pointFields(is), is.plan.Settings.Workbook.Columns))
	s.sideways = min(2, len(s.columns))
	return s.printBeforeKey()
}

// needed are the columns that every point schedule has, chosen or not: they
// name the row, and the counts are made of them.
var needed = []string{"equipment", "role", "type", "class", "system", "panel", "bid", "caution", revisedID, "vendor_status", "vendor_remark", "key"}

// chosen puts the columns in the order that a project asks for. Needed ones
// that it leaves out come behind, hidden unless other people fill them in or
// they warn of something.
func chosen(all []field[*model.Point], ids []string) []field[*model.Point] {
	if len(ids) == 0 {
		return all
	}
	take := func(id string) (field[*model.Point], bool) {
		for _, f := range all {
			if f.id == id {
				return f, true
			}
		}
		return field[*model.Point]{}, false
	}
	var out []field[*model.Point]
	have := map[string]bool{}
	for _, id := range ids {
		if f, ok := take(id); ok && !have[id] && id != "key" {
			out, have[id] = append(out, f), true
		}
	}
	for _, id := range needed {
		if f, ok := take(id); ok && !have[id] {
			f.hidden = !f.input && id != "key" && id != "caution" && id != revisedID
			out = append(out, f)
		}
	}
	// The key stands behind everything else, as people are told.
	return out
}

// columnIndex finds a column by its id; -1 if it is not there.
func columnIndex(columns []column, id string) int {
	for i, c := range columns {
		if c.id == id {
			return i
		}
	}
	return -1
}

// rowsOf gives pointers into a list, so that rows are not copied.
func rowsOf[T any](list []T) []*T {
	out := make([]*T, len(list))
	for i := range list {
		out[i] = &list[i]
	}
	return out
}

// pointFields are the columns of the point schedule in their usual order.
func pointFields(is *issued) []field[*model.Point] {
	type P = *model.Point
	words := func(id, title string, least, most float64, note string, get func(P) string) field[P] {
		return field[P]{column{id: id, title: title, least: least, most: most, look: lookText, note: note},
			func(p P) value { return text(get(p)) }}
	}
	input := func(id, title string, width float64, note string, choices ...string) field[P] {
		return field[P]{column{id: id, title: title, least: width, most: width, look: lookInput, note: note, input: true, choices: choices}, nil}
	}
	return paperFirst(withRevisions(is, func(p P) string { return p.Key }, []field[P]{
		words("equipment", "Equipment", 10, 18, "Tag of the machine on the mechanical schedule", func(p P) string { return p.Equipment }).
			leading(func(p P) target { return is.toEquipment(p.Equipment) }),
		words("role", "Role", 10, 20, "What the point does for its equipment; with the tag it makes the key", func(p P) string { return p.Role }),
		words("description", "Description", 18, 42, "The point in plain words", func(p P) string { return p.Description }),
		words("caution", "Caution", 9, 17, "What a licensed person has to decide", func(p P) string { return safety(p.LifeSafety) }),
		words("type", "Type", 7, 8, "Object type in short: AI, AO, BI, BO, AV, BV, MSI, MSO, MSV", func(p P) string { return typeShort(p.ObjectType) }),
		words("object_type", "Object type", 10, 20, "BACnet object type by the standard's name", func(p P) string { return p.ObjectType }),
		{column{id: "instance", title: "Instance", least: 9, most: 12, look: lookNumber, note: "Object instance; empty where the vendor assigns it"},
			func(p P) value {
				if p.Instance == nil {
					return value{}
				}
				return count(*p.Instance)
			}},
		words("object_name", "Object name", 14, 30, "Name of the object in the controller, unique in its device", func(p P) string { return p.ObjectName }),
		words("units", "Units", 8, 18, "Engineering units by their BACnet name", func(p P) string { return p.Units }),
		words("range", "Range", 8, 14, "Lowest to highest value in those units", func(p P) string { return span(p.Range) }),
		words("states", "States", 12, 24, "State texts: inactive / active, or state 1, 2, 3 …", func(p P) string { return strings.Join(p.States, " / ") }),
		words("signal", "Signal", 10, 20, "What the wire carries", func(p P) string { return p.Signal }),
		words("carried", "Carried", 10, 11, "Hardwired to a terminal, over the network, or software", func(p P) string { return p.Carried }),
		words("polarity", "Polarity", 9, 10, "Normal or reverse", func(p P) string { return p.Polarity }),
		words("contact_sense", "Contact sense", 10, 16, "Normally open or normally closed, as wired", func(p P) string { return p.ContactSense }),
		words("fail_state", "Fail state", 10, 18, "What the output does when it loses its signal or power", func(p P) string { return p.FailState }),
		words("relinquish_default", "Relinquish default", 11, 14, "Value when no priority commands", func(p P) string { return p.RelinquishDefault }),
		{column{id: "priority", title: "Priority", least: 9, most: 9, look: lookNumber, note: "Command priority that the program writes at, 1 to 16"},
			func(p P) value {
				if p.Priority == nil {
					return value{}
				}
				return count(*p.Priority)
			}},
		words("furnished_by", "Furnished by", 10, 16, "Who furnishes the device of the point", func(p P) string { return p.FurnishedBy }),
		words("installed_by", "Installed by", 10, 16, "Who installs it", func(p P) string { return p.InstalledBy }),
		words("wired_by", "Wired by", 10, 16, "Who wires it", func(p P) string { return p.WiredBy }),
		words("controller", "Controller", 11, 18, "Controller that carries the point", func(p P) string { return p.Controller }),
		words("terminal", "Terminal", 10, 14, "Terminal of that controller", func(p P) string { return p.Terminal }).
			leading(func(p P) target { return is.toLanding(p.Key) }),
		words("panel", "Panel", 9, 16, "Panel in which the controller hangs", func(p P) string { return p.Panel }),
		words("feedback", "Proved by", 12, 22, "Point that proves the command", func(p P) string { return p.Feedback }).
			leading(func(p P) target { return is.toPoint(p.Feedback) }),
		words("alarms", "Alarms", 14, 26, "Alarms that the point's object carries", func(p P) string { return strings.Join(p.Alarms, "\n") }).
			leading(func(p P) target {
				if len(p.Alarms) == 0 {
					return target{}
				}
				return is.toAlarm(p.Alarms[0])
			}),
		words("findings", "Findings", 12, 24, "Faults and cautions of the point and its circuit; leads to the first of them", func(p P) string { return strings.Join(is.codes[p.Key], "\n") }).
			leading(func(p P) target { return is.toFinding(p.Key) }),
		words("trend", "Trend", 10, 20, "How the point is trended", func(p P) string { return p.Trend }),
		{column{id: "cov_increment", title: "COV increment", least: 9, most: 12, look: lookNumber, note: "Change that the object reports, in its units; analog objects only"},
			func(p P) value {
				if p.COVIncrement == nil {
					return value{}
				}
				return number(*p.COVIncrement)
			}},
		words("location", "Location", 10, 20, "Where the equipment stands, as its list says", func(p P) string { return is.location[p.Equipment] }),
		words("system", "System", 9, 32, "System that the equipment belongs to", func(p P) string { return p.System }),
		words("bid", "Bid", 9, 11, "Base bid, alternate or existing", func(p P) string { return p.Bid }),
		words("class", "Counted as", 11, 12, "Class in which the counts take the point", countClass),
		input("vendor_status", "Vendor status", 14, "The vendor's answer: accept, change, query or not available", vendorAnswers...),
		input("vendor_remark", "Vendor remark", 26, "What the vendor wants changed or asks"),
		{column{id: "key", title: "Key", least: 16, most: 34, look: lookCode, note: "Names the row for ever; do not change it"},
			func(p P) value { return text(p.Key).leads(is.toCircuit(p.Key)) }},
		words("need", "Need", 10, 14, "Required, by application, or optional", func(p P) string { return p.Need }),
		words("rule", "Rule", 12, 24, "Rule that made the point", func(p P) string { return p.Rule }),
		words("why", "Why", 24, 100, "Why the rule asks for it", func(p P) string { return p.Why }),
		words("where", "Read from", 16, 28, "Where the equipment was read", func(p P) string { return place(p.Where) }),
	}), pointsOnPaper...)
}

// pointsOnPaper are the columns of the point schedule that are printed: two
// pages of letter side by side, one of 11 by 17. The answers come last, where a
// vendor finds them, and the key behind them.
var pointsOnPaper = []string{"equipment", "role", revisedID, "description", "caution", "type", "object_name", "instance", "units", "range", "states",
	"signal", "fail_state", "controller", "terminal", "panel", "feedback", "alarms", "furnished_by",
	"vendor_status", "vendor_remark", "key"}

// Classes of the counts besides hardwired, software and network.
const classByOthers = "by others"

// vendorAnswers is what a vendor may answer to a point.
var vendorAnswers = []string{"accept", "change", "query", "not available"}

// countClass says in which class the counts take a point.
func countClass(p *model.Point) string {
	if p.ByOthers {
		return classByOthers
	}
	return p.Carried
}

// shortTypes are the usual short forms of the object types (ASHRAE 135 names).
var shortTypes = map[string]string{
	model.AnalogInput: "AI", model.AnalogOutput: "AO", model.AnalogValue: "AV", model.BinaryInput: "BI",
	model.BinaryOutput: "BO", model.BinaryValue: "BV", model.MultiStateInput: "MSI", model.MultiStateOutput: "MSO",
	model.MultiStateValue: "MSV",
}

func typeShort(objectType string) string {
	if s, ok := shortTypes[objectType]; ok {
		return s
	}
	return objectType
}

func span(i *model.Interval) string {
	if i == nil {
		return ""
	}
	return i.String()
}

func place(w *model.Where) string {
	if w == nil {
		return ""
	}
	return w.String()
}

func safety(lifeSafety bool) string {
	if lifeSafety {
		return lifeSafetyCaution
	}
	return ""
}

// lifeSafety tells which points, and which equipment, touch life safety.
func lifeSafety(plan *model.Plan) map[string]bool {
	out := map[string]bool{}
	for i := range plan.Points {
		if p := &plan.Points[i]; p.LifeSafety {
			out[p.Key], out[p.Equipment] = true, true
		}
	}
	return out
}

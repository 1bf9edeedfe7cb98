package excel

import (
	"fmt"

	"tallywire/model"
	"tallywire/model/finding"
)

func ptr[T any](v T) *T { return &v }

// sampleFans are the invented fans of the sample plan: tag, kind, scheme, bid.
var sampleFans = [][5]string{
	{"EF-1", "general-exhaust-fan", "exhaust-variable", model.Base, "Office exhaust"},
	{"EF-2", "toilet-exhaust-fan", "toilet-exhaust", model.Base, "Restroom riser A"},
	{"EF-10", "garage-exhaust-fan", "garage-exhaust", model.Alternate, "Parking level P1"},
	{"SF-1", "supply-fan", "supply-variable", model.Base, "Office supply"},
	{"SPF-1", "stair-pressurization-fan", "stair-pressurization", model.Base, "Stair 2"},
	{"RF-3", "relief-fan", "relief", model.Existing, "Lobby relief"},
}

// samplePlan is an invented plan with something of everything, repeated for
// copies of its fans.
func samplePlan(copies int) *model.Plan {
	p := &model.Plan{SchemaVersion: model.SchemaVersion, Project: model.ProjectHead{
		Name: "Harbour Lane Library & Archive", Number: "24-117", Issue: "Issued for bid, addendum 2", Date: "2026-03-14",
		Author: "A. Estimator", Inputs: []model.Input{
			{File: "fans.xlsx", Name: "Mechanical fan schedule", Issue: "Addendum 2", Role: "equipment list",
				SHA256: "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"},
			{File: "project.yaml", Role: "project", SHA256: "fedcba9876543210fedcba9876543210fedcba9876543210fedcba9876543210"}}},
		Cautions: []string{
			"This schedule helps planning. Life-safety, electrical and code questions are decided by the codes in force locally and by licensed people.",
			"Ratings come from the actual data sheets; values marked assumed have to be confirmed before anything is bought or wired.",
			"OFF at an interface box is no isolation: the override may start the fan. Lock out before work."}}
	for n := range copies {
		for _, fan := range sampleFans {
			tag := fan[0]
			if n > 0 {
				tag = fmt.Sprintf("%s-%d", fan[0], n+1)
			}
			sampleFan(p, tag, fan)
		}
	}
	sampleExtras(p)
	return p
}

// sampleFan adds one fan with its points, alarm, circuits and landing.
func sampleFan(p *model.Plan, tag string, fan [5]string) {
	where := &model.Where{File: "fans.xlsx", Sheet: "Schedule", Cell: fmt.Sprintf("A%d", len(p.Equipment)+5)}
	safety := fan[1] == "stair-pressurization-fan"
	p.Equipment = append(p.Equipment, model.Equipment{Tag: tag, Kind: fan[1], Scheme: fan[2], Control: "fan-interface-box",
		Service: fan[4], Location: "Roof", System: "AHU-1", Bid: fan[3], Remarks: "=NOT a formula, interlock with SF-1",
		Ratings: model.Ratings{Airflow: &model.Quantity{Value: model.Exactly(2400), Unit: "cfm", Text: "2,400"},
			Power: &model.Quantity{Value: model.Exactly(0.5), Unit: "hp", Text: "1/2 HP"}, MotorType: "ec",
			Service: &model.Service{Text: "277/1/60"}},
		Evidence: []model.Evidence{{About: "kind", For: fan[1], Words: "EXHAUST", Won: true}}, Where: where})
	add := func(role, objectType, units string, states ...string) {
		q := model.Point{Key: tag + "/" + role, Equipment: tag, Role: role, ObjectType: objectType,
			ObjectName: "HLL_" + tag + "_" + role, Description: fan[4] + " " + role, Units: units, States: states,
			Carried: model.Hardwired, Bid: fan[3], System: "AHU-1", FurnishedBy: "controls", InstalledBy: "electrical",
			WiredBy: "controls", Panel: "PANEL-1", Controller: "PANEL-1/C1", Terminal: fmt.Sprintf("UI%d", len(p.Points)%8+1),
			Trend: "every 15 min", Need: "required", Rule: fan[2] + "/" + role, LifeSafety: safety,
			Why: "The scheme needs " + role + " so that the operator can tell what the fan does", Where: where}
		if units != "" {
			q.Range = model.Span(0, 100)
		} else {
			q.Polarity, q.ContactSense = "normal", "normally-open"
		}
		if objectType == model.BinaryOutput || objectType == model.AnalogOutput {
			q.Priority, q.RelinquishDefault, q.FailState, q.Feedback = ptr(16), "off", "stops", tag+"/status"
		}
		p.Points = append(p.Points, q)
	}
	add("start", model.BinaryOutput, "", "Off", "On")
	add("status", model.BinaryInput, "", "Stopped", "Running")
	add("override-active", model.BinaryInput, "", "Normal", "Override")
	add("speed", model.AnalogOutput, "percent")
	p.Points = append(p.Points, model.Point{Key: tag + "/run-hours", Equipment: tag, Role: "run-hours", ObjectType: model.AnalogValue,
		Description: "Hours run", Units: "hours", Carried: model.Software, Bid: fan[3], System: "AHU-1", Rule: fan[2] + "/run-hours", Where: where})
	p.Points = append(p.Points, model.Point{Key: tag + "/fire-stop", Equipment: tag, Role: "fire-stop", ObjectType: model.BinaryInput,
		Description: "Fire alarm contact", Carried: model.Hardwired, ByOthers: true, Bid: fan[3], System: "AHU-1", LifeSafety: safety, Where: where})
	status := &p.Points[len(p.Points)-5]
	status.Alarms = []string{tag + "/failed-to-run"}
	p.Alarms = append(p.Alarms, model.Alarm{ID: tag + "/failed-to-run", Equipment: tag, Source: status.Key, Algorithm: "command-failure",
		Condition: "commanded on and status is off", DelaySeconds: 30, Level: 2, Class: 2, Priority: 100,
		ToOffnormal: tag + " failed to run", ToNormal: tag + " runs again", InhibitedBy: []string{"override-active", "hand"},
		LifeSafety: safety, Why: "a stopped fan must be seen", FigureSource: "common practice",
		Parameters: []model.Parameter{{Name: "time delay", Value: "30", Unit: "s"}}})
	sampleCircuits(p, tag)
	p.Landings = append(p.Landings, model.Landing{Point: tag + "/status", Panel: "PANEL-1", Controller: "PANEL-1/C1", Module: "base",
		Terminal: "UI1", Class: "UI", WireLabel: tag + "-STS"})
}

// sampleCircuits adds a circuit of every verdict.
func sampleCircuits(p *model.Plan, tag string) {
	length := 120.0
	wire := model.Conductor{Gauge: 18, Count: 2, LengthFt: &length, Assumed: true}
	check := func(code string, v model.Verdict, value, limit *model.Interval, margin float64) model.Check {
		return model.Check{Code: code, Verdict: v, Value: value, Limit: limit, Relation: ">=", Margin: &margin, Unit: "V",
			Text: "24 V - 10 % = 21.6 V; 2 × 120 ft × 6.39 ohm/1000 ft × 0.02 A = 0.03 V; 21.6 - 0.03 = 21.57 V", Source: "common practice", At: tag + "/box:start-wet"}
	}
	p.Circuits = append(p.Circuits,
		model.Circuit{ID: tag + "/start", Equipment: tag, Point: tag + "/start", Purpose: "start", Drive: model.End{Device: "PANEL-1/C1", Terminal: "RO1"},
			Accepts: []model.End{{Device: tag + "/box", Terminal: "start-wet"}}, Supply: &model.End{Device: "PANEL-1/T1", Terminal: "sec"}, Conductor: wire,
			Verdict: model.Fault, Checks: []model.Check{
				check("under-voltage", model.Pass, model.Span(21.57, 26.4), model.Span(10.8, 132), 10.77),
				check("contact-underload", model.Fault, model.Span(0.004, 0.006), model.Span(0.01, 0.01), -0.006)},
			Fix: &model.Fix{Summary: "Put a relay with gold contacts between", Parts: []string{"relay-low-level"}}},
		model.Circuit{ID: tag + "/status", Equipment: tag, Point: tag + "/status", Purpose: "status", Drive: model.End{Device: tag + "/box", Terminal: "status"},
			Accepts: []model.End{{}}, Conductor: wire, Verdict: model.Unknown, Checks: []model.Check{
				check("stays-on", model.Unknown, nil, nil, 0)}},
		model.Circuit{ID: tag + "/speed", Equipment: tag, Point: tag + "/speed", Purpose: "speed", Drive: model.End{Device: "PANEL-1/C1", Terminal: "AO1"},
			Accepts: []model.End{{Device: tag + "/box", Terminal: "speed-in"}}, Conductor: wire, Verdict: model.Caution, Checks: []model.Check{
				check("range", model.Caution, model.Span(0, 10), model.Span(2, 10), 0)}},
		model.Circuit{ID: tag + "/mains", Equipment: tag, Purpose: "mains", Drive: model.End{Device: "PANEL-L1", Terminal: "1"},
			Accepts: []model.End{{Device: tag + "/box", Terminal: "mains"}}})
}

// sampleExtras adds one of everything that belongs to the whole plan.
func sampleExtras(p *model.Plan) {
	p.Findings = []finding.Finding{
		{Code: "contact-underload", Severity: finding.Fault, Subject: "EF-1/start", Subjects: []string{"EF-1/start", "EF-2/start"},
			Message: "The contact carries 0.004 to 0.006 A and needs 0.01 A to stay reliable", Fix: "Put a relay with gold contacts between",
			Numbers: []finding.Number{{Name: "current", Value: 0.004, Unit: "A"}}, Source: "common practice"},
		{Code: "unreadable-value", Severity: finding.Caution, Subject: "EF-10", Message: `Voltage "46O" cannot be read; nearest is 460`,
			Where: &model.Where{File: "fans.xlsx", Sheet: "Schedule", Cell: "H7"}, Fix: "Correct the cell"},
		{Code: "planning-assumption", Severity: finding.Note, Message: "Lengths are assumed"},
		{Code: "assumed", Severity: finding.Note, Subject: "SF-1", Message: "Scheme supply-variable follows from the EC motor", Source: "common practice"}}
	p.Network = []model.BACnetDevice{{ID: "PANEL-1/C1", Name: "HL_PANEL-1_C1", Instance: ptr(1001), Panel: "PANEL-1", Points: []string{"EF-1/start", "EF-1/status"}, Support: []string{"NC2"}},
		{ID: "EF-9/drive", Name: "HL_EF-9_drive", Equipment: "EF-9", Points: []string{"EF-9/speed-feedback"}}}
	p.Trunks = []model.TrunkPlan{{ID: "PANEL-1/trunk-1", Stations: []model.Station{{Device: "PANEL-1/C1"}, {Device: "EF-9/drive", MAC: 7, Stated: true}}}}
	p.Retrofit = []model.RetrofitPoint{{Action: model.RetrofitChange, Point: "EF-1/start", Why: "by object name", Changes: []model.PropertyChange{{Field: "object_type", From: "binary-value", To: "binary-output"}},
		Existing: &model.ExistingPoint{ObjectName: "=EF1", ObjectType: "binary-value", Instance: ptr(3), Device: ptr(12), Where: &model.Where{File: "scan.csv", Line: 4}}}, {Action: model.RetrofitAdd, Point: "EF-1/status"}}
	p.Functions = model.FunctionList{Edition: "an edition of the list", NotClaimed: []string{"what it does not claim"}, Totals: make([]int, 3),
		Columns: []model.FunctionColumn{{ID: "1.1", Group: "physical", Name: "binary output"}, {ID: "1.4", Group: "physical", Name: "counting"}, {ID: "8.2", Group: "operation", Name: "display"}}}
	for _, q := range p.Points {
		row := model.FunctionRow{Point: q.Key, Equipment: q.Equipment, System: q.System, Counts: []int{0, 0, 1}}
		if q.ObjectType == model.BinaryOutput {
			row.Counts[0], row.Remarks = 1, "a command"
		}
		for i, n := range row.Counts {
			p.Functions.Totals[i] += n
		}
		p.Functions.Rows = append(p.Functions.Rows, row)
	}
	p.Interlocks = []model.Interlock{{From: "SF-1", To: "EF-1", Signal: "status", Action: "start", Hard: ptr(true), Reason: "remarks column"}}
	p.CauseEffect = model.CauseEffect{Events: []string{"fire zone 1", "duct smoke SF-1"}, Rows: []model.CauseEffectRow{
		{Equipment: "SF-1", Effects: []string{"off", "off"}}, {Equipment: "SPF-1", Effects: []string{"runs (fire system)", "-"}, LifeSafety: true}}}
	for _, tag := range []string{"EF-1", "EF-2", "SF-1"} {
		p.TruthTables = append(p.TruthTables, model.TruthTable{Equipment: tag, Inputs: []string{"mode", "BAS start", "override"},
			Outputs: []string{"fan", "status"}, Precedence: []string{"override", "hand", "auto"}, Rows: []model.TruthRow{
				{Inputs: []string{"-", "-", "on"}, Outputs: []string{"runs at second speed", "closed"}, Why: "the override outranks every mode"},
				{Inputs: []string{"auto", "off", "off"}, Outputs: []string{"stops", "open"}, Why: "no start input is closed"}}})
		p.Sequences = append(p.Sequences, model.Sequence{Equipment: tag, Paragraphs: []model.SequencePart{
			{Heading: "Start and stop", Text: "When the schedule calls, the building automation system closes the start contact and gives the speed reference. It opens the contact and returns the reference to 0 % when the schedule ends."},
			{Heading: "Proof", Text: "The status contact must close within 30 s."}}})
		p.Tests = append(p.Tests, model.FunctionalTest{Equipment: tag, Steps: []model.TestStep{
			{Number: 1, Before: "Fan off, box in AUTO", Action: "Command start on", Expect: []string{"fan runs", "status closed"}},
			{Number: 2, Before: "Fan running", Action: "Energise the override", Expect: []string{"second speed", "override-active on"}}}})
	}
	p.Support = []model.SupportObject{{ObjectType: "schedule", Instance: ptr(1), ObjectName: "HLL_SCH", Description: "Occupied hours", For: []string{"EF-1/start"}, Parameters: []model.Parameter{{Name: "hours", Value: "8", Unit: "h"}}}}
	p.Controllers = []model.Controller{{ID: "PANEL-1/C1", Model: "base-8", Panel: "PANEL-1", Expansions: []string{"exp-8"}, PriceCents: 135799,
		PlaceholderPrice: true, Installed: map[string]int{"UI": 8, "RO": 4}, Used: map[string]int{"UI": 6}, Spare: map[string]int{"UI": 2, "RO": 4}}}
	p.Supplies = []model.Supply{{ID: "PANEL-1/T1", Device: "transformer-50va", Panel: "PANEL-1", Volts: 24, Current: "ac", RunningVA: 31.5, InrushVA: 60, RatedVA: 50, Loads: []string{"EF-1/damper", "EF-2/damper"}}}
	p.Cables = []model.Cable{{ID: "CB-1", From: "PANEL-1", To: "EF-1/box", Type: "shielded pair", Conductors: 2, GaugeAWG: 18, LengthFt: ptr(120.0), Assumed: true, Circuits: []string{"EF-1/speed"}, Class: "class-2"}}
	p.Materials = []model.Material{{Item: "current-switch", Description: "Split-core current switch", Quantity: 6, Unit: "each", PriceCents: ptr(int64(8765)), PlaceholderPrice: true, FurnishedBy: "controls", Bid: model.Base, For: []string{"EF-1"}}}
	p.Responsibility = []model.Responsibility{{Item: "Fan interface box", Furnish: "controls", Install: "electrical", Power: "electrical", Wire: "controls", Terminate: "controls", SetUp: "controls", Verify: "controls", Equipment: []string{"EF-1", "EF-2"}, Source: "common practice"}}
	p.Differences = []model.Difference{{Code: "voltage-differs", Severity: finding.Fault, Subject: "EF-1", Field: "voltage", Ours: "277/1", Theirs: "120/1", Message: "The electrical schedule gives another voltage", Ask: "Which voltage serves EF-1?"}}
}

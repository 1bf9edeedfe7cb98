package excel

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// coverWide is how many columns the cover has.
const coverWide = 4

// coverPage builds the cover row by row.
type coverPage struct{ rows []row }

func (c *coverPage) add(cells ...value) { c.rows = append(c.rows, row{cells: cells}) }

func (c *coverPage) section(title string) {
	c.add()
	c.add(pad([]value{text(title).as(lookSection)}, coverWide, lookSection)...)
}

// line adds a label and what belongs to it; nothing if there is nothing.
func (c *coverPage) line(label, words string) {
	if words != "" {
		c.add(text(label).as(lookLabel), text(words).as(lookProse))
	}
}

// coverSheet is the first sheet: what this is, what it was made from, what it
// comes to, what to be careful of and how to read the rest.
func coverSheet(is *issued, others []*sheet) *sheet {
	c := &coverPage{}
	name := is.plan.Project.Name
	if name == "" {
		name = "Point schedule"
	}
	c.rows = append(c.rows, row{cells: []value{text(name).as(lookTitle)}, height: 26})
	c.add(text("Point schedule: how the fans join the building automation system").as(lookPlain))
	c.add()
	c.line("Project number", is.plan.Project.Number)
	c.line("Issue", is.plan.Project.Issue)
	c.line("Date", is.plan.Project.Date)
	c.line("Prepared by", is.plan.Project.Author)
	if len(is.plan.Cautions) > 0 {
		c.section("Read this first")
		for i, caution := range is.plan.Cautions {
			c.add(text(fmt.Sprintf("Caution %d", i+1)).as(lookWarning), text(caution).as(lookWarning))
		}
	}
	c.asked(is, others)
	c.totals(is.plan)
	guide := len(c.rows) + 2
	c.guide(others)
	c.inputs(is.plan.Project.Inputs)
	s := pageSheet("Cover", c.rows)
	s.breaks = []int{guide} // the heading stays with its lines
	s.down = 2              // and what it was made from stays with them
	s.columns = []column{{least: 24, most: 28, look: lookPlain}, {least: 104, most: 104, look: lookPlain},
		{least: 16, most: 20, look: lookPlain}, {least: 16, most: 18, look: lookPlain}}
	return s
}

// asked says what whoever gets this copy has to do with it.
func (c *coverPage) asked(is *issued, others []*sheet) {
	there := func(name string) bool {
		return slices.ContainsFunc(others, func(s *sheet) bool { return s.name == name && s.count > 1 })
	}
	var lines [][2]string
	add := func(name, words string) {
		if there(name) {
			lines = append(lines, [2]string{name, words})
		}
	}
	if is.opts.copy() != "estimate" {
		if is.opts.copy() != "field" {
			add(pointSheetName, "Answer every point in Vendor status: accept, change, query or not available. Say what you would change in Vendor remark, or type your instance, object name or terminal over ours.")
			add("Alarms", "Answer the same way where a delay, a text or a priority does not suit your system.")
			add("Clarifications", fmt.Sprintf("Answer the open questions, confirm the assumptions: %d lines.", len(is.questions())))
		}
		add("Functional tests", "On site: result, date and initials of every step.")
		add("Point check-out", "On site: what every point read, its result, date and initials.")
	}
	if len(lines) == 0 {
		return
	}
	c.section("What is asked of you")
	for _, l := range lines {
		c.line(l[0], l[1])
	}
	c.line("Then", "Save as .xlsx and send it back. Sort, filter, add columns, rows, notes and sheets as you like: all of it is read, and comes back in the next issue.")
}

// totals are the counts by class and what the checks found.
func (c *coverPage) totals(plan *model.Plan) {
	c.section("What it comes to")
	equipment := 0
	for i := range plan.Equipment {
		if plan.Equipment[i].OutOfScope == "" {
			equipment++
		}
	}
	c.add(text("Equipment planned").as(lookLabel), count(equipment).as(lookProse))
	t := tallyPoints(plan.Points)
	words := map[string]string{model.Hardwired: "Hardwired points", model.Network: "Network points",
		model.Software: "Software points", classByOthers: "Points by others"}
	for _, class := range classesPresent(t) {
		label, known := words[class]
		if !known {
			label = "Points " + class
		}
		c.add(text(label).as(lookLabel), classLine(t, class))
	}
	c.add(text("Alarms").as(lookLabel), count(len(plan.Alarms)).as(lookProse))
	verdicts := map[model.Verdict]int{}
	for i := range plan.Circuits {
		verdicts[plan.Circuits[i].Verdict]++
	}
	c.line("Circuits", fmt.Sprintf("%d: %d pass, %d caution, %d cannot tell, %d fault", len(plan.Circuits),
		verdicts[model.Pass], verdicts[model.Caution], verdicts[model.Unknown], verdicts[model.Fault]))
	c.line("Findings", strings.Join([]string{several(finding.Count(plan.Findings, finding.Fault), "fault"),
		several(finding.Count(plan.Findings, finding.Caution), "caution"), several(finding.Count(plan.Findings, finding.Note), "note") + " (assumptions)"}, ", "))
}

// several is a number with its word: 1 fault, 2 faults.
func several(n int, word string) string {
	if n != 1 {
		word += "s"
	}
	return fmt.Sprint(n, " ", word)
}

// classLine is a live line such as "72: AO 18, BI 36, BO 18".
func classLine(t *tally, class string) value {
	total := 0
	var words, formulas []string
	for _, short := range t.types {
		if n := t.class[class][short]; n > 0 {
			total += n
			words = append(words, fmt.Sprintf("%s %d", short, n))
			formulas = append(formulas, fmt.Sprintf(`"%s "&COUNTIFS(point_class,%s,point_type,%s)`, short,
				criterion(class, ""), criterion(short, "")))
		}
	}
	v := value{kind: formulaText, look: lookProse, text: fmt.Sprint(total),
		formula: "COUNTIFS(point_class," + criterion(class, "") + `)&""`}
	if len(words) > 0 {
		v.text += ": " + strings.Join(words, ", ")
		v.formula += `&": "&` + strings.Join(formulas, `&", "&`)
	}
	return v
}

// inputs lists what was read, each with the sum by which a copy is known.
func (c *coverPage) inputs(list []model.Input) {
	if len(list) == 0 {
		return
	}
	c.section("Made from")
	c.add(text("Document").as(lookHead), text("File and SHA-256").as(lookHead), text("Issue").as(lookHead), text("Role").as(lookHead))
	for _, in := range list {
		name := in.Name
		if name == "" {
			name = in.File
		}
		c.add(text(name).as(lookText), text(strings.TrimSpace(in.File+"\n"+in.SHA256)).as(lookText),
			text(in.Issue).as(lookText), text(in.Role).as(lookText))
	}
}

// sheetWords say what each sheet is for.
var sheetWords = map[string]string{
	pointSheetName:       "One row a point: what it is, what carries it, who furnishes and wires it, where it lands, why it is there. The vendor's answers go into the framed columns at its end.",
	countSheetName:       "Points by type, class, system, panel, bid and equipment, counted live from the point schedule.",
	"Alarms":             "One row an alarm: what raises it, after how long, with what text, and what holds it back.",
	pairingSheetName:     "One row a check of a circuit: value, limit, verdict in words, arithmetic and source. Each circuit begins with its worst or tightest check; the others that pass are folded under it, the outline's 2 shows them. CANNOT TELL is no pass: something must be found out first.",
	findingSheetName:     "What is wrong (FAULT), what somebody must decide (CAUTION), what was assumed (note), each with its place and what to do.",
	"Charts":             "The counts as pictures.",
	"Changes":            "What changed since the issue named in its heading.",
	"Clarifications":     "Assumptions to confirm and questions to answer; the framed columns take the answers.",
	"Objects":            "The objects that the controllers have to hold, by their standard type and number.",
	"Network":            "The devices on the network, their instances and names, how many objects each holds, and its station on a trunk.",
	"Existing points":    "What becomes of every point that the building has: keep, change, add or leave.",
	"Supporting objects": "Schedules, trend logs, notification classes and event enrolments that serve the points.",
	"Trunks":             "Every bus: stations, addresses, unit loads, how long one round of reading takes.",
	"Point check-out":    "To fill in on site: one row for every point with a wire or a bus.",
	"Function list":      "What each point asks of controller and management level, counted in the columns of ISO 16484-3 (informative).",
	keptSheetName:        "Rows of an earlier issue whose point is gone, and rows that people added: kept so that nothing typed is lost.",
	"Equipment":          "What was read of every machine, as typed, and what was concluded from which words.",
	"Panels":             "What hangs in each panel, how full it is and what it draws.",
	"Landings":           "Which terminal of which controller every hardwired point takes, and what is spare.",
	"Controllers":        "Controllers, what is used of them and what is spare.",
	"Supplies":           "Every supply and transformer with its load.",
	"Cables":             "Every cable run.",
	"Materials":          "What has to be furnished.",
	bidSheetName:         "What is furnished, multiplied by its prices.",
	"Interlocks":         "What makes what start, stop or wait.",
	"Cause and effect":   "What each event asks of each machine.",
	"Restart order":      "Which fan starts again when, once power is back.",
	"Truth tables":       "What each fan does in every state that can be told apart.",
	"Sequences":          "The sequence of operation in words.",
	"Functional tests":   "What to do on site and what must be read.",
	"Responsibility":     "Who furnishes, installs, powers, wires, terminates, sets up and verifies.",
	"Cross-check":        "Where the equipment list and the other documents disagree.",
}

func (c *coverPage) guide(others []*sheet) {
	c.section("How to read this workbook")
	for _, s := range others {
		c.line(s.name, sheetWords[s.name])
	}
	c.line("Types", "AI analog input, AO analog output, BI binary input, BO binary output, MSI and MSO multi-state; AV, BV and MSV are values without a wire")
	c.line("Counted as", "hardwired: on a controller's terminal. network: over a bus. software: inside a controller. by others: landed or furnished outside the controls scope")
	c.line("Verdicts", "PASS holds in the worst case; CAUTION works but somebody must decide; CANNOT TELL lacks a figure; FAULT will not work as drawn")
	c.line("Key", "The key behind the answers names a row through all issues. Rows may be sorted and filtered; leave the key as it is.")
}

package crosscheck_test

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/derive"
	"tallywire/points/library"
)

// machine is one fan of a generated building; every document is written from it.
type machine struct {
	tag, kind, service, place  string
	cfm                        int
	esp, hp, fla               float64
	volts, phases              int
	belt, ec, emergency, drive bool
	control, damper, fire      string
	damperVolts                int
	endSwitch                  bool
	interlock                  string
}

// style is how the documents of one building are written.
type style struct {
	pad, blank, nameplate, metric bool
}

// building is a generated set of documents that agree.
type building struct {
	machines []machine
	style    style
	tables   map[string][][]string // file → rows, headings first
	points   []model.Point
	ours     []model.Equipment
}

// services are the supplies that the machines may have, with the horsepowers
// that NEC tables 430.248 and 430.250 list for them.
var services = []struct {
	volts, phases int
	plate         float64
	hp            []float64
}{
	{120, 1, 115, []float64{0.25, 0.5, 0.75}}, {208, 1, 208, []float64{0.5, 1}}, {208, 3, 208, []float64{1, 2, 3}}, {480, 3, 460, []float64{1, 2, 3, 5, 7.5, 10}},
}

var fractions = map[float64]string{0.25: "1/4", 0.5: "1/2", 0.75: "3/4", 7.5: "7-1/2"}

func hpText(hp float64) string {
	if s, ok := fractions[hp]; ok {
		return s
	}
	return strconv.FormatFloat(hp, 'g', -1, 64)
}

// kinds are what the generator draws from: tag letters, words, service words.
var kinds = []struct{ letters, words, service, fire, control string }{
	{"EF", "EXHAUST FAN", "CORRIDORS", "STOP", ""}, {"EF", "EXHAUST FAN", "STORES", "STOP", ""}, {"TX", "TOILET EXHAUST FAN", "TOILETS", "STOP", ""},
	{"SF", "SUPPLY FAN", "OFFICES", "STOP", "VFD"}, {"RF", "RETURN FAN", "OFFICES", "STOP", "VFD"}, {"GEF", "GARAGE EXHAUST FAN", "GARAGE", "RUN", "VFD"},
	{"TF", "TRANSFER FAN", "IT ROOM", "NONE", ""}, {"SPF", "STAIR PRESSURIZATION FAN", "STAIR", "RUN", "SMOKE CONTROL PANEL"}, {"LEF", "LAB EXHAUST FAN", "LABORATORY", "CONTINUE", "VFD"},
	{"ERF", "ELECTRICAL ROOM FAN", "SWITCH ROOM", "STOP", "STARTER"}, {"RLF", "RELIEF FAN", "OFFICES", "STOP", "VFD"},
}

func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

// generate draws a building.
func generate(t testing.TB, lib *library.Library, r *rand.Rand) *building {
	b := &building{style: style{r.IntN(2) == 0, r.IntN(2) == 0, r.IntN(2) == 0, r.IntN(3) == 0}}
	count := map[string]int{}
	for range 10 + r.IntN(6) {
		k := pick(r, kinds)
		count[k.letters]++
		m := machine{tag: fmt.Sprintf("%s-%d", k.letters, count[k.letters]), kind: k.words, fire: k.fire, control: k.control,
			service: fmt.Sprintf("%s %d", k.service, count[k.letters]), place: pick(r, []string{"ROOF", "PENTHOUSE", "LEVEL 2 MECH ROOM"}), cfm: 100 * (8 + r.IntN(90)), esp: 0.25 * float64(2+r.IntN(9))}
		s := pick(r, services)
		if m.control == "VFD" || m.control == "SMOKE CONTROL PANEL" {
			s = services[3]
		}
		m.volts, m.phases, m.hp = s.volts, s.phases, pick(r, s.hp)
		m.fla, _ = lib.Ratings.FullLoad(strconv.Itoa(s.phases), m.hp, s.plate)
		if m.control == "" {
			if m.phases == 1 && m.volts == 120 && r.IntN(2) == 0 {
				m.ec, m.control = true, "FAN INTERFACE BOX"
			} else {
				m.control = "STARTER"
			}
		}
		m.belt = !m.ec && r.IntN(2) == 0
		m.emergency = m.fire == "RUN" || r.IntN(6) == 0
		switch r.IntN(3) {
		case 0:
			m.damper = "NONE"
		case 1:
			m.damper = "GRAVITY"
		default:
			m.damper, m.damperVolts, m.endSwitch = "MOTORIZED", pick(r, []int{24, 120}), r.IntN(3) > 0
		}
		if len(b.machines) > 0 && r.IntN(4) == 0 {
			m.interlock = pick(r, b.machines).tag
		}
		b.machines = append(b.machines, m)
	}
	b.write(t, lib)
	return b
}

func answer(b bool) string {
	if b {
		return "YES"
	}
	return "NO"
}

// write makes the documents.
func (b *building) write(t testing.TB, lib *library.Library) {
	b.tables = map[string][][]string{
		"fans.csv":       {{"TAG", "TYPE", "AREA SERVED", "LOCATION", "CFM", "ESP (IN WC)", "HP", "VOLT/PH/HZ", "FLA", "DRIVE", "MOTOR TYPE", "CONTROL", "DAMPER", "DAMPER VOLTAGE", "END SWITCH", "FIRE ALARM", "EMERGENCY POWER", "INTERLOCK", "REMARKS"}},
		"electrical.csv": {{"EQUIPMENT", "DESCRIPTION", "VOLTAGE", "PHASE", "HP", "FLA", "EMERGENCY", "FED FROM", "BREAKER", "MOTOR CONTROL", "INTERLOCK", "REMARKS"}},
		"matrix.csv":     {{"EQUIPMENT", "FIRE ALARM ACTION", "SMOKE DETECTOR"}},
		"submittal.csv":  {{"MARK", "MODEL", "CFM", "ESP (IN WC)", "MOTOR HP", "VOLTAGE", "PHASE", "MOTOR TYPE", "DRIVE", "DAMPER", "DAMPER VOLTAGE", "END SWITCH"}},
	}
	if b.style.metric {
		b.tables["submittal.csv"] = [][]string{{"MARK", "MODEL", "AIRFLOW (L/S)", "ESP (PA)", "MOTOR (KW)", "VOLTAGE", "PHASE", "MOTOR TYPE", "DRIVE", "DAMPER", "DAMPER VOLTAGE", "END SWITCH"}}
	}
	for i := range b.machines {
		b.writeMachine(&b.machines[i])
	}
	b.ours = machines(t, lib, []model.Input{{File: "fans.csv"}}, sheets(t, "fans.csv", b.text("fans.csv")))
	b.points = derive.Derive(lib, &model.Project{}, b.ours).Points
	b.writePoints()
}

func (b *building) add(file string, cells ...string) { b.tables[file] = append(b.tables[file], cells) }

func (b *building) writeMachine(m *machine) {
	motor := map[bool]string{true: "ECM", false: map[int]string{1: "PSC", 3: "3 PH"}[m.phases]}[m.ec]
	drive := map[bool]string{true: "BELT", false: "DIRECT"}[m.belt]
	dv, es := "-", "-"
	if m.damper == "MOTORIZED" {
		dv, es = fmt.Sprintf("%d V", m.damperVolts), answer(m.endSwitch)
	}
	b.add("fans.csv", m.tag, m.kind, m.service, m.place, strconv.Itoa(m.cfm), fmt.Sprint(m.esp), hpText(m.hp), fmt.Sprintf("%d/%d/60", m.volts, m.phases), fmt.Sprint(m.fla), drive, motor, m.control, m.damper, dv, es, m.fire, answer(m.emergency), m.interlock, "")
	volts := m.volts
	if b.style.nameplate {
		volts = map[int]int{120: 115, 208: 200, 480: 460}[m.volts]
	}
	control := map[string]string{"VFD": "VFD", "STARTER": "STARTER"}[m.control]
	b.add("electrical.csv", b.spell(m.tag), m.kind, strconv.Itoa(volts), strconv.Itoa(m.phases), hpText(m.hp), fmt.Sprint(m.fla), answer(m.emergency), "LP-1", "20A", control, m.interlock, "")
	if m.emergency && m.damper == "MOTORIZED" {
		b.add("electrical.csv", b.spell(m.tag)+" DAMPER", "DAMPER", strconv.Itoa(m.damperVolts), "1", "-", "-", "YES", "EP-1", "15A", "", "", "")
	}
	detector := "NO"
	if strings.HasPrefix(m.tag, "SF") || strings.HasPrefix(m.tag, "RF") {
		detector = "YES"
	}
	b.add("matrix.csv", m.tag, m.fire, detector)
	flow, head, power := strconv.Itoa(m.cfm), fmt.Sprint(m.esp), hpText(m.hp)
	if b.style.metric {
		flow, head, power = fmt.Sprintf("%.0f", float64(m.cfm)*0.4719), fmt.Sprintf("%.0f", m.esp*249.089), fmt.Sprintf("%.2f", m.hp*0.7457)
	}
	b.add("submittal.csv", m.tag, "M100", flow, head, power, strconv.Itoa(m.volts), strconv.Itoa(m.phases), motor, drive, m.damper, dv, es)
}

// spell writes a tag the way the electrical trade does in this building.
func (b *building) spell(tag string) string {
	letters, number, _ := strings.Cut(tag, "-")
	if b.style.pad {
		number = "0" + number
	}
	if b.style.blank {
		return letters + " " + number
	}
	return letters + "-" + number
}

// listNames are how the points list calls what the plan calls otherwise.
var listNames = map[string]string{"start": "Start/Stop", "status": "Fan Status", "speed": "Speed Command", "not-in-auto": "HOA Status", "damper": "Damper Command", "damper-open": "Damper End Switch", "drive-fault": "VFD Fault",
	"smoke": "Duct Smoke Detector", "fire-stop": "Fire Alarm Shutdown", "gas-co": "CO Level", "gas-no2": "NO2 Level", "run": "Smoke Control Run", "trouble": "Smoke Control Trouble", "room-temperature": "Space Temp"}

var listTypes = map[string]string{model.BinaryOutput: "BO", model.BinaryInput: "BI", model.AnalogOutput: "AO", model.AnalogInput: "AI"}

func (b *building) writePoints() {
	b.tables["points.csv"] = [][]string{{"Equipment", "Point Name", "Type", "Range"}}
	for _, p := range b.points {
		if p.Carried != model.Hardwired || p.ByOthers {
			continue
		}
		role, number := p.Role, ""
		if i := strings.LastIndexByte(role, '-'); i > 0 && strings.Trim(role[i+1:], "0123456789") == "" {
			role, number = role[:i], " "+role[i+1:]
		}
		name := listNames[role]
		if name == "" {
			name = strings.ReplaceAll(role, "-", " ")
		}
		span := ""
		if p.Range != nil && strings.HasPrefix(p.Role, "gas-") {
			span = fmt.Sprintf("%g-%g ppm", p.Range.Lo, p.Range.Hi)
		}
		b.add("points.csv", p.Equipment, name+number, listTypes[p.ObjectType], span)
	}
}

func (b *building) text(file string) string {
	var out strings.Builder
	w := csv.NewWriter(&out)
	if err := w.WriteAll(b.tables[file]); err != nil {
		panic(err)
	}
	return out.String()
}

// copied is the building with tables of its own, for a mutation.
func (b *building) copied() *building {
	c := *b
	c.tables = map[string][][]string{}
	for file, rows := range b.tables {
		for _, r := range rows {
			c.tables[file] = append(c.tables[file], slices.Clone(r))
		}
	}
	return &c
}

// at finds the row of a machine and the column of a heading.
func (b *building) at(file, tag, heading string) (row, column int) {
	rows := b.tables[file]
	want := tag
	if file == "electrical.csv" {
		want = b.spell(tag)
	}
	return slices.IndexFunc(rows, func(r []string) bool { return r[0] == want }), slices.Index(rows[0], heading)
}

func (b *building) get(file, tag, heading string) string {
	r, c := b.at(file, tag, heading)
	if r < 0 || c < 0 {
		return ""
	}
	return b.tables[file][r][c]
}

func (b *building) set(file, tag, heading, value string) bool {
	r, c := b.at(file, tag, heading)
	if r < 0 || c < 0 || b.tables[file][r][c] == value {
		return false
	}
	b.tables[file][r][c] = value
	return true
}

func (b *building) drop(file, tag string) bool {
	r, _ := b.at(file, tag, "")
	if r < 0 {
		return false
	}
	b.tables[file] = slices.Delete(b.tables[file], r, r+1)
	return true
}

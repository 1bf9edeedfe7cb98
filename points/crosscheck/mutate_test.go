package crosscheck_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/crosscheck"
	"tallywire/points/intake"
	"tallywire/points/library"
)

func sheets(t testing.TB, file, text string) []model.Sheet {
	t.Helper()
	s, err := intake.ReadDelimited(file, []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// documentFiles are the documents beside the list, and what each is.
var documentFiles = []struct{ file, role string }{{"electrical.csv", "electrical"}, {"matrix.csv", "fire"}, {"points.csv", "controls"}, {"submittal.csv", "submittal"}}

// compare lays the documents beside the list; read ones are reused.
func (b *building) compare(t testing.TB, lib *library.Library, ready map[string]crosscheck.Document, fresh string) []model.Difference {
	t.Helper()
	var docs []crosscheck.Document
	for _, d := range documentFiles {
		doc, known := ready[d.file]
		if !known || d.file == fresh {
			doc = read(t, lib, d.file, b.text(d.file))
			if doc.Role != d.role {
				t.Fatalf("%s is taken for %q", d.file, doc.Role)
			}
			if d.file != fresh {
				ready[d.file] = doc
			}
		}
		docs = append(docs, doc)
	}
	return crosscheck.Compare(lib, &model.Project{}, b.ours, b.points, docs)
}

// mutation breaks one document in one way. apply changes it and names the
// subject, "" if this machine cannot be broken so.
type mutation struct {
	code, file string
	apply      func(b *building, m *machine, r *rand.Rand) string
	also       []string // other codes that the same change rightly gives
}

func ratio(text string, k float64) string {
	v, _ := strconv.ParseFloat(text, 64)
	return strconv.FormatFloat(v*k, 'f', 2, 64)
}

// change sets a cell and names the machine.
func change(file, heading string, value func(b *building, m *machine, r *rand.Rand) string) func(*building, *machine, *rand.Rand) string {
	return func(b *building, m *machine, r *rand.Rand) string {
		v := value(b, m, r)
		if v == "" || !b.set(file, m.tag, heading, v) {
			return ""
		}
		return m.tag
	}
}

// onlyIf limits a value to machines that have something to differ in.
func onlyIf(ok bool, v string) string {
	if ok {
		return v
	}
	return ""
}

var mutations = []mutation{
	{code: "voltage-differs", file: "electrical.csv", apply: change("electrical.csv", "VOLTAGE", func(b *building, m *machine, r *rand.Rand) string {
		return map[int]string{120: "277", 208: "480", 480: "208"}[m.volts]
	})},
	{code: "phase-differs", file: "electrical.csv", apply: change("electrical.csv", "PHASE", func(b *building, m *machine, r *rand.Rand) string { return strconv.Itoa(4 - m.phases) })},
	{code: "power-differs", file: "electrical.csv", apply: change("electrical.csv", "HP", func(b *building, m *machine, r *rand.Rand) string {
		return map[bool]string{true: "15", false: "1/8"}[m.hp > 1]
	})},
	{code: "current-differs", file: "electrical.csv", apply: change("electrical.csv", "FLA", func(b *building, m *machine, r *rand.Rand) string {
		return ratio(fmt.Sprint(m.fla), pick(r, []float64{0.5, 0.8, 1.3, 2}))
	})},
	{code: "emergency-differs", file: "electrical.csv", also: []string{"emergency-parts"}, apply: change("electrical.csv", "EMERGENCY", func(b *building, m *machine, r *rand.Rand) string { return answer(!m.emergency) })},
	{code: "emergency-parts", file: "electrical.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		row, column := b.at("electrical.csv", m.tag, "EMERGENCY")
		rows := b.tables["electrical.csv"]
		if !m.emergency || row < 0 || row+1 >= len(rows) || !strings.HasSuffix(rows[row+1][0], "DAMPER") {
			return ""
		}
		rows[row+1][column] = "NO"
		return m.tag
	}},
	{code: "control-differs", file: "electrical.csv", also: []string{"drive-on-ec-motor"}, apply: change("electrical.csv", "MOTOR CONTROL", func(b *building, m *machine, r *rand.Rand) string {
		return map[string]string{"VFD": "STARTER", "STARTER": "VFD"}[m.control]
	})},
	{code: "drive-on-ec-motor", file: "electrical.csv", also: []string{"control-differs"}, apply: change("electrical.csv", "MOTOR CONTROL", func(b *building, m *machine, r *rand.Rand) string { return onlyIf(m.ec, "VFD") })},
	{code: "only-here", file: "electrical.csv", also: []string{"interlock-one-sided"}, apply: func(b *building, m *machine, r *rand.Rand) string {
		if !b.drop("electrical.csv", m.tag) {
			return ""
		}
		return m.tag
	}},
	{code: "only-there", file: "electrical.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		letters, _, _ := strings.Cut(m.tag, "-")
		tag := letters + "-77"
		b.add("electrical.csv", tag, "FAN", "120", "1", "1/4", "5.8", "NO", "LP-9", "20A", "", "", "")
		return tag
	}},
	{code: "tag-alike", file: "electrical.csv", also: []string{"interlock-one-sided"}, apply: func(b *building, m *machine, r *rand.Rand) string {
		if m.ec || m.hp < 5 {
			return "" // too few values of its own to be known by
		}
		letters, number, _ := strings.Cut(m.tag, "-")
		if !b.set("electrical.csv", m.tag, "EQUIPMENT", letters+letters[len(letters)-1:]+"-"+number) {
			return ""
		}
		return m.tag
	}},
	{code: "twice-there", file: "submittal.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		row, _ := b.at("submittal.csv", m.tag, "")
		b.tables["submittal.csv"] = slices.Insert(b.tables["submittal.csv"], row, slices.Clone(b.tables["submittal.csv"][row]))
		return m.tag
	}},
	{code: "interlock-one-sided", file: "electrical.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		if m.interlock == "" || interlocks(b) < 2 || !b.set("electrical.csv", m.tag, "INTERLOCK", "") {
			return ""
		}
		return m.tag
	}},
	{code: "furnished-twice", file: "electrical.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		return claims(b, m, "VFD FURNISHED BY DIV 23", "VFD FURNISHED BY DIV 26")
	}},
	{code: "furnished-by-nobody", file: "electrical.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		return claims(b, m, "VFD FURNISHED BY DIV 26", "VFD FURNISHED BY DIV 23")
	}},
	{code: "fire-row-missing", file: "matrix.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		b.drop("matrix.csv", m.tag)
		return m.tag
	}},
	{code: "fire-row-twice", file: "matrix.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		row, _ := b.at("matrix.csv", m.tag, "")
		b.tables["matrix.csv"] = slices.Insert(b.tables["matrix.csv"], row, slices.Clone(b.tables["matrix.csv"][row]))
		return m.tag
	}},
	{code: "fire-response-differs", file: "matrix.csv", apply: change("matrix.csv", "FIRE ALARM ACTION", func(b *building, m *machine, r *rand.Rand) string {
		return map[string]string{"STOP": "RUN", "RUN": "STOP", "CONTINUE": "STOP", "NONE": "STOP"}[m.fire]
	})},
	{code: "fire-response-unstated", file: "matrix.csv", apply: change("matrix.csv", "FIRE ALARM ACTION", func(b *building, m *machine, r *rand.Rand) string { return "-" })},
	{code: "duct-detector-missing", file: "matrix.csv", apply: change("matrix.csv", "SMOKE DETECTOR", func(b *building, m *machine, r *rand.Rand) string {
		return onlyIf(m.cfm > 2000 && b.get("matrix.csv", m.tag, "SMOKE DETECTOR") == "YES" && detectors(b) > 1, "NO")
	})},
	{code: "airflow-differs", file: "submittal.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		return scaled(b, m, "CFM", "AIRFLOW (L/S)", pick(r, []float64{0.8, 0.93, 1.07, 1.3}))
	}},
	{code: "pressure-differs", file: "submittal.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		return scaled(b, m, "ESP (IN WC)", "ESP (PA)", pick(r, []float64{0.6, 0.85, 1.2, 2}))
	}},
	{code: "motor-type-differs", file: "submittal.csv", apply: change("submittal.csv", "MOTOR TYPE", func(b *building, m *machine, r *rand.Rand) string {
		return map[bool]string{true: "PSC", false: "ECM"}[m.ec]
	}), also: []string{"drive-on-ec-motor"}},
	{code: "drive-differs", file: "submittal.csv", apply: change("submittal.csv", "DRIVE", func(b *building, m *machine, r *rand.Rand) string {
		return map[bool]string{true: "DIRECT", false: "BELT"}[m.belt]
	})},
	{code: "damper-differs", file: "submittal.csv", apply: change("submittal.csv", "DAMPER", func(b *building, m *machine, r *rand.Rand) string {
		return map[string]string{"MOTORIZED": "GRAVITY", "GRAVITY": "MOTORIZED", "NONE": "GRAVITY"}[m.damper]
	})},
	{code: "damper-voltage-differs", file: "submittal.csv", apply: change("submittal.csv", "DAMPER VOLTAGE", func(b *building, m *machine, r *rand.Rand) string {
		return onlyIf(m.damper == "MOTORIZED", map[int]string{24: "120 V", 120: "24 V"}[m.damperVolts])
	})},
	{code: "end-switch-differs", file: "submittal.csv", apply: change("submittal.csv", "END SWITCH", func(b *building, m *machine, r *rand.Rand) string {
		return onlyIf(m.damper == "MOTORIZED", answer(!m.endSwitch))
	})},
	{code: "point-not-listed", file: "points.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		return without(b, m, "Fan Status", "/status")
	}},
	{code: "speed-not-listed", file: "points.csv", apply: func(b *building, m *machine, r *rand.Rand) string { return without(b, m, "Speed Command", "/speed") }},
	{code: "speed-not-scheduled", file: "points.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		if pointRow(b, m, "Speed Command") >= 0 || pointRow(b, m, "Fan Status") < 0 {
			return ""
		}
		b.add("points.csv", m.tag, "Speed Command", "AO", "")
		return m.tag + "/speed"
	}},
	{code: "fire-point-not-listed", file: "points.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		return without(b, m, "Duct Smoke Detector", "/smoke")
	}},
	{code: "range-differs", file: "points.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		i := pointRow(b, m, "CO Level 1")
		if i < 0 {
			return ""
		}
		b.tables["points.csv"][i][3] = "0-100 ppm"
		return m.tag + "/gas-co-1"
	}},
	{code: "point-type-differs", file: "points.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		i := pointRow(b, m, "Fan Status")
		if i < 0 {
			return ""
		}
		b.tables["points.csv"][i][2] = "AI"
		return m.tag + "/status"
	}},
	{code: "point-twice", file: "points.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		i := pointRow(b, m, "Start/Stop")
		if i < 0 {
			return ""
		}
		b.tables["points.csv"] = slices.Insert(b.tables["points.csv"], i, slices.Clone(b.tables["points.csv"][i]))
		return m.tag + "/start"
	}},
	{code: "only-here", file: "points.csv", apply: func(b *building, m *machine, r *rand.Rand) string {
		n := len(b.tables["points.csv"])
		b.tables["points.csv"] = slices.DeleteFunc(b.tables["points.csv"], func(row []string) bool { return row[0] == m.tag })
		return onlyIf(len(b.tables["points.csv"]) < n, m.tag)
	}},
}

func interlocks(b *building) (n int) {
	for _, m := range b.machines {
		if m.interlock != "" {
			n++
		}
	}
	return n
}

func detectors(b *building) (n int) {
	for _, r := range b.tables["matrix.csv"] {
		if r[2] == "YES" {
			n++
		}
	}
	return n
}

// claims makes the electrical schedule and our own remark name a furnisher.
func claims(b *building, m *machine, ours, theirs string) string {
	i := slices.IndexFunc(b.ours, func(e model.Equipment) bool { return e.Tag == m.tag })
	if m.control != "VFD" || i < 0 || !b.set("electrical.csv", m.tag, "REMARKS", theirs) {
		return ""
	}
	b.ours = slices.Clone(b.ours)
	b.ours[i].Fields = map[string]model.Text{"remarks": {Text: ours, Where: &model.Where{File: "fans.csv", Cell: "S2"}}}
	return m.tag
}

func scaled(b *building, m *machine, imperial, metric string, k float64) string {
	heading := imperial
	if b.style.metric {
		heading = metric
	}
	if !b.set("submittal.csv", m.tag, heading, ratio(b.get("submittal.csv", m.tag, heading), k)) {
		return ""
	}
	return m.tag
}

func pointRow(b *building, m *machine, name string) int {
	return slices.IndexFunc(b.tables["points.csv"], func(r []string) bool { return r[0] == m.tag && r[1] == name })
}

func without(b *building, m *machine, name, role string) string {
	i := pointRow(b, m, name)
	if i < 0 {
		return ""
	}
	b.tables["points.csv"] = slices.Delete(b.tables["points.csv"], i, i+1)
	return m.tag + role
}

// TestMutatedDocuments breaks generated buildings 500 times, one document in
// one way each time: at least 98 % of the changes are found by code and
// subject, and nothing else is a fault or a caution.
func TestMutatedDocuments(t *testing.T) {
	lib := loaded(t)
	const wanted = 500
	tried, found := 0, 0
	byCode := map[string]int{}
	for seed := uint64(1); tried < wanted; seed++ {
		r := rand.New(rand.NewPCG(seed, 26))
		b := generate(t, lib, r)
		ready := map[string]crosscheck.Document{}
		for _, d := range b.compare(t, lib, ready, "") {
			if d.Severity != finding.Note {
				t.Fatalf("seed %d, a false alarm on a clean set: %s %s: %s", seed, d.Code, d.Subject, d.Message)
			}
		}
		for range 40 {
			mu := &mutations[r.IntN(len(mutations))]
			broken := b.copied()
			subject := mu.apply(broken, &b.machines[r.IntN(len(b.machines))], r)
			if subject == "" || tried == wanted {
				continue
			}
			tried++
			byCode[mu.code]++
			if judge(t, seed, mu, subject, broken.compare(t, lib, ready, mu.file)) {
				found++
			}
		}
	}
	t.Logf("%d of %d changes found", found, wanted)
	if share := float64(found) / wanted; share < 0.98 {
		t.Errorf("%d of %d changes found", found, wanted)
	}
	for _, mu := range mutations {
		if byCode[mu.code] == 0 {
			t.Errorf("%s was never tried", mu.code)
		}
	}
}

// judge reports whether the change was found, and fails on a false alarm.
func judge(t *testing.T, seed uint64, mu *mutation, subject string, got []model.Difference) bool {
	t.Helper()
	hit := false
	tag, _, _ := strings.Cut(subject, "/")
	for _, d := range got {
		if d.Severity == finding.Note {
			continue
		}
		on, _, _ := strings.Cut(d.Subject, "/")
		switch {
		case d.Code == mu.code && spelt(d.Subject) == spelt(subject):
			hit = true
		case slices.Contains(mu.also, d.Code) && (spelt(on) == spelt(tag) || d.Code == "interlock-one-sided"):
		default:
			t.Errorf("seed %d, %s of %s in %s gives a false alarm: %s %s: %s", seed, mu.code, subject, mu.file, d.Code, d.Subject, d.Message)
		}
	}
	if !hit {
		t.Logf("seed %d: %s of %s in %s was not found", seed, mu.code, subject, mu.file)
	}
	return hit
}

func spelt(tag string) string {
	return strings.NewReplacer("-0", "-", " 0", "-", " ", "-").Replace(tag)
}

func BenchmarkCompare(b *testing.B) {
	lib := loaded(b)
	r := rand.New(rand.NewPCG(7, 26))
	var ours []model.Equipment
	docs := make([]crosscheck.Document, len(documentFiles))
	var points []model.Point
	for block := range 160 { // 2,000 machines and their documents
		g := generate(b, lib, r)
		rename := func(tag string) string { return strings.Replace(tag, "-", fmt.Sprintf("-%d", block+1), 1) }
		for _, e := range g.ours {
			e.Tag = rename(e.Tag)
			ours = append(ours, e)
		}
		for _, p := range g.points {
			p.Equipment = rename(p.Equipment)
			points = append(points, p)
		}
		for i, d := range documentFiles {
			doc := read(b, lib, d.file, g.text(d.file))
			docs[i].Role, docs[i].Input = d.role, doc.Input
			for _, e := range doc.Equipment {
				e.Tag = rename(strings.ReplaceAll(e.Tag, "-0", "-"))
				docs[i].Equipment = append(docs[i].Equipment, e)
			}
		}
	}
	b.ReportMetric(float64(len(ours)), "machines")
	for b.Loop() {
		crosscheck.Compare(lib, &model.Project{}, ours, points, docs)
	}
}

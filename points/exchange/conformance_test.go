//go:build conformance

package exchange

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tallywire/model"
)

// The tests of this file hold our tables and texts against general-purpose
// implementations: the packet analyser tshark, and the packages
// @bacnet-js/client, haystack-core, haystack-units and n3 in the node_modules
// of the folder that CONFORMANCE_NODE names. They run with
// go test -tags conformance ./points/exchange -run Conformance.

// ask puts a question to the reference implementations.
func ask(t *testing.T, question string, input []byte, answer any) {
	t.Helper()
	dir := os.Getenv("CONFORMANCE_NODE")
	if dir == "" {
		t.Fatal("CONFORMANCE_NODE must name the folder whose node_modules hold the reference packages")
	}
	script, err := filepath.Abs("testdata/conformance/reference.cjs")
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command("node", script, question)
	c.Env = append(os.Environ(), "NODE_PATH="+filepath.Join(dir, "node_modules"))
	c.Stdin = bytes.NewReader(input)
	var faults bytes.Buffer
	c.Stderr = &faults
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", question, err, faults.String())
	}
	if err := json.Unmarshal(out, answer); err != nil {
		t.Fatalf("%s: %v", question, err)
	}
}

// kebab writes a name the way the standard does.
func kebab(s string) string {
	return strings.ToLower(strings.NewReplacer("_", "-", " ", "-").Replace(s))
}

// difference is a number that another implementation lacks or calls otherwise;
// their name is "" where they lack it.
type difference struct {
	number int
	theirs string
}

// held compares numbers and names of one list, both ways, against the
// differences that are known by name. A difference that is gone is red too.
func held(t *testing.T, what string, ours, theirs map[int]string, known []difference) {
	t.Helper()
	left := map[difference]bool{}
	for _, d := range known {
		left[d] = true
	}
	numbers := map[int]bool{}
	for n := range ours {
		numbers[n] = true
	}
	for n := range theirs {
		numbers[n] = true
	}
	list := make([]int, 0, len(numbers))
	for n := range numbers {
		list = append(list, n)
	}
	slices.Sort(list)
	for _, n := range list {
		if ours[n] == theirs[n] {
			continue
		}
		d := difference{n, theirs[n]}
		if !left[d] {
			t.Errorf("%s %d: ours %q, theirs %q", what, n, ours[n], theirs[n])
		}
		delete(left, d)
	}
	for d := range left {
		t.Errorf("%s %d: the difference %q is listed and is none", what, d.number, d.theirs)
	}
}

// bacnetNames are the lists of @bacnet-js/client.
type bacnetNames struct{ Types, Units, Events, Properties map[string]string }

func kebabs(m map[string]string) map[int]string {
	out := map[int]string{}
	for k, v := range m {
		n, err := strconv.Atoi(k)
		if err == nil {
			out[n] = kebab(v)
		}
	}
	return out
}

func ourTypes(t *testing.T) map[int]string {
	out := map[int]string{}
	for _, one := range load(t).Objects.Types() {
		out[one.Number] = one.ID
	}
	return out
}

func ourEvents(t *testing.T) map[int]string {
	out := map[int]string{}
	for _, one := range load(t).Objects.Events() {
		out[one.Number] = one.ID
	}
	return out
}

// ourProperties are the properties of the object types that points have.
func ourProperties(t *testing.T) map[int]string {
	lib := load(t)
	out := map[int]string{}
	for _, typ := range lib.Objects.Types() {
		for _, p := range lib.Objects.Properties(typ.ID) {
			out[p.Number] = p.Name
		}
	}
	return out
}

// only keeps the numbers that ours has.
func only(theirs, ours map[int]string) map[int]string {
	out := map[int]string{}
	for n := range ours {
		if s, ok := theirs[n]; ok {
			out[n] = s
		}
	}
	return out
}

func TestConformanceBACnetJS(t *testing.T) {
	var names bacnetNames
	ask(t, "bacnet", nil, &names)
	held(t, "object type", ourTypes(t), kebabs(names.Types), npmTypes)
	held(t, "event type", ourEvents(t), kebabs(names.Events), npmEvents)
	held(t, "property", ourProperties(t), only(kebabs(names.Properties), ourProperties(t)), npmProperties)
	units := map[int]string{}
	for _, u := range load(t).Units.All() {
		units[u.Number] = u.ID
	}
	// Above 255 theirs holds few of the later units: only numbers that both have are compared.
	theirs := kebabs(names.Units)
	for n := range units {
		if n > 255 && theirs[n] == "" {
			delete(units, n)
		}
	}
	held(t, "unit", units, theirs, npmUnits)
	for _, d := range npmUnits { // an old name must be one of our aliases
		if u, ok := load(t).Units.Named(d.theirs); d.theirs != "" && d.number < 256 && (!ok || u.Number != d.number) {
			t.Errorf("unit %d: %q is not read as it", d.number, d.theirs)
		}
	}
}

// tsharkValues reads a list of the analyser's dissector.
func tsharkValues(t *testing.T, field string) map[int]string {
	t.Helper()
	out, err := exec.Command("tshark", "-G", "values").Output()
	if err != nil {
		t.Fatal(err)
	}
	values := map[int]string{}
	for line := range strings.Lines(string(out)) {
		cells := strings.Split(strings.TrimRight(line, "\n"), "\t")
		if len(cells) == 4 && cells[0] == "V" && cells[1] == field {
			if n, err := strconv.Atoi(cells[2]); err == nil {
				values[n] = kebab(cells[3])
			}
		}
	}
	return values
}

func TestConformanceTshark(t *testing.T) {
	held(t, "object type", ourTypes(t), tsharkValues(t, "bacapp.objectType"), tsharkTypes)
	held(t, "event type", ourEvents(t), tsharkValues(t, "bacapp.event_type"), tsharkEvents)
	held(t, "property", ourProperties(t), only(tsharkValues(t, "bacapp.property_identifier"), ourProperties(t)), tsharkProperties)
	units := map[int]string{}
	for _, u := range load(t).Units.All() {
		if u.Number <= 255 {
			units[u.Number] = u.ID
		}
	}
	held(t, "unit", units, tsharkUnits(t, units), tsharkUnitNames)
}

// tsharkUnits has the analyser decode one answer a unit: a ReadProperty ack of
// property 117 of analog input 1, in UDP port 47808. It does not export the list.
func tsharkUnits(t *testing.T, units map[int]string) map[int]string {
	t.Helper()
	var numbers []int
	for n := range units {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	var pcap bytes.Buffer
	le := binary.LittleEndian
	pcap.Write(le.AppendUint32(le.AppendUint32(le.AppendUint32(le.AppendUint32(le.AppendUint16(le.AppendUint16(le.AppendUint32(nil, 0xa1b2c3d4), 2), 4), 0), 0), 65535), 1))
	for i, n := range numbers {
		apdu := []byte{0x30, byte(i), 0x0c, 0x0c, 0, 0, 0, 1, 0x19, 117, 0x3e, 0x91, byte(n), 0x3f}
		bvlc := append([]byte{0x81, 0x0a, 0, byte(4 + 2 + len(apdu)), 0x01, 0x00}, apdu...)
		udp := append([]byte{0xba, 0xc0, 0xba, 0xc0, 0, byte(8 + len(bvlc)), 0, 0}, bvlc...)
		ip := append([]byte{0x45, 0, 0, byte(20 + len(udp)), 0, 0, 0, 0, 64, 17, 0, 0, 10, 0, 0, 1, 10, 0, 0, 2}, udp...)
		frame := append([]byte{0, 0, 0, 0, 0, 2, 0, 0, 0, 0, 0, 1, 8, 0}, ip...)
		pcap.Write(le.AppendUint32(le.AppendUint32(le.AppendUint32(le.AppendUint32(nil, uint32(i)), 0), uint32(len(frame))), uint32(len(frame))))
		pcap.Write(frame)
	}
	file := filepath.Join(t.TempDir(), "units.pcap")
	if err := os.WriteFile(file, pcap.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("tshark", "-r", file, "-O", "bacapp", "-d", "udp.port==47808,bvlc").Output()
	if err != nil {
		t.Fatal(err)
	}
	named := map[int]string{}
	for _, m := range regexp.MustCompile(`(?m)^\s+units: (.+?)(?: \((\d+)\))?\s*$`).FindAllStringSubmatch(string(out), -1) {
		if i := len(named); i < len(numbers) {
			named[numbers[i]] = kebab(strings.TrimSpace(m[1]))
		}
	}
	if len(named) != len(numbers) {
		t.Fatalf("the analyser names %d of %d units:\n%.2000s", len(named), len(numbers), out)
	}
	return named
}

// TestConformanceHaystackUnits: every Haystack id of our units is one of theirs.
func TestConformanceHaystackUnits(t *testing.T) {
	var theirs map[string][]string
	ask(t, "units", nil, &theirs)
	names := map[string]string{}
	for id, all := range theirs {
		for _, n := range all {
			names[n] = id
		}
	}
	ids := 0
	for _, u := range load(t).Units.All() {
		if u.Haystack == "" {
			continue
		}
		ids++
		if names[u.Haystack] == "" {
			t.Errorf("unit %s: Haystack has no %q", u.ID, u.Haystack)
		}
	}
	if ids < 80 {
		t.Errorf("only %d units have a Haystack id", ids)
	}
}

// TestConformanceHaystack: their readers understand both our texts, and find
// the one grid in them.
func TestConformanceHaystack(t *testing.T) {
	lib, plan := load(t), haystackPlan()
	var hayson, zinc bytes.Buffer
	if err := Haystack(&hayson, lib, plan); err != nil {
		t.Fatal(err)
	}
	if err := Zinc(&zinc, lib, plan); err != nil {
		t.Fatal(err)
	}
	var a, b struct {
		Rows []map[string]any `json:"rows"`
		Cols []map[string]any `json:"cols"`
		Meta map[string]any   `json:"meta"`
	}
	ask(t, "hayson", hayson.Bytes(), &a)
	ask(t, "zinc", zinc.Bytes(), &b)
	if want := gridOf(lib, plan); len(a.Rows) != len(want.rows) || len(a.Cols) != len(want.columns()) {
		t.Errorf("%d rows and %d columns are read, %d and %d are written", len(a.Rows), len(a.Cols), len(want.rows), len(want.columns()))
	}
	if !reflect.DeepEqual(a, b) {
		for i := range min(len(a.Rows), len(b.Rows)) {
			if !reflect.DeepEqual(a.Rows[i], b.Rows[i]) {
				t.Fatalf("row %d:\nHayson %v\nZinc   %v", i, a.Rows[i], b.Rows[i])
			}
		}
		t.Error("Hayson and Zinc are read as two grids")
	}
	// and what they write, we read
	text, err := json.Marshal(map[string]any{"_kind": "grid", "meta": b.Meta, "cols": b.Cols, "rows": b.Rows})
	if err != nil {
		t.Fatal(err)
	}
	points, err := ReadHaystack(lib, "theirs.json", text)
	if err != nil || len(points) != len(plan.Points) {
		t.Errorf("%d points of %d: %v", len(points), len(plan.Points), err)
	}
}

// TestConformanceTurtle: an RDF parser finds the triples in our model that we
// find, in the open models too where they are at hand.
func TestConformanceTurtle(t *testing.T) {
	lib := load(t)
	plan := fansOf(plant(2))
	plan.Points = append(plan.Points, model.Point{Key: "SITE/a b\"c", Equipment: "SITE", Role: "own-role", Description: "line\nline \\ \"quoted\" é \x01"})
	var brick bytes.Buffer
	if err := Brick(&brick, lib, standing(plan, "https://example.org/b#")); err != nil {
		t.Fatal(err)
	}
	texts := map[string][]byte{"ours": brick.Bytes()}
	for _, name := range []string{"g36-ahu-a9.ttl", "soda_brick.ttl"} {
		if text, err := os.ReadFile("../../../shared/opendata/" + name); err == nil {
			texts[name] = text
		}
	}
	for name, text := range texts {
		ours, err := parseTurtle(text)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var theirs [][3]struct {
			IRI     *string
			Literal *string
			Of      string
			Blank   bool
		}
		ask(t, "turtle", text, &theirs)
		count := map[string]int{}
		for _, one := range ours {
			count[shownBlind(one.subject)+" "+shownBlind(one.predicate)+" "+shownBlind(one.object)]++
		}
		for _, one := range theirs {
			var s []string
			for _, n := range one {
				switch {
				case n.IRI != nil:
					s = append(s, "<"+*n.IRI+">")
				case n.Literal != nil:
					s = append(s, fmt.Sprintf("%q^%s", *n.Literal, n.Of))
				default:
					s = append(s, "_")
				}
			}
			count[strings.Join(s, " ")]--
		}
		for s, n := range count {
			if n != 0 {
				t.Errorf("%s: %+d %s", name, n, s)
			}
		}
		if len(theirs) < 50 {
			t.Errorf("%s: only %d triples", name, len(theirs))
		}
	}
}

// shownBlind prints a term; all blank nodes are one.
func shownBlind(n term) string {
	switch n.kind {
	case address:
		return "<" + n.value + ">"
	case blank:
		return "_"
	}
	return fmt.Sprintf("%q^%s", n.value, n.of)
}

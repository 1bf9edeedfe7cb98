package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// booth is a project that brings a scheme, a role, a rule, a device type and a
// hook-up of its own.
var booth = map[string]string{
	"fans.csv": "TAG,KIND,SCHEME,SERVICE,HP,VOLTAGE,CONTROL\nEF-1,general-exhaust-fan,paint-booth,Paint booth,3,480/3/60,STARTER\n",
	"schemes.yaml": `records:
  - {id: paint-booth, name: Paint booth exhaust, family: fan, speed: constant, together: equipment, runs: demand, sequence: ["The booth asks.", "The fan runs.", "It stops."], source: owner's standard}
`,
	"roles.yaml": `records:
  - {id: filter-load, name: booth filter pressure, abbreviation: FLTDP, object: analog-input, carried: hardwired, signal: 4-20 mA, units: inches-of-water, range: [0, 2], trend: every 5 min, item: pressure-sensor, source: owner's standard}
`,
	"rules.yaml": `records:
  - id: booth-filter
    when: {schemes: [paint-booth]}
    emits: {role: filter-load, need: required}
    why: the booth's filter loads with paint
    source: owner's standard
    example: {scheme: paint-booth, control: starter}
    near_miss: {scheme: toilet-exhaust, control: starter}
`,
	"devices.yaml": `records:
  - id: booth-sensor
    name: Booth pressure transmitter
    category: sensor
    source: owner's data sheet
    price_cents: 12000
    terminals:
      - {id: out, function: pressure, nature: analog-current, drives: true, current: dc, labels: ["+", "-"], isolated: true, range: [4, 20], loop_power: sink, loop_v: [10, 36], lift_off_v: 10, source: data sheet}
`,
	"hookups.yaml": `records:
  - id: booth-filter-loop
    name: Booth filter pressure
    source: owner's standard
    match: {roles: [filter-load]}
    why: a two-wire transmitter
    devices:
      - role: booth-sensor
        item: pressure-sensor
        choices: [{type: booth-sensor}]
    circuits:
      - purpose: sensor
        point: filter-load
        drive: {device: booth-sensor, functions: [pressure]}
        accepts: [{controller: true}]
        run: analog
`,
	"project.yaml": `lists:
  - file: fans.csv
library:
  - {subject: schemes, file: schemes.yaml}
  - {subject: roles, file: roles.yaml}
  - {subject: rules, file: rules.yaml}
  - {subject: devices, file: devices.yaml}
  - {subject: hookups, file: hookups.yaml}
`,
}

// boothIn writes the project into a folder, one text of one file replaced.
func boothIn(t *testing.T, file, old, new string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range booth {
		if name == file {
			if !strings.Contains(text, old) {
				t.Fatalf("%s holds no %q", file, old)
			}
			text = strings.Replace(text, old, new, 1)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// TestOwnRecordsFromListToTerminal: what a project brings of its own reaches
// the plan: scheme by the list's column, point, device, circuit, terminal.
func TestOwnRecordsFromListToTerminal(t *testing.T) {
	dir := boothIn(t, "", "", "")
	code, out, errs := call(t, "explain", "EF-1/filter-load", dir)
	if code != exitDone || !strings.Contains(out, "rule: booth-filter") || !strings.Contains(out, "scheme is paint-booth") || !strings.Contains(out, "circuit EF-1/filter-load: pass") {
		t.Errorf("exit %d %s\n%s", code, errs, out)
	}
	for id, want := range map[string]string{"paint-booth": "schemes.yaml:2", "filter-load": "roles.yaml:2", "booth-filter": "rules.yaml:2", "booth-sensor": "devices.yaml:2", "booth-filter-loop": "hookups.yaml:2"} {
		if _, out, _ := call(t, "library", id, "--with", dir); !strings.Contains(out, want) {
			t.Errorf("library %s does not tell %s: %.200s", id, want, out)
		}
	}
}

// TestOwnRecordsMisspelt: each slip of the pen is one clear line with its place
// and the nearest good name; in the records' form it is exit 2, in what they
// refer to a finding.
func TestOwnRecordsMisspelt(t *testing.T) {
	for _, c := range []struct {
		file, old, new string
		code           int
		want           []string
	}{
		{"project.yaml", "subject: schemes", "subject: shemes", exitInput, []string{"project.yaml:4:", `did you mean "schemes"?`}},
		{"project.yaml", "file: roles.yaml", "file: rolls.yaml", exitInput, []string{"project.yaml:5:", "roles.yaml?"}},
		{"schemes.yaml", "family: fan", "family: fann", exitInput, []string{"schemes.yaml:2:", `did you mean "fan"?`}},
		{"schemes.yaml", "runs: demand", "runs: demnd", exitInput, []string{"schemes.yaml:2:", `did you mean "demand"?`}},
		{"roles.yaml", "object: analog-input", "object: analog-inptu", exitInput, []string{"roles.yaml:2:", `did you mean "analog-input"?`}},
		{"roles.yaml", "units: inches-of-water", "units: inches-of-watr", exitNo, []string{"object-units", `did you mean "inches-of-water"?`}},
		{"roles.yaml", "item: pressure-sensor", "item: presure-sensor", exitDone, []string{"roles.yaml:2", `did you mean "pressure-sensor"?`}},
		{"rules.yaml", "role: filter-load", "role: filter-laod", exitDone, []string{"rules.yaml:2", `did you mean "filter-load"?`}},
		{"rules.yaml", "need: required", "need: requird", exitInput, []string{"rules.yaml:4:", `did you mean "required"?`}},
		{"rules.yaml", "schemes: [paint-booth]", "schemes: [paint-both]", exitDone, []string{"rules.yaml:2", `did you mean "paint-booth"?`}},
		{"devices.yaml", "nature: analog-current", "nature: analog-curent", exitInput, []string{"devices.yaml:8:", `did you mean "analog-current"?`}},
		{"hookups.yaml", "type: booth-sensor", "type: booth-sensr", exitDone, []string{"no-hookup", `did you mean "booth-sensor"?`}},
		{"hookups.yaml", "roles: [filter-load]", "roles: [filter-laod]", exitDone, []string{"hookups.yaml:2", `did you mean "filter-load"?`}},
		{"fans.csv", "paint-booth", "paint-both", exitDone, []string{"fans.csv, C2", `"paint-booth"`}},
	} {
		code, out, errs := call(t, "check", boothIn(t, c.file, c.old, c.new))
		line := ""
		for one := range strings.Lines(out + errs) {
			if strings.Contains(one, c.want[0]) && strings.Contains(one, c.want[1]) {
				line = one
			}
		}
		if code != c.code || line == "" {
			t.Errorf("%s, %q: exit %d, no line says %q:\n%s%s", c.file, c.new, code, c.want, errs, out)
		}
	}
}

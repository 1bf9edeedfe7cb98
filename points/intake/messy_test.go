package intake

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

var update = flag.Bool("update", false, "write the readings of the messy lists anew; read every line before you commit it")

// TestMessyLists holds the reading of whole lists as tired people write them:
// every machine with what was read of it, and every finding above the
// assumptions. NAME.later.csv revises NAME.csv; NAME.want is the reading.
func TestMessyLists(t *testing.T) {
	files, err := filepath.Glob("testdata/messy/*.[ct]sv")
	if err != nil {
		t.Fatal(err)
	}
	lists := 0
	for _, file := range files {
		if strings.HasSuffix(file, ".later.csv") {
			continue
		}
		lists++
		name := strings.TrimSuffix(file, filepath.Ext(file))
		t.Run(filepath.Base(name), func(t *testing.T) {
			got := messyReading(t, file, name+".later.csv")
			want, _ := os.ReadFile(name + ".want")
			if *update {
				if err := os.WriteFile(name+".want", []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if got != string(want) {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
	if lists < 15 {
		t.Errorf("only %d lists", lists)
	}
}

func messyReading(t *testing.T, files ...string) string {
	t.Helper()
	p := &model.Project{}
	for i, file := range files {
		data, err := os.ReadFile(file)
		if os.IsNotExist(err) && i > 0 {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		sheets, err := ReadDelimited(filepath.Base(file), data)
		if err != nil {
			t.Fatal(err)
		}
		role := ""
		if i > 0 {
			role = "addendum"
		}
		p.Sheets = append(p.Sheets, sheets...)
		p.Inputs = append(p.Inputs, model.Input{File: filepath.Base(file), Role: role})
	}
	got := read(t, p)
	var b strings.Builder
	for _, e := range got.list {
		fmt.Fprintln(&b, machineLine(e))
	}
	var lines []string
	for _, f := range got.findings {
		if f.Severity == finding.Note && (f.Code == "assumed" || f.Code == "not-stated") || f.Code == "code-reminder" {
			continue
		}
		lines = append(lines, fmt.Sprintf("%s %s %s: %s", f.Severity, f.Code, strings.Join(append([]string{f.Subject}, f.Subjects...)[min(1, len(f.Subjects)):], " "), f.Message))
	}
	slices.Sort(lines)
	b.WriteString(strings.Join(lines, "\n") + "\n")
	return b.String()
}

// machineLine is what was read of a machine, on one line.
func machineLine(e model.Equipment) string {
	g := e.Ratings
	parts := []string{e.Tag}
	add := func(name, value string) {
		if value != "" {
			parts = append(parts, strings.TrimSpace(name+" "+value))
		}
	}
	if e.OutOfScope != "" {
		return e.Tag + " | not planned: " + e.OutOfScope
	}
	add("", e.Scheme)
	add("by", e.Control)
	for _, one := range []struct {
		name string
		q    *model.Quantity
	}{{"air", g.Airflow}, {"pressure", g.Pressure}, {"motor", g.Power}, {"shaft", g.ShaftPower}, {"current", g.Current}} {
		if one.q != nil {
			add(one.name, shown(one.q))
		}
	}
	if s := g.Service; s != nil {
		var volts []string
		for _, v := range s.Volts {
			volts = append(volts, v.String())
		}
		add("service", fmt.Sprintf("%s V %d ph %g Hz", strings.Join(volts, "|"), s.Phases, s.Hertz))
	}
	add("type", g.MotorType)
	add("serves", e.Service)
	add("damper", e.Damper.Kind)
	if e.Damper.Volts != nil {
		add("damper volts", e.Damper.Volts.String())
	}
	if e.Damper.EndSwitch != nil {
		add("end switch", fmt.Sprint(*e.Damper.EndSwitch))
	}
	if e.Emergency != nil {
		add("emergency", fmt.Sprint(*e.Emergency))
	}
	add("fire", e.FireResponse)
	add("status", e.StatusDevice)
	add("with", strings.Join(e.Interlocks, " "))
	if e.Bid != model.Base {
		add("bid", e.Bid)
	}
	if e.Unresolved {
		parts = append(parts, "unresolved")
	}
	return strings.Join(parts, " | ")
}

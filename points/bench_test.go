package points_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points"
	"tallywire/points/intake"
	"tallywire/points/library"
)

// ordinary is a list of n fans of the usual sorts, five ways of control and
// four panels in turn.
func ordinary(n int) string {
	rows := [][2]string{{"5,460/3/60", "VFD"}, {"0.5,277/1/60", "fan interface box"}, {"2,208/3/60", "starter"}, {"0.25,120/1/60", "relay"}, {"0.75,277/1/60", "EC direct"}}
	var b strings.Builder
	b.WriteString("tag,type,system,cfm,hp,voltage,control,controls panel,damper\n")
	for i := range n {
		r := rows[i%len(rows)]
		fmt.Fprintf(&b, "EF-%d,general exhaust,S%d,%d,%s,%s,P-%d,motorised\n", i+1, i/10, 500+i, r[0], r[1], i*4/n+1)
	}
	return b.String()
}

// mixed is a list of n fans drawn by a seed, all in one panel: toilet exhausts on
// interface boxes with 24 V dampers and an override whose voltage nobody states,
// starters, drives, garage fans with gas sensors.
func mixed(n int, seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 0))
	sorts := []struct {
		tag, kind, hp, service, control, damper string
		cfm                                     int
	}{
		{"TEF", "toilet exhaust", "1/4", "120/1/60", "fan interface box", "motorized,24 VAC,Yes", 300},
		{"EF", "general exhaust", "3/4", "208/3/60", "starter", "none,,", 500},
		{"SF", "supply fan", "15", "460/3/60", "VFD", "none,,", 6000},
		{"RF", "return fan", "10", "460/3/60", "VFD", "none,,", 5000},
		{"GX", "garage exhaust", "5", "460/3/60", "VFD", "none,,", 8000},
	}
	var b strings.Builder
	b.WriteString("Tag,Type,System,Airflow (cfm),Motor HP,V/Ph/Hz,Control by,Damper type,Damper volts,Damper end switch,Fire response\n")
	for i := range n {
		s := sorts[r.IntN(len(sorts))]
		fmt.Fprintf(&b, "%s-%d,%s,S%d,%d,%s,%s,%s,%s,stop\n", s.tag, i+1, s.kind, i/10, s.cfm+50*r.IntN(40), s.hp, s.service, s.control, s.damper)
	}
	return b.String()
}

func benchmarkPlan(b *testing.B, list string, settings model.Settings) {
	lib, err := library.Load(nil)
	if err != nil {
		b.Fatal(err)
	}
	sheets, err := intake.ReadDelimited("fans.csv", []byte(list))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := points.Plan(lib, &model.Project{Sheets: sheets, Settings: settings}, points.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPlan30 plans a small building.
func BenchmarkPlan30(b *testing.B) { benchmarkPlan(b, ordinary(30), model.Settings{}) }

// BenchmarkPlan300 plans a large one.
func BenchmarkPlan300(b *testing.B) { benchmarkPlan(b, ordinary(300), model.Settings{}) }

// BenchmarkPlanMixed300 plans a large list of all sorts in one panel, with the
// quick landing.
func BenchmarkPlanMixed300(b *testing.B) {
	benchmarkPlan(b, mixed(300, 1), model.Settings{Landing: model.LandingSettings{Effort: "quick"}})
}

// BenchmarkPlanFile plans the delimited list that TALLYWIRE_LIST names.
func BenchmarkPlanFile(b *testing.B) {
	path := os.Getenv("TALLYWIRE_LIST")
	if path == "" {
		b.Skip("TALLYWIRE_LIST names no list")
	}
	data, err := os.ReadFile(filepath.Clean(path))
	if err != nil {
		b.Fatal(err)
	}
	benchmarkPlan(b, string(data), model.Settings{})
}

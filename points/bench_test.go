package points_test

import (
	"fmt"
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
	b.WriteString("tag,type,system,cfm,hp,voltage,control,panel,damper\n")
	for i := range n {
		r := rows[i%len(rows)]
		fmt.Fprintf(&b, "EF-%d,general exhaust,S%d,%d,%s,%s,P-%d,motorised\n", i+1, i/10, 500+i, r[0], r[1], i*4/n+1)
	}
	return b.String()
}

func benchmarkPlan(b *testing.B, list string) {
	lib, err := library.Load(nil)
	if err != nil {
		b.Fatal(err)
	}
	sheets, err := intake.ReadDelimited("fans.csv", []byte(list))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := points.Plan(lib, &model.Project{Sheets: sheets}, points.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPlan30 plans a small building.
func BenchmarkPlan30(b *testing.B) { benchmarkPlan(b, ordinary(30)) }

// BenchmarkPlan300 plans a large one.
func BenchmarkPlan300(b *testing.B) { benchmarkPlan(b, ordinary(300)) }

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
	benchmarkPlan(b, string(data))
}

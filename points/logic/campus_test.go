package logic_test

import (
	"fmt"
	"testing"

	"tallywire/model"
)

// campus is 3,000 fans: 400 loops of two or three fans whose status contacts
// start each other, chains that follow an air handler, fire responses, dampers.
func campus(tb testing.TB) *site {
	s := newSite(tb)
	campusOf(s, 3000, 400)
	return s
}

// campusOf builds such a campus of any size.
func campusOf(s *site, fans, loops int) {
	for i := range fans {
		tag := fmt.Sprintf("EF-%d", i+1)
		fire := []string{"stop", "run", "none"}[i%3]
		roles := []string{"start", "status", "override-active"}
		if i%2 == 0 {
			roles = append(roles, "speed")
		}
		s.fan(tag, "exhaust-variable", "box", "interface-box", fire, roles...)
		if i%3 != 2 {
			s.fireOverride(tag, tag+"/box")
		}
		if i%5 == 0 {
			s.device(tag, "damper", "damper-24v")
			s.wire(tag, "damper-power", "damper-power", s.at(tag+"/box", "damper"), s.at(tag+"/damper", "power"))
		}
	}
	fan := func(i int) string { return fmt.Sprintf("EF-%d", i+1) }
	for l := range loops {
		n, from := 2+l%2, l*3
		for k := range n {
			a, b := fan(from+k), fan(from+(k+1)%n)
			s.wire(b, "chain", "start", s.at(a+"/box", "status"), s.at(b+"/box", "start-wet"))
		}
	}
	for i := loops*3 + 100; i < fans-10; i++ {
		s.project.Interlocks = append(s.project.Interlocks, model.Interlock{From: fan(i / 10 * 10), To: fan(i + 1), Signal: "status", Action: "follow", Hard: map[bool]*bool{true: &yes, false: &no}[i%7 == 0]})
	}
}

// TestCampusTellsItsLoops: each of the 400 loops is found, none besides.
func TestCampusTellsItsLoops(t *testing.T) {
	n := 0
	for _, f := range campus(t).prove().Findings {
		if f.Code == "latch-loop" {
			n++
		}
	}
	if n != 400 {
		t.Errorf("%d latch loops, want 400", n)
	}
}

// BenchmarkCampus evaluates 3,000 fans with 400 loops.
func BenchmarkCampus(b *testing.B) {
	s := campus(b)
	for b.Loop() {
		s.prove()
	}
}

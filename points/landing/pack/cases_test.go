package pack

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
)

// write builds a problem from words: "K 100: UI8 RO2, slots 1" is a model (a
// leading + makes it an expansion of one slot), "2 x hard 3 UI, 2 UI|BI" two
// machines.
func write(t testing.TB, models, items string, spare int) *Problem {
	t.Helper()
	p := &Problem{Classes: []string{"UI", "BI", "UO", "AO", "RO", "TO", "CO"}}
	for range p.Classes {
		p.Spare.Share = append(p.Spare.Share, spare*100)
	}
	class := func(name string) int {
		for i, c := range p.Classes {
			if c == name {
				return i
			}
		}
		t.Fatalf("no class %q", name)
		return 0
	}
	for _, text := range strings.Split(models, ";") {
		head, ports, _ := strings.Cut(text, ":")
		words := strings.Fields(head)
		m := Model{ID: strings.TrimPrefix(words[0], "+"), Base: !strings.HasPrefix(words[0], "+"), Fits: 1, Ports: make([]int, len(p.Classes))}
		m.Price, _ = strconv.ParseInt(words[1], 10, 64)
		if !m.Base {
			m.Slots = 1
		}
		for _, w := range strings.Fields(strings.ReplaceAll(ports, ",", " ")) {
			if n, ok := strings.CutPrefix(w, "slots="); ok {
				m.Slots, _ = strconv.Atoi(n)
				continue
			}
			n, err := strconv.Atoi(w[2:])
			if err != nil {
				t.Fatal(err)
			}
			m.Ports[class(w[:2])] = n
		}
		p.Models = append(p.Models, m)
	}
	for _, text := range strings.Split(items, ";") {
		words := strings.Fields(strings.ReplaceAll(text, ",", " "))
		times, _ := strconv.Atoi(words[0])
		for range times {
			it := Item{ID: fmt.Sprintf("M-%02d", len(p.Items)+1)}
			rest := words[1:]
			switch keep, penalty, _ := strings.Cut(rest[0], "="); keep {
			case "hard":
				it.Keep = Hard
			case "soft":
				it.Keep = Soft
				it.Penalty, _ = strconv.ParseInt(penalty, 10, 64)
			}
			for i := 1; i+1 < len(rest); i += 2 {
				n, err := strconv.Atoi(rest[i])
				if err != nil {
					t.Fatal(err)
				}
				for range n {
					pt := Point{ID: fmt.Sprintf("%s/p%d", it.ID, len(it.Points)+1)}
					for _, c := range strings.Split(rest[i+1], "|") {
						name, extra, _ := strings.Cut(c, "+")
						cents, _ := strconv.ParseInt(extra, 10, 64)
						pt.Choices = append(pt.Choices, Choice{class(name), cents})
					}
					it.Points = append(it.Points, pt)
				}
			}
			p.Items = append(p.Items, it)
		}
	}
	return p
}

// TestHandCases are panels small enough to be worked out on paper.
func TestHandCases(t *testing.T) {
	for i, c := range []struct {
		models, items string
		spare         int
		cost          int64
	}{
		{"S 100: UI4 AO2 RO2; L 180: UI8 AO4 RO4", "1 hard 4 UI, 2 AO, 2 RO", 0, 100},
		{"S 100: UI4 AO2 RO2; L 180: UI8 AO4 RO4", "2 hard 4 UI, 2 AO, 2 RO", 0, 180},
		{"K 100: UI4 BI2", "1 hard 3 UI, 3 UI|BI", 0, 100},
		{"K 100: UI4 BI2", "1 loose 4 UI, 3 UI|BI", 0, 200},
		{"K 100: UI8 slots=1; +X 40: UI8", "1 hard 7 UI", 20, 140},
		{"K 100: UI4 slots=1; +X 40: UI4", "1 hard 7 UI", 10, 140},
		{"A 100: UI4; B 230: UI8", "1 hard 6 UI", 0, 230},
		{"A 100: UI4; B 230: UI8", "1 soft=20 6 UI", 0, 220},
		{"A 100: UI4; B 230: UI8", "1 soft=50 6 UI", 0, 230},
		{"K 100: UI4 slots=1; +X 30: UI4", "1 loose 12 UI", 0, 230},
		{"K 100: UI8", "5 hard 3 UI", 0, 300},
		{"K 100: RO2 TO2 UO2 slots=1; +X 30: UO2", "1 hard 2 RO, 2 TO, 2 RO|TO|UO, 1 AO|UO", 0, 130},
		{"A 60: UI4; B 150: UI8", "1 hard 6 UI; 2 hard 2 UI", 0, 210},
		{"A 100: UI4; +X 500: UI1", "2 hard 3 UI; 1 loose 2 UI", 0, 200},
		// a relay (15) on a triac output against a dearer module, both ways
		{"K 100: TO2 RO1 slots=1; +X 40: RO4", "1 hard 2 RO|TO+15", 0, 115},
		{"K 100: TO3 RO1 slots=1; +X 40: RO4", "1 hard 4 RO|TO+15", 0, 140},
	} {
		s, err := Solve(write(t, c.models, c.items, c.spare), Fast)
		if err != nil {
			t.Errorf("case %d: %v", i+1, err)
			continue
		}
		if s.Cost != c.cost || !s.Proven || s.Bound != c.cost {
			t.Errorf("case %d: cost %d, bound %d, proven %v; by hand %d", i+1, s.Cost, s.Bound, s.Proven, c.cost)
		}
	}
}

// TestRefusals: what cannot be is told with the set that decides it.
func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name, models, items string
		spare               int
		code                string
		says                []string
	}{
		{"triac only", "K 100: UI8 RO4", "1 hard 1 TO", 0, "unservable", []string{"TO"}},
		{"spare eats it", "K 100: CO1", "1 loose 1 CO", 20, "unservable", []string{"spare", "20 %"}},
		{"too large", "K 100: UI8 BI4", "1 hard 9 UI, 2 BI", 0, "too-large", []string{"needs 9", "best", "8"}},
		{"price 0", "K 0: UI8", "1 hard 1 UI", 0, "price", []string{"K"}},
		{"twice", "K 10: UI8; K 20: UI9", "1 hard 1 UI", 0, "duplicate", []string{"K"}},
		{"spare 95 %", "K 10: UI8", "1 hard 1 UI", 95, "spare", []string{"95"}},
	} {
		_, err := Solve(write(t, c.models, c.items, c.spare), Fast)
		var no *Refusal
		if !errors.As(err, &no) || no.Code != c.code {
			t.Errorf("%s: %v; want code %s", c.name, err, c.code)
			continue
		}
		for _, word := range c.says {
			if !strings.Contains(no.Reason, word) {
				t.Errorf("%s: %q lacks %q", c.name, no.Reason, word)
			}
		}
	}
}

package pack

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"
)

// manyPanels makes n different panels of 5 to 395 points each, about 200 on
// average, on the three known catalogues: a few kinds of machine, repeated,
// kept together in every way.
func manyPanels(t testing.TB, n int) []*Problem {
	known := knownPanels(t)
	catalogues := map[string][]Model{}
	var names []string
	for _, k := range known {
		if catalogues[k.catalogue] == nil {
			catalogues[k.catalogue] = k.problem.Models
			names = append(names, k.catalogue)
		}
	}
	classes := known[0].problem.Classes
	sets := [][]int{{0}, {0, 1}, {2, 3}, {2, 4, 5}, {4}, {4, 5}, {5}, {1}}
	weight := []int{33, 28, 15, 9, 6, 4, 3, 2}
	var out []*Problem
	for i := range n {
		r := rand.New(rand.NewPCG(uint64(i), 99))
		p := &Problem{Classes: classes, Models: catalogues[names[i%3]]}
		for range classes {
			p.Spare.Share = append(p.Spare.Share, []int{0, 1000, 1500, 2000}[i/3%4])
		}
		kinds := make([]Item, 2+r.IntN(7))
		for k := range kinds {
			kinds[k].Keep = Keep(r.IntN(3))
			kinds[k].Penalty = int64(20 + 10*r.IntN(10))
			for range 3 + r.IntN(8) {
				c, w := 0, r.IntN(100)
				for w >= weight[c] {
					w -= weight[c]
					c++
				}
				if i%3 == 0 && c == 6 { // the first catalogue has no triac outputs
					c = 5
				}
				var pt Point
				for _, class := range sets[c] {
					pt.Choices = append(pt.Choices, Choice{Class: class})
				}
				kinds[k].Points = append(kinds[k].Points, pt)
			}
		}
		for points, want := 0, 5+(i*79)%391; points < want; {
			it := kinds[r.IntN(len(kinds))]
			it.ID = fmt.Sprint("M", len(p.Items))
			points += len(it.Points)
			p.Items = append(p.Items, it)
		}
		out = append(out, p)
	}
	return out
}

// BenchmarkFiveHundredPanels plans 500 panels of about 100,000 points at quick
// effort on all cores.
func BenchmarkFiveHundredPanels(b *testing.B) {
	panels := manyPanels(b, 500)
	points := 0
	for _, p := range panels {
		for _, it := range p.Items {
			points += len(it.Points)
		}
	}
	for b.Loop() {
		var wait sync.WaitGroup
		for core := range runtime.GOMAXPROCS(0) {
			wait.Go(func() {
				for i := core; i < len(panels); i += runtime.GOMAXPROCS(0) {
					if _, err := Solve(panels[i], Quick); err != nil {
						b.Error(i, err)
					}
				}
			})
		}
		wait.Wait()
	}
	b.ReportMetric(float64(points), "points")
}

// BenchmarkSmallPanels plans the known panels below 100 points at quick effort,
// one an iteration.
func BenchmarkSmallPanels(b *testing.B) { benchmarkSmall(b, Quick) }

// BenchmarkSmallPanelsProven is the same at fast effort, which proves them all.
func BenchmarkSmallPanelsProven(b *testing.B) { benchmarkSmall(b, Fast) }

func benchmarkSmall(b *testing.B, effort Effort) {
	var list []*Problem
	for _, k := range knownPanels(b) {
		if k.points < 100 {
			list = append(list, k.problem)
		}
	}
	i := 0
	for b.Loop() {
		if _, err := Solve(list[i%len(list)], effort); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

package pack

import (
	"encoding/json"
	"fmt"
	"os"
	"syscall"
	"testing"
	"time"
)

func cpu() time.Duration {
	var r syscall.Rusage
	syscall.Getrusage(0, &r)
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
func TestReal(t *testing.T) {
	for _, n := range []string{"tidewell-clean", "brackwater"} {
		b, err := os.ReadFile("/tmp/prob-" + n + ".json")
		if err != nil {
			continue
		}
		var p Problem
		json.Unmarshal(b, &p)
		for _, e := range []Effort{Quick, Fast} {
			t0 := cpu()
			s, err := Solve(&p, e)
			if err != nil {
				fmt.Println(err)
				continue
			}
			fmt.Println(n, e, s.Cost, s.Bound, s.Proven, s.Work, cpu()-t0, s.FirstFit)
			for _, bin := range s.Bins {
				fmt.Print("   ", p.Models[bin.Base].ID)
				for _, x := range bin.Expansions {
					fmt.Print(" ", p.Models[x].ID)
				}
				fmt.Println(len(bin.Points))
			}
		}
	}
}

package intake

import (
	"fmt"
	"strings"
	"testing"
)

// campus is a list of n fans in one file.
func campus(n int) string {
	var b strings.Builder
	b.WriteString("TAG,SERVICE,TYPE,LOCATION,CFM,ESP,HP,V/PH/HZ,DRIVE,DAMPER,CONTROL,REMARKS\n")
	for i := 1; i <= n; i++ {
		fmt.Fprintf(&b, "EF-%d,TOILETS BUILDING %d,ROOF UPBLAST,ROOF,\"1,%03d\",0.5,1/4,120/1/60,DIRECT,MOTORIZED,FAN INTERFACE BOX,EC MOTOR; 0-10V; INTERLOCK WITH EF-%d\n", i, i%40, i%1000, i%n+1)
	}
	return b.String()
}

// BenchmarkRead reads 2000 fans.
func BenchmarkRead(b *testing.B) {
	p := project(b, "campus.csv", campus(2000))
	lib := testLibrary(b)
	for b.Loop() {
		if list, _, err := Read(lib, p); err != nil || len(list) != 2000 {
			b.Fatal(len(list), err)
		}
	}
}

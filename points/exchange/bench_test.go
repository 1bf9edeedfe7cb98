package exchange

import (
	"io"
	"testing"
)

func BenchmarkEDE(b *testing.B) {
	lib, plan := load(b), plant(500)
	for b.Loop() {
		if _, err := EDE(lib, plan, "p"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBrick(b *testing.B) {
	lib, plan := load(b), fansOf(plant(500))
	for b.Loop() {
		if err := Brick(io.Discard, lib, plan); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHaystack(b *testing.B) {
	lib, plan := load(b), fansOf(plant(500))
	for b.Loop() {
		if err := Haystack(io.Discard, lib, plan); err != nil {
			b.Fatal(err)
		}
	}
}

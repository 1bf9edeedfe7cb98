package logic_test

import (
	"reflect"
	"testing"
)

// The same site gives the same result, to the letter, whatever order maps take.
func TestSameInputSameResult(t *testing.T) {
	for row, list := range mistakes {
		for _, p := range list {
			s := newSite(t)
			p.mistake(s)
			first := s.prove()
			for range 3 {
				if again := s.prove(); !reflect.DeepEqual(first, again) {
					t.Fatalf("%s: two runs differ", row)
				}
			}
		}
	}
	s := newSite(t)
	campusOf(s, 90, 12)
	first := s.prove()
	for range 3 {
		if !reflect.DeepEqual(first, s.prove()) {
			t.Fatal("two runs of a campus differ")
		}
	}
}

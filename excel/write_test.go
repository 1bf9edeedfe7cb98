package excel

import (
	"bytes"
	"os"
	"testing"
)

func issue(t testing.TB, copies int, opts Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, samplePlan(copies), opts); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSamePlanSameBytes(t *testing.T) {
	first := issue(t, 2, Options{})
	for n := range 20 {
		if !bytes.Equal(first, issue(t, 2, Options{})) {
			t.Fatalf("save %d differs from the first", n+2)
		}
	}
}

func TestLook(t *testing.T) {
	if path := os.Getenv("EXCEL_OUT"); path != "" {
		os.WriteFile(path, issue(t, 3, Options{For: "all"}), 0o644)
	}
}

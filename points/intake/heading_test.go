package intake

import (
	_ "embed"
	"fmt"
	"strings"
	"testing"

	"tallywire/points/library"
)

//go:embed testdata/headings.tsv
var headingsTable string

// reading is a heading's reading in the form of testdata/headings.tsv.
func (h heading) reading() string {
	switch h.use() {
	case library.UseField:
		return h.field.ID
	case library.UseNotNeeded:
		return "not needed"
	case library.UseTitle:
		return "title"
	}
	return "unknown"
}

// TestPrintedHeadings: the reader agrees with the reviewed map on 95 % of the
// headings and gives none a wrong field, on the third set aside as well.
func TestPrintedHeadings(t *testing.T) {
	r := testReader(t)
	all, agree := map[string]int{}, map[string]int{}
	for i, line := range strings.Split(strings.TrimSuffix(headingsTable, "\n"), "\n") {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "heading\t") {
			continue
		}
		c := strings.Split(line, "\t")
		if len(c) != 3 {
			t.Fatalf("line %d has %d cells", i+1, len(c))
		}
		h := r.heading([]string{c[0]})
		got := h.reading()
		all[c[2]]++
		if got == c[1] {
			agree[c[2]]++
			continue
		}
		t.Logf("%s: %q is %s, read as %s", c[2], c[0], c[1], got)
		if h.use() == library.UseField {
			t.Errorf("%q is given the wrong field %s; it is %s", c[0], got, c[1])
		}
	}
	for _, set := range []string{"used", "held out"} {
		share := float64(agree[set]) / float64(all[set])
		t.Logf("%s: %d of %d agree (%.1f %%)", set, agree[set], all[set], 100*share)
		if all[set] < 90 || share < 0.95 {
			t.Errorf("%s: only %s agree", set, fmt.Sprintf("%d of %d", agree[set], all[set]))
		}
	}
}

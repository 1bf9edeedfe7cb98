package finding

import (
	"strings"
	"testing"
	"unicode"
)

// TestCodesAreWorded holds every entry of the catalogue to one form: an id in
// kebab case, a title that can stand in the middle of a line, a help that says
// more than the title.
func TestCodesAreWorded(t *testing.T) {
	for _, c := range Codes() {
		if c.ID != strings.ToLower(c.ID) || strings.ContainsAny(c.ID, " _.") {
			t.Errorf("%q is not in kebab case", c.ID)
		}
		title := []rune(c.Title)
		if len(title) < 2 || unicode.IsUpper(title[0]) && !unicode.IsUpper(title[1]) || strings.HasSuffix(c.Title, ".") {
			t.Errorf("%s: the title %q does not read on in a line", c.ID, c.Title)
		}
		if len(c.Help) <= len(c.Title) {
			t.Errorf("%s: the help says no more than the title", c.ID)
		}
		if c.Pass == "" {
			t.Errorf("%s: nobody makes it", c.ID)
		}
	}
}

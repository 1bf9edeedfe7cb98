package points

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model/finding"
)

// askOnce joins the findings that wait for the same value: a voltage that
// nobody stated holds four checks of ten circuits back and is one question.
func askOnce(list []finding.Finding) []finding.Finding {
	codes := map[string][]string{}
	for _, f := range list {
		if f.Asks != "" && !slices.Contains(codes[f.Asks], f.Code) {
			codes[f.Asks] = append(codes[f.Asks], f.Code)
		}
	}
	var out []finding.Finding
	told := map[[2]string]bool{}
	for _, f := range list {
		waiting := codes[f.Asks]
		if f.Asks == "" || len(waiting) == 1 {
			out = append(out, f)
			continue
		}
		machine := f.Subject
		if i := strings.IndexByte(machine, '/'); i > 0 {
			machine = machine[:i]
		}
		if told[[2]string{f.Asks, machine}] {
			continue
		}
		told[[2]string{f.Asks, machine}] = true
		slices.Sort(waiting)
		f.Code, f.Subject, f.Fix, f.Numbers, f.Source = "cannot-tell", machine, f.Asks, nil, ""
		f.Message = fmt.Sprintf("%s cannot be told", listed(waiting))
		out = append(out, f)
	}
	return out
}

// listed writes words as a sentence does: a, b and c.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

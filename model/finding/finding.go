// Package finding holds what a pass has to say about a project: what is wrong,
// what is unknown and what was assumed. A finding is a value. Passes make them,
// renderers print them, nobody else decides anything about them.
package finding

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Severity ranks a finding. Fault: it will not work or must not be built.
// Caution: it may not work, or somebody has to decide. Note: an assumption.
type Severity string

const (
	Fault   Severity = "fault"
	Caution Severity = "caution"
	Note    Severity = "note"
)

// rank orders severities, worst first.
func (s Severity) rank() int {
	switch s {
	case Fault:
		return 0
	case Caution:
		return 1
	default:
		return 2
	}
}

// Where is a place in a document that a person wrote. File is relative to the
// folder of the input, with forward slashes. Line counts from 1; 0 is unknown.
// Cell is in A1 form.
type Where struct {
	File   string `json:"file"`
	Sheet  string `json:"sheet"`
	Cell   string `json:"cell"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

// Known reports whether the place names anything.
func (w Where) Known() bool { return w.File != "" || w.Sheet != "" || w.Cell != "" || w.Line > 0 }

// String prints the place as people point at it: fans.xlsx, Sheet1!D7, or
// project.yaml:12:3.
func (w Where) String() string {
	var b strings.Builder
	b.WriteString(w.File)
	switch {
	case w.Cell != "" && w.Sheet != "":
		sep(&b)
		b.WriteString(w.Sheet + "!" + w.Cell)
	case w.Cell != "":
		sep(&b)
		b.WriteString(w.Cell)
	case w.Sheet != "":
		sep(&b)
		b.WriteString(w.Sheet)
	case w.Line > 0:
		fmt.Fprintf(&b, ":%d", w.Line)
		if w.Column > 0 {
			fmt.Fprintf(&b, ":%d", w.Column)
		}
	}
	return b.String()
}

func sep(b *strings.Builder) {
	if b.Len() > 0 {
		b.WriteString(", ")
	}
}

// Compare orders places by file, sheet, row and column.
func (w Where) Compare(o Where) int {
	ac, ar := splitCell(w.Cell)
	bc, br := splitCell(o.Cell)
	return cmp.Or(cmp.Compare(w.File, o.File), cmp.Compare(w.Sheet, o.Sheet),
		cmp.Compare(w.Line, o.Line), cmp.Compare(w.Column, o.Column),
		cmp.Compare(ar, br), cmp.Compare(len(ac), len(bc)), cmp.Compare(ac, bc))
}

func splitCell(cell string) (column string, row int) {
	i := strings.IndexAny(cell, "0123456789")
	if i < 0 {
		return cell, 0
	}
	for _, r := range cell[i:] {
		if r < '0' || r > '9' {
			break
		}
		row = row*10 + int(r-'0')
	}
	return cell[:i], row
}

// Number is one named figure of a finding.
type Number struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Finding is one thing to tell. Subject is an equipment tag, a point key, a
// circuit id, or the place itself. Subjects is filled by Gather when the same
// thing holds of several. Source is a citation; positions stand in Where and
// Others.
type Finding struct {
	Code     string   `json:"code"`
	Severity Severity `json:"severity"`
	Subject  string   `json:"subject"`
	Subjects []string `json:"subjects"`
	Message  string   `json:"message"`
	Numbers  []Number `json:"numbers"`
	Where    *Where   `json:"where"`
	Others   []Where  `json:"others"`
	Fix      string   `json:"fix"`
	Source   string   `json:"source"`
	// Asks is what has to be stated before it can be told; findings that ask
	// the same are one question. "" asks nothing.
	Asks string `json:"asks"`
}

// At returns a copy of f placed at w; an unknown place leaves it without one.
func (f Finding) At(w Where) Finding {
	if w.Known() {
		f.Where = &w
	}
	return f
}

// Sort orders findings worst first, then by code, subject, place and text, so
// that the same input prints the same list.
func Sort(list []Finding) {
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Severity.rank(), b.Severity.rank()),
			cmp.Compare(a.Code, b.Code), CompareTags(a.Subject, b.Subject),
			compareWhere(a.Where, b.Where), cmp.Compare(a.Message, b.Message))
	})
}

func compareWhere(a, b *Where) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return -1
	case b == nil:
		return 1
	}
	return a.Compare(*b)
}

// Gather joins findings that differ only in subject and place into one that
// lists its subjects; order of first appearance is kept. A message that is the
// same for several subjects must not name the subject.
func Gather(list []Finding) []Finding {
	type key struct{ code, severity, message, fix, source, numbers string }
	at := map[key]int{}
	listed := map[int]map[string]bool{} // subjects of a gathered finding, for lists of tens of thousands
	out := make([]Finding, 0, len(list))
	for _, f := range list {
		k := key{f.Code, string(f.Severity), f.Message, f.Fix, f.Source, fmt.Sprint(f.Numbers)}
		i, seen := at[k]
		if !seen {
			at[k] = len(out)
			out = append(out, f)
			continue
		}
		g := &out[i]
		if len(g.Subjects) == 0 {
			g.Subjects = []string{g.Subject}
		}
		if listed[i] == nil {
			listed[i] = map[string]bool{}
			for _, s := range g.Subjects {
				listed[i][s] = true
			}
		}
		if f.Subject != "" && !listed[i][f.Subject] {
			listed[i][f.Subject] = true
			g.Subjects = append(g.Subjects, f.Subject)
		}
		if f.Where != nil && (g.Where == nil || *f.Where != *g.Where) {
			g.Others = append(g.Others, *f.Where)
		}
	}
	return out
}

// Count returns how many of the list have the severity, a gathered finding
// counting once for each of its subjects.
func Count(list []Finding, s Severity) int {
	n := 0
	for _, f := range list {
		if f.Severity == s {
			n += max(1, len(f.Subjects))
		}
	}
	return n
}

// CompareTags orders tags as people read them: EF-2 before EF-10.
func CompareTags(a, b string) int {
	for a != "" && b != "" {
		da, db := digits(a), digits(b)
		if da > 0 && db > 0 {
			na, nb := strings.TrimLeft(a[:da], "0"), strings.TrimLeft(b[:db], "0")
			if c := cmp.Or(cmp.Compare(len(na), len(nb)), cmp.Compare(na, nb)); c != 0 {
				return c
			}
			a, b = a[da:], b[db:]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

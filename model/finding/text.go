package finding

import (
	"fmt"
	"io"
	"strings"
)

// Text prints findings one a line: severity, code, whom it concerns, where it
// stands, what is wrong, what to do.
func Text(w io.Writer, list []Finding) error {
	for _, f := range list {
		if _, err := fmt.Fprintln(w, f.Line()); err != nil {
			return err
		}
	}
	return nil
}

// Line is the finding as one line of text.
func (f Finding) Line() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-7s %s", f.Severity, f.Code)
	if s := f.Concerns(); s != "" {
		b.WriteString(" " + s)
	}
	if f.Where != nil {
		b.WriteString(" (" + f.Where.String())
		switch n := len(f.Others); {
		case n == 1:
			b.WriteString("; " + f.Others[0].String())
		case n > 1:
			fmt.Fprintf(&b, "; %s and %d more", f.Others[0], n-1)
		}
		b.WriteString(")")
	}
	b.WriteString(": " + strings.TrimRight(f.Message, "."))
	b.WriteString(".")
	if f.Fix != "" {
		b.WriteString(" Do: " + strings.TrimRight(f.Fix, ".") + ".")
	}
	return b.String()
}

// Concerns lists the subjects, shortened where there are many.
func (f Finding) Concerns() string {
	const shown = 12
	switch n := len(f.Subjects); {
	case n == 0:
		return f.Subject
	case n <= shown:
		return strings.Join(f.Subjects, ", ")
	default:
		return fmt.Sprintf("%s and %d more", strings.Join(f.Subjects[:shown], ", "), n-shown)
	}
}

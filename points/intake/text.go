package intake

import (
	"regexp"
	"strings"
)

// evenOut replaces the typographic forms that programs and people put for the
// same thing: blanks, quotes, dashes, fractions, raised figures.
var evenOut = strings.NewReplacer(
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\u2007", " ", "\t", " ", "\n", " ", "\r", " ", "\u200b", "", "\ufeff", "",
	"''", `"`, "’’", `"`, "′′", `"`, "‘‘", `"`, "“", `"`, "”", `"`, "″", `"`, "’", "'", "‘", "'", "′", "'",
	"–", "-", "—", "-", "−", "-", "‐", "-", "‑", "-", "·", " ", "×", "x",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "⅙", " 1/6", "⅕", " 1/5", "⅒", " 1/10",
	"⁄", "/", "²", "2", "³", "3", "º", "°",
)

// tidy is the text with single blanks and plain signs, its case kept.
func tidy(s string) string {
	return strings.Join(strings.Fields(evenOut.Replace(s)), " ")
}

// circled are footnote marks that are one character: ① to ⑳, ❶ to ❿, and the
// printer's marks.
func circled(r rune) (mark string, ok bool) {
	switch {
	case r >= '①' && r <= '⑳':
		return itoa(int(r-'①') + 1), true
	case r >= '❶' && r <= '❿':
		return itoa(int(r-'❶') + 1), true
	case r >= 'Ⓐ' && r <= 'Ⓩ':
		return string('A' + r - 'Ⓐ'), true
	case r == '¹':
		return "1", true
	case r >= '⁴' && r <= '⁹':
		return itoa(int(r-'⁴') + 4), true
	case r == '†', r == '‡', r == '§':
		return string(r), true
	}
	return "", false
}

var (
	noteMark  = regexp.MustCompile(`(?i)[(\[]\s*(?:see\s+)?notes?\s*#?\s*([0-9A-Z]{1,2}(?:\s*(?:,|&|and|-)\s*[0-9A-Z]{1,2})*)\s*[)\]]`)
	starMark  = regexp.MustCompile(`\*+$`)
	seeNote   = regexp.MustCompile(`(?i)^\s*see\s+(?:general\s+)?notes?\s*#?\s*([0-9A-Z]{1,2}(?:\s*(?:,|&|and|-)\s*[0-9A-Z]{1,2})*)?\.?\s*$`)
	markSplit = regexp.MustCompile(`\s*(?:,|&|;|/|\band\b|\s)\s*`)
)

// stripMarks takes footnote marks off a text and returns them: ①, (NOTE 2), a
// trailing *.
func stripMarks(s string) (text string, marks []string) {
	var b strings.Builder
	for _, r := range s {
		if m, ok := circled(r); ok {
			marks = append(marks, m)
			b.WriteByte(' ')
			continue
		}
		b.WriteRune(r)
	}
	text = strings.TrimSpace(b.String())
	if strings.ContainsAny(text, "([") {
		for _, m := range noteMark.FindAllStringSubmatch(text, -1) {
			marks = append(marks, markList(m[1])...)
		}
		text = strings.TrimSpace(noteMark.ReplaceAllString(text, " "))
	}
	if m := starMark.FindString(text); m != "" {
		marks = append(marks, m)
		text = strings.TrimSpace(strings.TrimSuffix(text, m))
	}
	return text, marks
}

var markSpan = regexp.MustCompile(`^([0-9]{1,2})\s*(?:-|thru|through|to)\s*([0-9]{1,2})$`)

// markList reads "1, 3 & 4" or "1-3".
func markList(s string) []string {
	var out []string
	for _, part := range strings.FieldsFunc(strings.ToUpper(s), func(r rune) bool { return r == ',' || r == '&' || r == ';' || r == '/' }) {
		for _, m := range markSplit.Split(strings.TrimSpace(part), -1) {
			if m == "" {
				continue
			}
			if span := markSpan.FindStringSubmatch(m); span != nil {
				for i, to := atoi(span[1]), atoi(span[2]); i <= to && to < 60; i++ {
					out = append(out, itoa(i))
				}
				continue
			}
			out = append(out, m)
		}
	}
	return out
}

// isEmpty reports whether a cell says nothing: blank, dashes, n/a and the ways
// in which programs write that a value was never given.
func isEmpty(s string) bool {
	s = strings.ToLower(strings.Trim(tidy(s), " .()[]"))
	if strings.Trim(s, "-_ ") == "" {
		return true
	}
	switch s {
	case "n/a", "na", "n.a", "n / a", "null", "nil", "unset", "autosize", "not applicable", "not given", "undefined", "<none>", "#n/a", "1900-12-31t23:59:59", "1900-01-00", "1899-12-31", "1900-01-00t00:00:00", "0-jan", "0-jan-00", "00-jan-00", "1899-12-30", "1900-01-01t00:00:00":
		return true
	}
	return false
}

// isPending reports whether a cell says that the value stands elsewhere or is
// still open.
func isPending(s string) bool {
	s = strings.ToLower(strings.Trim(tidy(s), " ."))
	switch s {
	case "tbd", "t.b.d", "tba", "to be determined", "to be advised", "by others", "varies", "verify", "vif", "v.i.f", "see plans", "per plans", "see plan", "see drawings", "see schedule", "see spec", "see specs", "see remarks", "as required", "as req'd", "as reqd", "as noted", "as shown", "per plan", "per drawings", "see dwgs", "see dwg", "see drawing", "on plans", "refer to plans", "per schedule", "per spec", "per specs", "by owner", "n.i.c", "nic", "unknown", "hold", "?", "??", "???", "later", "per manufacturer", "(readings disagree)", "readings disagree":
		return true
	}
	return seeNote.MatchString(s)
}

func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + string(rune('0'+n%10))
}

// atoi reads a run of digits; more than nine digits give a billion.
func atoi(s string) int {
	if len(s) > 9 {
		return 1_000_000_000
	}
	n := 0
	for _, r := range s {
		if r < '0' || r > '9' {
			return n
		}
		n = n*10 + int(r-'0')
	}
	return n
}

package intake

import (
	"strconv"
	"strings"
	"unicode"

	"tallywire/points/library"
)

// figure is a number found in a text, with the unit that stands at it.
type figure struct {
	value      float64
	measure    *library.Measure // nil: no unit stands at it
	start, end int              // bytes of the number and its unit
}

// scan finds the numbers of an evened-out lower-case text. A number glued to
// letters that are no unit is part of a name and is left out.
func (r *reader) scan(s string) []figure {
	var out []figure
	for i := 0; i < len(s); {
		if !digitAt(s, i) && !(s[i] == '.' && digitAt(s, i+1)) {
			i++
			continue
		}
		if i > 0 && (letterBefore(s, i) || s[i-1] == '.') {
			i = skipWord(s, i)
			continue
		}
		value, n := number(s[i:])
		f := figure{value: value, start: i, end: i + n}
		if m, end := r.measureAt(s, f.end); m != nil {
			f.measure, f.end = m, end
		} else if letterAt(s, f.end) {
			i = skipWord(s, f.end)
			continue
		}
		out = append(out, f)
		i = f.end
	}
	for i := range out {
		if out[i].measure == nil {
			from := 0
			if i > 0 {
				from = out[i-1].end
			}
			out[i].measure = r.measureBefore(s[from:out[i].start])
		}
	}
	return out
}

func digitAt(s string, i int) bool { return i >= 0 && i < len(s) && s[i] >= '0' && s[i] <= '9' }

func letterAt(s string, i int) bool {
	for _, c := range s[min(i, len(s)):] {
		return unicode.IsLetter(c) || c == '_'
	}
	return false
}

func letterBefore(s string, i int) bool {
	var last rune
	for _, c := range s[max(0, i-4):i] {
		last = c
	}
	return unicode.IsLetter(last) || last == '_' || last == unicode.ReplacementChar
}

// skipWord returns the end of the run of letters and digits at i.
func skipWord(s string, i int) int {
	for j, c := range s[i:] {
		if !unicode.IsLetter(c) && !unicode.IsDigit(c) && c != '_' && c != '.' {
			return i + max(j, 1)
		}
	}
	return len(s)
}

// number reads the number at the start of s and how many bytes it takes: 1200,
// 1,200.5, 3/4, 1-1/2, 1 1/2, 0,75, 2.5e3.
func number(s string) (float64, int) {
	whole := digits(s)
	if whole > 0 {
		if v, n, ok := fraction(s); ok {
			return v, n
		}
		if n := whole; n < len(s) && (s[n] == '-' || s[n] == ' ') {
			if v, m, ok := fraction(s[n+1:]); ok && whole <= 3 {
				w, _ := strconv.ParseFloat(s[:whole], 64)
				return w + v, n + 1 + m
			}
		}
	}
	return decimal(s)
}

func digits(s string) int {
	n := 0
	for digitAt(s, n) {
		n++
	}
	return n
}

// fraction reads 3/4: proper, with a denominator that motors and inches have.
func fraction(s string) (float64, int, bool) {
	a := digits(s)
	if a == 0 || a > 2 || a+1 >= len(s) || s[a] != '/' {
		return 0, 0, false
	}
	b := digits(s[a+1:])
	if b == 0 || b > 3 {
		return 0, 0, false
	}
	top, bottom := atoi(s[:a]), atoi(s[a+1:a+1+b])
	end := a + 1 + b
	if top == 0 || top >= bottom || bottom > 150 || (end < len(s) && s[end] == '/') {
		return 0, 0, false
	}
	return float64(top) / float64(bottom), end, true
}

// decimal reads a plain number with thousands separators. A comma before
// exactly three digits separates thousands unless the number starts with 0;
// any other single comma is a decimal comma.
func decimal(s string) (float64, int) {
	n := digits(s)
	if n == 0 && len(s) > 0 && s[0] == '.' {
		n = 1 + digits(s[1:])
		v, _ := strconv.ParseFloat("0"+s[:n], 64)
		return v, n
	}
	plain := s[:n]
	if n <= 3 {
		for n < len(s) && (s[n] == ',' || s[n] == '\'' || s[n] == ' ') && digits(s[n+1:]) == 3 && plain != "0" {
			plain += s[n+1 : n+4]
			n += 4
		}
	}
	if n < len(s) && (s[n] == '.' || s[n] == ',' && len(plain) == n) && digits(s[n+1:]) > 0 {
		d := digits(s[n+1:])
		plain += "." + s[n+1:n+1+d]
		n += 1 + d
		if n+1 < len(s) && s[n] == 'e' {
			sign := 1
			if s[n+1] != '-' && s[n+1] != '+' {
				sign = 0
			}
			if d := digits(s[n+1+sign:]); d > 0 && d <= 2 {
				plain += s[n : n+1+sign+d]
				n += 1 + sign + d
			}
		}
	}
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil {
		return 0, n // too large for a number: read as nothing
	}
	return v, n
}

// measureAt returns the unit that stands at i, blanks and one hyphen skipped.
func (r *reader) measureAt(s string, i int) (*library.Measure, int) {
	j := i
	for j < len(s) && s[j] == ' ' {
		j++
	}
	if j < len(s)-1 && s[j] == '-' && letterAt(s, j+1) {
		j++
	}
	for _, sp := range r.spellings {
		if strings.HasPrefix(s[j:], sp.text) && wordEnds(s, j+len(sp.text), sp.text) {
			return sp.measure, j + len(sp.text)
		}
	}
	return nil, i
}

// wordEnds reports whether no letter runs on after a unit.
func wordEnds(s string, end int, unit string) bool {
	if unit == "'" || unit == `"` {
		return !letterAt(s, end)
	}
	return !letterAt(s, end) && !(digitAt(s, end) && unit != "")
}

// measureBefore returns the unit at the end of the text before a number: "hp "
// or "motor h.p.: ".
func (r *reader) measureBefore(s string) *library.Measure {
	s = strings.TrimRight(s, " :=")
	for _, sp := range r.spellings {
		if len(sp.text) < 2 || !letterAt(sp.text, 0) {
			continue
		}
		for _, text := range []string{sp.text, sp.text + "."} {
			if strings.HasSuffix(s, text) && (len(s) == len(text) || !letterBefore(s, len(s)-len(text))) {
				return sp.measure
			}
		}
	}
	return nil
}

package intake

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
)

// NormalTag returns the form in which two spellings of one tag are equal:
// capitals, no blanks, one hyphen between letters and figures, no leading
// zeros, no mark of existing equipment. EF-01 = EF-1 = EF 1 = ef1.
func NormalTag(tag string) string {
	s, _ := stripMarks(tag)
	s = existingMark.ReplaceAllString(newMark.ReplaceAllString(tidy(s), " "), " ")
	var b strings.Builder
	runes := []rune(strings.ToUpper(s))
	for i := 0; i < len(runes); {
		switch c := runes[i]; {
		case unicode.IsDigit(c):
			j := i
			for j < len(runes) && unicode.IsDigit(runes[j]) {
				j++
			}
			if b.Len() > 0 && !strings.HasSuffix(b.String(), ".") {
				b.WriteByte('-')
			}
			n := strings.TrimLeft(string(runes[i:j]), "0")
			if n == "" {
				n = "0"
			}
			b.WriteString(n)
			i = j
		case unicode.IsLetter(c):
			j := i
			for j < len(runes) && unicode.IsLetter(runes[j]) {
				j++
			}
			last := b.String()
			if last != "" && unicode.IsLetter(rune(last[len(last)-1])) && i > 0 && !unicode.IsLetter(runes[i-1]) {
				b.WriteByte('-')
			}
			b.WriteString(string(runes[i:j]))
			i = j
		case c == '.' && i > 0 && i+1 < len(runes) && unicode.IsDigit(runes[i-1]) && unicode.IsDigit(runes[i+1]):
			b.WriteByte('.')
			i++
		default:
			i++
		}
	}
	return b.String()
}

// Prefix returns the letters that a tag begins with: EF of EF-1.
func Prefix(tag string) string {
	n := NormalTag(tag)
	for i, c := range n {
		if !unicode.IsLetter(c) {
			return n[:i]
		}
	}
	return n
}

// suffixes returns the runs of letters behind the first number of a tag: SF of
// AHU-1-SF and of AHU-1/SF-1.
func suffixes(tag string) []string {
	runs := strings.FieldsFunc(NormalTag(tag), func(c rune) bool { return !unicode.IsLetter(c) })
	if len(runs) < 2 {
		return nil
	}
	return runs[1:]
}

var (
	existingMark = regexp.MustCompile(`(?i)[(\[]\s*(?:e|ex|exist|existing|etr|ex'g|exg|relocated|r)\.?\s*[)\]]|\bexisting\b|\bexist\.`)
	notOurs      = regexp.MustCompile(`(?i)[(\[]\s*n\.?\s*i\.?\s*c\.?\s*[)\]]`)
	newMark      = regexp.MustCompile(`(?i)[(\[]\s*(?:n|new)\.?\s*[)\]]`)
	typicalOf    = regexp.MustCompile(`(?i)[(\[]?\s*\btyp(?:ical)?\.?\s*(?:of|for)?\s*\(?\s*(\d{1,4}|one|two|three|four|five|six|seven|eight|nine|ten|twelve)\s*\)?\s*(?:units?|fans?)?\s*[)\]]?`)
	leadingCount = regexp.MustCompile(`^\s*[(\[]\s*(\d{1,4})\s*[)\]]\s*`)
	tailCount    = regexp.MustCompile(`(?i)\s*[(\[]\s*(?:qty\.?|quantity)?\s*[:=]?\s*x?(\d{1,3})\s*x?\s*(?:ea\.?|off|units?|total|fans?)?\s*[)\]]\s*$|\s+x\s?(\d{1,3})$`)
	aTag         = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_.-]*[ -]?[A-Za-z]{0,6}[ -]?[0-9][A-Za-z0-9.\-]*(?:[ -][A-Za-z0-9]{1,4})?$`)
	spanOfTags   = regexp.MustCompile(`(?i)^(.*?)(\d+)([a-z]?)\s*(thru|through|to|\.\.+|->|-)\s*(.*?)(\d+)([a-z]?)$`)
	letterSpan   = regexp.MustCompile(`(?i)^(.*?\d+)-?([a-z])\s*(?:thru|through|to|\.\.+|-)\s*(?:.*?\d+)?-?([a-z])$`)
	tagBreak     = regexp.MustCompile(`(?i)\s*(?:,|;|&|\n|/|\+|\band\b)\s*`)
	bareTail     = regexp.MustCompile(`^\d+[A-Za-z]?$|^[A-Za-z]$`)
	barred       = regexp.MustCompile(`^(\S*\d\S*)\s+[|I]\s+(\S.*)$`) // a bar, also where a machine read it as the letter I
	numberWords  = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "twelve": 12}
)

// mostTags is how many machines one row may stand for.
const mostTags = 500

// tagCell is what the tag cell of a row says.
type tagCell struct {
	tags     []string
	existing bool
	notOurs  bool // not in contract
	typical  int  // "typical of n", 0 not said
	marks    []string
	serves   string // words behind a bar: AHU-1 | SALES
	problem  string
}

// readTags reads EF-1, EF-1 thru 4, EF-1,2, EF-1 & 2, (E) EF-3, EF-5 (TYP OF 3).
func readTags(text string) tagCell {
	var out tagCell
	s := strings.ReplaceAll(text, "\n", " , ")
	s, out.marks = stripMarks(s)
	s = tidy(s)
	if m := barred.FindStringSubmatch(s); m != nil {
		s, out.serves = m[1], m[2]
	}
	if existingMark.MatchString(s) {
		out.existing = true
		s = existingMark.ReplaceAllString(s, " ")
	}
	s = newMark.ReplaceAllString(s, " ")
	if notOurs.MatchString(s) {
		out.notOurs = true
		s = notOurs.ReplaceAllString(s, " ")
	}
	if m := typicalOf.FindStringSubmatch(s); m != nil {
		out.typical = smallNumber(m[1])
		s = typicalOf.ReplaceAllString(s, " ")
	} else if m := leadingCount.FindStringSubmatch(s); m != nil {
		out.typical = atoi(m[1])
		s = leadingCount.ReplaceAllString(s, "")
	} else if m := tailCount.FindStringSubmatch(s); m != nil && letterAt(s, 0) {
		out.typical = atoi(m[1] + m[2])
		s = tailCount.ReplaceAllString(s, "")
	}
	s = strings.Trim(tidy(s), " ,;&/-:")
	if s == "" {
		out.problem = "holds no tag"
		return out
	}
	parts := tagBreak.Split(s, -1)
	for _, part := range parts {
		list, problem := expandPart(strings.TrimSpace(part), out.tags)
		if problem != "" {
			out.problem = problem
			return out
		}
		if list == nil && len(parts) > 1 { // not a list of tags after all: one name with a stroke in it
			out.tags = []string{showTag(s)}
			return out
		}
		out.tags = append(out.tags, list...)
		if len(out.tags) > mostTags {
			out.problem = fmt.Sprintf("stands for more than %d machines", mostTags)
			return out
		}
	}
	if len(out.tags) == 0 {
		out.tags = []string{showTag(s)}
	}
	return out
}

func smallNumber(s string) int {
	if n, ok := numberWords[strings.ToLower(s)]; ok {
		return n
	}
	return atoi(s)
}

// expandPart reads one part of a tag cell; before are the tags read so far,
// for a part that only continues them: the 2 of EF-1,2.
func expandPart(part string, before []string) (tags []string, problem string) {
	if part == "" {
		return []string{}, ""
	}
	if len(before) > 0 && bareTail.MatchString(part) {
		return []string{continueTag(before[len(before)-1], part)}, ""
	}
	if m := letterSpan.FindStringSubmatch(part); m != nil && hasSpanWord(part) {
		return lettersBetween(m[1], m[2], m[3])
	}
	if m := spanOfTags.FindStringSubmatch(part); m != nil {
		prefix, second := m[1], strings.TrimSpace(m[5])
		if len(before) > 0 && strings.TrimSpace(prefix) == "" {
			prefix = stem(before[len(before)-1])
		}
		sameStem := NormalTag(second) == NormalTag(prefix) && second != ""
		if m[3] == "" && m[7] == "" && strings.TrimSpace(prefix) != "" && (sameStem || second == "" && m[4] != "-") {
			return tagsBetween(prefix, m[2], m[6])
		}
		if hasSpanWord(part) && second != "" && !sameStem {
			return nil, fmt.Sprintf("is a range between different names (%s and %s)", tidy(prefix), second)
		}
	}
	if !aTag.MatchString(part) {
		return nil, ""
	}
	return []string{showTag(part)}, ""
}

var spanWord = regexp.MustCompile(`(?i)\d\s*[a-z]?\s*(thru|through|to|\.\.+)\s`)

func hasSpanWord(s string) bool { return spanWord.MatchString(s + " ") }

func tagsBetween(prefix, from, to string) ([]string, string) {
	a, b := atoi(from), atoi(to)
	if b < a {
		return nil, fmt.Sprintf("is a range that runs backwards (%s to %s)", from, to)
	}
	if b-a >= mostTags {
		return nil, fmt.Sprintf("stands for more than %d machines", mostTags)
	}
	var out []string
	for n := a; n <= b; n++ {
		number := itoa(n)
		for len(number) < len(from) && from[0] == '0' {
			number = "0" + number
		}
		out = append(out, showTag(prefix+number))
	}
	return out, ""
}

func lettersBetween(stem, from, to string) ([]string, string) {
	a, b := strings.ToUpper(from)[0], strings.ToUpper(to)[0]
	if b < a {
		return nil, fmt.Sprintf("is a range that runs backwards (%s to %s)", from, to)
	}
	var out []string
	for c := a; c <= b; c++ {
		out = append(out, showTag(stem+string(rune(c))))
	}
	return out, ""
}

// stem is a tag without its last number: EF- of EF-1.
func stem(tag string) string {
	end := len(strings.TrimRight(tag, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"))
	return strings.TrimRight(tag[:end], "0123456789")
}

// continueTag puts a bare tail on the tag before it: EF-1 and 2 give EF-2,
// EF-1A and B give EF-1B.
func continueTag(before, tail string) string {
	if tail[0] >= '0' && tail[0] <= '9' {
		return showTag(stem(before) + tail)
	}
	return showTag(strings.TrimRight(before, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz") + tail)
}

var loneBlank = regexp.MustCompile(`\s*-\s*|\s+`)

// showTag is the tag as it is shown: as typed, its blanks made hyphens so that
// it can stand in a point's key.
func showTag(s string) string {
	return strings.Trim(loneBlank.ReplaceAllString(tidy(s), "-"), "-")
}

package excel

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// numberFormat is a number format code made ready: how a number is shown.
type numberFormat struct {
	code     string // as in the file; "" General
	sections []formatSection
	date     bool // shows a date, a time of day or both
	elapsed  bool // shows hours beyond a day: [h]
}

// formatSection is one of the parts between semicolons.
type formatSection struct {
	before, after string // literal text around the number
	general       bool
	grouped       bool // thousands separators
	whole         int  // least digits before the point
	most, least   int  // digits after the point: most shown, least shown
	percent       int
	thousands     int // trailing commas: divide by 1000 each
	exponent      bool
	fraction      bool
	denominator   int // fixed denominator of a fraction; 0 free
	places        int // digits of a free denominator
	silent        bool
}

// builtinFormats are the format numbers that a file does not spell out
// (ECMA-376 part 1, 18.8.30, numFmt).
var builtinFormats = map[int]string{
	1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 11: "0.00E+00", 12: "# ?/?", 13: "# ??/??",
	14: "m/d/yyyy", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM", 20: "h:mm",
	21: "h:mm:ss", 22: "m/d/yyyy h:mm", 37: "#,##0 ;(#,##0)", 38: "#,##0 ;[Red](#,##0)", 39: "#,##0.00;(#,##0.00)",
	40: "#,##0.00;[Red](#,##0.00)", 45: "mm:ss", 46: "[h]:mm:ss", 47: "mmss.0", 48: "##0.0E+0", 49: "@",
}

// readStyles collects the number format of every cell style, and whether its
// font strikes the text through.
func (b *openedBook) readStyles(s *scanner) error {
	custom := map[int]string{}
	inCells, inFonts := false, false
	fonts := []bool{}
	for {
		kind, err := s.next()
		if err != nil || kind == tokenEOF {
			return err
		}
		switch name := string(s.name); {
		case kind == tokenStart && name == "numFmt":
			if id, err := strconv.Atoi(s.attr("numFmtId")); err == nil {
				custom[id] = s.attr("formatCode")
			}
		case name == "fonts" && kind != tokenText:
			inFonts = kind == tokenStart
		case kind == tokenStart && name == "font" && inFonts:
			fonts = append(fonts, false)
		case kind == tokenStart && name == "strike" && inFonts && len(fonts) > 0:
			fonts[len(fonts)-1] = on(s)
		case name == "cellXfs" && kind != tokenText:
			inCells = kind == tokenStart
		case kind == tokenStart && name == "xf" && inCells:
			id, _ := strconv.Atoi(s.attr("numFmtId"))
			code, ok := custom[id]
			if !ok {
				code = builtinFormats[id]
			}
			b.formats = append(b.formats, parseFormat(code))
			font, err := strconv.Atoi(s.attr("fontId"))
			b.struck = append(b.struck, err == nil && font >= 0 && font < len(fonts) && fonts[font])
		}
	}
}

// parseFormat reads a number format code. What it does not know is shown as General.
func parseFormat(code string) numberFormat {
	f := numberFormat{code: code}
	if code == "" || strings.EqualFold(code, "General") {
		f.code = ""
		return f
	}
	for _, part := range splitSections(code) {
		section, date, elapsed := parseSection(part)
		f.sections = append(f.sections, section)
		if len(f.sections) == 1 {
			f.date, f.elapsed = date, elapsed
		}
	}
	return f
}

// splitSections cuts at semicolons outside quotes and escapes.
func splitSections(code string) []string {
	var out []string
	start, quoted := 0, false
	for i := 0; i < len(code); i++ {
		switch code[i] {
		case '\\':
			i++
		case '"':
			quoted = !quoted
		case ';':
			if !quoted {
				out = append(out, code[start:i])
				start = i + 1
			}
		}
	}
	return append(out, code[start:])
}

// parseSection reads one section: literals before and after the digits, and
// the digits' shape.
func parseSection(code string) (s formatSection, date, elapsed bool) {
	var digits strings.Builder
	literal := func(t string) {
		if digits.Len() == 0 {
			s.before += t
		} else {
			s.after += t
		}
	}
	for i := 0; i < len(code); i++ {
		switch c := code[i]; c {
		case '"':
			end := strings.IndexByte(code[i+1:], '"')
			if end < 0 {
				end = len(code) - i - 1
			}
			literal(code[i+1 : i+1+end])
			i += end + 1
		case '\\':
			if i+1 < len(code) {
				i++
				literal(code[i : i+1])
			}
		case '_', '*': // a blank as wide as, a filler of the next character
			i++
		case '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				return formatSection{general: true}, false, false
			}
			inside := strings.ToLower(code[i+1 : i+end])
			switch {
			case strings.Trim(inside, "h") == "" || strings.Trim(inside, "m") == "" || strings.Trim(inside, "s") == "":
				date, elapsed = true, true
			case strings.HasPrefix(inside, "$"):
				literal(strings.SplitN(code[i+2:i+end], "-", 2)[0])
			}
			i += end
		case '0', '#', '?', '.', ',', '/', 'E', 'e', '+':
			if (c == 'E' || c == 'e') && digits.Len() == 0 {
				date = date || c == 'e'
				continue
			}
			digits.WriteByte(c)
		case '1', '2', '3', '4', '5', '6', '7', '8', '9':
			if strings.ContainsRune(digits.String(), '/') {
				digits.WriteByte(c)
			} else {
				literal(code[i : i+1])
			}
		case '%':
			s.percent++
			literal("%")
		case ' ':
			if strings.Contains(code[i:], "/") && strings.ContainsAny(digits.String(), "#0?") {
				digits.WriteByte(' ')
			} else {
				literal(" ")
			}
		case '-':
			if strings.HasSuffix(strings.ToUpper(digits.String()), "E") {
				digits.WriteByte('-')
			} else {
				literal("-")
			}
		case '@':
			s.general = true
		case 'G', 'g':
			if len(code)-i >= 7 && strings.EqualFold(code[i:i+7], "general") {
				s.general = true
				digits.WriteByte('0')
				i += 6
			}
		case 'y', 'Y', 'd', 'D', 'h', 'H', 's', 'S', 'm', 'M':
			date = true
		case 'A', 'a', 'P', 'p':
			date = date || strings.HasPrefix(strings.ToUpper(code[i:]), "AM/PM") || strings.HasPrefix(strings.ToUpper(code[i:]), "A/P")
		default:
			literal(code[i : i+1])
		}
	}
	s.shape(digits.String())
	return s, date, elapsed
}

// shape reads the digit placeholders: 0,0.00 ##0.0E+0 # ?/? # ??/16.
func (s *formatSection) shape(d string) {
	if d == "" {
		s.silent = !s.general
		return
	}
	if i := strings.IndexByte(d, '/'); i >= 0 {
		s.fraction = true
		below := strings.TrimSpace(d[i+1:])
		if n, err := strconv.Atoi(below); err == nil && n > 0 {
			s.denominator = n
		} else {
			s.places = len(below)
		}
		return
	}
	if i := strings.IndexAny(d, "Ee"); i >= 0 {
		s.exponent = true
		d = d[:i]
	}
	whole, decimals, _ := strings.Cut(strings.TrimSpace(d), ".")
	trimmed := strings.TrimRight(whole, ",")
	if decimals == "" {
		s.thousands = len(whole) - len(trimmed)
	} else {
		cut := strings.TrimRight(decimals, ",")
		s.thousands = len(decimals) - len(cut)
		decimals = cut
	}
	s.grouped = strings.Contains(trimmed, ",")
	s.whole = strings.Count(trimmed, "0")
	s.most = strings.Count(decimals, "0") + strings.Count(decimals, "#") + strings.Count(decimals, "?")
	s.least = strings.Count(decimals, "0")
}

// show prints a number as the format shows it, dates in ISO form.
func (f numberFormat) show(v float64, date1904 bool) string {
	if len(f.sections) == 0 {
		return general(v)
	}
	if f.date {
		if text, ok := showDate(v, f, date1904); ok {
			return text
		}
		return general(v)
	}
	s, a := f.sections[0], v
	switch {
	case v < 0 && len(f.sections) > 1:
		s, a = f.sections[1], -v
	case v == 0 && len(f.sections) > 2:
		s = f.sections[2]
	}
	text := s.show(math.Abs(a))
	if a < 0 {
		text = "-" + text
	}
	return strings.TrimSpace(text)
}

func (s formatSection) show(a float64) string {
	if s.silent {
		return s.before + s.after
	}
	for range s.percent {
		a *= 100
	}
	for range s.thousands {
		a /= 1000
	}
	var n string
	switch {
	case s.general:
		n = general(a)
	case s.fraction:
		n = s.showFraction(a)
	case s.exponent:
		n = strings.Replace(strconv.FormatFloat(a, 'E', s.most, 64), "E", "E", 1)
	default:
		n = s.showDecimal(a)
	}
	return s.before + n + s.after
}

func (s formatSection) showDecimal(a float64) string {
	// Halves round away from zero, as spreadsheet programs do; the fifteen
	// digits that count decide what is a half.
	n := strconv.FormatFloat(roundHalf(a, s.most), 'f', s.most, 64)
	whole, decimals, _ := strings.Cut(n, ".")
	for len(decimals) > s.least && decimals[len(decimals)-1] == '0' {
		decimals = decimals[:len(decimals)-1]
	}
	if whole == "0" && s.whole == 0 {
		whole = ""
	}
	for len(whole) < s.whole {
		whole = "0" + whole
	}
	if s.grouped {
		for i := len(whole) - 3; i > 0; i -= 3 {
			whole = whole[:i] + "," + whole[i:]
		}
	}
	if decimals != "" {
		return whole + "." + decimals
	}
	return whole
}

func roundHalf(a float64, places int) float64 {
	p := math.Pow(10, float64(places))
	if places > 15 || a*p > 1e15 {
		return a
	}
	short, _ := strconv.ParseFloat(strconv.FormatFloat(a*p, 'g', 15, 64), 64)
	return math.Round(short) / p
}

// showFraction prints 1.5 as 1 1/2: the nearest fraction that the format allows.
func (s formatSection) showFraction(a float64) string {
	whole := math.Floor(a)
	rest := a - whole
	top, bottom := 0, 1
	if s.denominator > 0 {
		top, bottom = int(math.Round(rest*float64(s.denominator))), s.denominator
	} else {
		most := 9
		for range s.places - 1 {
			most = min(most*10+9, 999)
		}
		best := math.Inf(1)
		for d := 1; d <= most; d++ {
			t := math.Round(rest * float64(d))
			if e := math.Abs(rest - t/float64(d)); e < best-1e-12 {
				best, top, bottom = e, int(t), d
			}
		}
	}
	if top == bottom {
		whole, top = whole+1, 0
	}
	switch {
	case top == 0:
		return strconv.FormatFloat(whole, 'f', 0, 64)
	case whole == 0:
		return fmt.Sprintf("%d/%d", top, bottom)
	}
	return fmt.Sprintf("%.0f %d/%d", whole, top, bottom)
}

// general prints a number with the fifteen digits that a spreadsheet program
// keeps, so that 0.1+0.2 is 0.3.
func general(v float64) string {
	if a := math.Abs(v); v == math.Trunc(v) && a < 1e15 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	} else if a >= 1e-5 && a < 1e15 {
		n := strconv.FormatFloat(v, 'g', 15, 64)
		short, _ := strconv.ParseFloat(n, 64)
		return strconv.FormatFloat(short, 'f', -1, 64)
	}
	short, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64)
	return strings.ToUpper(strconv.FormatFloat(short, 'g', -1, 64))
}

// showDate prints a day number as 2026-03-14, 2026-03-14T10:30 or 10:30. Day 60
// of the 1900 system is a day that never was (kept for the sake of older
// programs, ECMA-376 part 1, 18.17.4.1).
func showDate(v float64, f numberFormat, date1904 bool) (string, bool) {
	if v < 0 || v >= 2_958_466 { // 9999-12-31
		return "", false
	}
	seconds := math.Round(v * 86400)
	if f.elapsed {
		return fmt.Sprintf("%.0f:%02.0f:%02.0f", math.Floor(seconds/3600), math.Floor(math.Mod(seconds, 3600)/60), math.Mod(seconds, 60)), true
	}
	days := int(seconds / 86400)
	clock := int(seconds) - days*86400
	base := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	switch {
	case date1904:
		base = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	case days == 60:
		return "1900-02-29", true
	case days < 60:
		base = time.Date(1899, 12, 31, 0, 0, 0, 0, time.UTC)
	}
	at := base.AddDate(0, 0, days).Add(time.Duration(clock) * time.Second)
	layout := "2006-01-02"
	lower := strings.ToLower(f.code)
	hasClock := strings.ContainsAny(lower, "hs")
	switch {
	case days == 0 && hasClock && !strings.ContainsAny(lower, "yd"):
		layout = "15:04"
	case hasClock && clock != 0:
		layout = "2006-01-02T15:04"
	}
	if hasClock && at.Second() != 0 {
		layout += ":05"
	}
	return at.Format(layout), true
}

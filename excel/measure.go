package excel

import (
	"math"
	"strings"
)

// glyphs are the widths of the printable ASCII characters of the sheets' sans
// serif face in thousandths of its size, as its published metrics give them
// (from memory). A column's width counts in digits, which are 556 wide.
var glyphs = [95]float64{
	278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, // space to /
	556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, // 0 to ?
	1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, // @ to O
	667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, // P to _
	333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, // ` to o
	556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584, // p to ~
}

// slack allows for programs that space the face a little wider.
const slack = 1.05

// runeWidth is how many digits wide a character is.
func runeWidth(r rune) float64 {
	switch {
	case r >= ' ' && r <= '~':
		return glyphs[r-' '] / 556 * slack
	case r >= 0x1100: // wide scripts and symbols
		return 2
	}
	return 1.2
}

// stretch is how much wider the face of a look is than the plain one.
func stretch(l look) float64 {
	switch l {
	case lookHead, lookWarning, lookFault, lookTotalText, lookTotal:
		return 1.08
	case lookSection:
		return 1.3
	case lookTitle:
		return 1.9
	}
	return 1
}

// extent is the width of the widest line and of the longest word of a cell, in
// digits of the standard face.
func extent(v value, l look) (line, word float64) {
	k := stretch(l)
	if v.kind == numberValue || v.kind == formulaNumber {
		n := float64(len(general(v.number)))
		if l == lookMoney || l == lookCount || l == lookTotal {
			n += 3 // separators and decimals
		}
		return n * k, n * k
	}
	var at, w float64
	for _, r := range v.text {
		switch r {
		case '\n':
			line, word = max(line, at), max(word, w)
			at, w = 0, 0
			continue
		case ' ':
			word = max(word, w)
			at, w = at+runeWidth(r), 0
			continue
		}
		n := runeWidth(r)
		at, w = at+n, w+n
	}
	return max(line, at) * k, max(word, w) * k
}

// byteWidths are the widths of single bytes, in digits; those of a character
// outside ASCII are shared out over its bytes and never too small.
var byteWidths = func() (w [256]float32) {
	for c := range w {
		w[c] = 2
		if c < 0x80 {
			w[c] = float32(runeWidth(rune(c)))
		}
	}
	w['\n'] = 1e6 // more than one line in any case
	return w
}()

// lines is how many lines a text takes in a column, broken at blanks as
// spreadsheet programs do.
func lines(s string, width float64, k float64) int {
	room := float32(width / k)
	for i := 0; i < len(s) && room >= 0; i++ {
		room -= byteWidths[s[i]]
	}
	if room >= 0 {
		return 1
	}
	n := 0
	for part := range strings.SplitSeq(s, "\n") {
		n++
		at := 0.0
		for word := range strings.SplitSeq(part, " ") {
			size := 0.0
			for _, r := range word {
				size += runeWidth(r) * k
			}
			gap := runeWidth(' ') * k
			switch {
			case at == 0 && size <= width:
				at = size
			case at > 0 && at+gap+size <= width:
				at += gap + size
			default: // the word begins a line, and breaks where it is too long for one
				if at > 0 {
					n++
				}
				whole := math.Max(0, math.Ceil(size/width)-1)
				n += int(whole)
				at = size - whole*width
			}
		}
	}
	return n
}

// Heights in points: one line of the standard face, and what a row adds.
const (
	lineHeight = 11.6
	rowMargin  = 2.4
	mostHeight = 409 // the format allows no more
)

// mostUnprinted is how many lines of a column that stays off paper a row shows:
// what explains a row shall not stretch the print.
const mostUnprinted = 3

// rowHeight is the height that a row's wrapped text needs; 0 for one line.
func rowHeight(cells []value, columns []look, widths []float64, printed int) float64 {
	most := 1
	for i := range cells {
		v := &cells[i]
		if v.text == "" || i >= len(widths) || widths[i] == 0 {
			continue
		}
		l := v.look
		if l == lookColumn {
			l = columns[i]
		}
		if !wraps[l] {
			continue
		}
		n := lines(v.text, widths[i]-0.7, stretch(l))
		if printed > 0 && i >= printed {
			n = min(n, mostUnprinted)
		}
		most = max(most, n)
	}
	if most == 1 {
		return 0
	}
	return min(mostHeight, float64(most)*lineHeight+rowMargin)
}

// wraps tells which looks break text into lines.
var wraps = func() (w [looks]bool) {
	for l := range looks {
		w[l] = l.style().Alignment.WrapText
	}
	return w
}()

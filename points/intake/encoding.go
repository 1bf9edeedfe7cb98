package intake

import (
	"bytes"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// windows1252 holds the characters 0x80 to 0x9F of that code page; 0 is not
// assigned. All others are as in Latin 1. Source: the Unicode consortium's
// mapping table for code page 1252.
var windows1252 = [32]rune{
	0x20AC, 0, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0, 0x017D, 0,
	0, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0, 0x017E, 0x0178,
}

// decode returns the text of a file in UTF-8, UTF-16 (with or without mark) or
// Windows-1252; false if it is no text.
func decode(data []byte) (string, bool) {
	switch {
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}):
		return fromUTF16(data[2:], false)
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return fromUTF16(data[2:], true)
	default:
		if big, ok := bareUTF16(data); ok {
			return fromUTF16(data, big)
		}
	}
	if bytes.IndexByte(data, 0) >= 0 {
		return "", false
	}
	if utf8.Valid(data) {
		return string(data), true
	}
	var b strings.Builder
	for _, c := range data {
		r := rune(c)
		if c >= 0x80 && c < 0xA0 {
			if r = windows1252[c-0x80]; r == 0 {
				r = utf8.RuneError
			}
		}
		b.WriteRune(r)
	}
	return b.String(), true
}

// bareUTF16 recognises UTF-16 without a mark: text in Latin letters has a zero
// in every other byte.
func bareUTF16(data []byte) (big, ok bool) {
	head := data[:min(len(data), 512)&^1]
	if len(head) < 8 || len(data)%2 != 0 {
		return false, false
	}
	var even, odd int
	for i := 0; i < len(head); i += 2 {
		if head[i] == 0 {
			even++
		}
		if head[i+1] == 0 {
			odd++
		}
	}
	most := len(head) / 2 * 3 / 4
	switch {
	case even >= most && odd == 0:
		return true, true
	case odd >= most && even == 0:
		return false, true
	}
	return false, false
}

func fromUTF16(data []byte, big bool) (string, bool) {
	if len(data)%2 != 0 {
		return "", false
	}
	units := make([]uint16, len(data)/2)
	for i := range units {
		lo, hi := data[2*i], data[2*i+1]
		if big {
			lo, hi = hi, lo
		}
		units[i] = uint16(lo) | uint16(hi)<<8
	}
	s := string(utf16.Decode(units))
	return s, !strings.ContainsRune(s, 0)
}

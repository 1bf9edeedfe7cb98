package excel

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"unicode/utf8"
)

func nameStart(c byte) bool {
	return c == '_' || c == ':' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c >= 0x80
}

func local(name []byte) []byte {
	if i := bytes.IndexByte(name, ':'); i >= 0 {
		return name[i+1:]
	}
	return name
}

func clip(b []byte) []byte {
	return bytes.Map(func(r rune) rune {
		if r < ' ' || r == '\u0085' || r == '\u2028' || r == '\u2029' { // what would break the line of a message
			return ' '
		}
		return r
	}, b[:min(len(b), 40)])
}

// wellFormed checks that attributes are name="value" pairs of legal characters.
func wellFormed(raw []byte) error {
	for {
		raw = bytes.TrimLeft(raw, " \t\r\n")
		if len(raw) == 0 {
			return nil
		}
		eq := bytes.IndexByte(raw, '=')
		if eq <= 0 || !nameStart(raw[0]) {
			return fmt.Errorf("attribute %q", clip(raw))
		}
		value := bytes.TrimLeft(raw[eq+1:], " \t\r\n")
		if len(value) < 2 || value[0] != '"' && value[0] != '\'' {
			return fmt.Errorf("attribute %q has no quoted value", clip(raw))
		}
		end := bytes.IndexByte(value[1:], value[0])
		if end < 0 {
			return fmt.Errorf("attribute %q is not closed", clip(raw))
		}
		if err := sound(value[1 : 1+end]); err != nil {
			return err
		}
		raw = value[end+2:]
	}
}

// attribute returns the raw value of an attribute by its local name. Attribute
// prefixes matter only for r:id, which callers ask for by its local name too.
func attribute(raw []byte, name string) ([]byte, bool) {
	for {
		raw = bytes.TrimLeft(raw, " \t\r\n")
		eq := bytes.IndexByte(raw, '=')
		if eq < 0 {
			return nil, false
		}
		key := bytes.TrimRight(raw[:eq], " \t\r\n")
		value := bytes.TrimLeft(raw[eq+1:], " \t\r\n")
		if len(value) == 0 {
			return nil, false
		}
		end := bytes.IndexByte(value[1:], value[0])
		if end < 0 {
			return nil, false
		}
		if string(local(key)) == name {
			return value[1 : 1+end], true
		}
		raw = value[end+2:]
	}
}

// attr returns an attribute of the current start tag, entities resolved.
func (s *scanner) attr(name string) string {
	raw, ok := attribute(s.attrs, name)
	if !ok {
		return ""
	}
	text, err := s.resolve(raw)
	if err != nil {
		return string(raw)
	}
	return string(text)
}

// sound refuses characters that XML does not allow.
func sound(b []byte) error {
	ascii := true
	for _, c := range b {
		if c < 0x20 && c != '\t' && c != '\n' && c != '\r' {
			return fmt.Errorf("control character 0x%02X", c)
		}
		ascii = ascii && c < 0x80
	}
	if !ascii && !utf8.Valid(b) {
		return errors.New("bytes that are not UTF-8")
	}
	return nil
}

// resolve replaces the five named entities and character references.
func (s *scanner) resolve(raw []byte) ([]byte, error) {
	if err := sound(raw); err != nil {
		return raw, err
	}
	i := bytes.IndexByte(raw, '&')
	if i < 0 {
		return raw, nil
	}
	out := append(s.plain[:0], raw[:i]...)
	for raw = raw[i:]; len(raw) > 0; {
		if raw[0] != '&' {
			n := bytes.IndexByte(raw, '&')
			if n < 0 {
				n = len(raw)
			}
			out = append(out, raw[:n]...)
			raw = raw[n:]
			continue
		}
		end := bytes.IndexByte(raw, ';')
		if end < 0 {
			return nil, fmt.Errorf("entity %q", clip(raw))
		}
		r, ok := entity(string(raw[1:end]))
		if !ok {
			return nil, fmt.Errorf("entity %q", raw[:end+1])
		}
		out = utf8.AppendRune(out, r)
		raw = raw[end+1:]
	}
	s.plain = out
	return out, nil
}

func entity(name string) (rune, bool) {
	switch name {
	case "amp":
		return '&', true
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "quot":
		return '"', true
	case "apos":
		return '\'', true
	}
	if len(name) < 2 || name[0] != '#' {
		return 0, false
	}
	digits, base := name[1:], 10
	if digits[0] == 'x' {
		digits, base = digits[1:], 16
	}
	n, err := strconv.ParseUint(digits, base, 32)
	r := rune(n)
	if err != nil || !utf8.ValidRune(r) || r < 0x20 && r != '\t' && r != '\n' && r != '\r' || r == 0xFFFE || r == 0xFFFF {
		return 0, false
	}
	return r, true
}

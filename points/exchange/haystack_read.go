package exchange

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"tallywire/model"
	"tallywire/points/library"
)

// ReadHaystack reads the points of a Haystack grid: JSON of version 4 (Hayson)
// or 3, a bare list of dictionaries, or Zinc. Machines and devices are
// followed where the grid holds them.
func ReadHaystack(lib *library.Library, file string, data []byte) ([]model.ExistingPoint, error) {
	text := strings.TrimSpace(asText(data))
	var rows []dict
	var err error
	if strings.HasPrefix(text, "{") || strings.HasPrefix(text, "[") {
		rows, err = readHayson([]byte(text))
	} else {
		rows, err = readZinc(text)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	at := map[string]dict{}
	for _, r := range rows {
		if id := r["id"]; id.kind == ref {
			at[id.text] = r
		}
	}
	var out []model.ExistingPoint
	for i, r := range rows {
		if r.has("point") {
			p := haystackPoint(lib, r, at)
			p.Where = &model.Where{File: file, Line: i + 1} // the row of the grid
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s holds no entity with the marker point", file)
	}
	return out, nil
}

func haystackPoint(lib *library.Library, r dict, at map[string]dict) model.ExistingPoint {
	p := model.ExistingPoint{ObjectName: r.title("dis", "navName", "id"), Description: r["doc"].text}
	for name, v := range r {
		if v.kind == marker {
			p.Tags = append(p.Tags, name)
		}
	}
	slices.Sort(p.Tags)
	if e := r["equipRef"]; e.kind == ref {
		p.Equipment = e.text
		if machine, ok := at[e.text]; ok {
			p.Equipment = machine.title("dis", "navName", "id")
		} else if e.dis != "" {
			p.Equipment = e.dis
		}
	}
	if d, ok := at[r["deviceRef"].text]; ok {
		p.DeviceName = d.title("dis", "id")
		if n := d["bacnetInstance"]; n.kind == number {
			device := int(n.n)
			p.Device = &device
		}
	}
	if id := r["bacnetObject"].text; id != "" {
		p.ObjectType, p.Instance = identifier(lib, id)
	}
	if u, ok := lib.Units.Written(r["unit"].text); ok {
		p.Units = u.ID
	}
	if enum := r["enum"].text; enum != "" {
		for _, s := range strings.Split(enum, ",") {
			p.States = append(p.States, strings.TrimSpace(s))
		}
	}
	if r.has("cmd") || r.has("writable") {
		yes := true
		p.Commandable = &yes
	}
	return p
}

// title is the first of some tags that says anything.
func (d dict) title(names ...string) string {
	for _, n := range names {
		if v := d[n]; v.text != "" {
			return v.text
		}
	}
	return ""
}

// readHayson reads a grid, a list of dictionaries or one dictionary.
func readHayson(data []byte) ([]dict, error) {
	var any any
	if err := json.Unmarshal(data, &any); err != nil {
		return nil, err
	}
	var list []interface{}
	switch t := any.(type) {
	case []interface{}:
		list = t
	case map[string]interface{}:
		rows, isGrid := t["rows"].([]interface{})
		if !isGrid {
			rows = []interface{}{t}
		}
		list = rows
	}
	var out []dict
	for _, one := range list {
		fields, ok := one.(map[string]interface{})
		if !ok {
			return nil, fmt.Errorf("a row of the grid is no dictionary")
		}
		d := dict{}
		for k, v := range fields {
			if v != nil && k != "_kind" {
				d[k] = haysonScalar(v)
			}
		}
		out = append(out, d)
	}
	return out, nil
}

// haysonScalar reads a value; version 3 puts a letter before a colon in a
// string: "m:", "r:id dis", "n:12 kW", "s:text".
func haysonScalar(v any) scalar {
	switch t := v.(type) {
	case bool:
		return scalar{kind: boolean, yes: t}
	case float64:
		return scalar{kind: number, n: t}
	case string:
		letter, rest, coded := strings.Cut(t, ":")
		if !coded || len(letter) != 1 {
			return word(t)
		}
		switch letter {
		case "m":
			return mark()
		case "s":
			return word(rest)
		case "r":
			id, dis, _ := strings.Cut(rest, " ")
			return scalar{kind: ref, text: id, dis: dis}
		case "n":
			figure, unit, _ := strings.Cut(rest, " ")
			n, err := strconv.ParseFloat(figure, 64)
			if err != nil {
				return scalar{kind: other}
			}
			return scalar{kind: number, n: n, unit: unit}
		}
		return word(t)
	case map[string]any:
		text, _ := t["val"].(string)
		switch t["_kind"] {
		case "marker":
			return mark()
		case "ref":
			dis, _ := t["dis"].(string)
			return scalar{kind: ref, text: text, dis: dis}
		case "number":
			n, _ := t["val"].(float64)
			unit, _ := t["unit"].(string)
			return scalar{kind: number, n: n, unit: unit}
		}
	}
	return scalar{kind: other}
}

// readZinc reads the first grid of a text: its version line, its columns, its
// rows up to an empty line. An error names the line.
func readZinc(text string) ([]dict, error) {
	if !strings.HasPrefix(text, "ver:") {
		return nil, fmt.Errorf("this is neither JSON nor Zinc: the first line of Zinc starts with ver:")
	}
	z := &zincReader{rest: text, line: 1}
	z.skipLine()
	var columns []string
	for {
		name := z.while("_")
		if name == "" {
			return nil, fmt.Errorf("line %d: a column has no name", z.line)
		}
		columns = append(columns, name)
		for z.rest != "" && z.rest[0] == ' ' { // meta of the column
			z.rest = z.rest[1:]
			z.while("_")
			if z.take(":") {
				if _, err := z.value(); err != nil {
					return nil, err
				}
			}
		}
		if !z.take(",") {
			break
		}
	}
	z.skipLine()
	var out []dict
	for z.rest != "" && z.rest[0] != '\n' {
		d := dict{}
		for i, c := range columns {
			v, err := z.value()
			if err != nil {
				return nil, err
			}
			if v != nil {
				d[c] = *v
			}
			if i+1 < len(columns) && !z.take(",") {
				return nil, fmt.Errorf("line %d: %d cells where there are %d columns", z.line, i+1, len(columns))
			}
		}
		if z.rest != "" && z.rest[0] != '\n' {
			return nil, fmt.Errorf("line %d: more cells than columns", z.line)
		}
		z.skipLine()
		out = append(out, d)
	}
	return out, nil
}

type zincReader struct {
	rest string
	line int
}

func (z *zincReader) skipLine() {
	_, z.rest, _ = strings.Cut(z.rest, "\n")
	z.line++
}

func (z *zincReader) take(s string) bool {
	if strings.HasPrefix(z.rest, s) {
		z.rest = z.rest[len(s):]
		return true
	}
	return false
}

// word takes letters, digits and the characters of ids.
func (z *zincReader) word() string { return z.while("_:-.~") }

func (z *zincReader) while(also string) string {
	i := 0
	for i < len(z.rest) {
		r, size := utf8.DecodeRuneInString(z.rest[i:])
		if r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || strings.ContainsRune(also, r) {
			i += size
			continue
		}
		break
	}
	s := z.rest[:i]
	z.rest = z.rest[i:]
	return s
}

// value reads a cell; nil where it is empty or null. Lists, dictionaries,
// grids, dates and the like are stepped over.
func (z *zincReader) value() (*scalar, error) {
	for z.take(" ") {
	}
	if z.rest == "" || strings.ContainsRune(",\n", rune(z.rest[0])) {
		return nil, nil
	}
	switch c := z.rest[0]; {
	case c == '"':
		s, err := z.quoted()
		return &scalar{kind: str, text: s}, err
	case c == '@':
		z.rest = z.rest[1:]
		v := scalar{kind: ref, text: z.word()}
		if strings.HasPrefix(z.rest, ` "`) {
			z.rest = z.rest[1:]
			var err error
			if v.dis, err = z.quoted(); err != nil {
				return nil, err
			}
		}
		return &v, nil
	case c == '[' || c == '{' || c == '<' || c == '`':
		return &scalar{kind: other}, z.stepOver()
	case c >= '0' && c <= '9' || c == '-':
		return z.figure(), nil
	}
	switch w := z.while("_"); {
	case w == "M":
		return &scalar{kind: marker}, nil
	case w == "N" || w == "NA" || w == "R":
		return nil, nil
	case w == "T" || w == "F":
		return &scalar{kind: boolean, yes: w == "T"}, nil
	case w == "":
		return nil, fmt.Errorf("line %d: this is no value: %.20q", z.line, z.rest)
	}
	if strings.HasPrefix(z.rest, "(") {
		return &scalar{kind: other}, z.stepOver()
	}
	return &scalar{kind: other}, nil
}

// figure reads a number with its unit; a date or time is none.
func (z *zincReader) figure() *scalar {
	i := strings.IndexAny(z.rest, ",\n")
	if i < 0 {
		i = len(z.rest)
	}
	cell := z.rest[:i]
	z.rest = z.rest[i:]
	digits := len(cell) - len(strings.TrimLeft(cell, "-0123456789._eE+"))
	for digits > 0 {
		if n, err := strconv.ParseFloat(strings.ReplaceAll(cell[:digits], "_", ""), 64); err == nil {
			if rest := cell[digits:]; !strings.HasPrefix(rest, "-") && !strings.HasPrefix(rest, ":") {
				return &scalar{kind: number, n: n, unit: rest}
			}
			break
		}
		digits--
	}
	return &scalar{kind: other}
}

func (z *zincReader) quoted() (string, error) {
	i := 1
	for i < len(z.rest) && z.rest[i] != '"' && z.rest[i] != '\n' {
		if z.rest[i] == '\\' {
			i++
		}
		i++
	}
	if i >= len(z.rest) || z.rest[i] != '"' {
		return "", fmt.Errorf("line %d: a text is not closed", z.line)
	}
	s, err := strconv.Unquote(strings.ReplaceAll(z.rest[:i+1], `\$`, `$`))
	if err != nil {
		return "", fmt.Errorf("line %d: %s is no text", z.line, z.rest[:i+1])
	}
	z.rest = z.rest[i+1:]
	return s, nil
}

// stepOver passes a value in brackets or backticks, with what nests in it.
func (z *zincReader) stepOver() error {
	depth := 0
	for i := 0; i < len(z.rest); i++ {
		switch z.rest[i] {
		case '"':
			keep := z.rest
			z.rest = z.rest[i:]
			if _, err := z.quoted(); err != nil {
				return err
			}
			i = len(keep) - len(z.rest) - 1
			z.rest = keep
		case '[', '{', '<', '(':
			depth++
		case ']', '}', '>', ')':
			if depth--; depth == 0 {
				z.rest = z.rest[i+1:]
				return nil
			}
		case '`':
			j := strings.IndexByte(z.rest[i+1:], '`')
			if j < 0 {
				return fmt.Errorf("line %d: an address is not closed", z.line)
			}
			i += j + 1
			if depth == 0 {
				z.rest = z.rest[i+1:]
				return nil
			}
		}
	}
	return fmt.Errorf("line %d: brackets are not closed", z.line)
}

// Package exchange writes the Plan in open forms and reads them back. It
// computes nothing that is not in the Plan.
package exchange

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"tallywire/model"
)

// JSON writes the whole Plan by schemas/plan.schema.json: fields in the order
// of the model, indented by two blanks, every field present. What is unknown
// or empty is null, a list without items is [], a map without entries is {}.
// A number that is none (NaN, infinite) is an error that names its place.
func JSON(w io.Writer, plan *model.Plan) error { return Answer(w, plan) }

// Answer writes any answer of ours in the same form.
func Answer(w io.Writer, answer any) error {
	text, err := Marshal(answer)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}

// Marshal returns what Answer writes.
func Marshal(answer any) ([]byte, error) {
	var p printer
	if err := p.value(reflect.ValueOf(answer), 0); err != nil {
		return nil, err
	}
	return append(p.out, '\n'), nil
}

// ReadPlan reads a Plan that JSON wrote. A key that the Plan does not have, a
// second document in the file or another schema version is an error; a fault
// of syntax or type names line and column.
func ReadPlan(data []byte) (*model.Plan, error) {
	dec := json.NewDecoder(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	dec.DisallowUnknownFields()
	plan := &model.Plan{}
	if err := dec.Decode(plan); err != nil {
		return nil, placed(data, dec, err)
	}
	if dec.More() {
		return nil, fmt.Errorf("%s: something stands behind the end of the plan", lineOf(data, dec.InputOffset()))
	}
	if plan.SchemaVersion != model.SchemaVersion {
		return nil, fmt.Errorf("this plan has schema version %d; this program reads version %d", plan.SchemaVersion, model.SchemaVersion)
	}
	return plan, nil
}

// placed puts line and column before a decoder's error.
func placed(data []byte, dec *json.Decoder, err error) error {
	at := dec.InputOffset()
	switch e := err.(type) {
	case *json.SyntaxError:
		at = e.Offset - 1 // it counts the byte at fault
	case *json.UnmarshalTypeError:
		at = e.Offset
	}
	return fmt.Errorf("%s: %s", lineOf(data, at), strings.TrimPrefix(err.Error(), "json: "))
}

func lineOf(data []byte, offset int64) string {
	before := data[:min(max(offset, 0), int64(len(data)))]
	line := bytes.Count(before, []byte("\n")) + 1
	return fmt.Sprintf("%d:%d", line, len(before)-bytes.LastIndexByte(before, '\n'))
}

// printer writes values by reflection. The standard encoder cannot write ""
// as null or an absent list as [].
type printer struct{ out []byte }

// field is a field of a struct as printed.
type field struct {
	name, label string // label is the name quoted, with its colon
	index       int
}

// fieldsOf remembers the printed fields of each struct type.
var fieldsOf sync.Map // reflect.Type → []field

func printedFields(t reflect.Type) []field {
	if known, ok := fieldsOf.Load(t); ok {
		return known.([]field)
	}
	var out []field
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || name == "-" {
			continue
		}
		name = cmp.Or(name, f.Name)
		out = append(out, field{name, strconv.Quote(name) + ": ", i})
	}
	fieldsOf.Store(t, out)
	return out
}

// outOfForm is a value that has no JSON form, and its place in the document.
type outOfForm struct{ path, what string }

func (e *outOfForm) Error() string { return strings.TrimPrefix(e.path, ".") + ": " + e.what }

// under puts a step before the place of an error.
func under(step string, err error) error {
	if e, ok := err.(*outOfForm); ok {
		e.path = step + e.path
	}
	return err
}

var intervalType = reflect.TypeOf(model.Interval{})

func (p *printer) value(v reflect.Value, depth int) error {
	if !v.IsValid() {
		p.raw("null")
		return nil
	}
	if v.Type() == intervalType {
		return p.interval(v.Interface().(model.Interval))
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		return p.value(v.Elem(), depth)
	case reflect.String:
		p.text(v.String())
	case reflect.Bool:
		p.out = strconv.AppendBool(p.out, v.Bool())
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		p.out = strconv.AppendInt(p.out, v.Int(), 10)
	case reflect.Float32, reflect.Float64:
		return p.number(v.Float())
	case reflect.Struct:
		return p.object(v, depth)
	case reflect.Slice, reflect.Array:
		return p.list(v, depth)
	case reflect.Map:
		return p.entries(v, depth)
	default:
		return &outOfForm{what: "a " + v.Type().String() + " has no JSON form"}
	}
	return nil
}

func (p *printer) raw(s string) { p.out = append(p.out, s...) }

// line starts a new line at a depth.
func (p *printer) line(depth int) {
	p.out = append(p.out, '\n')
	for range depth {
		p.raw("  ")
	}
}

// text writes a string, "" as null.
func (p *printer) text(s string) {
	if s == "" {
		p.raw("null")
		return
	}
	p.quote(s)
}

// quote escapes what JSON asks for and nothing else (the standard encoder's
// form for HTML is not wanted here). Bytes that are no UTF-8 become U+FFFD.
func (p *printer) quote(s string) {
	p.out = append(p.out, '"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			p.out = append(p.out, '\\', byte(r))
		case r == '\n':
			p.raw(`\n`)
		case r == '\t':
			p.raw(`\t`)
		case r == '\r':
			p.raw(`\r`)
		case r < 0x20 || r == 0x7f || r == '\u2028' || r == '\u2029': // the last two end a line in some readers
			p.out = fmt.Appendf(p.out, `\u%04x`, r)
		default:
			p.out = utf8.AppendRune(p.out, r)
		}
	}
	p.out = append(p.out, '"')
}

// number writes the shortest text that reads back as the same number.
func (p *printer) number(f float64) error {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return &outOfForm{what: strconv.FormatFloat(f, 'g', -1, 64) + " is not a number that can be written"}
	}
	form := byte('f')
	if a := math.Abs(f); a != 0 && (a < 1e-6 || a >= 1e21) {
		form = 'e'
	}
	if f == 0 {
		f = 0 // -0 is printed like 0
	}
	p.out = strconv.AppendFloat(p.out, f, form, -1, 64)
	return nil
}

// interval writes a number, or [low, high] on one line.
func (p *printer) interval(i model.Interval) error {
	if i.Point() {
		return p.number(i.Lo)
	}
	p.raw("[")
	if err := p.number(i.Lo); err != nil {
		return err
	}
	p.raw(", ")
	if err := p.number(i.Hi); err != nil {
		return err
	}
	p.raw("]")
	return nil
}

func (p *printer) object(v reflect.Value, depth int) error {
	p.raw("{")
	for i, f := range printedFields(v.Type()) {
		p.start(i, depth)
		p.raw(f.label)
		if err := p.value(v.Field(f.index), depth+1); err != nil {
			return under("."+f.name, err)
		}
	}
	p.line(depth)
	p.raw("}")
	return nil
}

func (p *printer) list(v reflect.Value, depth int) error {
	if v.Len() == 0 {
		p.raw("[]")
		return nil
	}
	p.raw("[")
	for i := range v.Len() {
		p.start(i, depth)
		if err := p.value(v.Index(i), depth+1); err != nil {
			return under("["+strconv.Itoa(i)+"]", err)
		}
	}
	p.line(depth)
	p.raw("]")
	return nil
}

func (p *printer) entries(v reflect.Value, depth int) error {
	if v.Type().Key().Kind() != reflect.String {
		return &outOfForm{what: "a " + v.Type().String() + " has no JSON form"}
	}
	if v.Len() == 0 {
		p.raw("{}")
		return nil
	}
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int { return cmp.Compare(a.String(), b.String()) })
	p.raw("{")
	for i, k := range keys {
		p.start(i, depth)
		p.quote(k.String())
		p.raw(": ")
		if err := p.value(v.MapIndex(k), depth+1); err != nil {
			return under("."+k.String(), err)
		}
	}
	p.line(depth)
	p.raw("}")
	return nil
}

// start opens the line of the i-th member.
func (p *printer) start(i, depth int) {
	if i > 0 {
		p.out = append(p.out, ',')
	}
	p.line(depth + 1)
}

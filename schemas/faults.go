package schemas

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v5"
	"go.yaml.in/yaml/v3"

	"tallywire/model/finding"
)

// notText tells of a file that is no UTF-8 text. UTF-16 with its mark is read.
func notText(file string, data []byte) (Fault, bool) {
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		return Fault{}, false
	}
	for line := 1; len(data) > 0; line++ {
		text, rest, _ := bytes.Cut(data, []byte("\n"))
		for i, r := range string(text) {
			if r == 0 || r == utf8.RuneError && !bytes.HasPrefix(text[i:], []byte("\ufffd")) {
				return Fault{Where: finding.Where{File: file, Line: line, Column: utf8.RuneCount(text[:i]) + 1},
					Message: "this is no text in UTF-8; save the file as UTF-8"}, true
			}
		}
		data = rest
	}
	return Fault{}, false
}

// hints are what people need to hear where the parser speaks of tokens.
var hints = []struct{ says, means string }{
	{"found character that cannot start any token", "a character that cannot stand here: a tab (indent with blanks), or text that starts with @ or ` (put it in quotes)"},
	{"mapping values are not allowed in this context", "a colon where none can stand: text that holds one goes in quotes, and keys of one group start in the same column"},
	{"did not find expected key", "a line that is indented unlike its neighbours, or a bracket or quote that is not closed"},
	{"did not find expected '-' indicator", "a line among list items that does not start with a dash in their column"},
	{"could not find expected ':'", "a line without a colon where a key was expected, or text of several lines that is not indented"},
	{"found unexpected end of stream", "the file ends inside quotes or brackets that are not closed"},
	{"did not find expected node content", "a value is missing or a bracket is not closed"},
	{"unknown anchor", "an alias (*name) whose anchor (&name) does not stand before it"},
}

func syntaxFault(file string, data []byte, err error) Fault {
	text := strings.TrimPrefix(err.Error(), "yaml: ")
	f := Fault{Where: finding.Where{File: file, Line: 1}} // the parser leaves out line 1
	if rest, ok := strings.CutPrefix(text, "line "); ok {
		if number, message, ok := strings.Cut(rest, ": "); ok {
			if line, err := strconv.Atoi(number); err == nil {
				f.Where.Line, text = line, message
			}
		}
	}
	for _, h := range hints {
		if strings.HasPrefix(text, h.says) {
			text = h.means
			break
		}
	}
	lines := bytes.Split(data, []byte("\n"))
	if f.Where.Line <= len(lines) {
		line := lines[f.Where.Line-1]
		blanks := len(line) - len(bytes.TrimLeft(line, " \t"))
		if tab := bytes.IndexByte(line[:blanks], '\t'); tab >= 0 {
			f.Where.Column, text = tab+1, "a tab indents this line; YAML is indented with blanks only"
		}
	}
	f.Message = "cannot be read as YAML or JSON: " + text
	return f
}

// misfit words a decoder's error: what the schema let through and the Go type
// does not take.
func (d *Document) misfit(err error, into any) Fault {
	f := Fault{Where: finding.Where{File: d.File}, Message: strings.TrimPrefix(err.Error(), "json: ")}
	if m := regexp.MustCompile(`^unknown field "(.*)"$`).FindStringSubmatch(f.Message); m != nil {
		f.Message = fmt.Sprintf("%q is not known here", m[1])
		f.Nearest = finding.Nearest(m[1], labels(reflect.TypeOf(into), map[reflect.Type]bool{}))
		if k := findKey(d.root, m[1]); k != nil {
			f.Where = d.at(k)
		}
	}
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		f.Message = fmt.Sprintf("%s: a %s does not fit here", kind.Field, kind.Value)
		steps := strings.Split(kind.Field, ".")
		if k := findKey(d.root, steps[len(steps)-1]); k != nil {
			f.Where = d.at(k)
		}
	}
	return f
}

// labels lists the json names in a type, for the suggestion.
func labels(t reflect.Type, seen map[reflect.Type]bool) []string {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Map {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct || seen[t] {
		return nil
	}
	seen[t] = true
	var out []string
	for i := range t.NumField() {
		if name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ","); name != "" && name != "-" {
			out = append(out, name)
		}
		out = append(out, labels(t.Field(i).Type, seen)...)
	}
	return out
}

// findKey returns the first key of that name.
func findKey(n *yaml.Node, name string) *yaml.Node {
	for i, c := range n.Content {
		if n.Kind == yaml.MappingNode && i%2 == 0 {
			if c.Value == name {
				return c
			}
			continue
		}
		if k := findKey(c, name); k != nil {
			return k
		}
	}
	return nil
}

// faults turns the validator's tree of causes into lines that a person can use.
func (d *Document) faults(e *jsonschema.ValidationError) Faults {
	var out Faults
	for _, leaf := range leaves(e) {
		n, trail := d.find(leaf.InstanceLocation)
		out = append(out, d.explain(leaf, n, trail)...)
	}
	slices.SortStableFunc(out, func(a, b Fault) int { return a.Where.Compare(b.Where) })
	return slices.CompactFunc(out, func(a, b Fault) bool { return a == b })
}

// leaves returns the causes that say something; of several alternatives the
// one that got furthest into the document.
func leaves(e *jsonschema.ValidationError) []*jsonschema.ValidationError {
	if len(e.Causes) == 0 {
		return []*jsonschema.ValidationError{e}
	}
	last := path.Base(e.KeywordLocation)
	if last == "anyOf" || last == "oneOf" {
		best, depth := e.Causes[0], -1
		for _, c := range e.Causes {
			for _, l := range leaves(c) {
				if n := strings.Count(l.InstanceLocation, "/"); n > depth {
					best, depth = c, n
				}
			}
		}
		if depth <= strings.Count(e.InstanceLocation, "/") && !onlyKeys(best) {
			return []*jsonschema.ValidationError{e}
		}
		return leaves(best)
	}
	var out []*jsonschema.ValidationError
	for _, c := range e.Causes {
		out = append(out, leaves(c)...)
	}
	return out
}

// onlyKeys reports whether an alternative fails by its keys alone: then it is
// the one that was meant.
func onlyKeys(e *jsonschema.ValidationError) bool {
	for _, l := range leaves(e) {
		if rule := path.Base(l.KeywordLocation); rule != "additionalProperties" && rule != "required" {
			return false
		}
	}
	return true
}

func (d *Document) find(pointer string) (*yaml.Node, []string) {
	n := d.root
	var trail []string
	for _, step := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		if step == "" {
			continue
		}
		step = strings.NewReplacer("~1", "/", "~0", "~").Replace(step)
		next := child(n, step)
		if next == nil {
			break
		}
		n, trail = next, append(trail, named(n, step))
	}
	return n, trail
}

// named is a step of a path as people count: the first item of a list is 1.
func named(parent *yaml.Node, step string) string {
	if parent.Kind != yaml.SequenceNode {
		return step
	}
	i, err := strconv.Atoi(step)
	if err != nil {
		return step
	}
	return fmt.Sprintf("item %d", i+1)
}

// explain words one broken rule.
func (d *Document) explain(e *jsonschema.ValidationError, n *yaml.Node, trail []string) Faults {
	name := strings.Join(trail, ", ")
	if name == "" {
		name = "the file"
	}
	rule, owner, limit := broken(e)
	switch rule {
	case "additionalProperties":
		return d.unknownKeys(n, owner)
	case "required":
		var lacks []string
		for _, k := range texts(limit) {
			if child(n, k) == nil {
				lacks = append(lacks, k)
			}
		}
		return Faults{{Where: d.at(n), Message: name + " lacks " + strings.Join(lacks, ", ")}}
	case "enum", "const":
		return Faults{d.notListed(name, n, texts(limit))}
	}
	text := wording(rule, limit, n, e.Message)
	if means, ok := owner["description"].(string); ok && means != "" {
		text += " (" + means + ")"
	}
	return Faults{{Where: d.at(n), Message: name + ": " + text}}
}

// unknownKeys makes a fault of every key that the schema object has no place for.
func (d *Document) unknownKeys(n *yaml.Node, owner map[string]any) Faults {
	allowed := keysOf(owner["properties"])
	var patterns []*regexp.Regexp
	for _, p := range keysOf(owner["patternProperties"]) {
		if re, err := regexp.Compile(p); err == nil {
			patterns = append(patterns, re)
		}
	}
	var out Faults
	for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		if slices.Contains(allowed, k.Value) || slices.ContainsFunc(patterns, func(p *regexp.Regexp) bool { return p.MatchString(k.Value) }) {
			continue
		}
		f := Fault{Where: d.at(k), Message: fmt.Sprintf("%q is not known here", k.Value)}
		if len(allowed) > 0 {
			f.Message += "; allowed: " + strings.Join(allowed, ", ")
			f.Nearest = finding.Nearest(k.Value, allowed)
		}
		out = append(out, f)
	}
	return out
}

// notListed words a value that is none of a closed list.
func (d *Document) notListed(name string, n *yaml.Node, allowed []string) Fault {
	shown := make([]string, len(allowed))
	for i, a := range allowed {
		shown[i] = a
		if a == "" {
			shown[i] = "null"
		}
	}
	f := Fault{Where: d.at(n), Message: fmt.Sprintf("%s: %s is not one of %s", name, asWritten(n), strings.Join(shown, ", "))}
	switch {
	case n.Kind != yaml.ScalarNode:
	case slices.Contains(allowed, n.Value): // a number or yes where text of the same letters is allowed
		f.Message = fmt.Sprintf("%s: %s is read as a %s; put it in quotes", name, n.Value, kindOf(n))
	case kindOf(n) != "number": // no number is nearly another
		f.Nearest = finding.Nearest(n.Value, allowed)
	}
	return f
}

// kinds are the schema's words for what a value can be, in people's words.
var kinds = map[string]string{"string": "text", "number": "a number", "integer": "a whole number", "boolean": "true or false",
	"array": "a list", "object": "a group of keys", "null": "nothing"}

func kindOf(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "group of keys"
	case yaml.SequenceNode:
		return "list"
	}
	switch n.ShortTag() {
	case "!!int", "!!float":
		return "number"
	case "!!bool":
		return "true-or-false value"
	case "!!null":
		return "empty value"
	}
	return "text"
}

// asWritten is a value as written: a word in quotes, or what it is.
func asWritten(n *yaml.Node) string {
	switch {
	case n.Kind != yaml.ScalarNode:
		return "a " + kindOf(n)
	case n.Value == "" || n.ShortTag() == "!!null":
		return "an empty value"
	}
	return strconv.Quote(n.Value)
}

// wording says what a rule asks and what stands there instead.
func wording(rule string, limit any, n *yaml.Node, message string) string {
	value := asWritten(n)
	switch rule {
	case "anyOf", "oneOf", "not":
		return value + " has none of the forms allowed here"
	case "type":
		var want []string
		for _, t := range texts(limit) {
			want = append(want, kinds[t])
		}
		text := fmt.Sprintf("%s should be %s", value, strings.Join(want, " or "))
		if k := kindOf(n); n.Kind == yaml.ScalarNode && (k == "number" || k == "true-or-false value") && slices.Contains(want, "text") {
			text += "; put it in quotes"
		}
		return text
	case "minimum":
		return fmt.Sprintf("%s is too small: at least %v", n.Value, limit)
	case "exclusiveMinimum":
		return fmt.Sprintf("%s is too small: more than %v", n.Value, limit)
	case "maximum":
		return fmt.Sprintf("%s is too large: at most %v", n.Value, limit)
	case "exclusiveMaximum":
		return fmt.Sprintf("%s is too large: less than %v", n.Value, limit)
	case "minItems":
		return fmt.Sprintf("%d items are too few: at least %v", len(n.Content), limit)
	case "maxItems":
		return fmt.Sprintf("%d items are too many: at most %v", len(n.Content), limit)
	case "minLength":
		return "an empty text is not allowed"
	case "pattern":
		return fmt.Sprintf("%s does not have the form asked for (%v)", value, limit)
	}
	return value + " " + message
}

// broken looks up the rule that a cause broke: its keyword, the schema object
// that holds it, and what the keyword says there.
func broken(e *jsonschema.ValidationError) (rule string, owner map[string]any, limit any) {
	file, pointer, _ := strings.Cut(e.AbsoluteKeywordLocation, "#")
	rule = path.Base(pointer)
	text, err := files.ReadFile(path.Base(file))
	if err != nil {
		return rule, nil, nil
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	var node any
	if dec.Decode(&node) != nil {
		return rule, nil, nil
	}
	for _, step := range strings.Split(strings.Trim(path.Dir(pointer), "/"), "/") {
		step = strings.NewReplacer("~1", "/", "~0", "~").Replace(step)
		switch t := node.(type) {
		case map[string]any:
			if step != "" && step != "." {
				node = t[step]
			}
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i >= len(t) {
				return rule, nil, nil
			}
			node = t[i]
		}
	}
	owner, _ = node.(map[string]any)
	return rule, owner, owner[rule]
}

// texts reads a word or a list of words of a schema; null is "".
func texts(v any) []string {
	switch t := v.(type) {
	case nil:
		return []string{""}
	case []any:
		var out []string
		for _, one := range t {
			out = append(out, texts(one)...)
		}
		return out
	}
	return []string{fmt.Sprint(v)}
}

func keysOf(v any) []string {
	m, _ := v.(map[string]any)
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

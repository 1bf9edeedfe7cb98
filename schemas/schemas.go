// Package schemas is the only door for YAML, JSON and the schemas that
// describe them: it validates an authored file, decodes it strictly and knows
// the line and column of every value. JSON is read as the YAML it is.
package schemas

import (
	"bytes"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"path"
	"strconv"
	"strings"
	"sync"

	"github.com/santhosh-tekuri/jsonschema/v5"
	"go.yaml.in/yaml/v3"

	"tallywire/model/finding"
)

//go:embed *.schema.json
var files embed.FS

// Fault is one thing wrong with an authored file.
type Fault struct {
	Where   finding.Where
	Message string // what is wrong and what is allowed
	Nearest string // the nearest good word, "" none
}

// Faults is the error of a file that cannot be read or breaks its schema.
type Faults []Fault

// Error prints one line a fault: file:line:column: message; did you mean …?
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, one := range f {
		lines[i] = one.Where.String() + ": " + one.Message
		if one.Nearest != "" {
			lines[i] += fmt.Sprintf("; did you mean %q?", one.Nearest)
		}
	}
	return strings.Join(lines, "\n")
}

// Document is a parsed file whose values keep their places.
type Document struct {
	File string
	root *yaml.Node
}

// Parse reads YAML or JSON: one document, in UTF-8, whose keys stand once each.
// Aliases and merges (<<) are followed. What cannot be read comes back as Faults.
func Parse(file string, data []byte) (*Document, error) {
	if f, bad := notText(file, data); bad {
		return nil, Faults{f}
	}
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, second yaml.Node
	if err := dec.Decode(&doc); err != nil && err != io.EOF {
		return nil, Faults{syntaxFault(file, data, err)}
	}
	d := &Document{File: file, root: &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Line: 1, Column: 1}}
	if len(doc.Content) > 0 && doc.Content[0].Tag != "!!null" {
		d.root = doc.Content[0]
	}
	switch err := dec.Decode(&second); {
	case err == nil:
		return nil, Faults{{Where: d.at(&second), Message: "a second document begins here (---); one file holds one"}}
	case err != io.EOF:
		return nil, Faults{syntaxFault(file, data, err)}
	}
	if f := d.duplicateKeys(d.root); len(f) > 0 {
		return nil, f
	}
	if f := d.follow(); len(f) > 0 {
		return nil, f
	}
	return d, nil
}

// duplicateKeys refuses a key that stands twice in one mapping, and a key that
// is no word.
func (d *Document) duplicateKeys(n *yaml.Node) Faults {
	var out Faults
	if n.Kind == yaml.MappingNode {
		first := map[string]int{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			k := n.Content[i]
			if k.Kind != yaml.ScalarNode {
				out = append(out, Fault{Where: d.at(k), Message: "a key must be a word or a number, not a list or a group of keys"})
				continue
			}
			if line, dup := first[k.Value]; dup {
				out = append(out, Fault{Where: d.at(k), Message: fmt.Sprintf("%q stands here a second time (first on line %d)", k.Value, line)})
			}
			first[k.Value] = k.Line
		}
	}
	for _, c := range n.Content {
		out = append(out, d.duplicateKeys(c)...)
	}
	return out
}

func (d *Document) at(n *yaml.Node) finding.Where {
	return finding.Where{File: d.File, Line: n.Line, Column: n.Column}
}

// Where returns the place of the value at a path of keys and indices ("0");
// the nearest parent that exists if the value itself does not.
func (d *Document) Where(path ...string) finding.Where {
	n := d.root
	for _, step := range path {
		next := child(n, step)
		if next == nil {
			break
		}
		n = next
	}
	return d.at(n)
}

func child(n *yaml.Node, step string) *yaml.Node {
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			if n.Content[i].Value == step {
				return n.Content[i+1]
			}
		}
	case yaml.SequenceNode:
		if i, err := strconv.Atoi(step); err == nil && i >= 0 && i < len(n.Content) {
			return n.Content[i]
		}
	}
	return nil
}

// key returns the key node of a mapping, for faults about the key itself.
func key(n *yaml.Node, name string) *yaml.Node {
	for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == name {
			return n.Content[i]
		}
	}
	return n
}

// Into decodes the document into a Go value by its json tags; a key without a
// field is a fault.
func (d *Document) Into(v any) error {
	value, faults := d.plain(d.root)
	if len(faults) > 0 {
		return faults
	}
	text, err := json.Marshal(value)
	if err != nil {
		return Faults{{Where: finding.Where{File: d.File}, Message: err.Error()}}
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		return Faults{d.misfit(err, v)}
	}
	return nil
}

// Keys lists the keys of the mapping at a path in the order written.
func (d *Document) Keys(path ...string) []string {
	n := d.root
	for _, step := range path {
		if n = child(n, step); n == nil {
			return nil
		}
	}
	var out []string
	for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
		out = append(out, n.Content[i].Value)
	}
	return out
}

// Read parses, validates against the schema of that name ("project") and
// decodes a file.
func Read(schema, file string, data []byte, into any) (*Document, error) {
	d, err := Parse(file, data)
	if err != nil {
		return nil, err
	}
	if err := d.Validate(schema); err != nil {
		return d, err
	}
	return d, d.Into(into)
}

// Validate holds the document against a schema of this folder.
func (d *Document) Validate(schema string) error {
	s, err := compiled(schema)
	if err != nil {
		return err
	}
	value, faults := d.plain(d.root)
	if len(faults) > 0 {
		return faults
	}
	err = s.Validate(value)
	var broken *jsonschema.ValidationError
	if !errors.As(err, &broken) {
		return err
	}
	return d.faults(broken)
}

// ValidateJSON holds a JSON document of our own making against a schema. A
// document that holds is not read for its places, which takes long.
func ValidateJSON(schema string, data []byte) error {
	s, err := compiled(schema)
	if err != nil {
		return err
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var value any
	if dec.Decode(&value) == nil && !dec.More() && s.Validate(value) == nil {
		return nil
	}
	d, err := Parse(schema+".json", data)
	if err != nil {
		return err
	}
	return d.Validate(schema)
}

// plain turns nodes into what the validator works on.
func (d *Document) plain(n *yaml.Node) (any, Faults) {
	switch n.Kind {
	case yaml.MappingNode:
		out := map[string]any{}
		var faults Faults
		for i := 0; i+1 < len(n.Content); i += 2 {
			v, f := d.plain(n.Content[i+1])
			out[n.Content[i].Value], faults = v, append(faults, f...)
		}
		return out, faults
	case yaml.SequenceNode:
		out := make([]any, 0, len(n.Content))
		var faults Faults
		for _, c := range n.Content {
			v, f := d.plain(c)
			out, faults = append(out, v), append(faults, f...)
		}
		return out, faults
	}
	return d.scalar(n)
}

// mostDigits is how long a number may be that is kept as written. Exact
// arithmetic on longer ones, or on large exponents, has no end.
const mostDigits = 40

func (d *Document) scalar(n *yaml.Node) (any, Faults) {
	if n.Tag == "!!timestamp" { // a date is text to us
		return n.Value, nil
	}
	if t := n.ShortTag(); (t == "!!int" || t == "!!float") && len(n.Value) <= mostDigits && !strings.ContainsAny(n.Value, "eE") && json.Valid([]byte(n.Value)) {
		return json.Number(n.Value), nil // as written: issue 1.10 is not issue 1.1
	}
	var v any
	if err := n.Decode(&v); err != nil {
		return nil, Faults{{Where: d.at(n), Message: strings.TrimPrefix(err.Error(), "yaml: ")}}
	}
	switch t := v.(type) {
	case int:
		return json.Number(strconv.Itoa(t)), nil
	case int64, uint64:
		return json.Number(fmt.Sprint(t)), nil
	case float64:
		if math.IsNaN(t) || math.IsInf(t, 0) {
			return nil, Faults{{Where: d.at(n), Message: n.Value + " is not a number that can be used"}}
		}
		return json.Number(strconv.FormatFloat(t, 'g', -1, 64)), nil
	}
	return v, nil
}

var (
	compileOnce sync.Mutex
	compiledBy  = map[string]*jsonschema.Schema{}
)

// compiled returns a schema, compiled once. Schemas may refer to each other by
// file name.
func compiled(name string) (*jsonschema.Schema, error) {
	compileOnce.Lock()
	defer compileOnce.Unlock()
	if s, ok := compiledBy[name]; ok {
		return s, nil
	}
	c := jsonschema.NewCompiler()
	c.ExtractAnnotations = false
	c.LoadURL = nil
	names, err := fs.Glob(files, "*.schema.json")
	if err != nil {
		return nil, err
	}
	for _, file := range names {
		text, err := files.ReadFile(file)
		if err != nil {
			return nil, err
		}
		if err := c.AddResource(file, bytes.NewReader(text)); err != nil {
			return nil, fmt.Errorf("schema %s: %w", file, err)
		}
	}
	s, err := c.Compile(name + ".schema.json")
	if err != nil {
		return nil, fmt.Errorf("schema %s: %w", name, err)
	}
	compiledBy[name] = s
	return s, nil
}

// Names lists the schemas.
func Names() []string {
	names, _ := fs.Glob(files, "*.schema.json") // the pattern is constant and good
	for i, n := range names {
		names[i] = strings.TrimSuffix(path.Base(n), ".schema.json")
	}
	return names
}

// Text returns the value at a path as YAML, the way the author wrote it.
func (d *Document) Text(path ...string) string {
	n := d.root
	for _, step := range path {
		if n = child(n, step); n == nil {
			return ""
		}
	}
	text, err := yaml.Marshal(n)
	if err != nil {
		return ""
	}
	return string(text)
}

// Scalar returns the text of the value at a path, "" if it is none.
func (d *Document) Scalar(path ...string) string {
	n := d.root
	for _, step := range path {
		if n = child(n, step); n == nil {
			return ""
		}
	}
	if n.Kind != yaml.ScalarNode {
		return ""
	}
	return n.Value
}

// Len returns how many items the list at a path has.
func (d *Document) Len(path ...string) int {
	n := d.root
	for _, step := range path {
		if n = child(n, step); n == nil {
			return 0
		}
	}
	if n.Kind != yaml.SequenceNode {
		return 0
	}
	return len(n.Content)
}

package schemas_test

import (
	"bytes"
	"cmp"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/exchange"
	"tallywire/points/library"
	"tallywire/schemas"
)

var update = flag.Bool("update", false, "write the schemas of the plan and of the answers anew from the Go types")

// generated are the schemas that follow from Go types: the name of the file,
// what it is, and a value of the type. The answers may be an error instead.
var generated = []struct {
	name, title string
	value       any
}{
	{"plan", "Plan: everything that follows from a project; unknown is null, never absent", model.Plan{}},
	{"check", "Answer of check --json", model.CheckAnswer{}},
	{"count", "Answer of count --json", model.CountAnswer{}},
	{"crosscheck", "Answer of crosscheck --json", model.CrosscheckAnswer{}},
	{"compare", "Answer of compare --json", model.CompareAnswer{}},
	{"library", "Answer of library --json", library.Answer{}},
}

// words are the values that a field may take, by type and JSON name; "" is
// null. A field that is not here takes any text.
var words = map[string][]string{
	"Settings.units":                {"ip", "si", ""},
	"Equipment.bid":                 {model.Base, model.Alternate, model.Existing, ""},
	"Point.bid":                     {model.Base, model.Alternate, model.Existing, ""},
	"Point.carried":                 {model.Hardwired, model.Software, model.Network, ""},
	"Point.polarity":                {"normal", "reverse", ""},
	"Point.contact_sense":           {"normally-open", "normally-closed", ""},
	"Point.need":                    {"required", "by-application", "optional", ""},
	"Circuit.verdict":               {"pass", "caution", "unknown", "fault", ""}, // null: a circuit of a fix, not checked on its own
	"Check.verdict":                 {"pass", "caution", "unknown", "fault"},
	"Finding.severity":              {"fault", "caution", "note"},
	"Difference.severity":           {"fault", "caution", "note"},
	"Ratings.pressure_kind":         {"total", "static", "external-static", ""},
	"Supply.current":                {"ac", "dc", ""},
	"Damper.ac":                     {"ac", "dc", ""},
	"FireSettings.override_current": {"ac", "dc", ""},
}

// never are the texts that are never null.
var never = map[string]bool{
	"Equipment.tag": true, "Point.key": true, "Point.equipment": true, "Point.role": true, "Alarm.id": true, "Circuit.id": true,
	"Device.id": true, "Finding.code": true, "Finding.message": true, "Check.code": true, "Landing.point": true,
	"Controller.id": true, "Input.file": true, "Difference.code": true, "ErrorText.message": true,
	"Entry.subject": true, "Entry.id": true,
}

// least are keys that a map of counts always has.
var least = map[string][]string{
	"ClassCounts.hardwired": {"AI", "AO", "BI", "BO", "MSI", "MSO"},
	"ClassCounts.software":  {"AV", "BV", "MSV"},
}

// object keeps its keys in the order given, so that the file reads like the type.
type object []member

type member struct {
	key   string
	value any
}

func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := json.Marshal(m.key)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(m.value)
		if err != nil {
			return nil, err
		}
		b.Write(key)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// generator collects the definitions of the struct types it meets.
type generator struct {
	t           *testing.T
	objectTypes []string
	done        map[string]object
	used        map[string]bool // entries of the tables above that some field used
}

var intervalType = reflect.TypeOf(model.Interval{})

func (g *generator) of(t reflect.Type, at string) any {
	switch {
	case t == intervalType:
		g.done["Interval"] = object{{"description", "a number, or [low, high]"}, {"anyOf", []any{object{{"type", "number"}},
			object{{"type", "array"}, {"items", object{{"type", "number"}}}, {"minItems", 2}, {"maxItems", 2}}}}}
		return object{{"$ref", "#/definitions/Interval"}}
	case t.Kind() == reflect.Pointer:
		return object{{"anyOf", []any{object{{"type", "null"}}, g.of(t.Elem(), at)}}}
	}
	switch t.Kind() {
	case reflect.String:
		return g.text(at)
	case reflect.Bool:
		return object{{"type", "boolean"}}
	case reflect.Int, reflect.Int64:
		return object{{"type", "integer"}}
	case reflect.Float64:
		return object{{"type", "number"}}
	case reflect.Slice:
		return object{{"type", "array"}, {"items", g.of(t.Elem(), at)}}
	case reflect.Map:
		out := object{{"type", "object"}, {"additionalProperties", g.of(t.Elem(), at)}}
		if keys := least[at]; keys != nil {
			g.used[at] = true
			out = append(out, member{"required", keys})
		}
		return out
	case reflect.Struct:
		g.structure(t)
		return object{{"$ref", "#/definitions/" + t.Name()}}
	}
	g.t.Fatalf("%s: the schema has no form for %s", at, t)
	return nil
}

func (g *generator) text(at string) object {
	allowed := words[at]
	if allowed == nil && at == "Point.object_type" {
		allowed = g.objectTypes
	}
	if allowed != nil {
		g.used[at] = true
		values := make([]any, len(allowed))
		for i, w := range allowed {
			if w != "" {
				values[i] = w
			}
		}
		return object{{"enum", values}}
	}
	if never[at] {
		g.used[at] = true
		return object{{"type", "string"}, {"minLength", 1}}
	}
	return object{{"type", []string{"string", "null"}}, {"minLength", 1}}
}

func (g *generator) structure(t reflect.Type) {
	if t.Name() == "" {
		g.t.Fatalf("a struct without a name cannot stand in the schema: %s", t)
	}
	if _, known := g.done[t.Name()]; known {
		return
	}
	g.done[t.Name()] = nil
	var names []string
	properties := object{}
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || !f.IsExported() {
			continue
		}
		if name == "" {
			g.t.Errorf("%s.%s has no json tag", t, f.Name)
		}
		names = append(names, name)
		properties = append(properties, member{name, g.of(f.Type, t.Name()+"."+name)})
	}
	g.done[t.Name()] = object{{"type", "object"}, {"additionalProperties", false}, {"required", names}, {"properties", properties}}
}

// schema returns the schema of a type as text.
func schema(t *testing.T, lib *library.Library, name, title string, value any, used map[string]bool) []byte {
	t.Helper()
	g := &generator{t: t, done: map[string]object{}, used: used}
	for _, one := range lib.Objects.Types() {
		g.objectTypes = append(g.objectTypes, one.ID)
	}
	g.objectTypes = append(g.objectTypes, "") // not known
	root := g.of(reflect.TypeOf(value), name)
	top := object{{"$schema", "http://json-schema.org/draft-07/schema#"}, {"title", title}}
	if name == "plan" {
		top = append(top, member{"allOf", []any{root}}) // beside $ref draft-07 reads nothing else
	} else {
		g.of(reflect.TypeOf(model.ErrorAnswer{}), name)
		top = append(top, member{"if", object{{"required", []string{"error"}}}},
			member{"then", object{{"$ref", "#/definitions/ErrorAnswer"}}}, member{"else", root})
	}
	definitions := object{}
	for n, d := range g.done {
		definitions = append(definitions, member{n, d})
	}
	slices.SortFunc(definitions, func(a, b member) int { return cmp.Compare(a.key, b.key) })
	raw, err := json.Marshal(append(top, member{"definitions", definitions}))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := json.Indent(&out, raw, "", " "); err != nil {
		t.Fatal(err)
	}
	out.WriteByte('\n')
	return out.Bytes()
}

// TestGeneratedSchemas: the schemas of the plan and of the answers are what
// the Go types say; go test ./schemas -run TestGeneratedSchemas -update writes
// them anew.
func TestGeneratedSchemas(t *testing.T) {
	lib, err := library.Load(nil)
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, one := range generated {
		file := one.name + ".schema.json"
		want := schema(t, lib, one.name, one.title, one.value, used)
		if *update {
			if err := os.WriteFile(file, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s does not say what the Go types say; run: go test ./schemas -run TestGeneratedSchemas -update", file)
		}
	}
	for _, entries := range []map[string]bool{keys(words), never, keys(least)} {
		for at := range entries {
			if !used[at] {
				t.Errorf("the tables of this test name %s, which no type has", at)
			}
		}
	}
}

func keys(m map[string][]string) map[string]bool {
	out := map[string]bool{}
	for k := range m {
		out[k] = true
	}
	return out
}

// fill sets every field that a value has, so that a document made of it holds
// every key of its schema. Text of a field with a closed list is its first word.
func fill(v reflect.Value, at string, deep int) {
	switch v.Kind() {
	case reflect.Pointer:
		if deep > 8 {
			return
		}
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), at, deep+1)
	case reflect.String:
		switch {
		case at == "Point.object_type":
			v.SetString(model.BinaryOutput)
		case words[at] != nil:
			v.SetString(words[at][0])
		default:
			v.SetString("x")
		}
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(1)
	case reflect.Float64:
		v.SetFloat(1.5)
	case reflect.Slice:
		if deep > 8 {
			return
		}
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(v.Index(0), at, deep+1)
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		names := []string{"x"}
		if least[at] != nil {
			names = least[at]
		}
		for _, name := range names {
			value := reflect.New(v.Type().Elem()).Elem()
			fill(value, at, deep+1)
			v.SetMapIndex(reflect.ValueOf(name), value)
		}
	case reflect.Struct:
		if v.Type() == intervalType {
			v.Set(reflect.ValueOf(model.Interval{Lo: 1, Hi: 2}))
			return
		}
		for i := range v.NumField() {
			name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
			if name != "-" && v.Field(i).CanSet() {
				fill(v.Field(i), v.Type().Name()+"."+name, deep+1)
			}
		}
	}
}

// filled returns a value of the type with every field set.
func filled(value any) any {
	v := reflect.New(reflect.TypeOf(value)).Elem()
	fill(v, "", 0)
	return v.Interface()
}

// TestFilledDocumentsFollowTheirSchemas: a document with every key, one with
// none set, and an error, as the renderer writes them.
func TestFilledDocumentsFollowTheirSchemas(t *testing.T) {
	for _, one := range generated {
		text, err := exchange.Marshal(filled(one.value))
		if err != nil {
			t.Fatal(err)
		}
		if err := schemas.ValidateJSON(one.name, text); err != nil {
			t.Errorf("filled %s: %v", one.name, err)
		}
		if one.name == "plan" {
			continue
		}
		text, err = exchange.Marshal(model.ErrorAnswer{Error: model.ErrorText{Message: "no such file", Exit: 2,
			Faults: []model.ErrorFault{{Where: &finding.Where{File: "project.yaml", Line: 3}, Message: "x"}}}})
		if err != nil {
			t.Fatal(err)
		}
		if err := schemas.ValidateJSON(one.name, text); err != nil {
			t.Errorf("error of %s: %v", one.name, err)
		}
	}
}

// TestEmptyPlanFollowsItsSchema: a plan of nothing has every key.
func TestEmptyPlanFollowsItsSchema(t *testing.T) {
	plan := model.Plan{SchemaVersion: model.SchemaVersion}
	plan.Counts.ByType = model.ClassCounts{
		Hardwired: model.TypeCounts{"AI": 0, "AO": 0, "BI": 0, "BO": 0, "MSI": 0, "MSO": 0},
		Software:  model.TypeCounts{"AV": 0, "BV": 0, "MSV": 0}}
	text, err := exchange.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	if err := schemas.ValidateJSON("plan", text); err != nil {
		t.Error(err)
	}
}

// TestPlanSchemaIsStrict takes a whole plan and spoils it in one place each.
func TestPlanSchemaIsStrict(t *testing.T) {
	text, err := exchange.Marshal(filled(model.Plan{}))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, says string }{
		{`"object_type": "binary-output"`, `"object_type": "binary-outptu"`, `did you mean "binary-output"`},
		{`"carried": "hardwired"`, `"carried": "by hand"`, "carried"},
		{`"severity": "fault"`, `"severity": "bad"`, "severity"},
		{`"verdict": "pass"`, `"verdict": "good"`, "verdict"},
		{`"bid": "base"`, `"bid": "bas"`, `did you mean "base"`},
		{`"contact_sense": `, `"contact_sence": `, `did you mean "contact_sense"`},
		{`"key": "x"`, `"key": null`, "key"},
		{`"schema_version": 1,`, ``, "schema_version"},
		{`"MSO": 1`, `"XSO": 1`, "MSO"},
	} {
		spoilt := strings.Replace(string(text), c.from, c.to, 1)
		if spoilt == string(text) {
			t.Errorf("the plan does not hold %s", c.from)
		}
		err := schemas.ValidateJSON("plan", []byte(spoilt))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s for %s: %v", c.to, c.from, err)
		}
	}
}

// TestSettingsSchemaNamesEveryField: what the settings hold can be written in
// a project file, and nothing else.
func TestSettingsSchemaNamesEveryField(t *testing.T) {
	text, err := os.ReadFile("settings.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var root map[string]any
	if err := json.Unmarshal(text, &root); err != nil {
		t.Fatal(err)
	}
	sameKeys(t, "settings", reflect.TypeOf(model.Settings{}), root)
}

func sameKeys(t *testing.T, at string, typ reflect.Type, node map[string]any) {
	properties, _ := node["properties"].(map[string]any)
	seen := map[string]bool{}
	for i := range typ.NumField() {
		name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
		seen[name] = true
		child, ok := properties[name].(map[string]any)
		if !ok {
			t.Errorf("%s.%s cannot be written: settings.schema.json lacks it", at, name)
			continue
		}
		if f := typ.Field(i).Type; f.Kind() == reflect.Struct && f != intervalType {
			sameKeys(t, at+"."+name, f, child)
		}
	}
	for name := range properties {
		if !seen[name] {
			t.Errorf("settings.schema.json has %s.%s, which no setting takes", at, name)
		}
	}
}

// TestSamplePlansFollowTheSchema holds the plans that the samples must give.
func TestSamplePlansFollowTheSchema(t *testing.T) {
	names, err := filepath.Glob("../samples/*/want/plan.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := schemas.ValidateJSON("plan", text); err != nil {
			t.Errorf("%s: %.1000v", name, err)
		}
	}
}

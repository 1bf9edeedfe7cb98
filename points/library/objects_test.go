package library

import (
	"slices"
	"testing"
)

func objectsAndUnits(t *testing.T) (*Objects, *Units) {
	t.Helper()
	l := &Library{}
	if err := l.readObjects(nil); err != nil {
		t.Fatal(err)
	}
	if err := l.readUnits(nil); err != nil {
		t.Fatal(err)
	}
	return l.Objects, l.Units
}

// TestObjectTypesOfFans holds the object types that fan points use against
// ASHRAE 135, clauses 12 and 21: number, abbreviation, datatype, commands,
// algorithm.
func TestObjectTypesOfFans(t *testing.T) {
	o, _ := objectsAndUnits(t)
	for _, want := range []ObjectType{
		{0, "analog-input", "AI", "real", "no", "out-of-range", ""},
		{1, "analog-output", "AO", "real", "always", "out-of-range", ""},
		{2, "analog-value", "AV", "real", "optional", "out-of-range", ""},
		{3, "binary-input", "BI", "binary", "no", "change-of-state", ""},
		{4, "binary-output", "BO", "binary", "always", "command-failure", ""},
		{5, "binary-value", "BV", "binary", "optional", "change-of-state", ""},
		{8, "device", "DEV", "", "no", "none", ""},
		{13, "multi-state-input", "MSI", "unsigned", "no", "change-of-state", ""},
		{14, "multi-state-output", "MSO", "unsigned", "always", "command-failure", ""},
		{19, "multi-state-value", "MSV", "unsigned", "optional", "change-of-state", ""},
		{20, "trend-log", "TL", "", "no", "buffer-ready", ""},
		{23, "accumulator", "ACC", "unsigned", "no", "unsigned-range", ""},
	} {
		got, ok := o.Type(want.ID)
		source := got.Source
		got.Source = ""
		if !ok || got != want || source == "" {
			t.Errorf("%s: %+v, source %q", want.ID, got, source)
		}
		byNumber, _ := o.TypeNumber(want.Number)
		byShort, _ := o.TypeAbbreviated(want.Abbreviation)
		if byNumber.ID != want.ID || byShort.ID != want.ID {
			t.Errorf("%s: number gives %q, abbreviation gives %q", want.ID, byNumber.ID, byShort.ID)
		}
	}
	if n := len(o.Types()); n != 65 {
		t.Errorf("%d object types; the standard defines 0 to 64", n)
	}
	if _, ok := o.TypeAbbreviated(""); ok {
		t.Error("an empty abbreviation names a type")
	}
	for i, one := range o.Types() {
		if one.Number != i {
			t.Errorf("type %d stands at %d", one.Number, i)
		}
	}
}

// TestRequiredProperties holds the required rows against ASHRAE 135, clause 12.
func TestRequiredProperties(t *testing.T) {
	o, _ := objectsAndUnits(t)
	always := []string{"object-identifier", "object-name", "object-type", "present-value", "status-flags", "event-state", "out-of-service", "property-list"}
	command := []string{"priority-array", "relinquish-default", "current-command-priority"}
	for _, c := range []struct {
		object string
		more   []string
	}{
		{"analog-input", []string{"units"}}, {"analog-output", append([]string{"units"}, command...)}, {"analog-value", []string{"units"}},
		{"binary-input", []string{"polarity"}}, {"binary-output", append([]string{"polarity"}, command...)}, {"binary-value", nil},
		{"multi-state-input", []string{"number-of-states"}}, {"multi-state-output", append([]string{"number-of-states"}, command...)},
	} {
		var got []string
		for _, p := range o.Properties(c.object) {
			if p.Conformance != "O" {
				got = append(got, p.Name)
			}
		}
		want := slices.Concat(always, c.more)
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s requires %v, want %v", c.object, got, want)
		}
	}
	if p, ok := o.Property("binary-output", "feedback-value"); !ok || p.Number != 40 || p.Condition != "intrinsic" {
		t.Errorf("feedback-value of a binary output: %+v", p)
	}
	if _, ok := o.Property("binary-input", "units"); ok {
		t.Error("a binary input has no units")
	}
}

// TestPropertyNumbersAreOne: a property has one number whatever the object.
func TestPropertyNumbersAreOne(t *testing.T) {
	o, _ := objectsAndUnits(t)
	numbers, names := map[string]int{}, map[int]string{}
	for _, typ := range o.Types() {
		for _, p := range o.Properties(typ.ID) {
			if n, seen := numbers[p.Name]; seen && n != p.Number {
				t.Errorf("%s is %d and %d", p.Name, n, p.Number)
			}
			if s, seen := names[p.Number]; seen && s != p.Name {
				t.Errorf("%d is %s and %s", p.Number, s, p.Name)
			}
			numbers[p.Name], names[p.Number] = p.Number, p.Name
		}
	}
	if len(numbers) < 200 {
		t.Errorf("only %d properties", len(numbers))
	}
}

func TestPriorities(t *testing.T) {
	o, _ := objectsAndUnits(t)
	for priority, want := range map[int]int{0: 1, 63: 1, 64: 2, 127: 2, 128: 3, 191: 3, 192: 4, 255: 4} {
		if g, ok := o.EventGroup(priority); !ok || g.Level != want {
			t.Errorf("event priority %d has level %d, want %d", priority, g.Level, want)
		}
	}
	for _, outside := range []int{-1, 256} {
		if _, ok := o.EventGroup(outside); ok {
			t.Errorf("event priority %d lies in a group", outside)
		}
	}
	for level, want := range map[int][2]int{1: {0, 63}, 2: {64, 127}, 3: {128, 191}, 4: {192, 255}} {
		if from, to, ok := o.LevelPriorities(level); !ok || from != want[0] || to != want[1] {
			t.Errorf("level %d has %d to %d, want %v", level, from, to, want)
		}
	}
	if _, _, ok := o.LevelPriorities(5); ok {
		t.Error("there is no level 5")
	}
	for n, want := range map[int]string{1: "manual-life-safety", 2: "automatic-life-safety", 5: "critical-equipment-control", 6: "minimum-on-off", 8: "manual-operator", 16: "available"} {
		if s, ok := o.Slot(n); !ok || s.ID != want {
			t.Errorf("command priority %d is %q, want %q", n, s.ID, want)
		}
	}
	if len(o.Slots()) != 16 {
		t.Errorf("%d command priorities", len(o.Slots()))
	}
}

// TestUnits holds the units of fan points against ASHRAE 135, clause 21.
func TestUnits(t *testing.T) {
	_, u := objectsAndUnits(t)
	for name, want := range map[string]int{
		"percent": 98, "degrees-fahrenheit": 64, "degrees-celsius": 62, "delta-degrees-fahrenheit": 120, "hertz": 27,
		"revolutions-per-minute": 104, "inches-of-water": 58, "pascals": 53, "cubic-feet-per-minute": 84, "liters-per-second": 87,
		"cubic-meters-per-hour": 135, "feet-per-minute": 77, "parts-per-million": 96, "amperes": 3, "milliamperes": 2, "volts": 5,
		"kilowatts": 48, "kilowatt-hours": 19, "seconds": 73, "minutes": 72, "hours": 71, "percent-relative-humidity": 29,
		"btus-per-pound-dry-air": 24, "btus-per-pound": 117, "no-units": 95, "per-hour": 131,
	} {
		one, ok := u.Named(name)
		if !ok || one.Number != want {
			t.Errorf("%s is %d, want %d", name, one.Number, want)
		}
		if back, ok := u.Numbered(want); !ok || back.ID != name {
			t.Errorf("%d is %q, want %q", want, back.ID, name)
		}
	}
	for written, want := range map[string]string{
		"98": "percent", " 84 ": "cubic-feet-per-minute", "degrees-kelvin": "kelvin", "Degrees Kelvin": "kelvin", "cfm": "cubic-feet-per-minute",
		"CFM": "cubic-feet-per-minute", "%": "percent", "liters_per_second": "liters-per-second", "L/s": "liters-per-second", "Pa": "pascals",
	} {
		if one, ok := u.Written(written); !ok || one.ID != want {
			t.Errorf("%q is read as %q, want %q", written, one.ID, want)
		}
	}
	for _, bad := range []string{"", "air-changes-per-hour", "47813", "-1", "furlong"} {
		if one, ok := u.Written(bad); ok {
			t.Errorf("%q is read as %s", bad, one.ID)
		}
	}
	for name, want := range map[string]string{"percent": "%", "no-units": "", "my-own": "my-own"} {
		if got := u.Symbol(name); got != want {
			t.Errorf("symbol of %s: %q, want %q", name, got, want)
		}
	}
	seen := map[int]bool{}
	for _, one := range u.All() {
		if seen[one.Number] {
			t.Errorf("unit %d stands twice", one.Number)
		}
		seen[one.Number] = true
	}
	if len(u.All()) < 400 {
		t.Errorf("only %d units", len(u.All()))
	}
}

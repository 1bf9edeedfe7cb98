package schemas

import (
	"encoding/json"
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
)

// ProjectFile is a project as authored: what model.Project holds, and the
// names of the files that it is to be read from.
type ProjectFile struct {
	Project model.Project
	Lists   []ListFile
	Against []ListFile
	// Existing are files that tell of points the building has.
	Existing []ListFile
	Library  []ListFile // Role is the subject
}

// ListFile names another file of the project, relative to the project file.
type ListFile struct {
	File, Sheet, Name, Issue, Role string
	Where                          model.Where
}

// projectForm is the file by its json tags.
type projectForm struct {
	Project struct {
		Name     string `json:"name"`
		Number   word   `json:"number"`
		Issue    word   `json:"issue"`
		Date     string `json:"date"`
		Author   string `json:"author"`
		Building string `json:"building"`
	} `json:"project"`
	Lists    []listForm `json:"lists"`
	Against  []listForm `json:"against"`
	Existing []listForm `json:"existing"`
	Library  []struct {
		Subject string `json:"subject"`
		File    string `json:"file"`
	} `json:"library"`
	Equipment map[string]map[string]any `json:"equipment"`
	Devices   []struct {
		ID        string           `json:"id"`
		Type      string           `json:"type"`
		Terminals []model.Terminal `json:"terminals"`
		Settings  map[string]any   `json:"settings"`
		Barrier   *bool            `json:"barrier"`
	} `json:"devices"`
	Circuits    []circuitForm           `json:"circuits"`
	Cables      []model.Cable           `json:"cables"`
	Interlocks  []model.Interlock       `json:"interlocks"`
	Panels      []model.Panel           `json:"panels"`
	Controllers []model.ControllerModel `json:"controllers"`
	Prices      map[string]word         `json:"prices"`
	Exceptions  []model.Exception       `json:"exceptions"`
	Settings    model.Settings          `json:"settings"`
}

type listForm struct {
	File  string `json:"file"`
	Sheet string `json:"sheet"`
	Name  string `json:"name"`
	Issue word   `json:"issue"`
	Role  string `json:"role"`
}

type circuitForm struct {
	ID         string   `json:"id"`
	Equipment  string   `json:"equipment"`
	Point      string   `json:"point"`
	Drive      string   `json:"drive"`
	Accepts    []string `json:"accepts"`
	Supply     string   `json:"supply"`
	Purpose    string   `json:"purpose"`
	Cable      string   `json:"cable"`
	LengthFt   *float64 `json:"length_ft"`
	GaugeAWG   int      `json:"gauge_awg"`
	Conductors int      `json:"conductors"`
	Stranded   bool     `json:"stranded"`
	Shielded   bool     `json:"shielded"`
	TempC      float64  `json:"temp_c"`
	Earths     *int     `json:"shield_earths"`
	Reversed   bool     `json:"reversed"`
	Across     []struct {
		At    string         `json:"at"`
		Ohm   model.Interval `json:"ohm"`
		Watts *float64       `json:"watts"`
	} `json:"across"`
	Trunk  *model.Trunk `json:"trunk"`
	Remove bool         `json:"remove"`
}

// word is text that people also write as a number: issue: 3.
type word string

func (w *word) UnmarshalJSON(b []byte) error {
	var s string
	if json.Unmarshal(b, &s) != nil {
		s = string(b)
	}
	*w = word(s)
	return nil
}

// ReadProject reads a project file. The error is Faults where the file is at
// fault, each with line and column.
func ReadProject(file string, data []byte) (*ProjectFile, error) {
	var form projectForm
	d, err := Read("project", file, data, &form)
	if err != nil {
		return nil, err
	}
	out := &ProjectFile{}
	p := &out.Project
	p.Name, p.Number, p.Issue = form.Project.Name, string(form.Project.Number), string(form.Project.Issue)
	p.Date, p.Author, p.Building = form.Project.Date, form.Project.Author, form.Project.Building
	p.Settings, p.Interlocks, p.Panels, p.Exceptions = form.Settings, form.Interlocks, form.Panels, form.Exceptions
	out.Lists = lists(d, "lists", form.Lists)
	out.Against = lists(d, "against", form.Against)
	out.Existing = lists(d, "existing", form.Existing)
	for i, l := range form.Library {
		out.Library = append(out.Library, ListFile{File: l.File, Role: l.Subject, Where: d.Where("library", strconv.Itoa(i), "subject")})
	}
	p.Overrides = overrides(d, form.Equipment)
	for i, one := range form.Devices {
		o := model.DeviceOverride{ID: one.ID, Type: one.Type, Terminals: one.Terminals, Barrier: one.Barrier, Where: place(d, "devices", i)}
		for _, name := range d.Keys("devices", strconv.Itoa(i), "settings") {
			o.Settings = append(o.Settings, model.Parameter{Name: name, Value: asTyped(one.Settings[name])})
		}
		p.Devices = append(p.Devices, o)
	}
	for i, one := range form.Circuits {
		p.Circuits = append(p.Circuits, model.CircuitOverride{Circuit: one.circuit(), Remove: one.Remove, Where: place(d, "circuits", i)})
	}
	p.Cables = form.Cables
	for i := range p.Interlocks {
		p.Interlocks[i].Where = place(d, "interlocks", i)
	}
	for i := range p.Panels {
		p.Panels[i].Where = place(d, "panels", i)
	}
	for i := range p.Exceptions {
		p.Exceptions[i].Where = place(d, "exceptions", i)
	}
	p.Controllers = form.Controllers
	for i := range p.Controllers {
		p.Controllers[i].Where = place(d, "controllers", i)
	}
	p.Prices, err = prices(d, form.Prices)
	return out, err
}

func place(d *Document, list string, i int) *model.Where {
	w := d.Where(list, strconv.Itoa(i))
	return &w
}

func lists(d *Document, name string, form []listForm) []ListFile {
	out := make([]ListFile, len(form))
	for i, l := range form {
		out[i] = ListFile{File: l.File, Sheet: l.Sheet, Name: l.Name, Issue: string(l.Issue), Role: l.Role, Where: d.Where(name, strconv.Itoa(i), "file")}
	}
	return out
}

// overrides keeps what was said of each tag in the order written, every value
// as text with its place, as if it stood in a column of that name.
func overrides(d *Document, form map[string]map[string]any) []model.EquipmentOverride {
	var out []model.EquipmentOverride
	for _, tag := range d.Keys("equipment") {
		w := d.Where("equipment", tag)
		o := model.EquipmentOverride{Tag: tag, Where: &w, Values: map[string]model.Text{}}
		for name, value := range form[tag] {
			at := d.Where("equipment", tag, name)
			switch name {
			case "add":
				o.Add = value == true
			case "remove":
				o.Remove = value == true
			default:
				o.Values[name] = model.Text{Text: asTyped(value), Where: &at}
			}
		}
		out = append(out, o)
	}
	return out
}

// asTyped prints a value the way a person would type it in a cell.
func asTyped(v any) string {
	switch t := v.(type) {
	case nil:
		return ""
	case string:
		return t
	case bool:
		if t {
			return "yes"
		}
		return "no"
	case float64:
		return strconv.FormatFloat(t, 'f', -1, 64)
	case []any:
		words := make([]string, len(t))
		for i, one := range t {
			words[i] = asTyped(one)
		}
		return strings.Join(words, ", ")
	}
	return fmt.Sprint(v)
}

func (c circuitForm) circuit() model.Circuit {
	out := model.Circuit{ID: c.ID, Equipment: c.Equipment, Point: c.Point, Purpose: c.Purpose, Cable: c.Cable, Drive: end(c.Drive),
		Conductor: model.Conductor{Gauge: c.GaugeAWG, LengthFt: c.LengthFt, Count: c.Conductors, Stranded: c.Stranded, Shielded: c.Shielded, TempC: c.TempC, ShieldEarths: c.Earths}, Trunk: c.Trunk}
	for _, a := range c.Accepts {
		e := end(a)
		e.Reversed = c.Reversed
		out.Accepts = append(out.Accepts, e)
	}
	for _, r := range c.Across {
		out.Across = append(out.Across, model.Resistor{At: end(r.At), Ohm: r.Ohm, Watts: r.Watts})
	}
	if c.Supply != "" {
		s := end(c.Supply)
		out.Supply = &s
	}
	return out
}

// end reads device:terminal; the device id may hold colons, a terminal id not.
func end(text string) model.End {
	i := strings.LastIndexByte(text, ':')
	if i < 0 {
		return model.End{}
	}
	return model.End{Device: text[:i], Terminal: text[i+1:]}
}

// amountForm is money as written, below a thousand million million.
var amountForm = regexp.MustCompile(`^[0-9]{1,15}(\.[0-9]{0,9})?$`)

// prices turns money as written into whole cents, exactly.
func prices(d *Document, form map[string]word) ([]model.Price, error) {
	var out []model.Price
	var faults Faults
	for _, item := range d.Keys("prices") {
		w := d.Where("prices", item)
		text := strings.TrimSpace(string(form[item]))
		amount, ok := new(big.Rat), false
		if amountForm.MatchString(text) { // exponents and fractions are no money, and may have no end
			amount, ok = amount.SetString(text)
		}
		if ok {
			amount.Mul(amount, big.NewRat(100, 1))
		}
		if !ok || !amount.IsInt() || amount.Sign() < 0 || !amount.Num().IsInt64() {
			faults = append(faults, Fault{Where: w, Message: fmt.Sprintf("prices.%s: %q is no amount of money: write it like 42 or 42.50", item, string(form[item]))})
			continue
		}
		out = append(out, model.Price{Item: item, Cents: amount.Num().Int64(), Where: &w})
	}
	if len(faults) > 0 {
		return nil, faults
	}
	slices.SortFunc(out, func(a, b model.Price) int { return strings.Compare(a.Item, b.Item) })
	return out, nil
}

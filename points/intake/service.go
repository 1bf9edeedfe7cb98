package intake

import (
	"fmt"
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"tallywire/model"
)

// serviceReading is what a cell about the electrical service was read as, with
// what else stood in the cell.
type serviceReading struct {
	value
	service *model.Service
	power   *model.Quantity // a motor size in the same cell
}

var (
	phaseSigns   = strings.NewReplacer("ø", "ph", "ɸ", "ph", "φ", "ph", "ϕ", "ph", "Ø", "ph", "Φ", "ph", "⌀", "ph", "∅", "ph")
	transformer  = regexp.MustCompile(`\d\s*k?v?\s+to\s+\d|\bxfmr\b|transformer`)
	powerInCell  = regexp.MustCompile(`(\d+[- ]\d+/\d+|\d+/\d+|\d*\.?\d+)\s*-?\s*(hp|kw)\b`)
	ampsLabelled = regexp.MustCompile(`\b(?:mca|mocp|mop|fla|rla|flc|fuse)\b\s*[:=]?\s*\d+(?:\.\d+)?\s*(?:a|amps?)?\b`)
	ampsInCell   = regexp.MustCompile(`\b\d+(?:\.\d+)?\s*(?:a|amps?)\b(?:\s*(?:mca|mocp|mop|fla|rla|flc)\b)?`)
	polesInCell  = regexp.MustCompile(`\b([1-4])\s*-?\s*(?:p|poles?)\b`)
	phaseAfter   = regexp.MustCompile(`\b([1-9])\s*-?\s*ph(?:ase|ases|\.)?(?:\b|_|[0-9]?)`)
	phaseBefore  = regexp.MustCompile(`\bph(?:ase)?\s*[:=]\s*([1-9])\b`)
	phaseWord    = regexp.MustCompile(`\b(single|one|two|three)[- ]?ph(?:ase)?\b`)
	hertzLabel   = regexp.MustCompile(`(\d{2,3})\s*-?\s*(?:hz|hertz|cycles?|cps|~)`)
	wiresInCell  = regexp.MustCompile(`\b([2-5])\s*-?\s*(?:w|wires?)\b`)
	delta        = regexp.MustCompile(`\bdelta\b|Δ|∆|\bd\b`)
	wye          = regexp.MustCompile(`\bwye\b|\bstar\b|\d\s*y\s*/?\s*\d`)
	highLeg      = regexp.MustCompile(`high[- ]?leg`)
	insideCode   = regexp.MustCompile(`(?:^|[-_ ])(\d{3})([-/])([13])[-/](50|60)(?:[-_ ]|$)`)
	voltToken    = regexp.MustCompile(`(\d+(?:\.\d+)?)\s*(k?v)?\s*(?:olts?|ac|dc)?\s*(ll|ln|l-l|l-n)?`)
)

var phaseWords = map[string]int{"single": 1, "one": 1, "two": 2, "three": 3}

// hiddenUnit is the square of a foot in metres: some drawing programs store a
// voltage multiplied by it and export that number.
const hiddenUnit = 0.3048 * 0.3048

// electrical reads voltage, phases, hertz and wires from one cell, in any
// order and with any separators. field is voltage, phases, hertz or service
// and says what a lone small number means.
func (r *reader) electrical(text, field string) serviceReading {
	clean, _ := stripMarks(phaseSigns.Replace(text))
	switch {
	case isEmpty(clean):
		return serviceReading{value: value{empty: true}}
	case isPending(clean):
		return serviceReading{value: value{pending: true}}
	}
	s := strings.ToLower(tidy(unwrap(clean)))
	if out, done := lone(s, field, text); done {
		return out
	}
	if transformer.MatchString(s) {
		return serviceReading{value: value{problem: "names a transformer, not the service of a machine"}}
	}
	out := serviceReading{service: &model.Service{Text: strings.TrimSpace(text)}}
	rest := r.takeLabelled(s, &out)
	groups, leftover := voltGroups(rest, out.service)
	if len(groups) == 0 && out.service.Phases == 0 && out.service.Hertz == 0 {
		if m := insideCode.FindStringSubmatch(s); m != nil {
			return powered(fromCode(m, text))
		}
		return serviceReading{value: value{problem: "holds no voltage that can be read"}, power: out.power}
	}
	if leftover != "" {
		if m := insideCode.FindStringSubmatch(s); m != nil {
			return powered(fromCode(m, text))
		}
		return serviceReading{value: value{problem: fmt.Sprintf("holds %q, which is no part of a service", leftover)}}
	}
	r.settle(groups, &out, s)
	if out.problem != "" {
		out.service = nil
	}
	return powered(out)
}

// powered refuses a service of no volts: 000/1/60 is a cell nobody filled.
func powered(out serviceReading) serviceReading {
	if out.service == nil {
		return out
	}
	for _, v := range out.service.Volts {
		if v.Lo <= 0 {
			return serviceReading{value: value{problem: "holds a voltage of 0"}, power: out.power}
		}
	}
	return out
}

// lone reads a cell that is a single number.
func lone(s, field, text string) (serviceReading, bool) {
	if n, ok := phaseWords[s]; ok && field == "phases" {
		return serviceReading{service: &model.Service{Phases: n, Text: strings.TrimSpace(text)}}, true
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return serviceReading{}, false
	}
	service := &model.Service{Text: strings.TrimSpace(text)}
	problem := func(format string, args ...any) (serviceReading, bool) {
		return serviceReading{value: value{problem: fmt.Sprintf(format, args...)}}, true
	}
	switch {
	case v == 0:
		return serviceReading{value: value{empty: true}}, true
	case field == "phases":
		if v != 1 && v != 2 && v != 3 {
			return problem("is no number of phases (1 or 3)")
		}
		service.Phases = int(v)
	case field == "hertz":
		if v != 50 && v != 60 {
			return problem("is no frequency of a supply (50 or 60 Hz)")
		}
		service.Hertz = v
	case v != math.Trunc(v) && nominal(math.Round(v/hiddenUnit)) && math.Abs(v/hiddenUnit-math.Round(v/hiddenUnit)) < 0.01:
		return problem("is %s V x 0.3048 x 0.3048: a drawing program's internal unit, not volts", model.Figure(math.Round(v/hiddenUnit)))
	case v < 12 || v > 40000 || v < 90 && !nominal(v):
		return problem("is no voltage of a supply")
	default:
		service.Volts = []model.Interval{model.Exactly(v)}
	}
	return serviceReading{service: service}, true
}

// nominal reports whether v is a nominal voltage in use.
func nominal(v float64) bool {
	switch v {
	case 24, 48, 100, 110, 115, 120, 125, 127, 200, 208, 220, 230, 240, 254, 265, 277, 300, 347, 380, 400, 415, 440, 460, 480, 575, 600, 690, 2400, 4160:
		return true
	}
	return false
}

// takeLabelled reads what carries its own label and returns the rest.
func (r *reader) takeLabelled(s string, out *serviceReading) string {
	if m := powerInCell.FindStringSubmatch(s); m != nil {
		if v, n := number(m[1]); n == len(m[1]) && v > 0 {
			unit := map[string]string{"hp": "hp", "kw": "kW"}[m[2]]
			out.power = &model.Quantity{Value: model.Exactly(v), Unit: unit, Text: strings.TrimSpace(m[0])}
		}
		s = strings.Replace(s, m[0], " ", 1)
	}
	s = ampsLabelled.ReplaceAllString(s, " ")
	s = ampsInCell.ReplaceAllString(s, " ")
	if highLeg.MatchString(s) {
		out.service.System = "high leg"
		s = highLeg.ReplaceAllString(s, " ")
	}
	if m := phaseWord.FindStringSubmatch(s); m != nil {
		out.service.Phases = phaseWords[m[1]]
		s = phaseWord.ReplaceAllString(s, " ")
	}
	for _, pattern := range []*regexp.Regexp{phaseAfter, phaseBefore} {
		for _, m := range pattern.FindAllStringSubmatch(s, -1) {
			if n := atoi(m[1]); out.service.Phases != 0 && out.service.Phases != n {
				out.problem = "names two numbers of phases"
			} else {
				out.service.Phases = n
			}
		}
		s = pattern.ReplaceAllString(s, " ")
	}
	if m := hertzLabel.FindStringSubmatch(s); m != nil {
		out.service.Hertz = float64(atoi(m[1]))
		s = hertzLabel.ReplaceAllString(s, " ")
	}
	if m := wiresInCell.FindStringSubmatch(s); m != nil {
		out.service.Wires = atoi(m[1])
		s = wiresInCell.ReplaceAllString(s, " ")
	}
	return polesInCell.ReplaceAllString(s, " ")
}

// voltage is one number of volts with how it is joined to the one before:
// "/", "-", "or", "," or "" at the start.
type voltage struct {
	volts float64
	join  string
}

// voltGroups reads the numbers that are left: volts, and behind them phases
// and hertz where these carry no label.
func voltGroups(s string, service *model.Service) (out []voltage, leftover string) {
	if wye.MatchString(s) {
		service.System = "wye"
		s = strings.NewReplacer("wye", " ", "star", " ", "y/", "/", "y", "/").Replace(s)
	} else if delta.MatchString(s) {
		service.System = "delta"
		s = delta.ReplaceAllString(s, " ")
	}
	s = strings.NewReplacer("vll", "v", "vln", "v", "l-l", "", "l-n", "", "volts", "v", "volt", "v", "vac", "v", "v.", "v", "ac", " ", "motor", " ", "fan", " ", "(", " ", ")", " ", "power", " ", "supply", " ").Replace(s)
	last := 0
	for _, at := range voltToken.FindAllStringSubmatchIndex(s, -1) {
		join := strings.TrimSpace(s[last:at[0]])
		number, err := strconv.ParseFloat(s[at[2]:at[3]], 64)
		if err != nil {
			return nil, s[at[2]:at[3]]
		}
		labelled := at[4] >= 0
		if labelled && s[at[4]:at[5]] == "kv" {
			number *= 1000
		}
		if word := strings.Trim(join, " -/,;:&|.@+"); word != "" && word != "or" {
			return out, word
		}
		switch {
		case !labelled && len(out) > 0 && service.Phases == 0 && (number == 1 || number == 2 || number == 3):
			service.Phases = int(number)
		case len(out) > 0 && service.Hertz == 0 && (number == 50 || number == 60): // 60 VAC at the end too
			service.Hertz = number
		case !labelled && len(out) > 0 && service.Phases != 0 && number == float64(service.Phases), !labelled && len(out) > 0 && service.Hertz != 0 && number == service.Hertz:
			// said twice, the same
		case number < 12 || number > 40000 || !labelled && !nominal(number) && number < 90:
			return out, s[at[0]:at[1]]
		default:
			out = append(out, voltage{number, joinOf(join, len(out) == 0)})
		}
		last = at[1]
	}
	if word := strings.Trim(s[last:], " -/,;:&|.@+"); word != "" && word != "or" {
		return out, word
	}
	return out, ""
}

func joinOf(between string, first bool) string {
	switch {
	case first:
		return ""
	case strings.Contains(between, "or"):
		return "or"
	case strings.Contains(between, "/"):
		return "/"
	case strings.Contains(between, "-"):
		return "-"
	}
	return ","
}

// fromCode takes the service out of an option code: 48-70-460-3-60-FS.
func fromCode(m []string, text string) serviceReading {
	hertz := float64(atoi(m[4]))
	return serviceReading{value: value{note: "taken out of an option code"},
		service: &model.Service{Volts: []model.Interval{model.Exactly(float64(atoi(m[1])))}, Phases: atoi(m[3]), Hertz: hertz, Text: strings.TrimSpace(text)}}
}

// settle decides what several voltages in one cell are: a range, the choices
// of a dual-rated nameplate, or the two voltages of one system.
func (r *reader) settle(list []voltage, out *serviceReading, s string) {
	service := out.service
	var systems []string
	for i := 0; i < len(list); i++ {
		v := list[i].volts
		if i+2 < len(list) && v == 240 && list[i+1].volts == 208 && list[i+2].volts == 120 {
			systems = append(systems, r.system(240, 120, service, true))
			service.Volts = append(service.Volts, model.Exactly(240))
			i += 2
			continue
		}
		if i+1 < len(list) && (list[i+1].join == "/" || list[i+1].join == "-") {
			w := list[i+1].volts
			lo, hi := math.Min(v, w), math.Max(v, w)
			switch name := r.system(hi, lo, service, false); {
			case name != "":
				systems = append(systems, name)
				service.Volts = append(service.Volts, systemVolts(hi, lo, service.Phases)...)
				i++
				continue
			case list[i+1].join == "-" && v < w && !near(w/v, 2, 0.03):
				service.Volts = append(service.Volts, model.Interval{Lo: v, Hi: w})
				i++
				continue
			}
		}
		service.Volts = append(service.Volts, model.Exactly(v))
	}
	r.nameSystem(systems, list, out, s)
	slicesUnique(&service.Volts)
}

func near(v, want, share float64) bool { return math.Abs(v-want) <= share*want }

// system returns the name of the nominal system with these two voltages, ""
// if there is none.
func (r *reader) system(lineLine, lineNeutral float64, service *model.Service, high bool) string {
	for _, one := range r.lib.Systems {
		if one.LineLine == lineLine && one.LineNeutral == lineNeutral {
			if one.Kind == "split" && (high || service.Phases == 3 || service.System == "high leg") {
				return "240/120 high leg"
			}
			return one.Name
		}
	}
	return ""
}

// systemVolts are the voltages that a machine on such a system may be meant
// for: line to line for three phases or where the phases are not said; both
// for one phase, where the text does not tell.
func systemVolts(hi, lo float64, phases int) []model.Interval {
	if phases == 1 {
		return []model.Interval{model.Exactly(lo), model.Exactly(hi)}
	}
	return []model.Interval{model.Exactly(hi)}
}

func (r *reader) nameSystem(systems []string, list []voltage, out *serviceReading, s string) {
	service := out.service
	said := service.System
	service.System = ""
	switch {
	case len(systems) > 1:
		out.problem = fmt.Sprintf("names two systems (%s)", strings.Join(systems, " and "))
	case len(systems) == 1 && len(list) > 3, len(systems) == 1 && len(service.Volts) > 2:
		out.problem = "names a transformer or two systems"
	case len(systems) == 1:
		service.System = systems[0]
		if len(list) == 3 && systems[0] != "240/120 high leg" {
			out.problem = "names a transformer or two systems"
		}
	case said == "high leg":
		service.System = "240/120 high leg"
	case said == "delta" && len(list) == 1:
		service.System = model.Figure(list[0].volts) + " delta"
	case said == "wye" && len(list) == 1:
		for _, one := range r.lib.Systems {
			if one.Kind == "wye" && one.LineLine == list[0].volts {
				service.System = one.Name
			}
		}
	}
	if service.Phases == 0 && service.System != "" {
		for _, one := range r.lib.Systems {
			if one.Name == service.System && one.Kind == "wye" && said == "wye" {
				service.Phases = one.Phases
			}
		}
	}
	if service.Hertz != 0 && service.Hertz != 50 && service.Hertz != 60 {
		out.problem = fmt.Sprintf("names %s Hz, which no supply has", model.Figure(service.Hertz))
	}
	if service.Phases > 3 {
		out.problem = fmt.Sprintf("names %d phases", service.Phases)
	}
}

// slicesUnique sorts the voltages and takes out repeats.
func slicesUnique(list *[]model.Interval) {
	sort.SliceStable(*list, func(i, j int) bool {
		a, b := (*list)[i], (*list)[j]
		return a.Lo < b.Lo || a.Lo == b.Lo && a.Hi < b.Hi
	})
	out := (*list)[:0]
	for i, v := range *list {
		if i == 0 || v != out[len(out)-1] {
			out = append(out, v)
		}
	}
	*list = out
}

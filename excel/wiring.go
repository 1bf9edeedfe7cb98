package excel

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

// landingSheet is the termination schedule: every terminal of every controller
// with what lands on it; only the landed ones where the plan lists no more.
func landingSheet(is *issued) *sheet {
	type T = *model.Termination
	list := terminations(is.plan)
	modes := map[string]*model.Landing{}
	for i := range is.plan.Landings {
		modes[is.plan.Landings[i].Point] = &is.plan.Landings[i]
	}
	landed := func(get func(*model.Landing) string) func(T) string {
		return func(t T) string {
			if l, ok := modes[t.Point]; ok && t.Point != "" {
				return get(l)
			}
			return ""
		}
	}
	s := tableSheet("Landings", "LandingList", rowsOf(list), paperFirst(listColumns(
		col("panel", "Panel", 9, 16, func(t T) string { return t.Panel }),
		col("controller", "Controller", 11, 18, func(t T) string { return t.Controller }),
		col("module", "Module", 9, 16, func(t T) string { return t.Module }),
		col("terminal", "Terminal", 10, 14, func(t T) string { return t.Terminal }),
		col("class", "Terminal class", 10, 12, func(t T) string { return t.Class }),
		col("state", "State", 8, 10, func(t T) string { return t.State }),
		col("point", "Point", 14, 30, func(t T) string { return t.Point }).leading(func(t T) target { return is.toPoint(t.Point) }),
		col("wire", "Wire label", 12, 26, func(t T) string { return t.WireLabel }),
		col("mode", "Set to", 9, 16, landed(func(l *model.Landing) string { return l.Mode })),
		col("signal", "Signal", 9, 18, func(t T) string { return t.Signal }),
		col("device", "Far device", 12, 24, func(t T) string { return t.Device }),
		col("far", "Far terminal", 10, 18, func(t T) string { return t.Far }),
		col("parts", "Parts between", 10, 26, landed(func(l *model.Landing) string { return strings.Join(l.Parts, ", ") })),
		col("cable", "Cable", 10, 20, func(t T) string { return t.Cable }),
		col("caution", "Caution", 9, 17, func(t T) string { return safety(is.danger[t.Point]) }),
	), "panel", "controller", "terminal", "class", "state", "point", "wire", "mode", "signal", "device", "far", "parts", "cable", "caution"))
	s.across = 1
	return s.printTo("caution")
}

// terminations are the lines of the termination schedule; the landings where a
// plan has no more.
func terminations(plan *model.Plan) []model.Termination {
	if len(plan.Terminations) > 0 {
		return plan.Terminations
	}
	var list []model.Termination
	for _, l := range plan.Landings {
		list = append(list, model.Termination{Panel: l.Panel, Controller: l.Controller, Module: l.Module, Terminal: l.Terminal,
			Class: l.Class, State: "landed", WireLabel: l.WireLabel, Point: l.Point})
	}
	return list
}

func panelSheet(is *issued) *sheet {
	type P = *model.PanelSummary
	return tableSheet("Panels", "PanelList", rowsOf(is.plan.Panels), listColumns(
		col("panel", "Panel", 9, 18, func(p P) string { return p.Panel }),
		col("location", "Location", 10, 26, func(p P) string { return p.Location }),
		col("rating", "Rating", 9, 12, func(p P) string { return p.Rating }),
		col("emergency", "Emergency branch", 11, 12, func(p P) string { return yesNo(&p.Emergency) }),
		num("controllers", "Controllers", 11, func(p P) (float64, bool) { return float64(p.Controllers), true }),
		num("expansions", "Expansions", 11, func(p P) (float64, bool) { return float64(p.Expansions), true }),
		num("points", "Points", 9, func(p P) (float64, bool) { return float64(p.Points), true }),
		col("installed", "Terminals installed", 14, 28, func(p P) string { return classes(p.Installed) }),
		col("used", "Used", 14, 28, func(p P) string { return classes(p.Used) }),
		col("spare", "Spare", 14, 28, func(p P) string { return classes(p.Spare) }),
		num("power", "Power, VA", 9, func(p P) (float64, bool) { return given(p.PowerVA) }),
		num("heat", "Heat, W", 9, func(p P) (float64, bool) { return given(p.HeatW) }),
		num("rail", "Rail taken, mm", 9, func(p P) (float64, bool) { return given(p.RailMM) }),
		num("space", "Rail there, mm", 9, func(p P) (float64, bool) { return given(p.SpaceMM) }),
	))
}

// classes prints terminal counts by class in order of class.
func classes(m map[string]int) string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	var list []string
	for _, k := range keys {
		list = append(list, fmt.Sprintf("%s %d", k, m[k]))
	}
	return strings.Join(list, ", ")
}

func controllerSheet(is *issued) *sheet {
	type C = *model.Controller
	fields := listColumns(
		col("controller", "Controller", 14, 24, func(c C) string { return c.ID }),
		col("panel", "Panel", 9, 16, func(c C) string { return c.Panel }),
		col("model", "Model", 14, 26, func(c C) string { return c.Model }),
		col("expansions", "Expansions", 12, 26, func(c C) string { return strings.Join(c.Expansions, "\n") }),
		col("installed", "Terminals installed", 14, 28, func(c C) string { return classes(c.Installed) }),
		col("used", "Used", 14, 28, func(c C) string { return classes(c.Used) }),
		col("spare", "Spare", 14, 28, func(c C) string { return classes(c.Spare) }),
		col("existing", "Existing", 9, 10, func(c C) string {
			if c.Existing {
				return "yes"
			}
			return "no"
		}),
	)
	if is.opts.money() {
		fields = append(fields, money("price", "Price", func(c C) *int64 { return &c.PriceCents }),
			placeholder("placeholder", func(c C) bool { return c.PlaceholderPrice }))
	}
	return tableSheet("Controllers", "ControllerList", rowsOf(is.plan.Controllers), fields)
}

// money is a column of prices: whole cents in the plan, shown as currency.
func money[T any](id, title string, get func(T) *int64) field[T] {
	return field[T]{column{id: id, title: title, least: 12, most: 14, look: lookMoney}, func(item T) value {
		cents := get(item)
		if cents == nil {
			return value{}
		}
		return number(float64(*cents) / 100)
	}}
}

// placeholder marks prices that were invented.
func placeholder[T any](id string, get func(T) bool) field[T] {
	return col(id, "Price is", 12, 18, func(item T) string {
		if get(item) {
			return "placeholder price"
		}
		return "as given"
	})
}

func supplySheet(is *issued) *sheet {
	type S = *model.Supply
	return tableSheet("Supplies", "SupplyList", rowsOf(is.plan.Supplies), listColumns(
		col("supply", "Supply", 12, 24, func(s S) string { return s.ID }),
		col("device", "Device", 12, 24, func(s S) string { return s.Device }),
		col("panel", "Panel", 9, 16, func(s S) string { return s.Panel }),
		num("volts", "Volts", 8, func(s S) (float64, bool) { return s.Volts, s.Volts != 0 }),
		col("current", "Current", 8, 10, func(s S) string { return s.Current }),
		num("running", "Running load, VA", 11, func(s S) (float64, bool) { return rounded(s.RunningVA), true }),
		num("inrush", "Inrush load, VA", 11, func(s S) (float64, bool) { return rounded(s.InrushVA), true }),
		num("rated", "Rated, VA", 9, func(s S) (float64, bool) { return s.RatedVA, s.RatedVA != 0 }),
		col("class2", "Class 2", 9, 12, func(s S) string {
			if s.ClassTwo == nil {
				return "not known"
			}
			return yesNo(s.ClassTwo)
		}),
		col("loads", "Loads", 20, 60, func(s S) string { return strings.Join(s.Loads, ", ") }),
	))
}

func cableSheet(is *issued) *sheet {
	type C = *model.Cable
	return tableSheet("Cables", "CableList", rowsOf(is.plan.Cables), listColumns(
		col("cable", "Cable", 12, 24, func(c C) string { return c.ID }),
		col("from", "From", 12, 26, func(c C) string { return c.From }),
		col("to", "To", 12, 26, func(c C) string { return c.To }),
		col("type", "Type", 12, 26, func(c C) string { return c.Type }),
		num("conductors", "Conductors", 11, func(c C) (float64, bool) { return float64(c.Conductors), c.Conductors != 0 }),
		num("gauge", "Gauge, AWG", 9, func(c C) (float64, bool) { return float64(c.GaugeAWG), c.GaugeAWG != 0 }),
		num("length", "Length, ft", 9, func(c C) (float64, bool) { return given(c.LengthFt) }),
		col("assumed", "Length is", 10, 12, func(c C) string {
			if c.Assumed {
				return "assumed"
			}
			return "stated"
		}),
		col("class", "Class", 9, 12, func(c C) string { return c.Class }),
		col("raceway", "Raceway", 9, 18, func(c C) string { return c.Raceway }),
		col("circuits", "Circuits", 16, 44, func(c C) string { return strings.Join(c.Circuits, ", ") }),
	))
}

func materialSheet(is *issued) *sheet {
	type M = *model.Material
	fields := listColumns(
		col("item", "Item", 14, 28, func(m M) string { return m.Item }),
		col("description", "Description", 20, 44, func(m M) string { return m.Description }),
		num("quantity", "Quantity", 9, func(m M) (float64, bool) { return float64(m.Quantity), true }),
		col("unit", "Unit", 7, 10, func(m M) string { return m.Unit }),
		col("furnished", "Furnished by", 11, 18, func(m M) string { return m.FurnishedBy }),
		col("bid", "Bid", 9, 11, func(m M) string { return m.Bid }),
		col("for", "For", 16, 60, func(m M) string { return strings.Join(m.For, ", ") }),
	)
	if is.opts.money() {
		fields = append(fields, money("price", "Unit price", func(m M) *int64 { return m.PriceCents }),
			placeholder("placeholder", func(m M) bool { return m.PlaceholderPrice }))
	}
	return tableSheet("Materials", "MaterialList", rowsOf(is.plan.Materials), fields)
}

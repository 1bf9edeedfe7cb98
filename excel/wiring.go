package excel

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

func landingSheet(plan *model.Plan) *sheet {
	type L = *model.Landing
	return tableSheet("Landings", "LandingList", rowsOf(plan.Landings), listColumns(
		col("panel", "Panel", 9, 16, func(l L) string { return l.Panel }),
		col("controller", "Controller", 11, 18, func(l L) string { return l.Controller }),
		col("module", "Module", 9, 16, func(l L) string { return l.Module }),
		col("terminal", "Terminal", 10, 14, func(l L) string { return l.Terminal }),
		col("class", "Terminal class", 10, 12, func(l L) string { return l.Class }),
		col("point", "Point", 14, 30, func(l L) string { return l.Point }),
		col("wire", "Wire label", 12, 26, func(l L) string { return l.WireLabel }),
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

func controllerSheet(plan *model.Plan, opts Options) *sheet {
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
	if opts.money() {
		fields = append(fields, money("price", "Price", func(c C) *int64 { return &c.PriceCents }),
			placeholder("placeholder", func(c C) bool { return c.PlaceholderPrice }))
	}
	return tableSheet("Controllers", "ControllerList", rowsOf(plan.Controllers), fields)
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

func supplySheet(plan *model.Plan) *sheet {
	type S = *model.Supply
	return tableSheet("Supplies", "SupplyList", rowsOf(plan.Supplies), listColumns(
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

func cableSheet(plan *model.Plan) *sheet {
	type C = *model.Cable
	return tableSheet("Cables", "CableList", rowsOf(plan.Cables), listColumns(
		col("cable", "Cable", 12, 24, func(c C) string { return c.ID }),
		col("from", "From", 12, 26, func(c C) string { return c.From }),
		col("to", "To", 12, 26, func(c C) string { return c.To }),
		col("type", "Type", 12, 26, func(c C) string { return c.Type }),
		num("conductors", "Conductors", 11, func(c C) (float64, bool) { return float64(c.Conductors), c.Conductors != 0 }),
		num("gauge", "Gauge, AWG", 9, func(c C) (float64, bool) { return float64(c.GaugeAWG), c.GaugeAWG != 0 }),
		num("length", "Length, ft", 9, func(c C) (float64, bool) { return optional(c.LengthFt) }),
		col("assumed", "Length is", 10, 12, func(c C) string {
			if c.Assumed {
				return "assumed"
			}
			return "stated"
		}),
		col("class", "Class", 9, 12, func(c C) string { return c.Class }),
		col("circuits", "Circuits", 16, 50, func(c C) string { return strings.Join(c.Circuits, ", ") }),
	))
}

func materialSheet(plan *model.Plan, opts Options) *sheet {
	type M = *model.Material
	fields := listColumns(
		col("item", "Item", 14, 28, func(m M) string { return m.Item }),
		col("description", "Description", 20, 44, func(m M) string { return m.Description }),
		num("quantity", "Quantity", 9, func(m M) (float64, bool) { return float64(m.Quantity), true }),
		col("unit", "Unit", 7, 10, func(m M) string { return m.Unit }),
		col("furnished", "Furnished by", 11, 18, func(m M) string { return m.FurnishedBy }),
		col("for", "For", 16, 60, func(m M) string { return strings.Join(m.For, ", ") }),
	)
	if opts.money() {
		fields = append(fields, money("price", "Unit price", func(m M) *int64 { return m.PriceCents }),
			placeholder("placeholder", func(m M) bool { return m.PlaceholderPrice }))
	}
	return tableSheet("Materials", "MaterialList", rowsOf(plan.Materials), fields)
}

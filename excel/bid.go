package excel

import (
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
)

// bidSheetName is the sheet of prices; only the copies of those who price have it.
const bidSheetName = "Bid"

// bidSheet multiplies what has to be furnished by its prices. Amounts and totals
// are live, base bid and alternates apart; what has no price says so and is not
// counted as nothing, what hangs already is not bought.
func bidSheet(is *issued) *sheet {
	type M = *model.Material
	list := rowsOf(is.plan.Materials)
	at := map[M]int{}
	totals := map[string]float64{}
	bought, missing := 0, 0
	for i, m := range list {
		at[m] = i + 2
		if m.Bid == model.Existing {
			continue
		}
		if bought++; m.PriceCents == nil {
			missing++
			continue
		}
		totals[m.Bid] += amount(m)
	}
	fields := listColumns(
		col("item", "Item", 14, 28, func(m M) string { return m.Item }),
		col("description", "Description", 20, 44, func(m M) string { return m.Description }),
		col("furnished", "Furnished by", 11, 18, func(m M) string { return m.FurnishedBy }),
		num("quantity", "Quantity", 9, func(m M) (float64, bool) { return float64(m.Quantity), true }),
		col("unit", "Unit", 7, 10, func(m M) string { return m.Unit }),
		money("price", "Unit price", func(m M) *int64 { return m.PriceCents }),
		field[M]{column{id: "amount", title: "Amount", least: 13, most: 16, look: lookMoney}, func(m M) value {
			if m.PriceCents == nil || m.Bid == model.Existing {
				return value{}
			}
			return formula(fmt.Sprintf("D%d*F%d", at[m], at[m]), amount(m))
		}},
		col("placeholder", "Price is", 12, 18, func(m M) string {
			switch {
			case m.Bid == model.Existing:
				return "not bought"
			case m.PriceCents == nil:
				return "missing"
			case m.PlaceholderPrice:
				return "placeholder price"
			}
			return "as given"
		}),
		col("bid", "Bid", 9, 11, func(m M) string { return m.Bid }),
		col("for", "For", 16, 40, func(m M) string { return strings.Join(m.For, ", ") }),
	)
	s := tableSheet(bidSheetName, "BidList", list, fields)
	last := len(list) + 1
	words := "Total of the materials; labour, cable and mark-up are not in it"
	if missing > 0 {
		words = fmt.Sprintf("Total of the %d lines that have a price; labour, cable and mark-up are not in it", bought-missing)
	}
	var below []row
	for _, class := range []string{model.Base, model.Alternate} {
		if class != model.Base && !slices.ContainsFunc(list, func(m M) bool { return m.Bid == class }) {
			continue
		}
		cells := []value{text("Total, " + class).as(lookTotalText), text(words).as(lookTotalText), {look: lookTotalText}, {look: lookTotalText}, {look: lookTotalText}, {look: lookTotalText},
			formula(fmt.Sprintf("SUMIF(I2:I%d,%q,G2:G%d)", last, class, last), totals[class]).as(lookMoney)}
		below, words = append(below, row{cells: cells}), ""
	}
	body := s.rows
	s.rows = func(yield func(row) bool) {
		for r := range body {
			if !yield(r) {
				return
			}
		}
		for _, r := range below {
			if !yield(r) {
				return
			}
		}
	}
	s.below, s.count = len(below), s.count+len(below)
	return s
}

// amount is the price of a line in whole currency, quantity times unit price.
func amount(m *model.Material) float64 { return float64(m.Quantity) * float64(*m.PriceCents) / 100 }

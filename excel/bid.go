package excel

import (
	"fmt"
	"strings"

	"tallywire/model"
)

// bidSheetName is the sheet of prices; only the copies of those who price have it.
const bidSheetName = "Bid"

// bidSheet multiplies what has to be furnished by its prices. Amounts and total
// are live; what has no price says so and is not counted as nothing.
func bidSheet(is *issued) *sheet {
	type M = *model.Material
	list := rowsOf(is.plan.Materials)
	at := map[M]int{}
	total, missing := 0.0, 0
	for i, m := range list {
		at[m] = i + 2
		if m.PriceCents == nil {
			missing++
			continue
		}
		total += float64(m.Quantity) * float64(*m.PriceCents) / 100
	}
	fields := listColumns(
		col("item", "Item", 14, 28, func(m M) string { return m.Item }),
		col("description", "Description", 20, 44, func(m M) string { return m.Description }),
		col("furnished", "Furnished by", 11, 18, func(m M) string { return m.FurnishedBy }),
		num("quantity", "Quantity", 9, func(m M) (float64, bool) { return float64(m.Quantity), true }),
		col("unit", "Unit", 7, 10, func(m M) string { return m.Unit }),
		money("price", "Unit price", func(m M) *int64 { return m.PriceCents }),
		field[M]{column{id: "amount", title: "Amount", least: 13, most: 16, look: lookMoney}, func(m M) value {
			if m.PriceCents == nil {
				return value{}
			}
			return formula(fmt.Sprintf("D%d*F%d", at[m], at[m]), float64(m.Quantity)*float64(*m.PriceCents)/100)
		}},
		col("placeholder", "Price is", 12, 18, func(m M) string {
			switch {
			case m.PriceCents == nil:
				return "missing"
			case m.PlaceholderPrice:
				return "placeholder price"
			}
			return "as given"
		}),
		col("for", "For", 16, 40, func(m M) string { return strings.Join(m.For, ", ") }),
	)
	s := tableSheet(bidSheetName, "BidList", list, fields)
	last := len(list) + 1
	words := "Total of the materials; labour, cable and mark-up are not in it"
	if missing > 0 {
		words = fmt.Sprintf("Total of the %d lines that have a price; labour, cable and mark-up are not in it", len(list)-missing)
	}
	below := []value{text("Total").as(lookTotalText), text(words).as(lookTotalText), {look: lookTotalText}, {look: lookTotalText}, {look: lookTotalText},
		{look: lookTotalText}, formula(fmt.Sprintf("SUM(G2:G%d)", last), total).as(lookMoney)}
	body := s.rows
	s.rows = func(yield func(row) bool) {
		for r := range body {
			if !yield(r) {
				return
			}
		}
		yield(row{cells: below})
	}
	s.below, s.count = 1, s.count+1
	return s
}

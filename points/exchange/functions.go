package exchange

import (
	"encoding/csv"
	"io"
	"strconv"

	"tallywire/model"
)

// Functions writes the list of functions as CSV: what it follows and what it
// does not claim, the groups, the columns, a row a point, the sums of each
// system and of all. A function that a point does not have is an empty cell.
func Functions(w io.Writer, plan *model.Plan) error {
	list := &plan.Functions
	out := csv.NewWriter(w)
	out.UseCRLF = true
	rows := [][]string{{"List of functions", words(plan.Project.Name), words(plan.Project.Issue)}, {"Follows", list.Edition}}
	for _, n := range list.NotClaimed {
		rows = append(rows, []string{"Not claimed", n})
	}
	groups, columns, names := []string{"", "", ""}, []string{"point", "equipment", "system"}, []string{"", "", ""}
	last := ""
	for _, c := range list.Columns {
		group := ""
		if c.Group != last {
			group, last = c.Group, c.Group
		}
		groups, columns, names = append(groups, group), append(columns, c.ID), append(names, c.Name)
	}
	rows = append(rows, append(groups, ""), append(names, ""), append(columns, "remarks"))
	for _, r := range list.Rows {
		rows = append(rows, append(append([]string{words(r.Point), words(r.Equipment), words(r.System)}, figures(r.Counts)...), words(r.Remarks)))
	}
	for _, s := range list.Systems {
		rows = append(rows, append(append([]string{"sum of system", "", words(s.System)}, figures(s.Counts)...), ""))
	}
	rows = append(rows, append(append([]string{"sum of all", "", ""}, figures(list.Totals)...), ""))
	if err := out.WriteAll(rows); err != nil {
		return err
	}
	return out.Error()
}

func figures(counts []int) []string {
	out := make([]string, len(counts))
	for i, n := range counts {
		if n != 0 {
			out[i] = strconv.Itoa(n)
		}
	}
	return out
}

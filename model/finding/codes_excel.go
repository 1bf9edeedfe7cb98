package finding

func init() {
	register([]Code{
		{ID: "returned-key-unknown", Title: "a returned row belongs to no row of this plan", Pass: "excel",
			Help: "The row key in the returned workbook names nothing in the present plan: the point has gone since that issue, or somebody typed a key.\n" +
				"What stands in the row is kept; decide whether the point should come back, or correct the key and read the workbook again."},
		{ID: "returned-key-twice", Title: "a row key stands twice in a returned workbook", Pass: "excel",
			Help: "Two rows carry the same key, usually because a row was copied. The first is taken; where the second says something else,\n" +
				"its cells are named and kept. Remove one of the two rows, or give the new row an empty key so that it counts as an added one."},
		{ID: "returned-key-restored", Title: "a damaged row key was told from the row's mark", Pass: "excel",
			Help: "The key of a row was cleared or changed, but the hidden mark of the row belongs to exactly one row of the plan. The row is read as that one."},
		{ID: "returned-row-gone", Title: "a row is missing from a returned workbook", Pass: "excel",
			Help: "A row of the issue does not stand in the returned workbook. Nothing is removed from the plan for that:\n" +
				"if the point is not wanted, say so in the project file."},
		{ID: "returned-column-renamed", Title: "a column was renamed in a returned workbook", Pass: "excel",
			Help: "The heading is not one of ours, but the cells or the column's hidden name show which column it is. It is read as that column."},
		{ID: "returned-column-gone", Title: "a column is missing from a returned workbook", Pass: "excel",
			Help: "The column was deleted. Its values are taken as unchanged; answers that would stand in it did not come back."},
		{ID: "returned-sheet-gone", Title: "a sheet is missing from a returned workbook", Pass: "excel",
			Help: "The sheet was deleted or did not come back in a form that can be known again. What people were asked to fill in there did not come back."},
		{ID: "returned-sheet-copied", Title: "a sheet stands twice in a returned workbook", Pass: "excel",
			Help: "A second sheet looks like a copy of one of ours. Only the first is read; the copy is kept as a sheet of its own."},
		{ID: "returned-sheet-edited", Title: "a sheet that is only for reading was edited", Pass: "excel",
			Help: "Cells of a sheet that has no row keys say something that was not issued. They change nothing by themselves;\n" +
				"carry what is meant over to the point schedule or the project file."},
		{ID: "returned-answer-unknown", Title: "an answer is none of those that may be given", Pass: "excel",
			Help: "The cell takes one of a few words; something else stands in it. Correct the cell, or read it by eye."},
	})
}

package finding

func init() {
	register([]Code{
		{ID: "unreadable-value", Title: "A cell that cannot be read", Pass: "intake", Help: "A cell holds something that is no value of its column, or that could mean two things.\nIt is never guessed at: the row is kept, marked unresolved, and the value is left out.\nCorrect the cell, or give the value under equipment in the project file."},
		{ID: "unstated-value", Title: "A cell that points elsewhere", Pass: "intake", Help: "A cell says TBD, SEE NOTE, PER PLANS or the like: the value exists, but not here.\nFind it or ask for it; until then the plan goes without."},
		{ID: "unknown-heading", Title: "A column that is not understood", Pass: "intake", Help: "The heading is no word of the library. The column is kept with every machine and not used.\nA caution stands where a known heading is spelt nearly alike. Correct the spelling, or add the\nheading to your own library file of subject headings."},
		{ID: "unknown-kind", Title: "What the machine is stays open", Pass: "intake", Help: "Kinds are inferred from scored evidence: the tag's letters, service, type, remarks. Nothing speaks\nfor any kind, or two kinds are equally likely; a tie asks and is never decided by chance.\nWrite the kind in a column Kind, or under equipment in the project file. explain TAG shows the evidence."},
		{ID: "unknown-speed", Title: "Constant or variable speed stays open", Pass: "intake", Help: "The row speaks for both with equal weight. The speed that is usual for the kind is planned.\nWrite the scheme or the control into the list."},
		{ID: "unknown-control", Title: "What controls the motor stays open", Pass: "intake", Help: "Two readings are equally likely. Write into a column Control what stands between the BAS and the motor:\nfan interface box, variable-frequency drive, starter, relay, packaged controls."},
		{ID: "unknown-scheme", Title: "A scheme that the library does not have", Pass: "intake", Help: "The column names a control scheme that is not in the library. The scheme then follows from kind and speed."},
		{ID: "unknown-tag", Title: "The project file speaks of a tag that no list has", Pass: "intake", Help: "Correct the tag, or write add: true to make a machine that no list has."},
		{ID: "duplicate-tag", Title: "One tag, two rows", Pass: "intake", Help: "Two rows of one list carry the same tag. Both are kept, the second under a name of its own and unresolved,\nbecause nobody but the author knows whether it is one machine listed twice or two machines.\nA row of a later list is no duplicate: it revises the earlier one (code revised)."},
		{ID: "quantity-mismatch", Title: "Quantity and tags disagree", Pass: "intake", Help: "The quantity column says another number than the tags of the row. The tags are taken."},
		{ID: "row-without-tag", Title: "A row with values and no tag", Pass: "intake", Help: "The machine is kept under the number of its row so that it is not lost from the count. Give it a tag."},
		{ID: "revised", Title: "A later document changed a machine", Pass: "intake", Help: "Lists are joined by tag in order. A later list, an addendum or the project file changed, added or took out\na machine; the message tells old and new, the places both cells."},
		{ID: "assumed", Title: "An assumption", Pass: "intake", Help: "The list does not say it outright; it was inferred from the words named. These notes become the\nclarifications of a bid. Write the value into the list, or under equipment in the project file, to settle it."},
		{ID: "not-stated", Title: "What the list leaves open", Pass: "intake", Help: "Values that bear on points, circuits or price and stand nowhere on the row. Ask, or state them in the project file."},
		{ID: "out-of-scope", Title: "Listed, but no fan", Pass: "intake", Help: "The row is a pump, a heater, a grille or the like. It is listed and carries no points.\nIf it is a fan after all, write its kind in a column Kind."},
		{ID: "no-fan", Title: "A workbook without a fan", Pass: "intake", Help: "The COBie workbook holds components, but none whose name, type, class or attributes call it a fan.\nName the workbook that holds the ventilation, or list the fans in a text table."},
		{ID: "hidden-sheet", Title: "A hidden sheet", Pass: "intake", Help: "Sheets that their author hid are not read."},
		{ID: "suspect-service", Title: "An electrical service that is hardly meant", Pass: "intake", Help: "The cell can be read, but no common supply is like that. Check it against the electrical drawings."},
		{ID: "unlisted-interlock", Title: "Interlocked with a machine that no list has", Pass: "intake", Help: "A remark or note names a tag that is not on any list. Add the machine, or correct the tag."},
	})
}

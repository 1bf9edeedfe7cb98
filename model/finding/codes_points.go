package finding

func init() {
	register([]Code{
		{ID: "exception", Pass: "points", Title: "a deliberate departure",
			Help: "The project file declares under exceptions that a finding of this code is accepted for this subject, and why. It is printed so that everybody sees the decision."},
		{ID: "unused-exception", Pass: "points", Title: "an exception that excuses nothing",
			Help: "The project file accepts a finding that does not occur. The plan may have changed since, or the code or subject is misspelt."},
		{ID: "answer-unmatched", Pass: "points", Title: "an accepted answer without its point",
			Help: "The file of accepted answers names a point that the plan does not have (any more). The point may have gone with a later issue, or the key is misspelt."},
		{ID: "answer-unusable", Pass: "points", Title: "an accepted answer that cannot be used",
			Help: "The file of accepted answers holds a value that its field cannot take: an instance beyond 4194302, a priority outside 1 to 16, a single state text."},
		{ID: "cannot-tell", Pass: "points", Title: "a value is missing that several checks wait for",
			Help: "What is not known is never taken as good. One missing value often holds several checks back; they are told together, with the codes of the checks and what would pass. The pairings list each check by itself."},
		{ID: "fire-circuit-changed", Pass: "points", Title: "a fix in a circuit of the fire trade",
			Help: "With --apply-fixes a part was put into a circuit by which the fire trade stops or overrides a fan. It works electrically; what feeds the circuit and whether\na break in it is told may have changed. Life safety: the fire trade, the authority and licensed people decide."},
		{ID: "document-unread", Pass: "points", Title: "a document that could not be compared",
			Help: "A document given for comparison holds no list that could be read. Say what it is with --role, or give the spreadsheet it was printed from."},
	})
}

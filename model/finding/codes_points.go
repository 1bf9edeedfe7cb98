package finding

func init() {
	register([]Code{
		{ID: "exception", Pass: "points", Title: "a deliberate departure",
			Help: "The project file declares under exceptions that a finding of this code is accepted for this subject, and why. It is printed so that everybody sees the decision."},
		{ID: "unused-exception", Pass: "points", Title: "an exception that excuses nothing",
			Help: "The project file accepts a finding that does not occur. The plan may have changed since, or the code or subject is misspelt."},
	})
}

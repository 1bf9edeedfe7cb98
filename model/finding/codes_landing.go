package finding

func init() {
	register([]Code{
		{ID: "no-terminal", Pass: "landing", Title: "a point that no controller terminal can take",
			Help: "The electrical check refuses every terminal class of the catalogue for this point, for the reasons given.\nChange the hook-up or the device, bring a catalogue with a class that fits, or allow an interposer."},
		{ID: "panel-impossible", Pass: "landing", Title: "a panel that no controllers can serve",
			Help: "No choice of controllers and expansions takes all points of the panel with the spare asked for. The message names the smallest group of points that compete, for which terminals, how many they need and the most that one controller has.\nLower the spare, let the machine be split (landing.together: soft), or bring a model with more such terminals."},
		{ID: "controller-model", Pass: "landing", Title: "a catalogue entry that cannot be used",
			Help: "A controller or expansion of the catalogue has no price above 0, stands twice, or takes no slot. It is left out of the choice."},
		{ID: "landing-assumed", Pass: "landing", Title: "a landing rule nobody stated",
			Help: "Spare, togetherness and panels follow common practice until the settings state them under landing and panels."},
		{ID: "landing-broken", Pass: "landing", Title: "a landing plan that does not hold",
			Help: "Every plan of a panel is recounted by plain code that knows nothing of the optimiser: each point once on a terminal it may use, spare, slots, prices. This plan failed the recount, which is an error of the program."},
	})
}

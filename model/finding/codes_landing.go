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
		{ID: "existing-controller", Pass: "landing", Title: "a controller that hangs already and is not described well",
			Help: "The project states a controller under panels.existing whose model is not in the catalogue, or more terminals in use than it has.\nBring the model with the project's own catalogue, or correct the entry."},
		{ID: "panel-not-on-emergency", Pass: "landing", Title: "emergency equipment on a panel that may be dead when it must run",
			Help: "A machine on the emergency branch lands on a controller of a panel that is not said to be on that branch.\nState a panel with emergency: true that serves the machine, or feed the panel from the emergency branch and say so."},
		{ID: "landing-moved", Pass: "landing", Title: "a point that cannot stay where an earlier issue put it",
			Help: "The earlier issue landed this point on a terminal that is gone, taken, or no longer able to take it. It moves and its wire label changes."},
		{ID: "landing-stays", Pass: "landing", Title: "what keeping the earlier landings costs",
			Help: "Points stay on the terminals of the earlier issue so that nothing wired moves. A plan made afresh would cost less by the amount told."},
		{ID: "standby-shares-controller", Pass: "landing", Title: "machines that stand in for each other share a controller",
			Help: "The list or the project says that one machine takes over when the other fails (duty and standby, lead and lag, N+1). Their points are landed on different controllers, so that the failure of one controller leaves the other machine its control.\nHere that was not possible, for the reason given. The controllers of one panel still share its branch circuit: name two panels where that matters."},
		{ID: "panel-far", Pass: "landing", Title: "a machine far from its panel",
			Help: "Machines go to the panel that names them or their location, else to the nearest by building and storey as their location reads (LEVEL 2, ROOF, BLDG B BASEMENT, ROOM 214).\nThis one stands further away than a panel is taken to serve (landing.panel_reach_storeys), or where it stands does not tell a panel.\nState the panel in a column BAS panel, or what each panel serves."},
		{ID: "outdoor-panel", Pass: "landing", Title: "no controller is rated for where the panel stands",
			Help: "The panel is stated as outdoor and no base of the catalogue is rated outdoor: bring such a model, or move the panel.\nOr it stands on the roof and no rating is stated: then indoor models are chosen, which do not last there. State rating: outdoor or indoor."},
		{ID: "panel-space", Pass: "landing", Title: "more modules than the panel has rail for",
			Help: "The modules of the panel, supplies not counted, are wider than the rail that the project states for it (rail_mm)."},
		{ID: "landing-broken", Pass: "landing", Title: "a landing plan that does not hold",
			Help: "Every plan of a panel is recounted by plain code that knows nothing of the optimiser: each point once on a terminal it may use, spare, slots, prices. This plan failed the recount, which is an error of the program."},
	})
}

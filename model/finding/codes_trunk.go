package finding

func init() {
	register([]Code{
		{ID: "trunk-slow", Pass: "network", Title: "reading a trunk takes too long",
			Help: "The objects mapped from the stations of one trunk are read one by one at the trunk's rate. A round of more than a minute is no supervision.\nMap fewer objects, raise the rate, or subscribe to changes."},
		{ID: "trunk-address", Pass: "network", Title: "an address on a trunk that cannot be",
			Help: "Stations have addresses 0 to 254, masters up to 127, and each its own (ASHRAE 135, clause 9). The address that is set on a device stands twice or is out of range."},
		{ID: "trunk-load-unknown", Pass: "network", Title: "a unit load that is not known",
			Help: "A segment carries 32 unit loads (TIA-485-A). A device whose load is not known is counted as a whole one; many are a quarter or an eighth."},
	})
}

package model

// TrunkPlan is one bus segment of the network plan: the controller at its head
// and the stations on it in order of address.
type TrunkPlan struct {
	ID          string    `json:"id"` // PANEL-1/trunk-1
	Panel       string    `json:"panel"`
	Protocol    string    `json:"protocol"`
	Baud        int       `json:"baud"`       // bit/s
	MaxMaster   int       `json:"max_master"` // highest address to be sought
	Stations    []Station `json:"stations"`
	UnitLoads   float64   `json:"unit_loads"`   // sum over the stations; a load that is not known counts as one
	Objects     int       `json:"objects"`      // mapped from the stations
	PollSeconds float64   `json:"poll_seconds"` // estimate of one round of reading all of them one by one
	Source      string    `json:"source"`
}

// Station is one device on a trunk.
type Station struct {
	Device   string   `json:"device"` // id of the device or controller
	MAC      int      `json:"mac"`
	Stated   bool     `json:"stated"` // the address is set on the device; else it is proposed
	Instance *int     `json:"instance"`
	UnitLoad *float64 `json:"unit_load"` // nil not known
	Objects  int      `json:"objects"`
}

package model

// BACnetDevice is a device on the network and the objects it holds: a
// controller with its hardwired and software points, or a machine's own device
// with its network points.
type BACnetDevice struct {
	ID        string   `json:"id"`        // of the controller, or of the device: PANEL-1/C1, EF-1/drive
	Name      string   `json:"name"`      // of the device object, unique on the whole internetwork
	Instance  *int     `json:"instance"`  // of the device object, unique on the whole internetwork; nil: still to be given
	Equipment string   `json:"equipment"` // the machine that the device comes with; "" a controller
	Panel     string   `json:"panel"`
	Existing  bool     `json:"existing"`
	Points    []string `json:"points"`  // keys, in the order of the plan
	Support   []string `json:"support"` // names of the objects that serve them
}

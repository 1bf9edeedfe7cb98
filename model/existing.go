package model

// ExistingPoint is an object or a point that a building has already, as an
// exchange file, a scan or a model of it tells. What the file does not say is
// nil or "".
type ExistingPoint struct {
	Device      *int     `json:"device"` // device instance
	DeviceName  string   `json:"device_name"`
	ObjectType  string   `json:"object_type"` // standard name in kebab case; proprietary-264 for a vendor's own
	Instance    *int     `json:"instance"`
	ObjectName  string   `json:"object_name"`
	Description string   `json:"description"`
	Units       string   `json:"units"` // BACnet unit name
	States      []string `json:"states"`
	Commandable *bool    `json:"commandable"`
	Address     string   `json:"address"` // the vendor's own address: terminal, register
	Equipment   string   `json:"equipment"`
	Machine     string   `json:"machine"` // class of the equipment in the file: Exhaust_Fan
	Class       string   `json:"class"`   // class of the point in the file: Start_Stop_Command
	Tags        []string `json:"tags"`    // markers of the file
	Where       *Where   `json:"where"`
}

// RetrofitAction says what happens to a point of an existing building.
type RetrofitAction string

const (
	RetrofitKeep   RetrofitAction = "keep"   // it is there and fits
	RetrofitChange RetrofitAction = "change" // it is there and differs
	RetrofitAdd    RetrofitAction = "add"    // the plan asks for it and it is not there
	RetrofitLeave  RetrofitAction = "leave"  // it is there and the plan does not ask for it
)

// RetrofitPoint is one line of the comparison of a plan with what exists.
type RetrofitPoint struct {
	Action   RetrofitAction   `json:"action"`
	Point    string           `json:"point"`    // key of ours; "" none
	Existing *ExistingPoint   `json:"existing"` // nil: none
	Changes  []PropertyChange `json:"changes"`
	Why      string           `json:"why"` // by what the two were matched, or why not
}

// PropertyChange is one property of an existing point that the plan has otherwise.
type PropertyChange struct {
	Field string `json:"field"`
	From  string `json:"from"`
	To    string `json:"to"`
}

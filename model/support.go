package model

// SupportObject is an object that serves points without being one: a
// schedule, a trend log, a notification class, an event enrollment. They are
// counted apart from points.
type SupportObject struct {
	ObjectType  string      `json:"object_type"` // schedule, trend-log, notification-class, event-enrollment
	Instance    *int        `json:"instance"`
	ObjectName  string      `json:"object_name"`
	Description string      `json:"description"`
	For         []string    `json:"for"` // keys of the points, or ids of the alarms, that it serves
	Parameters  []Parameter `json:"parameters"`
	Source      string      `json:"source"`
}

// Object types that serve points (ASHRAE 135, clause 12).
const (
	Schedule          = "schedule"
	TrendLog          = "trend-log"
	NotificationClass = "notification-class"
	EventEnrollment   = "event-enrollment"
)

// Package library holds every built-in fact of the trade as data with its
// source: one folder a subject, each record validated by the schema of that
// name. It decides nothing. Users add or replace records by files of the same
// form.
package library

import "tallywire/model"

// Library is what is in force: the built-in records with the user's own laid
// over them. It is read only once loaded. Each subject has a file of its own
// in this package that declares its record type, its look-ups and its loader.
type Library struct {
	Reading
	devices     map[string]*model.DeviceType
	classes     []TerminalClass
	runs        []Run
	hookups     []HookUp
	documents   []DocumentWords
	pointNames  []PointNames
	roles       []Role
	schemes     []Scheme
	rules       []Rule
	alarms      []AlarmRule
	tasks       []Task
	events      []Event
	Ratings     *Ratings
	Objects     *Objects
	Units       *Units
	Functions   *Functions
	Tags        *Tags
	Conductors  *Conductors
	controllers []model.ControllerModel
	interposers []Interposer
}

// Load reads the library with the user's own files laid over it. An error
// names file, line and column.
func Load(own []model.LibraryFile) (*Library, error) {
	l := &Library{}
	for _, subject := range []func([]model.LibraryFile) error{l.readReading, l.readRatings, l.readObjects, l.readUnits, l.readFunctions, l.loadTags, l.readConductors, l.readInterposers, l.loadDevices, l.loadClasses, l.loadRuns, l.loadHookUps, l.loadDocuments, l.loadPointNames, l.loadRoles, l.loadSchemes, l.loadRules, l.loadAlarms, l.loadResponsibility, l.loadControllers, l.loadEvents} {
		if err := subject(own); err != nil {
			return nil, err
		}
	}
	return l, nil
}

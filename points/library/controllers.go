package library

import (
	"slices"
	"strings"

	"tallywire/model"
)

// ControllerRecord is a controller base or an expansion as it stands in
// controllers/*.yaml: terminals by class, slots, price in whole cents.
type ControllerRecord struct {
	model.ControllerModel
}

// RecordID returns the id of the model.
func (r ControllerRecord) RecordID() string { return r.ID }

func (r *ControllerRecord) place(w model.Where) { r.ControllerModel.Where = &w }

// loadControllers reads the catalogue. A user's file that brings a base is a
// catalogue of its own and replaces the generic one; a file of expansions or
// of built-in ids only adds to it and corrects it.
func (l *Library) loadControllers(own []model.LibraryFile) error {
	records, err := load[ControllerRecord]("controllers", own)
	if err != nil {
		return err
	}
	builtIn := func(m *model.ControllerModel) bool {
		return m.Where != nil && strings.HasPrefix(m.Where.File, "library/controllers/")
	}
	var all []model.ControllerModel
	for _, r := range records {
		all = append(all, r.ControllerModel)
	}
	generic, err := load[ControllerRecord]("controllers", nil)
	if err != nil {
		return err
	}
	known := func(id string) bool {
		return slices.ContainsFunc(generic, func(g ControllerRecord) bool { return g.ID == id })
	}
	brings := func(m model.ControllerModel) bool { return m.Base && !builtIn(&m) && !known(m.ID) }
	if slices.ContainsFunc(all, brings) {
		all = slices.DeleteFunc(all, func(m model.ControllerModel) bool { return builtIn(&m) })
	}
	l.controllers = all
	return nil
}

// Controllers is the catalogue in force, in the order of the files.
func (l *Library) Controllers() []model.ControllerModel { return l.controllers }

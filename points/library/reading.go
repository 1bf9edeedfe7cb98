package library

import "tallywire/model"

// Reading holds the subjects that intake reads lists by.
type Reading struct {
	Kinds         []Kind
	Headings      []Heading
	Abbreviations map[string]string // short form of a heading word → the word
	Measures      []Measure
	Evidence      []Evidence
	Systems       []VoltageSystem
	CodeRules     []CodeRule
	Plausible     Plausible
}

// readReading loads all of them.
func (l *Library) readReading(own []model.LibraryFile) (err error) {
	if l.Kinds, err = loadKinds(own); err != nil {
		return err
	}
	if l.Headings, err = loadHeadings(own); err != nil {
		return err
	}
	if l.Abbreviations, err = loadAbbreviations(); err != nil {
		return err
	}
	if l.Measures, err = loadMeasures(own); err != nil {
		return err
	}
	if l.Evidence, err = loadEvidence(own); err != nil {
		return err
	}
	if l.Systems, err = loadVoltageSystems(); err != nil {
		return err
	}
	if l.CodeRules, err = loadCodeRules(own); err != nil {
		return err
	}
	l.Plausible, err = loadPlausible()
	return err
}

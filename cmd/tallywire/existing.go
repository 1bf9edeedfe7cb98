package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"tallywire/model"
	"tallywire/points/exchange"
	"tallywire/points/library"
	"tallywire/schemas"
)

// existingRole is the role of a file that tells of points the building has.
const existingRole = "existing points"

// tellsOfExisting reports whether a file can only tell of existing points, by
// its ending.
func tellsOfExisting(file string) bool {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".ttl", ".json", ".zinc":
		return true
	}
	return strings.HasSuffix(strings.ToLower(file), "_ede.csv")
}

// addExisting takes a file of existing points; readExisting reads them all
// together, since an exchange set is several files.
func (in *input) addExisting(l schemas.ListFile) error {
	data, err := in.open(l)
	if err != nil {
		return err
	}
	in.record(model.Input{File: filepath.ToSlash(l.File), Name: l.Name, Issue: l.Issue, Role: existingRole}, data)
	in.existing = append(in.existing, exchange.File{Name: filepath.ToSlash(l.File), Text: data})
	return nil
}

// readExisting reads the files of existing points into the project.
func (in *input) readExisting(lib *library.Library) error {
	if len(in.existing) == 0 {
		return nil
	}
	list, found, err := exchange.ReadExisting(lib, in.existing)
	if err != nil {
		return inputError{text: err.Error()}
	}
	in.project.Existing = list
	in.project.Findings = append(in.project.Findings, found...)
	in.existing = nil
	return nil
}

// printRetrofit prints what becomes of every point of an existing building.
func printRetrofit(w io.Writer, list []model.RetrofitPoint) error {
	if len(list) == 0 {
		return nil
	}
	counts := map[model.RetrofitAction]int{}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, r := range list {
		counts[r.Action]++
		there, changes := "-", ""
		if r.Existing != nil {
			there = r.Existing.ObjectName
		}
		for _, c := range r.Changes {
			changes += fmt.Sprintf("; %s: %s, planned %s", strings.ReplaceAll(c.Field, "_", " "), c.From, c.To)
		}
		fmt.Fprintf(t, "%s\t%s\tthere: %s\t%s%s\n", r.Action, dash(r.Point), there, r.Why, changes)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "existing points: keep %d, change %d, add %d, leave %d\n\n", counts[model.RetrofitKeep], counts[model.RetrofitChange], counts[model.RetrofitAdd], counts[model.RetrofitLeave])
	return err
}

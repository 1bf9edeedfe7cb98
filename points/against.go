package points

import (
	"cmp"
	"errors"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/crosscheck"
	"tallywire/points/intake"
	"tallywire/points/library"
)

// against reads the other trades' documents and lays them beside the plan.
func against(lib *library.Library, p *model.Project, plan *model.Plan) ([]model.Difference, error) {
	if len(p.Against) == 0 {
		return nil, nil
	}
	var docs []crosscheck.Document
	for _, d := range p.Against {
		docs = append(docs, readDocument(lib, p, plan, d))
	}
	return crosscheck.Compare(lib, p, plan.Equipment, plan.Points, docs), nil
}

// readDocument reads one document by its role: machines, points, fire responses.
func readDocument(lib *library.Library, p *model.Project, plan *model.Plan, d model.Document) crosscheck.Document {
	doc := crosscheck.Document{Input: d.Input, Role: cmp.Or(crosscheck.RoleNamed(d.Input.Role), crosscheck.Recognise(lib, d.Input, d.Sheets))}
	switch doc.Role {
	case crosscheck.Controls, crosscheck.Objects, crosscheck.Trends:
		doc.Points, doc.Counts, doc.Equipment = crosscheck.ReadPoints(lib, d.Sheets, intake.Tags)
	case crosscheck.Graphics:
		doc.Pages = crosscheck.ReadPages(lib, d.Sheets, intake.Tags)
	case crosscheck.Fire:
		doc.Equipment = crosscheck.ReadFireMatrix(lib, d.Sheets, intake.Tags)
	default:
		sub := &model.Project{Sheets: d.Sheets, Inputs: []model.Input{d.Input}, Settings: p.Settings}
		sub.Settings.Defaults = model.DefaultSettings{} // only what the document itself says is compared
		equipment, found, err := intake.Read(lib, sub)
		if err != nil {
			plan.Findings = append(plan.Findings, notAList(d.Input, err))
			return doc
		}
		doc.Equipment = equipment
		plan.Findings = append(plan.Findings, unreadable(found)...)
	}
	return doc
}

// unreadable keeps, of what the reading of another trade's document found,
// only what could not be read; its assumptions are theirs to make.
func unreadable(found []finding.Finding) []finding.Finding {
	var out []finding.Finding
	for _, f := range found {
		if f.Severity == finding.Fault {
			f.Severity = finding.Caution
			out = append(out, f)
		}
	}
	return out
}

func notAList(in model.Input, err error) finding.Finding {
	f := finding.Finding{Code: "document-unread", Severity: finding.Caution, Subject: in.File,
		Message: err.Error(), Fix: "say what the document is with --role, or give the list it was printed from"}
	var file *intake.FileError
	if errors.As(err, &file) {
		f.Message, f.Fix = file.Message, file.Fix
	}
	return f.At(model.Where{File: in.File})
}

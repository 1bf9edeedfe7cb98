package excel

import (
	"crypto/sha256"
	"encoding/hex"
	"hash"
	"io"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
)

// Options choose what goes into a workbook.
type Options struct {
	// For says whose copy it is: vendor (the default), estimate, field or all.
	// Only estimate and all carry money.
	For string
}

func (o Options) money() bool { return o.For == "estimate" || o.For == "all" }

// Write writes the workbook of a plan to w. The same plan and options give the
// same bytes. An error comes from w or from a plan too large for the format.
func Write(w io.Writer, plan *model.Plan, opts Options) error {
	b := &book{head: pageHead{project: projectLine(plan.Project), issue: issueLine(plan.Project),
		paper: plan.Settings.Workbook.Paper}}
	points := pointSheet(plan)
	counts := countSheet(b, plan)
	b.sheets = []*sheet{nil, points, counts}
	b.add(len(plan.Alarms), func() *sheet { return alarmSheet(plan) })
	b.add(len(plan.Circuits), func() *sheet { return pairingSheet(plan) })
	b.sheets = append(b.sheets, findingSheet(plan), equipmentSheet(plan))
	b.add(len(plan.Panels), func() *sheet { return panelSheet(plan) })
	b.add(len(plan.Landings)+len(plan.Terminations), func() *sheet { return landingSheet(plan) })
	b.add(len(plan.Controllers), func() *sheet { return controllerSheet(plan, opts) })
	b.add(len(plan.Supplies), func() *sheet { return supplySheet(plan) })
	b.add(len(plan.Cables), func() *sheet { return cableSheet(plan) })
	b.add(len(plan.Materials), func() *sheet { return materialSheet(plan, opts) })
	b.add(len(plan.Interlocks), func() *sheet { return interlockSheet(plan) })
	b.add(len(plan.CauseEffect.Rows), func() *sheet { return causeEffectSheet(plan) })
	b.add(len(plan.TruthTables), func() *sheet { return truthSheet(plan) })
	b.add(len(plan.Sequences), func() *sheet { return sequenceSheet(plan) })
	b.add(len(plan.Tests), func() *sheet { return testSheet(plan) })
	b.add(len(plan.Responsibility), func() *sheet { return responsibilitySheet(plan) })
	b.add(len(plan.Differences), func() *sheet { return differenceSheet(plan) })
	b.sheets[0] = coverSheet(plan, b.sheets[1:])
	return b.finish(w, plan)
}

// add appends a sheet if there is anything to put on it.
func (b *book) add(n int, make func() *sheet) {
	if n > 0 {
		b.sheets = append(b.sheets, make())
	}
}

// finish writes the collected sheets with the marks that tell our own.
func (b *book) finish(w io.Writer, plan *model.Plan) error {
	mark := Fingerprint(plan)
	return b.write(w, plan.Project, mark)
}

// Fingerprint names the content of a plan: a SHA-256 over what the vendor is
// asked to agree to. It goes into the workbook and comes back with it.
func Fingerprint(plan *model.Plan) string {
	h := sha256.New()
	put(h, plan.Project.Name, plan.Project.Number, plan.Project.Issue)
	for i := range plan.Points {
		p := &plan.Points[i]
		put(h, p.Key, p.ObjectType, p.ObjectName, p.Description, p.Units, p.Signal, p.Polarity, p.ContactSense,
			p.FailState, p.RelinquishDefault, p.Carried, p.Controller, p.Terminal, p.Panel, p.Bid,
			strings.Join(p.States, "\x1f"), p.FurnishedBy, p.InstalledBy, p.WiredBy)
		if p.Instance != nil {
			put(h, strconv.Itoa(*p.Instance))
		}
	}
	for i := range plan.Alarms {
		a := &plan.Alarms[i]
		put(h, a.ID, a.Source, a.Algorithm, a.Condition, strconv.FormatFloat(a.DelaySeconds, 'g', -1, 64))
	}
	for i := range plan.Circuits {
		c := &plan.Circuits[i]
		put(h, c.ID, c.Drive.String(), string(c.Verdict))
	}
	return hex.EncodeToString(h.Sum(nil))
}

func put(h hash.Hash, fields ...string) {
	for _, f := range fields {
		io.WriteString(h, f)
		h.Write([]byte{0})
	}
}

func projectLine(h model.ProjectHead) string {
	return strings.TrimSpace(strings.TrimSpace(h.Number) + " " + strings.TrimSpace(h.Name))
}

func issueLine(h model.ProjectHead) string {
	switch {
	case h.Issue != "" && h.Date != "":
		return h.Issue + ", " + h.Date
	case h.Issue != "":
		return h.Issue
	}
	return h.Date
}

// marks puts the fingerprint where programs of different habits keep it: a
// custom property and a hidden defined name.
func (b *book) marks(mark string) error {
	if err := b.f.SetCustomProps(excelize.CustomProperty{Name: propertyName, Value: mark}); err != nil {
		return err
	}
	if err := b.f.SetDefinedName(&excelize.DefinedName{Name: fingerprintName, RefersTo: `"` + mark + `"`}); err != nil {
		return err
	}
	names := b.f.WorkBook.DefinedNames.DefinedName
	for i := range names {
		if names[i].Name == fingerprintName {
			names[i].Hidden = true
		}
	}
	return nil
}

// fingerprintName is the hidden defined name that holds the fingerprint.
const fingerprintName = "point_schedule_fingerprint"

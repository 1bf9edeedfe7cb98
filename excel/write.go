package excel

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
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
	// Only names the sheets to make besides the cover; empty makes all that
	// this copy takes.
	Only []string
	// Keep is what people wrote into an earlier issue; it is put back by key.
	Keep *model.Returned
	// Changes are what changed since an earlier issue, Since names that issue.
	Changes []model.Difference
	Since   string
}

func (o Options) money() bool { return o.For == "estimate" || o.For == "all" }

// Write writes the workbook of a plan to w. The same plan and options give the
// same bytes. An error comes from w, from options that name nothing, or from a
// plan too large for the format.
func Write(w io.Writer, plan *model.Plan, opts Options) error {
	is := newIssued(plan, opts)
	if err := is.check(); err != nil {
		return err
	}
	b := &book{head: pageHead{project: projectLine(plan.Project), issue: issueLine(plan.Project), paper: plan.Settings.Workbook.Paper},
		kept: is.kept, conditional: map[look]int{}, hiddenNames: map[string]bool{}}
	b.sheets = is.sheets()
	for _, s := range b.sheets {
		if s.count > maxRows || len(s.columns) > maxColumns {
			return fmt.Errorf("sheet %q needs %d rows and %d columns; a workbook holds %d and %d", s.name, s.count, len(s.columns), maxRows, maxColumns)
		}
		if s.name == pointSheetName {
			b.nameColumns(s)
		}
	}
	return b.write(w, plan.Project, Fingerprint(plan))
}

// sheets makes the sheets of this copy in their order.
func (is *issued) sheets() []*sheet {
	plan := is.plan
	var list []*sheet
	add := func(n int, name string, make func() *sheet) {
		if n > 0 && is.wanted(name) {
			list = append(list, make())
		}
	}
	add(1, pointSheetName, func() *sheet { return pointSheet(is) })
	counts := countSheet(is)
	add(1, countSheetName, func() *sheet { return counts })
	add(len(plan.Points), "Charts", func() *sheet { return chartSheet(counts) })
	add(len(is.opts.Changes), "Changes", func() *sheet { return changeSheet(is) })
	add(1, findingSheetName, func() *sheet { return findingSheet(is) })
	add(len(is.questions()), "Clarifications", func() *sheet { return clarificationSheet(is) })
	add(len(plan.Alarms), "Alarms", func() *sheet { return alarmSheet(is) })
	add(len(plan.Circuits), pairingSheetName, func() *sheet { return pairingSheet(is) })
	add(len(plan.Points), "Objects", func() *sheet { return objectSheet(is) })
	add(len(plan.Support), "Supporting objects", func() *sheet { return supportSheet(is) })
	add(len(plan.Trunks), "Trunks", func() *sheet { return trunkSheet(is) })
	add(len(plan.Network), "Network", func() *sheet { return networkSheet(is) })
	add(len(plan.Landings)+len(plan.Terminations), "Landings", func() *sheet { return landingSheet(is) })
	add(len(plan.Panels), "Panels", func() *sheet { return panelSheet(is) })
	add(len(plan.Controllers), "Controllers", func() *sheet { return controllerSheet(is) })
	add(len(plan.Supplies), "Supplies", func() *sheet { return supplySheet(is) })
	add(len(plan.Cables), "Cables", func() *sheet { return cableSheet(is) })
	add(len(plan.Materials), "Materials", func() *sheet { return materialSheet(is) })
	if is.opts.money() {
		add(len(plan.Materials), bidSheetName, func() *sheet { return bidSheet(is) })
	}
	add(len(plan.Interlocks), "Interlocks", func() *sheet { return interlockSheet(is) })
	add(len(plan.CauseEffect.Rows), "Cause and effect", func() *sheet { return causeEffectSheet(is) })
	add(len(plan.Restart), "Restart order", func() *sheet { return restartSheet(is) })
	add(len(plan.TruthTables), "Truth tables", func() *sheet { return truthSheet(is) })
	add(len(plan.Sequences), "Sequences", func() *sheet { return sequenceSheet(is) })
	add(len(plan.Tests), "Functional tests", func() *sheet { return testSheet(is) })
	add(len(is.checkouts()), "Point check-out", func() *sheet { return checkoutSheet(is) })
	add(len(plan.Responsibility), "Responsibility", func() *sheet { return responsibilitySheet(is) })
	add(len(plan.Equipment), "Equipment", func() *sheet { return equipmentSheet(is) })
	add(len(plan.Functions.Rows), "Function list", func() *sheet { return functionSheet(is) })
	add(len(plan.Differences), "Cross-check", func() *sheet { return differenceSheet(is) })
	add(len(plan.Retrofit), "Existing points", func() *sheet { return retrofitSheet(is) })
	add(len(is.kept.rows), keptSheetName, func() *sheet { return keptSheet(is) })
	list = append([]*sheet{coverSheet(is, list)}, list...)
	list = append(list, is.foreignSheets(list)...)
	return append(list, aboutSheet(is, list))
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
		if names[i].Name == fingerprintName || b.hiddenNames[names[i].Name] {
			names[i].Hidden = true
		}
	}
	return nil
}

// fingerprintName is the hidden defined name that holds the fingerprint.
const fingerprintName = "point_schedule_fingerprint"

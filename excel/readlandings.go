package excel

import (
	"slices"
	"strconv"
	"strings"

	"tallywire/model"
)

// An issued workbook shows where every wire ends: the sheet of landings lists
// every terminal of every controller in order, spare ones too, the sheet of
// controllers what each is made of. Together they give the controllers and
// landings back as far as staying on them needs: prices, figures and why a
// point landed there stand elsewhere.

// readControllers reads the sheet of controllers into a plan.
func (r *returnReader) readControllers(ref sheetRef, blank *issued, plan *model.Plan) error {
	return r.eachLine(ref, controllerSheet(blank), "controller", func(get func(id string) string) {
		plan.Controllers = append(plan.Controllers, model.Controller{ID: get("controller"), Panel: get("panel"), Model: get("model"),
			Expansions: parts(get("expansions"), "\n"), Existing: strings.EqualFold(get("existing"), "yes")})
	})
}

// readPanels reads the places of the panels into a plan.
func (r *returnReader) readPanels(ref sheetRef, blank *issued, plan *model.Plan) error {
	return r.eachLine(ref, panelSheet(blank), "panel", func(get func(id string) string) {
		plan.Panels = append(plan.Panels, model.PanelSummary{Panel: get("panel"), Location: get("location"), Rating: get("rating"), Emergency: strings.EqualFold(get("emergency"), "yes")})
	})
}

// readLandings reads the sheet of landings into a plan. A line may have been
// sorted away from its place: the terminals of a module keep the order in which
// they are found, and nothing depends on it.
func (r *returnReader) readLandings(ref sheetRef, blank *issued, plan *model.Plan) error {
	return r.eachLine(ref, landingSheet(blank), "terminal", func(get func(id string) string) {
		t := model.Termination{Panel: get("panel"), Controller: get("controller"), Module: get("module"), Terminal: get("terminal"), Class: get("class"),
			State: get("state"), WireLabel: get("wire"), Point: get("point"), Device: get("device"), Far: get("far"), Signal: get("signal"), Cable: get("cable")}
		plan.Terminations = append(plan.Terminations, t)
		if t.Point != "" {
			plan.Landings = append(plan.Landings, model.Landing{Point: t.Point, Panel: t.Panel, Controller: t.Controller, Module: t.Module, Terminal: t.Terminal,
				Class: t.Class, WireLabel: t.WireLabel, Mode: get("mode"), Parts: parts(get("parts"), ", ")})
		}
	})
}

// assemble gives the controllers that were read their place, their modules and
// the terminals in use, from the lines of the landings; an expansion is told by its place: X1
// is the first.
func assemble(plan *model.Plan) {
	for i := range plan.Controllers {
		c := &plan.Controllers[i]
		for _, p := range plan.Panels {
			if p.Panel == c.Panel {
				c.Location = p.Location
			}
		}
		c.Modules = []model.Module{{ID: "base", Model: c.Model}}
		for n, m := range c.Expansions {
			c.Modules = append(c.Modules, model.Module{ID: "X" + strconv.Itoa(n+1), Model: m})
		}
		for _, t := range plan.Terminations {
			at := slices.IndexFunc(c.Modules, func(m model.Module) bool { return m.ID == t.Module })
			if t.Controller != c.ID || at < 0 {
				continue
			}
			c.Modules[at].Terminals = append(c.Modules[at].Terminals, t.Terminal)
			if t.State == "in use" {
				c.InUse = append(c.InUse, t.Terminal)
			}
		}
	}
}

package crosscheck

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
)

// within asks what no second document is needed for: the words of our own
// list against its points, machines against the panels that control them, the
// status device against the motor's current.
func (c *comparison) within() {
	listed := false
	for i := range c.views {
		listed = listed || len(c.views[i].doc.Points) > 0
	}
	for _, o := range c.ours {
		if !listed {
			c.askedOfUs(o)
		}
		c.panel(o)
		c.trip(o)
	}
	c.restart()
}

// restart asks once how machines on emergency power come back.
func (c *comparison) restart() {
	var tags []string
	var at *model.Where
	for _, o := range c.ours {
		if on, w := c.emergencyOf(o); on {
			tags = append(tags, o.Tag)
			at = cmp.Or(at, w)
		}
	}
	if len(tags) < 2 {
		return
	}
	list := strings.Join(tags, ", ")
	c.tell(model.Difference{Code: "restart-asked", Severity: finding.Note, Subject: tags[0], Field: "restart", Ours: list, Where: at,
		Message: fmt.Sprintf("%d machines are on emergency power (%s); no document says in which order and after what delay they restart", len(tags), list),
		Ask:     fmt.Sprintf("In which order and after what delay do %s restart when the generator takes over and when normal power returns, and do they restart by themselves?", list)})
}

// askedOfUs tells remarks that ask for a point which our own list lacks.
func (c *comparison) askedOfUs(o *model.Equipment) {
	for _, a := range c.asks(o) {
		if slices.ContainsFunc(c.points[o.Tag], func(p *model.Point) bool { return roleGroup(p.Role) == roleGroup(a.role) }) {
			continue
		}
		c.tell(model.Difference{Code: "asked-not-planned", Severity: finding.Caution, Subject: o.Tag + "/" + a.role, Field: "point", Ours: a.text, Where: firstWhere(a.where, o.Where),
			Message: fmt.Sprintf("the words %q ask for the %s of %s, and the point schedule has none", a.text, plain(a.role), o.Tag),
			Ask:     fmt.Sprintf("The remark on %s asks for its %s: is the point wanted?", o.Tag, plain(a.role))})
	}
}

// panel compares the machine's branch and place with its panel's.
func (c *comparison) panel(o *model.Equipment) {
	for i := range c.p.Panels {
		pn := &c.p.Panels[i]
		if pn.ID != o.Panel && !slices.Contains(pn.Serves, o.Tag) {
			continue
		}
		if on, w := c.emergencyOf(o); on && !pn.Emergency {
			c.tell(model.Difference{Code: "emergency-panel", Severity: finding.Fault, Subject: o.Tag, Field: "emergency power", Ours: o.Tag + " emergency", Theirs: pn.ID + " normal", Where: w, Other: pn.Where,
				Message: fmt.Sprintf("%s is on emergency power and its panel %s is not; without the controller the fan does not run on its own", o.Tag, pn.ID),
				Ask:     fmt.Sprintf("Is %s to be fed from the emergency branch, as %s is?", pn.ID, o.Tag)})
		}
		if pn.Rating == "indoor" && outdoors(pn.Location) {
			c.tell(model.Difference{Code: "panel-rating", Severity: finding.Caution, Subject: pn.ID, Field: "rating", Ours: pn.Rating, Theirs: pn.Location, Where: pn.Where,
				Message: fmt.Sprintf("%s hangs at %q and is rated for indoors", pn.ID, pn.Location),
				Ask:     fmt.Sprintf("Where does %s hang, and which enclosure and temperature rating does it need?", pn.ID)})
		}
	}
}

func outdoors(place string) bool {
	text := words(place)
	for _, w := range []string{"roof", "outdoor", "outside", "exterior", "garage", "pool", "freezer", "yard"} {
		if hasWords(text, w) {
			return true
		}
	}
	return false
}

// trip compares the least current at which a current switch trips with the
// motor's: at the lowest speed a fan motor draws a fraction of its full load.
func (c *comparison) trip(o *model.Equipment) {
	if o.StatusDevice == "" || o.Ratings.Current == nil {
		return
	}
	t, ok := c.lib.Device(o.StatusDevice)
	if !ok {
		return
	}
	amps, ok := o.Ratings.Current.In("A")
	if !ok {
		return
	}
	for _, term := range t.Terminals {
		if term.Trip == nil || amps.Lo >= 1.5*term.Trip.Lo {
			continue
		}
		c.tell(model.Difference{Code: "status-trip", Severity: finding.Caution, Subject: o.Tag, Field: "status device", Ours: strings.TrimSpace(quantityText(o.Ratings.Current)), Theirs: model.Figure(term.Trip.Lo) + " A", Where: firstWhere(o.Ratings.Current.Where, o.Where),
			Message: fmt.Sprintf("%s draws %s; a %s trips from %s A and wants 1.5 times that, so it may never prove (loop the lead through it, or use a pressure switch)", o.Tag, quantityText(o.Ratings.Current), t.Name, model.Figure(term.Trip.Lo)),
			Ask:     fmt.Sprintf("How is %s to prove running at %s?", o.Tag, quantityText(o.Ratings.Current))})
	}
}

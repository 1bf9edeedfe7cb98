package landing

import (
	"fmt"
	"math"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/landing/pack"
)

// rules are the settings of landing with their defaults filled in.
type rules struct {
	share     int // spare in ten-thousandths
	one       bool
	keep      pack.Keep
	penalty   int64
	effort    pack.Effort
	stated    bool // the effort is the user's
	maxPoints int
	assumed   []finding.Finding
}

// Defaults of the landing settings, all common practice: specifications ask for
// 10 to 25 % spare of each type in every panel; equipment split over two
// controllers depends on the network, so splitting has a price.
const (
	defaultShare   = 0.20
	defaultPenalty = 20000 // cents
)

func rulesOf(s model.LandingSettings) rules {
	r := rules{share: int(math.Round(defaultShare * 10000)), one: true, keep: pack.Soft, penalty: defaultPenalty, effort: pack.Fast, maxPoints: s.MaxPoints}
	note := func(what, fix string) {
		r.assumed = append(r.assumed, finding.Finding{Code: "landing-assumed", Severity: finding.Note, Message: what, Fix: fix, Source: "common practice"})
	}
	if s.SpareShare != nil {
		r.share = int(math.Round(*s.SpareShare * 10000))
	}
	if s.SpareOne != nil {
		r.one = *s.SpareOne
	}
	if s.SpareShare == nil || s.SpareOne == nil {
		least := ""
		if r.one {
			least = ", at least one"
		}
		note(fmt.Sprintf("spare of each terminal class on every controller: %g %%, rounded up%s", float64(r.share)/100, least),
			"state landing.spare_share and landing.spare_at_least_one in the settings")
	}
	switch s.Together {
	case "hard":
		r.keep = pack.Hard
	case "loose":
		r.keep = pack.Loose
	case "":
		note("the points of one machine are kept on one controller where that is not too dear", "state landing.together: hard, soft or loose")
	}
	if s.SplitPenaltyCents != nil {
		r.penalty = *s.SplitPenaltyCents
	} else if r.keep == pack.Soft {
		note(fmt.Sprintf("a machine split over two controllers counts %d.%02d in the choice (not a price to pay)", r.penalty/100, r.penalty%100), "state landing.split_penalty_cents")
	}
	r.stated = s.Effort != ""
	switch s.Effort {
	case "quick":
		r.effort = pack.Quick
	case "exact":
		r.effort = pack.Exact
	}
	return r
}

// fastPoints is how many hardwired points a project may have to be planned at
// fast effort where none is stated. Fast effort is bounded for each panel, at
// about half a second however large the panel is (measured), so a project of so
// many points takes a few seconds at most; beyond, quick effort takes a tenth
// of that and costs some per cent more.
const fastPoints = 3000

// pace chooses the effort by the number of points where the user states none.
func (r *rules) pace(points int) {
	if r.stated || points <= fastPoints {
		return
	}
	r.effort = pack.Quick
	r.assumed = append(r.assumed, finding.Finding{Code: "landing-assumed", Severity: finding.Note, Source: "common practice",
		Numbers: []finding.Number{{Name: "points", Value: float64(points)}},
		Message: fmt.Sprintf("%d hardwired points are landed at quick effort, as no effort is stated and there are more than %d; the proof of each panel tells how far from the least cost it may be", points, fastPoints),
		Fix:     "state landing.effort: fast, which takes about half a second a panel and often saves some per cent of the controllers"})
}

// effortName is the word of the settings.
func effortName(e pack.Effort) string { return [...]string{"quick", "fast", "exact"}[e] }

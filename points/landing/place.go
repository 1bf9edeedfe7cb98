package landing

import (
	"regexp"
	"strconv"
	"strings"
)

// place is where something stands, as far as words tell: a building and a
// storey. Storey 1 is the ground floor, 0 the first basement; a mezzanine is
// half a storey above its floor.
type place struct {
	building string
	level    float64
	known    bool // the storey could be read
	roof     bool // on top of the building, whatever its storeys
}

// The words for storeys and buildings on drawings; common practice.
var (
	buildingWords = regexp.MustCompile(`\b(?:BLDG|BUILDING|TOWER|BLOCK)\.?\s*([A-Z]\b|\d+[A-Z]?\b)`)
	levelWords    = regexp.MustCompile(`\b(?:LEVEL|LVL|LEV|FLOOR|FLR|FL|STOREY|STORY)\.?\s*-?\s*(\d{1,2})\b|\bL-?(\d{1,2})\b|\b(\d{1,2})(?:ST|ND|RD|TH)?\s+(?:FLOOR|FLR|FL|LEVEL|STOREY|STORY)\b`)
	belowWords    = regexp.MustCompile(`\b(?:BASEMENT|BSMT|CELLAR|LOWER LEVEL|LL)\b(?:\s*-?(\d))?|\b(?:LEVEL |LVL )?[BP]-?(\d)\b|\bLL-?(\d)\b`)
	groundWords   = regexp.MustCompile(`\b(?:GROUND|GRADE|MAIN FLOOR)\b`)
	roofWords     = regexp.MustCompile(`\b(?:ROOF|ROOFTOP|PENTHOUSE)\b`)
	openRoof      = regexp.MustCompile(`\b(?:ROOF|ROOFTOP)\b`)
	indoors       = regexp.MustCompile(`\b(?:ROOM|RM|PENTHOUSE|CLOSET|MECH|MECHANICAL|BELOW|UNDER)\b`)
	mezzanine     = regexp.MustCompile(`\b(?:MEZZ|MEZZANINE)\b`)
	basementRoom  = regexp.MustCompile(`\b(?:ROOM|RM)\.?\s*B-?\d{1,3}[A-Z]?\b`)
	roomWords     = regexp.MustCompile(`\b(?:ROOM|RM)\.?\s*[A-Z]?-?(\d{1,2})\d{2}[A-Z]?\b`)
	ordinals      = strings.NewReplacer("FIRST", "1ST", "SECOND", "2ND", "THIRD", "3RD", "FOURTH", "4TH", "FIFTH", "5TH", "SIXTH", "6TH", "SEVENTH", "7TH", "EIGHTH", "8TH", "NINTH", "9TH", "TENTH", "10TH")
)

// readPlace reads a location: ROOF, LEVEL 2 MEZZANINE, BLDG B BASEMENT, RM 214.
// The first figure of a room number is its storey (common practice).
func readPlace(text string) place {
	text = ordinals.Replace(strings.ToUpper(strings.Join(strings.Fields(text), " ")))
	var p place
	if m := buildingWords.FindStringSubmatch(text); m != nil {
		p.building = m[1]
		text = buildingWords.ReplaceAllString(text, " ")
	}
	set := func(level float64) { p.level, p.known = level, true }
	switch {
	case basementRoom.MatchString(text):
		set(0)
	case belowWords.MatchString(text):
		set(float64(1 - max(1, figureOf(belowWords.FindStringSubmatch(text)))))
	case levelWords.MatchString(text):
		set(float64(figureOf(levelWords.FindStringSubmatch(text))))
	case roofWords.MatchString(text):
		p.known, p.roof = true, true
	case groundWords.MatchString(text):
		set(1)
	case roomWords.MatchString(text):
		set(float64(figureOf(roomWords.FindStringSubmatch(text))))
	case mezzanine.MatchString(text):
		set(1)
	}
	if p.known && !p.roof && mezzanine.MatchString(text) {
		p.level += 0.5
	}
	return p
}

// onRoof reports whether a location is the open roof; a penthouse is a room.
func onRoof(location string) bool {
	text := strings.ToUpper(location)
	return openRoof.MatchString(text) && !indoors.MatchString(text)
}

// figureOf is the first group of a match that holds a figure; 0 none.
func figureOf(groups []string) int {
	for _, g := range groups[min(1, len(groups)):] {
		if n, err := strconv.Atoi(g); err == nil {
			return n
		}
	}
	return 0
}

// storeysApart is how far two places are from each other, in storeys; false
// where one of them is not known or they are in different buildings. A place
// that names no building is in the one that the other names.
func storeysApart(a, b place) (float64, bool) {
	if !a.known || !b.known || a.building != "" && b.building != "" && a.building != b.building {
		return 0, false
	}
	return max(a.level-b.level, b.level-a.level), true
}

// words prints a place: level 2, level 2.5, basement 1.
func (p place) words() string {
	out := ""
	switch {
	case p.roof:
		out = "roof"
	case p.level < 1 && p.level == float64(int(p.level)):
		out = "basement " + strconv.Itoa(1-int(p.level))
	default:
		out = "level " + strconv.FormatFloat(p.level, 'f', -1, 64)
	}
	if p.building != "" {
		out = "building " + p.building + " " + out
	}
	return out
}

package crosscheck

import (
	"path"
	"slices"
	"strings"
	"unicode"

	"tallywire/model"
	"tallywire/points/library"
)

// Recognise tells what kind of document a file is from its name, the titles
// above its table and its column headings; "" if nothing speaks for any.
func Recognise(lib *library.Library, input model.Input, sheets []model.Sheet) string {
	titles := words(strings.TrimSuffix(path.Base(input.File), path.Ext(input.File))) + " | " + words(input.Name)
	var headings []string
	for i := range sheets {
		titles += " | " + words(sheets[i].Name)
		rows := sheets[i].Rows
		for j := 0; j < len(rows) && j < headRows; j++ {
			filled := filledCells(rows[j])
			if len(filled) <= 2 {
				for _, c := range filled {
					titles += " | " + words(c.Text)
				}
				continue
			}
			for _, c := range filled {
				headings = append(headings, words(c.Text))
			}
		}
	}
	best, most := "", 0.0
	for _, d := range lib.DocumentWords("recognise") {
		score := 0.0
		for _, t := range d.Titles {
			if hasWords(titles, t) {
				score += 2 * d.Weight
			}
		}
		for _, h := range d.Headings {
			if slices.Contains(headings, words(h)) {
				score += d.Weight
			}
		}
		if score > most {
			best, most = d.ID, score
		}
	}
	return best
}

// headRows is how many rows of a sheet are looked at for titles and headings.
const headRows = 12

func filledCells(r model.Row) []model.Cell {
	var out []model.Cell
	for _, c := range r.Cells {
		if strings.TrimSpace(c.Text) != "" {
			out = append(out, c)
		}
	}
	return out
}

// words evens a text out: lower case, letters and figures, single blanks.
func words(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			b.WriteRune(r)
		} else {
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// hasWords: the phrase stands in the text at word bounds.
func hasWords(text, phrase string) bool {
	return strings.Contains(" "+text+" ", " "+words(phrase)+" ")
}

// roleNames are the kinds of document with what project files call them.
var roleNames = []struct{ role, name string }{
	{Mechanical, "mechanical schedule"}, {Electrical, "electrical schedule"}, {Controls, "controls point list"}, {Fire, "fire matrix"}, {Submittal, "submittal"},
	{Dampers, "damper schedule"}, {COBie, "cobie"}, {Objects, "object list"}, {Trends, "trend list"}, {Graphics, "graphics list"},
}

// DocumentRoles lists the kinds of document.
func DocumentRoles() []string {
	var out []string
	for _, r := range roleNames {
		out = append(out, r.role)
	}
	return out
}

// RoleNamed returns the kind of document that a word of the command line or a
// project file means: electrical and electrical schedule; "" if none.
func RoleNamed(text string) string {
	word := strings.ToLower(strings.TrimSpace(text))
	for _, r := range roleNames {
		if word == r.role || word == r.name {
			return r.role
		}
	}
	return ""
}

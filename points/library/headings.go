package library

import "tallywire/model"

// Use says what a heading is good for.
const (
	UseField     = "field"      // a column that intake reads
	UseNotNeeded = "not-needed" // a column that is kept but means nothing to the job
	UseTitle     = "title"      // the title of a table or a group of columns, no column
)

// Heading is a field of an equipment list and the words by which people head
// its column. Words are matched after case, dots, blanks and abbreviations
// are evened out, in any order; Unit is what a bare number means in IP, UnitSI
// in SI.
type Heading struct {
	Placed
	ID     string   `json:"id"`
	Use    string   `json:"use"`
	Name   string   `json:"name"`
	Value  string   `json:"value"` // tag, count, text, answer, service, voltage, phases, hertz, or a dimension
	Unit   string   `json:"unit"`
	UnitSI string   `json:"unit_si"`
	Words  []string `json:"words"`
	// Within are words any one of which marks the heading as not needed
	// wherever it stands; only for use not-needed.
	Within []string `json:"within"`
	Source string   `json:"source"`
}

// RecordID implements the record form.
func (h Heading) RecordID() string { return h.ID }

// Heading returns a field by its id.
func (l *Library) Heading(id string) (Heading, bool) {
	for _, h := range l.Headings {
		if h.ID == id {
			return h, true
		}
	}
	return Heading{}, false
}

func loadHeadings(own []model.LibraryFile) ([]Heading, error) {
	return load[Heading]("headings", own)
}

// loadAbbreviations reads the short forms of heading words.
func loadAbbreviations() (map[string]string, error) {
	t, err := table("headings/abbreviations.tsv")
	if err != nil {
		return nil, err
	}
	out := make(map[string]string, len(t.Rows))
	for _, r := range t.Rows {
		out[r[0]] = r[1]
	}
	return out, nil
}

// Measure is a unit of measure and its spellings. ID is the unit's name in
// model.Quantity, or "" in Dimension none for units that the job has no use
// for but must recognise.
type Measure struct {
	Placed
	ID        string   `json:"id"`
	Dimension string   `json:"dimension"`
	Spellings []string `json:"spellings"`
	Source    string   `json:"source"`
}

// RecordID implements the record form.
func (m Measure) RecordID() string { return m.ID }

func loadMeasures(own []model.LibraryFile) ([]Measure, error) {
	return load[Measure]("measures", own)
}

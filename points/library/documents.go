package library

import "tallywire/model"

// DocumentWords is how one kind of document is recognised, or one column of a
// point list or of a list of graphics headed.
type DocumentWords struct {
	ID       string   `json:"id"`
	Kind     string   `json:"kind"` // recognise, column, page
	Weight   float64  `json:"weight"`
	Titles   []string `json:"titles"`
	Headings []string `json:"headings"`
	Words    []string `json:"words"`
	Source   string   `json:"source"`
	Placed
}

// RecordID returns the id of the record.
func (d DocumentWords) RecordID() string { return d.ID }

func (l *Library) loadDocuments(own []model.LibraryFile) error {
	records, err := load[DocumentWords]("documents", own)
	l.documents = records
	return err
}

// DocumentWords lists the records of a kind in the order of the library.
func (l *Library) DocumentWords(kind string) []DocumentWords {
	var out []DocumentWords
	for _, d := range l.documents {
		if d.Kind == kind {
			out = append(out, d)
		}
	}
	return out
}

// PointNames are the names that point lists give a role, and the phrases by
// which remarks ask for it. ID is the role.
type PointNames struct {
	ID     string   `json:"id"`
	Names  []string `json:"names"`
	Asks   []string `json:"asks"`
	Source string   `json:"source"`
	Placed
}

// RecordID returns the role.
func (p PointNames) RecordID() string { return p.ID }

func (l *Library) loadPointNames(own []model.LibraryFile) error {
	records, err := load[PointNames]("pointnames", own)
	l.pointNames = records
	return err
}

// PointNames lists the names of the roles in the order of the library.
func (l *Library) PointNames() []PointNames { return l.pointNames }

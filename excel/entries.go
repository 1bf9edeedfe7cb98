package excel

import "fmt"

// Entries lists the cells of a workbook of ours in which other people have
// written: the places in the columns that are theirs to fill.
func Entries(data []byte) ([]string, error) {
	p, err := openPackage(data)
	if err != nil {
		return nil, err
	}
	b, err := p.openBook()
	if err != nil {
		return nil, err
	}
	theirs := map[string]bool{}
	for _, f := range pointFields(&issued{kept: keep(nil)}) {
		if f.input {
			theirs[f.title] = true
		}
	}
	for _, title := range []string{"Result", "Date", "Initials"} {
		theirs[title] = true
	}
	var places []string
	for _, ref := range b.sheets {
		if ref.name != pointSheetName && ref.name != "Functional tests" {
			continue
		}
		columns := map[int]bool{}
		_, err := b.readGrid(ref, func(r rawRow) error {
			for _, c := range r.cells {
				if r.number == 1 {
					columns[c.column] = theirs[c.text]
				} else if columns[c.column] && c.text != "" {
					places = append(places, fmt.Sprintf("%s!%s", ref.name, cellName(c.column, r.number)))
				}
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	return places, nil
}

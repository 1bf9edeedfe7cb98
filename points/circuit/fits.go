package circuit

import "tallywire/points/library"

// fits says which devices in line can stand first, behind the driving end, and
// last, before the accepting ends, on some supply or other.
type fits struct{ first, last map[*library.Interposer]bool }

// fits tries every device in line alone, on each supply there is or could be,
// so that most pairs need not be tried at all.
func (m *mending) fits() fits {
	f := fits{map[*library.Interposer]bool{}, map[*library.Interposer]bool{}}
	extras := []*library.Interposer{nil}
	for i := range m.parts {
		if m.parts[i].How == "supply" {
			extras = append(extras, &m.parts[i])
		}
	}
	for i := range m.parts {
		p := &m.parts[i]
		if p.How != "in-line" {
			continue
		}
		for _, s := range extras {
			if f.first[p] && f.last[p] {
				break
			}
			k := newCombo([]*library.Interposer{p}, s, nil)
			m.x.onTrial(m.c, k, func(pieces []piece) {
				front, _ := m.x.working(pieces[0])
				back, _ := m.x.working(pieces[1])
				f.first[p] = f.first[p] || len(front) > 0
				f.last[p] = f.last[p] || len(back) > 0
			}, m.locals)
		}
	}
	return f
}

// may says whether a choice of parts is worth arranging. A resistor may mend one
// piece, so that the other has to stand without it.
func (f fits) may(k combo) bool {
	switch {
	case len(k.line) == 2:
		return f.first[k.line[0]] && f.last[k.line[1]]
	case len(k.line) == 1 && k.across != nil:
		return f.first[k.line[0]] || f.last[k.line[0]]
	case len(k.line) == 1 && k.supply != nil:
		return f.first[k.line[0]] && f.last[k.line[0]]
	}
	return true
}

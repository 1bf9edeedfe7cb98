package crosscheck

import (
	"strings"

	"tallywire/model"
	"tallywire/points/library"
)

// ReadFireMatrix reads a matrix of machines against fire events: one row a
// machine, one column an event, the cell says what the machine does. Where one
// column is headed as the action or response, it alone decides. Else the
// response is the one that the row's cells agree on; a row whose cells differ
// between events (a smoke-control zone) keeps "run" if any cell says so, for
// that is what the machine must be able to do.
func ReadFireMatrix(lib *library.Library, sheets []model.Sheet, tags func(string) []string) []model.Equipment {
	r := newPointReader(lib, tags)
	var out []model.Equipment
	for i := range sheets {
		s := &sheets[i]
		heads := map[int]string{}
		for _, row := range s.Rows {
			filled := filledCells(row)
			if len(filled) < 2 || row.Hidden {
				continue
			}
			list := r.tagsIn(filled[0].Text)
			if len(list) == 0 {
				for _, c := range filled {
					heads[c.Column] = c.Text
				}
				continue
			}
			out = append(out, matrixRow(s, row, filled, heads, list)...)
		}
	}
	return out
}

func matrixRow(s *model.Sheet, row model.Row, filled []model.Cell, heads map[int]string, list []string) []model.Equipment {
	answers := map[string]*model.Where{}
	fields := map[string]model.Text{}
	order := []string{"run", "stop", "continue", "none"}
	decides := func(head string) bool { return says(" "+words(head)+" ", "action", "response") }
	column := false // one column is the answer, the others are events or devices
	for _, h := range heads {
		column = column || decides(h)
	}
	for _, c := range filled[1:] {
		at := where(s, row, c.Column)
		fields[heads[c.Column]] = model.Text{Text: c.Text, Where: at}
		head := " " + words(heads[c.Column]) + " "
		if column && !decides(head) || says(head, "detector", "suppression", "remarks", "notes", "description", "service", "location") {
			continue
		}
		if a := response(c.Text, heads[c.Column]); a != "" && answers[a] == nil {
			answers[a] = at
		}
	}
	var out []model.Equipment
	for _, tag := range list {
		e := model.Equipment{Tag: tag, Where: where(s, row, filled[0].Column), Fields: fields}
		for _, a := range order {
			if w := answers[a]; w != nil {
				e.FireResponse = a
				e.Fields["fire"] = model.Text{Text: a, Where: w}
				e.Evidence = []model.Evidence{{About: "fire", For: a, Weight: 5, Words: a, Won: true, Where: w}}
				break
			}
		}
		out = append(out, e)
	}
	return out
}

// response reads one cell of the matrix. A bare mark means what the column is
// headed by, or a stop.
func response(text, head string) string {
	t := " " + words(text) + " "
	switch {
	case strings.TrimSpace(t) == "" || negative(text) && !strings.EqualFold(strings.TrimSpace(text), "none"):
		return ""
	case says(t, "continue", "continues", "no change", "remain on", "keeps running", "unaffected", "stay on"):
		return "continue"
	case says(t, "none", "no action"):
		return "none"
	case says(t, "stop", "stops", "off", "shutdown", "shut", "shuts", "trip", "de energize", "deenergize"):
		return "stop"
	case says(t, "run", "runs", "on", "start", "starts", "activate", "energize", "full speed", "exhaust", "pressurize"):
		return "run"
	case says(t, "x", "yes", "y", "1"):
		if h := response(head, ""); h != "" {
			return h
		}
		return "stop"
	}
	return ""
}

func says(text string, list ...string) bool {
	for _, w := range list {
		if strings.Contains(text, " "+w+" ") {
			return true
		}
	}
	return false
}

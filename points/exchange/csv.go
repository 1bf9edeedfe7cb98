package exchange

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"tallywire/model"
)

// column is a column of the CSV of points: its heading, which never changes,
// and what a point says there.
type column struct {
	name string
	text func(*model.Point) string
}

// pointColumns are the columns in order. A new one goes to the end, so that
// what reads the file by position keeps working.
var pointColumns = []column{
	{"key", func(p *model.Point) string { return words(p.Key) }},
	{"equipment", func(p *model.Point) string { return words(p.Equipment) }},
	{"role", func(p *model.Point) string { return words(p.Role) }},
	{"system", func(p *model.Point) string { return words(p.System) }},
	{"carried", func(p *model.Point) string { return words(p.Carried) }},
	{"object_type", func(p *model.Point) string { return words(p.ObjectType) }},
	{"instance", func(p *model.Point) string { return whole(p.Instance) }},
	{"object_name", func(p *model.Point) string { return words(p.ObjectName) }},
	{"description", func(p *model.Point) string { return words(p.Description) }},
	{"units", func(p *model.Point) string { return words(p.Units) }},
	{"range_low", func(p *model.Point) string { low, _ := ends(p.Range); return low }},
	{"range_high", func(p *model.Point) string { _, high := ends(p.Range); return high }},
	{"states", func(p *model.Point) string { return list(p.States) }},
	{"polarity", func(p *model.Point) string { return words(p.Polarity) }},
	{"contact_sense", func(p *model.Point) string { return words(p.ContactSense) }},
	{"signal", func(p *model.Point) string { return words(p.Signal) }},
	{"fail_state", func(p *model.Point) string { return words(p.FailState) }},
	{"relinquish_default", func(p *model.Point) string { return words(p.RelinquishDefault) }},
	{"priority", func(p *model.Point) string { return whole(p.Priority) }},
	{"need", func(p *model.Point) string { return words(p.Need) }},
	{"bid", func(p *model.Point) string { return words(p.Bid) }},
	{"existing", func(p *model.Point) string { return yesNo(p.Existing) }},
	{"by_others", func(p *model.Point) string { return yesNo(p.ByOthers) }},
	{"life_safety", func(p *model.Point) string { return yesNo(p.LifeSafety) }},
	{"furnished_by", func(p *model.Point) string { return words(p.FurnishedBy) }},
	{"installed_by", func(p *model.Point) string { return words(p.InstalledBy) }},
	{"wired_by", func(p *model.Point) string { return words(p.WiredBy) }},
	{"panel", func(p *model.Point) string { return words(p.Panel) }},
	{"controller", func(p *model.Point) string { return words(p.Controller) }},
	{"terminal", func(p *model.Point) string { return words(p.Terminal) }},
	{"alarms", func(p *model.Point) string { return list(p.Alarms) }},
	{"trend", func(p *model.Point) string { return words(p.Trend) }},
	{"feedback", func(p *model.Point) string { return words(p.Feedback) }},
	{"rule", func(p *model.Point) string { return words(p.Rule) }},
	{"why", func(p *model.Point) string { return words(p.Why) }},
	{"where", func(p *model.Point) string { return place(p.Where) }},
	{"cov_increment", func(p *model.Point) string { return optionalDecimal(p.COVIncrement) }},
}

// CSV writes one row a point in UTF-8 with the line ends and quotes of RFC
// 4180. Lists in a cell are parted by " | ". Text that a spreadsheet would
// take for a formula has an apostrophe before it.
func CSV(w io.Writer, plan *model.Plan) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	row := make([]string, len(pointColumns))
	for i, c := range pointColumns {
		row[i] = c.name
	}
	if err := out.Write(row); err != nil {
		return err
	}
	for i := range plan.Points {
		for j, c := range pointColumns {
			row[j] = c.text(&plan.Points[i])
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// words is text made safe: a spreadsheet runs what starts with = + - @, also
// behind blanks, tabs or line ends.
func words(s string) string {
	if t := strings.TrimLeft(s, " \t\r\n\u00a0"); t != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(t)[0]) || strings.HasPrefix(s, "\t") || strings.HasPrefix(s, "\r") {
		return "'" + s
	}
	return s
}

func list(items []string) string { return words(strings.Join(items, " | ")) }

func whole(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

func optionalDecimal(f *float64) string {
	if f == nil {
		return ""
	}
	return decimal(*f)
}

// ends are numbers, not text: a negative one stays as it is.
func ends(r *model.Interval) (low, high string) {
	if r == nil {
		return "", ""
	}
	return decimal(r.Lo), decimal(r.Hi)
}

func decimal(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func place(w *model.Where) string {
	if w == nil {
		return ""
	}
	return words(w.String())
}

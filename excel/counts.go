package excel

import (
	"fmt"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"tallywire/model"
	"tallywire/model/finding"
)

// Defined names that the counts are made of: whole columns of the point
// schedule, so that a row added anywhere in them counts.
var countNames = map[string]string{ // column id → name
	"type": "point_type", "class": "point_class", "system": "point_system",
	"equipment": "point_equipment", "panel": "point_panel", "bid": "point_bid",
}

// mostCounted is how many labels a block counts by formula; beyond it a
// spreadsheet program would be slow and the numbers stand as values.
const mostCounted = 1500

// tally counts points by what the formulas ask for.
type tally struct {
	types  []string // object types in short, the nine usual ones first
	class  map[string]map[string]int
	system map[string]map[string]int
	equip  map[string]map[string]int
	panel  map[string]map[string]int
	bid    map[string]map[string]int // bid + "\x00" + class
}

// classOrder is the order of the classes of the counts.
var classOrder = []string{model.Hardwired, model.Network, model.Software, classByOthers}

func tallyPoints(points []model.Point) *tally {
	t := &tally{types: []string{"AI", "AO", "BI", "BO", "MSI", "MSO", "AV", "BV", "MSV"},
		class: map[string]map[string]int{}, system: map[string]map[string]int{}, equip: map[string]map[string]int{},
		panel: map[string]map[string]int{}, bid: map[string]map[string]int{}}
	more := map[string]bool{}
	for i := range points {
		p := &points[i]
		short, class := typeShort(p.ObjectType), countClass(p)
		if !slices.Contains(t.types, short) {
			more[short] = true
		}
		bump(t.class, class, short)
		bump(t.bid, p.Bid+"\x00"+class, short)
		if class != model.Hardwired {
			continue
		}
		bump(t.system, p.System, short)
		bump(t.equip, p.Equipment, short)
		bump(t.panel, p.Panel, short)
	}
	t.types = append(t.types, sortedKeys(more)...)
	return t
}

func bump(m map[string]map[string]int, label, short string) {
	if m[label] == nil {
		m[label] = map[string]int{}
	}
	m[label][short]++
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, finding.CompareTags)
	return keys
}

// countPage builds the counts sheet row by row.
type countPage struct {
	t             *tally
	rows          []row
	wide          int
	class, system span2   // rows of two blocks, for the charts
	spans         []span2 // rows of every block with its heading
}

// span2 is the heading row and the first and last row of a block.
type span2 struct{ head, first, last int }

// countSheet counts the point schedule with live formulas.
func countSheet(is *issued) *sheet {
	t := tallyPoints(is.plan.Points)
	c := &countPage{t: t, wide: len(t.types) + 2}
	c.block("Points by class and type", "Class", classesPresent(t), t.class, func(label, cell string) string {
		return "point_class," + criterion(label, cell)
	})
	hard := `point_class,"hardwired",`
	c.block("Hardwired points by system", "System", sortedKeys(t.system), t.system, func(label, cell string) string {
		return hard + "point_system," + criterion(label, cell)
	})
	c.block("Hardwired points by panel", "Panel", sortedKeys(t.panel), t.panel, func(label, cell string) string {
		return hard + "point_panel," + criterion(label, cell)
	})
	c.block("Points by base bid, alternate and existing", "Bid, class", bidLabels(t), t.bid, func(label, _ string) string {
		bid, class, _ := strings.Cut(label, "\x00")
		return "point_bid," + criterion(bid, "") + ",point_class," + criterion(class, "")
	})
	c.block("Hardwired points by equipment", "Equipment", sortedKeys(t.equip), t.equip, func(label, cell string) string {
		return hard + "point_equipment," + criterion(label, cell)
	})
	s := pageSheet(countSheetName, c.rows)
	s.columns = append(s.columns, column{least: 28, most: 40, look: lookText})
	for range t.types {
		s.columns = append(s.columns, column{least: 8, most: 10, look: lookCount})
	}
	s.columns = append(s.columns, column{least: 10, most: 12, look: lookCount})
	s.blocks = [2]span2{c.class, c.system}
	s.breaks = breaksBetween(c.rows, c.spans, 1) // it is hardly ever scaled
	return s
}

// nameColumns gives the columns of the point schedule their names: the counted
// ones are seen by people, the others are hidden and find a column again that
// somebody moved or renamed.
func (b *book) nameColumns(points *sheet) {
	for i, c := range points.columns {
		name, counted := countNames[c.id]
		if !counted {
			if strings.HasPrefix(c.id, "own:") {
				continue
			}
			name = columnName_ + c.id
			b.hiddenNames[name] = true
		}
		letter := columnName(i + 1)
		b.names = append(b.names, excelize.DefinedName{Name: name, RefersTo: fmt.Sprintf("'%s'!$%s:$%s", pointSheetName, letter, letter)})
	}
	slices.SortFunc(b.names, func(x, y excelize.DefinedName) int { return strings.Compare(x.Name, y.Name) })
}

// columnName_ begins the hidden names of columns.
const columnName_ = "point_column_"

func classesPresent(t *tally) []string {
	list := slices.Clone(classOrder)
	for _, c := range sortedKeys(t.class) {
		if !slices.Contains(list, c) {
			list = append(list, c)
		}
	}
	return list
}

func bidLabels(t *tally) []string {
	var list []string
	for _, bid := range []string{model.Base, model.Alternate, model.Existing} {
		for _, class := range classOrder {
			if key := bid + "\x00" + class; t.bid[key] != nil {
				list = append(list, key)
			}
		}
	}
	for _, key := range sortedKeys(t.bid) {
		if !slices.Contains(list, key) {
			list = append(list, key)
		}
	}
	return list
}

// criterion is what a count compares with: the label's cell, or the label
// itself where a cell would be read as a pattern or as a comparison.
func criterion(label, cell string) string {
	if cell != "" && label != "" && !strings.ContainsAny(label, `*?~"`) && !strings.ContainsAny(label[:1], "=<>") {
		return cell
	}
	if label == "" {
		return `""`
	}
	return `"=` + strings.NewReplacer("~", "~~", "*", "~*", "?", "~?", `"`, `""`).Replace(label) + `"`
}

// block adds a heading, a row for each label and the totals.
func (c *countPage) block(title, corner string, labels []string, counts map[string]map[string]int, where func(label, cell string) string) {
	if len(c.rows) > 0 {
		c.rows = append(c.rows, row{})
	}
	from := len(c.rows) + 1
	defer func() { c.spans = append(c.spans, span2{first: from, last: len(c.rows)}) }()
	c.rows = append(c.rows, row{cells: pad([]value{text(title).as(lookSection)}, c.wide, lookSection)})
	if len(labels) == 0 {
		c.rows = append(c.rows, row{cells: []value{text("none").as(lookPlain)}})
		return
	}
	head := []value{text(corner).as(lookHead)}
	for _, t := range c.t.types {
		head = append(head, text(t).as(lookHead))
	}
	c.rows = append(c.rows, row{cells: append(head, text("Total").as(lookHead))})
	headRow, first := len(c.rows), len(c.rows)+1
	live := len(labels) <= mostCounted
	sums := make([]int, len(c.t.types)+1)
	for _, label := range labels {
		n := len(c.rows) + 1
		cells := []value{text(labelWords(label))}
		total := 0
		for i, t := range c.t.types {
			have := counts[label][t]
			total, sums[i] = total+have, sums[i]+have
			f := fmt.Sprintf("COUNTIFS(%s,point_type,%s$%d)", where(label, fmt.Sprintf("$A%d", n)), columnName(i+2), headRow)
			cells = append(cells, counted(f, have, live))
		}
		sums[len(sums)-1] += total
		f := fmt.Sprintf("SUM(B%d:%s%d)", n, columnName(len(c.t.types)+1), n)
		cells = append(cells, counted(f, total, live).as(lookTotal))
		c.rows = append(c.rows, row{cells: cells})
	}
	switch corner {
	case "Class":
		c.class = span2{headRow, first, len(c.rows)}
	case "System":
		c.system = span2{headRow, first, len(c.rows)}
	}
	total := []value{text("Total").as(lookTotalText)}
	for i, sum := range sums {
		letter := columnName(i + 2)
		total = append(total, formula(fmt.Sprintf("SUM(%s%d:%s%d)", letter, first, letter, len(c.rows)), float64(sum)).as(lookTotal))
	}
	c.rows = append(c.rows, row{cells: total})
	if !live {
		c.rows = append(c.rows, row{cells: []value{text("Too many lines to count by formula; these stand as issued.").as(lookPlain)}})
	}
}

func labelWords(label string) string {
	if label == "" {
		return "(none given)"
	}
	if bid, class, ok := strings.Cut(label, "\x00"); ok {
		if bid == "" {
			bid = "(none given)"
		}
		return bid + ", " + class
	}
	return label
}

func counted(f string, n int, live bool) value {
	if live {
		return formula(f, float64(n))
	}
	return count(n)
}

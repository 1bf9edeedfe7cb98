package library

import (
	"fmt"
	"strings"

	"tallywire/model"
)

// Functions are the columns of the list of functions and what roles count for.
type Functions struct {
	Columns []model.FunctionColumn
	rules   map[string][]FunctionRule // by role
	column  map[string]int
}

// FunctionRule says that a point of a role counts one in a column, in its own
// row or in that of another role of the same machine.
type FunctionRule struct {
	Role   string
	Column string   // "" counts nothing of its own
	At     []string // roles, first that the machine has; empty: its own row
	Why    string
}

// Column returns the index of a column; -1 if there is none of that id.
func (f *Functions) Column(id string) int {
	if i, ok := f.column[id]; ok {
		return i
	}
	return -1
}

// Of lists what a role counts for besides input or output, alarms, trend and
// display.
func (f *Functions) Of(role string) []FunctionRule { return f.rules[role] }

func (l *Library) readFunctions([]model.LibraryFile) error {
	f := &Functions{rules: map[string][]FunctionRule{}, column: map[string]int{}}
	err := eachRow("functions/columns.tsv", func(c cells) error {
		one := model.FunctionColumn{ID: c.text("id"), Group: c.text("group"), Name: c.text("name")}
		f.column[one.ID] = len(f.Columns)
		f.Columns = append(f.Columns, one)
		return nil
	})
	if err != nil {
		return err
	}
	err = eachRow("functions/rules.tsv", func(c cells) error {
		one := FunctionRule{c.text("role"), c.optional("column"), strings.Fields(c.optional("at")), c.text("why")}
		if one.Column != "" && f.Column(one.Column) < 0 {
			return fmt.Errorf("%s: %s counts in a column %s that there is none of", c.table.File, one.Role, one.Column)
		}
		f.rules[one.Role] = append(f.rules[one.Role], one)
		return nil
	})
	l.Functions = f
	return err
}

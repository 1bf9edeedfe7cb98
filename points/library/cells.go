package library

import (
	"fmt"
	"strconv"
)

// optional reads a text cell; "-" is nothing.
func (c cells) optional(column string) string {
	if s := c.text(column); s != "-" {
		return s
	}
	return ""
}

// integer reads a whole number.
func (c cells) integer(column string) int {
	s := c.text(column)
	n, err := strconv.Atoi(s)
	if err != nil {
		*c.err = fmt.Errorf("%s, row %s: %s %q is no whole number", c.table.File, c.row[0], column, s)
	}
	return n
}

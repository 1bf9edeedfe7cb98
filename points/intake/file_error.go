// Package intake turns the tables of equipment lists into equipment: it finds
// the tables, reads headings and values, expands tags, joins lists and says
// what it assumed. It plans nothing.
package intake

import "strings"

// FileError is a file that cannot serve as an equipment list at all: the
// command ends with it and writes nothing. Everything less is a finding.
type FileError struct {
	File    string
	Message string // what is wrong
	Fix     string // what to do about it
}

// Error prints file, what is wrong and what to do on one line.
func (e *FileError) Error() string {
	s := e.Message
	if e.File != "" {
		s = e.File + ": " + s
	}
	if e.Fix != "" {
		s = strings.TrimRight(s, ".") + "; " + e.Fix
	}
	return s
}

// Package excel is the only door to spreadsheets: it reads rows with the place
// of every cell, writes the workbook and reads it back. It computes nothing
// that is not in the Plan.
//
// Reading never goes through a spreadsheet library: a cut, malformed or damaged
// part is an error that names it, never half a table. Writing leaves styles,
// tables, validations and page set-up to excelize and streams the rows itself.
package excel

// Limits of the file format that both directions rely on (ECMA-376 part 1,
// 18.3.1.73 and 18.3.1.4; the text limits are those that spreadsheet programs
// enforce on load, common practice).
const (
	maxRows      = 1_048_576
	maxColumns   = 16_384
	maxCellText  = 32_767 // UTF-16 units
	maxSheetName = 31     // UTF-16 units
)

// Limits of what is read, against files made to exhaust the machine.
const (
	unpackedLimit = 256 << 20 // bytes of all parts read from one workbook
	tokenLimit    = 4 << 20   // bytes of one tag or one run of text
	cellLimit     = 4_000_000 // filled cells of one workbook
	partLimit     = 20_000    // entries in the zip directory
)

// propertyName is the custom document property that marks a workbook as one
// that this program wrote; its value is the fingerprint of the plan.
const propertyName = "PointScheduleFingerprint"

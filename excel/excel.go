// Package excel is the only door to spreadsheets: it reads rows with the place
// of every cell, writes the workbook and reads it back. It computes nothing.
package excel

import (
	_ "github.com/klauspost/compress/flate"
	_ "github.com/xuri/excelize/v2"
)

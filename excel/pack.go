package excel

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"slices"
	"strings"
)

// packer takes the parts that excelize makes and writes the package itself:
// parts in a fixed order with a fixed date, sheet rows streamed in place of
// the empty sheet data, content types sorted, core properties of our own. It
// writes straight to the target; nothing of a sheet's rows is kept.
type packer struct {
	w        io.Writer
	parts    map[string]*bytes.Buffer
	rows     map[string]func(io.Writer) (after []byte, err error) // by part name of the sheet
	replaced map[string][]byte                                    // parts that we write whole
	patches  map[string]func([]byte) []byte
	last     string // part that is written after all others, made only then
	lastPart func() []byte
}

// sharedPart is the part that holds the texts of many cells.
const sharedPart = "xl/sharedStrings.xml"

func newPacker(w io.Writer) *packer {
	return &packer{w: w, parts: map[string]*bytes.Buffer{}, rows: map[string]func(io.Writer) ([]byte, error){},
		replaced: map[string][]byte{}, patches: map[string]func([]byte) []byte{}}
}

// Create takes one part.
func (p *packer) Create(name string) (io.Writer, error) {
	b := &bytes.Buffer{}
	p.parts[name] = b
	return b, nil
}

// AddFS is no part of writing a workbook.
func (p *packer) AddFS(fs.FS) error { return errors.New("excel: no folder goes into a workbook") }

// Close writes the package.
func (p *packer) Close() error {
	z := zip.NewWriter(p.w)
	var current *deflater
	defer func() { current.abandon() }()
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) {
		current = newDeflater(w)
		return current, nil
	})
	for _, name := range p.order() {
		// 1980-01-01, the first day a zip can name.
		head := &zip.FileHeader{Name: name, Method: zip.Deflate, ModifiedDate: 1<<5 | 1}
		w, err := z.CreateHeader(head)
		if err != nil {
			return err
		}
		if err := p.part(w, name); err != nil {
			return fmt.Errorf("writing %s: %w", name, err)
		}
	}
	return z.Close()
}

// order puts the content types first, so that the type of the file shows at
// once, and sorts the rest.
func (p *packer) order() []string {
	names := make([]string, 0, len(p.parts))
	for name := range p.parts {
		names = append(names, name)
	}
	rank := func(n string) string {
		switch n {
		case "[Content_Types].xml":
			return "0"
		case "_rels/.rels":
			return "1"
		case p.last:
			return "3"
		}
		return "2" + n
	}
	slices.SortFunc(names, func(a, b string) int { return strings.Compare(rank(a), rank(b)) })
	return names
}

func (p *packer) part(w io.Writer, name string) error {
	data := p.parts[name].Bytes()
	if patch, ok := p.patches[name]; ok {
		data = patch(data)
	}
	if own, ok := p.replaced[name]; ok {
		data = own
	}
	if name == p.last {
		data = p.lastPart()
	}
	rows, ok := p.rows[name]
	switch {
	case name == "[Content_Types].xml":
		data = sortTypes(data)
	case ok:
		return splice(w, data, rows)
	}
	_, err := w.Write(data)
	return err
}

// splice writes a sheet with its rows in place of whatever its data holds. What
// the rows leave to be said after them, the links, goes before the page margins.
func splice(w io.Writer, sheet []byte, rows func(io.Writer) ([]byte, error)) error {
	from := bytes.Index(sheet, []byte("<sheetData"))
	if from < 0 {
		return errors.New("no sheet data")
	}
	rest := sheet[from:]
	end := bytes.IndexByte(rest, '>') + 1
	if rest[end-2] != '/' {
		end = bytes.Index(rest, []byte("</sheetData>")) + len("</sheetData>")
	}
	rest = rest[end:]
	if _, err := w.Write(append(sheet[:from:from], "<sheetData>"...)); err != nil {
		return err
	}
	links, err := rows(w)
	if err != nil {
		return err
	}
	margins := bytes.Index(rest, []byte("<pageMargins"))
	if margins < 0 {
		return errors.New("no page margins")
	}
	tail := append([]byte("</sheetData>"), rest[:margins]...)
	if len(links) > 0 {
		tail = append(append(append(tail, "<hyperlinks>"...), links...), "</hyperlinks>"...)
	}
	_, err = w.Write(append(tail, rest[margins:]...))
	return err
}

var typeEntry = regexp.MustCompile(`<(Default|Override) [^>]*?(></(Default|Override)>|/>)`)

// sortTypes puts the entries of the content types in order: their own order
// follows a map.
func sortTypes(data []byte) []byte {
	entries := typeEntry.FindAll(data, -1)
	if len(entries) == 0 {
		return data
	}
	spans := typeEntry.FindAllIndex(data, -1)
	sorted := slices.Clone(entries)
	slices.SortFunc(sorted, bytes.Compare)
	out := slices.Clone(data[:spans[0][0]])
	for _, e := range sorted {
		out = append(out, e...)
	}
	return append(out, data[spans[len(spans)-1][1]:]...)
}

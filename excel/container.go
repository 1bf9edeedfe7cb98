package excel

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"github.com/klauspost/compress/flate"
)

// container is an opened workbook package: its parts by name, and how many
// bytes may still be unpacked from it.
type container struct {
	zip   *zip.Reader
	parts map[string]*zip.File
	left  int64
	book  string // part name of the workbook
}

// openPackage sniffs the bytes and opens the zip; the error is one clear line.
func openPackage(data []byte) (*container, error) {
	if err := sniff(data); err != nil {
		return nil, err
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("the workbook is cut off or damaged (%v); get a fresh copy", err)
	}
	z.RegisterDecompressor(zip.Deflate, func(r io.Reader) io.ReadCloser { return flate.NewReader(r) })
	if len(z.File) > partLimit {
		return nil, fmt.Errorf("the workbook holds %d parts, more than %d; it is not read", len(z.File), partLimit)
	}
	p := &container{zip: z, parts: map[string]*zip.File{}, left: unpackedLimit}
	for _, f := range z.File {
		name := strings.ToLower(strings.TrimPrefix(strings.ReplaceAll(f.Name, `\`, "/"), "/"))
		if strings.HasSuffix(name, "/") {
			continue
		}
		if _, twice := p.parts[name]; twice {
			return nil, fmt.Errorf("the workbook holds part %s twice; open it and save it again", f.Name)
		}
		p.parts[name] = f
	}
	return p, p.findBook()
}

// findBook follows the package relationships to the workbook part and refuses
// other documents.
func (p *container) findBook() error {
	if !p.has("_rels/.rels") || !p.has("[Content_Types].xml") {
		return foreignZip(p.zip)
	}
	rels, err := p.relations("")
	if err != nil {
		return err
	}
	for _, r := range rels {
		if strings.HasSuffix(r.kind, "/officeDocument") && !r.external {
			p.book = r.target
		}
	}
	if p.book == "" || strings.HasSuffix(p.book, ".bin") || !strings.HasPrefix(p.book, "xl/") {
		if err := foreignZip(p.zip); err != nil && p.book == "" || strings.HasSuffix(p.book, ".bin") ||
			strings.HasPrefix(p.book, "word/") || strings.HasPrefix(p.book, "ppt/") {
			return err
		}
	}
	if !p.has(p.book) {
		return fmt.Errorf("the workbook lacks its part %s; it is damaged, get a fresh copy", p.book)
	}
	return nil
}

func (p *container) has(name string) bool {
	_, ok := p.parts[strings.ToLower(name)]
	return ok
}

// walk opens a part, hands a scanner to visit and makes sure that the part was
// read to its end, so that its checksum was compared. Errors name the part.
func (p *container) walk(name string, visit func(*scanner) error) error {
	f, ok := p.parts[strings.ToLower(name)]
	if !ok {
		return fmt.Errorf("the workbook lacks its part %s; it is damaged, get a fresh copy", name)
	}
	if f.Flags&1 != 0 {
		return fmt.Errorf("part %s is encrypted; save the workbook without a password", name)
	}
	if f.UncompressedSize64 > uint64(p.left) {
		return fmt.Errorf("part %s unpacks to more than the %d MiB that are read from one workbook", name, unpackedLimit>>20)
	}
	r, err := f.Open()
	if err != nil {
		return fmt.Errorf("part %s cannot be unpacked: %v", name, err)
	}
	defer r.Close()
	s := newScanner(&metered{r: r, left: &p.left})
	if err = visit(s); err == nil {
		for kind := tokenText; kind != tokenEOF && err == nil; {
			kind, err = s.next()
		}
	}
	switch {
	case err == nil:
		return nil
	case errors.Is(err, errTooBig):
		return fmt.Errorf("part %s unpacks to more than the %d MiB that are read from one workbook", name, unpackedLimit>>20)
	case errors.Is(err, zip.ErrChecksum):
		return fmt.Errorf("part %s is damaged (checksum); get a fresh copy of the workbook", name)
	case errors.Is(err, errEnds), errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("part %s is cut off; get a fresh copy of the workbook", name)
	}
	return fmt.Errorf("part %s is not readable: %w", name, err)
}

var errTooBig = errors.New("over the limit")

// metered counts unpacked bytes against the allowance of the whole workbook.
type metered struct {
	r    io.Reader
	left *int64
}

func (m *metered) Read(b []byte) (int, error) {
	n, err := m.r.Read(b)
	if *m.left -= int64(n); *m.left < 0 {
		return 0, errTooBig
	}
	return n, err
}

// relation is one relationship of a part; target is a part name.
type relation struct {
	id, kind, target string
	external         bool
}

// relations reads the relationships of a part; "" means those of the package.
// A part without any has none.
func (p *container) relations(part string) ([]relation, error) {
	dir, base := path.Split(part)
	name := dir + "_rels/" + base + ".rels"
	if !p.has(name) {
		return nil, nil
	}
	var out []relation
	err := p.walk(name, func(s *scanner) error {
		for {
			kind, err := s.next()
			if err != nil || kind == tokenEOF {
				return err
			}
			if kind != tokenStart || string(s.name) != "Relationship" {
				continue
			}
			r := relation{id: s.attr("Id"), kind: s.attr("Type"), external: s.attr("TargetMode") == "External"}
			target := s.attr("Target")
			switch {
			case r.external:
				r.target = target
			case strings.HasPrefix(target, "/"):
				r.target = path.Clean(target)[1:]
			default:
				r.target = strings.TrimPrefix(path.Clean("/"+dir+target), "/")
			}
			out = append(out, r)
		}
	})
	return out, err
}

// fingerprint returns the value of our own custom property.
func (p *container) fingerprint() (string, bool) {
	value, err := p.property(propertyName)
	return value, err == nil && value != ""
}

// property reads one custom document property.
func (p *container) property(want string) (value string, err error) {
	rels, err := p.relations("")
	if err != nil {
		return "", err
	}
	for _, r := range rels {
		if !strings.HasSuffix(r.kind, "/custom-properties") {
			continue
		}
		err = p.walk(r.target, func(s *scanner) error {
			ours := false
			for {
				kind, err := s.next()
				if err != nil || kind == tokenEOF {
					return err
				}
				switch {
				case kind == tokenStart && string(s.name) == "property":
					ours = s.attr("name") == want
				case kind == tokenText && ours:
					value += strings.TrimSpace(string(s.text))
				case kind == tokenEnd && string(s.name) == "property":
					ours = false
				}
			}
		})
	}
	return value, err
}

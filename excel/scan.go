package excel

import (
	"bytes"
	"errors"
	"fmt"
	"io"
)

// tokenKind tells what scanner.next found.
type tokenKind int

const (
	tokenStart tokenKind = iota
	tokenEnd
	tokenText
	tokenEOF
)

// errEnds says that a part stops before its root element is closed.
var errEnds = errors.New("the part ends in the middle")

// scanner reads XML strictly and without building anything: a tag that does
// not match, a character that XML forbids, a document type (and with it every
// entity trick) or an early end is an error. Names are given without their
// prefix. name, attrs and text are valid until the next call.
type scanner struct {
	r     io.Reader
	buf   []byte
	pos   int
	eof   bool
	begun bool // the root element was opened
	ended bool // the root element was closed
	empty bool // the last start tag closed itself

	names []byte // open element names, one after the other
	open  []int  // where each begins

	name  []byte // local name of the tag
	attrs []byte // raw attributes of a start tag
	text  []byte // text, entities resolved
	plain []byte // buffer for resolved text
}

func newScanner(r io.Reader) *scanner {
	return &scanner{r: r, buf: make([]byte, 0, 64<<10)}
}

// depth is how many elements are open.
func (s *scanner) depth() int { return len(s.open) }

// fill reads more; the unread rest moves to the front first.
func (s *scanner) fill() error {
	if s.eof {
		return io.EOF
	}
	if s.pos > 0 {
		s.buf = s.buf[:copy(s.buf, s.buf[s.pos:])]
		s.pos = 0
	}
	if len(s.buf) == cap(s.buf) {
		if cap(s.buf) >= tokenLimit {
			return fmt.Errorf("a tag or text of more than %d MiB", tokenLimit>>20)
		}
		grown := make([]byte, len(s.buf), 2*cap(s.buf))
		copy(grown, s.buf)
		s.buf = grown
	}
	n, err := s.r.Read(s.buf[len(s.buf):cap(s.buf)])
	s.buf = s.buf[:len(s.buf)+n]
	if err == io.EOF {
		s.eof = true
		if n > 0 {
			return nil
		}
		return io.EOF
	}
	return err
}

// find returns the distance from pos to sep, reading on as needed.
func (s *scanner) find(sep []byte, from int) (int, error) {
	for {
		if i := bytes.Index(s.buf[s.pos+from:], sep); i >= 0 {
			return from + i, nil
		}
		from = max(from, len(s.buf)-s.pos-len(sep)+1)
		if err := s.fill(); err != nil {
			if err == io.EOF {
				err = errEnds
			}
			return 0, err
		}
	}
}

// next gives the next token; comments and processing instructions are passed over.
func (s *scanner) next() (tokenKind, error) {
	if s.empty {
		s.empty = false
		s.pop()
		return tokenEnd, nil
	}
	for {
		if s.pos == len(s.buf) {
			if err := s.fill(); err == io.EOF {
				return s.finish()
			} else if err != nil {
				return 0, err
			}
		}
		if s.buf[s.pos] != '<' {
			kind, done, err := s.run()
			if done || err != nil {
				return kind, err
			}
			continue
		}
		kind, done, err := s.tag()
		if done || err != nil {
			return kind, err
		}
	}
}

// finish judges the end of the part.
func (s *scanner) finish() (tokenKind, error) {
	if !s.ended || len(s.open) > 0 {
		return 0, errEnds
	}
	return tokenEOF, nil
}

// run reads text up to the next tag.
func (s *scanner) run() (tokenKind, bool, error) {
	from := 0
	for {
		if i := bytes.IndexByte(s.buf[s.pos+from:], '<'); i >= 0 {
			from += i
			break
		}
		from = len(s.buf) - s.pos
		if err := s.fill(); err == io.EOF {
			break
		} else if err != nil {
			return 0, false, err
		}
	}
	raw := s.buf[s.pos : s.pos+from]
	s.pos += from
	if len(s.open) == 0 {
		raw = bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf"))
		if len(bytes.TrimSpace(raw)) > 0 {
			return 0, false, fmt.Errorf("text outside the root element: %q", clip(raw))
		}
		return 0, false, nil
	}
	if bytes.Contains(raw, []byte("]]>")) {
		return 0, false, errors.New("]]> in text")
	}
	text, err := s.resolve(raw)
	s.text = text
	return tokenText, true, err
}

// tag reads whatever begins with <; done is false for what is passed over.
func (s *scanner) tag() (kind tokenKind, done bool, err error) {
	for len(s.buf)-s.pos < 9 && !s.eof {
		if err := s.fill(); err != nil && err != io.EOF {
			return 0, false, err
		}
	}
	rest := s.buf[s.pos:]
	switch {
	case bytes.HasPrefix(rest, []byte("<!--")):
		n, err := s.find([]byte("-->"), 4)
		s.pos += n + 3
		return 0, false, err
	case bytes.HasPrefix(rest, []byte("<![CDATA[")):
		n, err := s.find([]byte("]]>"), 9)
		if err != nil {
			return 0, false, err
		}
		raw := s.buf[s.pos+9 : s.pos+n]
		s.pos += n + 3
		if len(s.open) == 0 {
			return 0, false, errors.New("text outside the root element")
		}
		s.text = raw
		return tokenText, true, sound(raw)
	case bytes.HasPrefix(rest, []byte("<!")):
		return 0, false, errors.New("a document type declaration, which a workbook must not have")
	case bytes.HasPrefix(rest, []byte("<?")):
		return 0, false, s.instruction()
	case bytes.HasPrefix(rest, []byte("</")):
		return s.close()
	}
	return s.start()
}

// instruction passes over <?…?>; the declaration must name an encoding that
// the scanner can read.
func (s *scanner) instruction() error {
	n, err := s.find([]byte("?>"), 2)
	if err != nil {
		return err
	}
	body := s.buf[s.pos+2 : s.pos+n]
	s.pos += n + 2
	if bytes.HasPrefix(body, []byte("xml ")) {
		if enc, ok := attribute(body[4:], "encoding"); ok && !bytes.EqualFold(enc, []byte("utf-8")) &&
			!bytes.EqualFold(enc, []byte("us-ascii")) {
			return fmt.Errorf("encoding %q; only UTF-8 is read", enc)
		}
	}
	return nil
}

func (s *scanner) close() (tokenKind, bool, error) {
	n, err := s.find([]byte(">"), 2)
	if err != nil {
		return 0, false, err
	}
	full := bytes.TrimRight(s.buf[s.pos+2:s.pos+n], " \t\r\n")
	s.pos += n + 1
	if len(s.open) == 0 {
		return 0, false, fmt.Errorf("the tag %q closes nothing", clip(full))
	}
	if want := s.names[s.open[len(s.open)-1]:]; !bytes.Equal(want, full) {
		return 0, false, fmt.Errorf("end of %q where that of %q belongs", clip(full), clip(want))
	}
	s.pop()
	return tokenEnd, true, nil
}

// pop leaves the innermost element; name is what it was.
func (s *scanner) pop() {
	top := s.open[len(s.open)-1]
	s.name = local(s.names[top:])
	s.names = s.names[:top]
	s.open = s.open[:len(s.open)-1]
	s.ended = len(s.open) == 0
}

func (s *scanner) start() (tokenKind, bool, error) {
	n, err := s.tagEnd()
	if err != nil {
		return 0, false, err
	}
	body := s.buf[s.pos+1 : s.pos+n]
	s.pos += n + 1
	if s.ended {
		return 0, false, errors.New("a second root element")
	}
	if len(body) > 0 && body[len(body)-1] == '/' {
		s.empty = true
		body = body[:len(body)-1]
	}
	cut := bytes.IndexAny(body, " \t\r\n")
	full := body
	s.attrs = nil
	if cut >= 0 {
		full, s.attrs = body[:cut], body[cut:]
	}
	if len(full) == 0 || !nameStart(full[0]) {
		return 0, false, fmt.Errorf("<%s is no tag", clip(body))
	}
	s.open = append(s.open, len(s.names))
	s.names = append(s.names, full...)
	if len(s.open) > 256 {
		return 0, false, errors.New("elements nested more than 256 deep")
	}
	s.begun = true
	s.name = local(full)
	return tokenStart, true, wellFormed(s.attrs)
}

// tagEnd returns the distance to the > that ends the tag, quotes respected.
func (s *scanner) tagEnd() (int, error) {
	var quote byte
	for i := 1; ; i++ {
		if s.pos+i >= len(s.buf) {
			if err := s.fill(); err == io.EOF {
				return 0, errEnds
			} else if err != nil {
				return 0, err
			}
		}
		switch c := s.buf[s.pos+i]; {
		case quote != 0:
			if c == quote {
				quote = 0
			} else if c == '<' {
				return 0, errors.New("< inside an attribute")
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '>':
			return i, nil
		case c == '<':
			return 0, errors.New("< inside a tag")
		}
	}
}

// skip passes over the element whose start was just read.
func (s *scanner) skip() error {
	for depth := s.depth(); s.depth() >= depth; {
		if _, err := s.next(); err != nil {
			return err
		}
	}
	return nil
}

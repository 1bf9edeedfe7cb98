package exchange

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Turtle, the text form of RDF (W3C Recommendation RDF 1.1 Turtle): what this
// package reads of it is the whole grammar but for the rules of IRIs.

// term is a node: an address, a blank node or a literal.
type term struct {
	kind  termKind
	value string // address in full, name of the blank node, or text
	of    string // literal: datatype address or @language
}

type termKind int

const (
	address termKind = iota
	blank
	text
)

// triple is one statement and the line it stands on.
type triple struct {
	subject, predicate, object term
	line                       int
}

const (
	rdf = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
	xsd = "http://www.w3.org/2001/XMLSchema#"
)

// parseTurtle reads a document. An error names the line.
func parseTurtle(data []byte) (out []triple, err error) {
	p := &turtle{rest: asText(data), line: 1, prefixes: map[string]string{}}
	defer func() {
		if e, ok := recover().(*turtleError); ok {
			out, err = nil, fmt.Errorf("line %d: %s", e.line, e.what)
		} else if e != nil {
			panic(e)
		}
	}()
	for p.blanks(); p.rest != ""; p.blanks() {
		p.statement()
	}
	return p.triples, nil
}

// turtle reads by descent; turtleError leaves it.
type turtle struct {
	rest     string
	line     int
	prefixes map[string]string
	base     string
	triples  []triple
	fresh    int
	depth    int
}

type turtleError struct {
	line int
	what string
}

func (p *turtle) fail(format string, args ...any) {
	panic(&turtleError{p.line, fmt.Sprintf(format, args...)})
}

// blanks skips white space and comments.
func (p *turtle) blanks() {
	for p.rest != "" {
		switch p.rest[0] {
		case '\n':
			p.line++
			p.rest = p.rest[1:]
		case ' ', '\t', '\r':
			p.rest = p.rest[1:]
		case '#':
			i := strings.IndexByte(p.rest, '\n')
			if i < 0 {
				i = len(p.rest)
			}
			p.rest = p.rest[i:]
		default:
			return
		}
	}
}

func (p *turtle) take(s string) bool {
	p.blanks()
	if !strings.HasPrefix(p.rest, s) {
		return false
	}
	p.rest = p.rest[len(s):]
	return true
}

func (p *turtle) need(s string) {
	if !p.take(s) {
		p.fail("%q is missing before %q", s, p.ahead())
	}
}

// ahead shows what stands next.
func (p *turtle) ahead() string {
	s, _, _ := strings.Cut(p.rest, "\n")
	if r := []rune(s); len(r) > 20 {
		s = string(r[:20]) + "..."
	}
	return s
}

// word takes a keyword in any case that ends where a word ends.
func (p *turtle) word(w string) bool {
	p.blanks()
	if len(p.rest) < len(w) || !strings.EqualFold(p.rest[:len(w)], w) {
		return false
	}
	if len(p.rest) > len(w) && (nameByte(p.rest[len(w)]) || p.rest[len(w)] == ':') {
		return false
	}
	p.rest = p.rest[len(w):]
	return true
}

func (p *turtle) statement() {
	switch {
	case p.word("@prefix"):
		p.prefix()
		p.need(".")
	case p.word("@base"):
		p.base = p.resolve(p.bracketed())
		p.need(".")
	case p.word("prefix"):
		p.prefix()
	case p.word("base"):
		p.base = p.resolve(p.bracketed())
	default:
		if p.rest[0] == '[' {
			s := p.node()
			p.blanks()
			if !strings.HasPrefix(p.rest, ".") {
				p.predicates(s)
			}
		} else {
			s := p.node()
			if s.kind == text {
				p.fail("a literal cannot be a subject")
			}
			p.predicates(s)
		}
		p.need(".")
	}
}

func (p *turtle) prefix() {
	p.blanks()
	i := strings.IndexByte(p.rest, ':')
	if i < 0 || strings.ContainsAny(p.rest[:i], " \t\n<") {
		p.fail("a prefix is missing before %q", p.ahead())
	}
	name := p.rest[:i]
	p.rest = p.rest[i+1:]
	p.prefixes[name] = p.resolve(p.bracketed())
}

// predicates reads "predicate objects ; predicate objects".
func (p *turtle) predicates(subject term) {
	for {
		verb := term{kind: address, value: rdf + "type"}
		if !p.word("a") {
			verb = p.node()
		}
		if verb.kind != address {
			p.fail("a predicate must be an address")
		}
		for {
			line := p.lineHere()
			object := p.node()
			p.triples = append(p.triples, triple{subject, verb, object, line})
			if !p.take(",") {
				break
			}
		}
		if !p.take(";") {
			return
		}
		for p.take(";") {
		}
		p.blanks()
		if p.rest == "" || p.rest[0] == '.' || p.rest[0] == ']' {
			return
		}
	}
}

func (p *turtle) lineHere() int {
	p.blanks()
	return p.line
}

// deepest is how far brackets may nest.
const deepest = 1000

// node reads any term, with the statements inside brackets.
func (p *turtle) node() term {
	p.blanks()
	if p.rest == "" {
		p.fail("the text ends in the middle of a statement")
	}
	if p.depth++; p.depth > deepest {
		p.fail("brackets nest deeper than %d", deepest)
	}
	defer func() { p.depth-- }()
	switch c := p.rest[0]; {
	case c == '<':
		return term{kind: address, value: p.resolve(p.bracketed())}
	case c == '[':
		p.rest = p.rest[1:]
		b := p.newBlank()
		if !p.take("]") {
			p.predicates(b)
			p.need("]")
		}
		return b
	case c == '(':
		return p.collection()
	case c == '"' || c == '\'':
		return p.quoted()
	case strings.HasPrefix(p.rest, "_:"):
		p.rest = p.rest[2:]
		return term{kind: blank, value: "_" + p.name()}
	case c >= '0' && c <= '9' || (c == '+' || c == '-' || c == '.') && len(p.rest) > 1 && (p.rest[1] >= '0' && p.rest[1] <= '9' || p.rest[1] == '.'):
		return p.number()
	}
	if p.word("true") {
		return term{text, "true", xsd + "boolean"}
	}
	if p.word("false") {
		return term{text, "false", xsd + "boolean"}
	}
	return p.prefixed()
}

func (p *turtle) newBlank() term {
	p.fresh++
	return term{kind: blank, value: "b" + strconv.Itoa(p.fresh)}
}

// collection reads ( a b c ) into first and rest.
func (p *turtle) collection() term {
	p.need("(")
	var items []term
	for !p.take(")") {
		items = append(items, p.node())
	}
	next := term{kind: address, value: rdf + "nil"}
	for i := len(items) - 1; i >= 0; i-- {
		b := p.newBlank()
		p.triples = append(p.triples, triple{b, term{kind: address, value: rdf + "first"}, items[i], p.line},
			triple{b, term{kind: address, value: rdf + "rest"}, next, p.line})
		next = b
	}
	return next
}

// bracketed reads <...>.
func (p *turtle) bracketed() string {
	p.need("<")
	i := strings.IndexAny(p.rest, "> \n<\"{}|^`")
	if i < 0 || p.rest[i] != '>' {
		p.fail("an address is not closed: <%s", p.ahead())
	}
	s := p.rest[:i]
	p.rest = p.rest[i+1:]
	return p.unescape(s)
}

// resolve puts a relative address under the base.
func (p *turtle) resolve(s string) string {
	if p.base == "" || strings.Contains(s, ":") {
		return s
	}
	return p.base + s
}

// nameByte reports whether a byte can stand in a name; bytes above ASCII are
// parts of letters.
func nameByte(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_' || c == '-' || c >= 0x80
}

// name reads a local name: letters, digits, - _ : % with dots between them
// and characters behind a backslash.
func (p *turtle) name() string {
	var b strings.Builder
	for p.rest != "" {
		c := p.rest[0]
		switch {
		case nameByte(c) || c == ':' || c == '%':
			b.WriteByte(c)
		case c == '\\' && len(p.rest) > 1 && p.rest[1] != '\n':
			p.rest = p.rest[1:]
			b.WriteByte(p.rest[0])
		case c == '.' && len(p.rest) > 1 && (nameByte(p.rest[1]) || p.rest[1] == ':' || p.rest[1] == '%' || p.rest[1] == '.' || p.rest[1] == '\\') && b.Len() > 0:
			b.WriteByte(c)
		default:
			return b.String()
		}
		p.rest = p.rest[1:]
	}
	return b.String()
}

func (p *turtle) prefixed() term {
	i := 0
	for i < len(p.rest) && (nameByte(p.rest[i]) || p.rest[i] == '.') {
		i++
	}
	if i >= len(p.rest) || p.rest[i] != ':' {
		p.fail("this is no term: %q", p.ahead())
	}
	prefix := p.rest[:i]
	full, known := p.prefixes[prefix]
	if !known {
		p.fail("the prefix %q is not declared", prefix+":")
	}
	p.rest = p.rest[i+1:]
	return term{kind: address, value: full + p.name()}
}

func (p *turtle) number() term {
	i, dot, exponent := 0, false, false
	for ; i < len(p.rest); i++ {
		switch c := p.rest[i]; {
		case c >= '0' && c <= '9', (c == '+' || c == '-') && (i == 0 || p.rest[i-1] == 'e' || p.rest[i-1] == 'E'):
			continue
		case c == '.' && !dot && !exponent && i+1 < len(p.rest) && (p.rest[i+1] >= '0' && p.rest[i+1] <= '9' || p.rest[i+1] == 'e' || p.rest[i+1] == 'E'):
			dot = true
			continue
		case (c == 'e' || c == 'E') && !exponent:
			exponent = true
			continue
		}
		break
	}
	value := p.rest[:i]
	if !strings.ContainsAny(value, "0123456789") {
		p.fail("this is no number: %q", p.ahead())
	}
	p.rest = p.rest[i:]
	switch {
	case exponent:
		return term{text, value, xsd + "double"}
	case dot:
		return term{text, value, xsd + "decimal"}
	}
	return term{text, value, xsd + "integer"}
}

// quoted reads a literal in one or three quotes of either kind, with its
// language or datatype.
func (p *turtle) quoted() term {
	quote := p.rest[:1]
	if long := strings.Repeat(quote, 3); strings.HasPrefix(p.rest, long) {
		quote = long
	}
	p.rest = p.rest[len(quote):]
	end := 0
	for {
		if end >= len(p.rest) || len(quote) == 1 && p.rest[end] == '\n' {
			p.fail("a text is not closed")
		}
		if p.rest[end] == '\\' {
			end += 2
			continue
		}
		if strings.HasPrefix(p.rest[end:], quote) {
			break
		}
		end++
	}
	raw := p.rest[:end]
	p.line += strings.Count(raw, "\n")
	p.rest = p.rest[end+len(quote):]
	t := term{text, p.unescape(raw), xsd + "string"}
	switch {
	case strings.HasPrefix(p.rest, "^^"):
		p.rest = p.rest[2:]
		t.of = p.node().value
	case strings.HasPrefix(p.rest, "@"):
		i := 1
		for i < len(p.rest) && nameByte(p.rest[i]) {
			i++
		}
		t.of, p.rest = p.rest[:i], p.rest[i:]
	}
	return t
}

// escapes are the characters behind a backslash.
var escapes = map[byte]string{'t': "\t", 'b': "\b", 'n': "\n", 'r': "\r", 'f': "\f", '"': `"`, '\'': "'", '\\': `\`}

func (p *turtle) unescape(s string) string {
	if !strings.Contains(s, `\`) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' || i+1 >= len(s) {
			b.WriteByte(s[i])
			continue
		}
		i++
		digits := map[byte]int{'u': 4, 'U': 8}[s[i]]
		if digits == 0 {
			e, known := escapes[s[i]]
			if !known {
				p.fail(`\%c is no escape`, s[i])
			}
			b.WriteString(e)
			continue
		}
		if i+digits >= len(s) {
			p.fail("an escape is cut off")
		}
		n, err := strconv.ParseUint(s[i+1:i+1+digits], 16, 32)
		if err != nil || !utf8.ValidRune(rune(n)) {
			p.fail(`\%c%s is no character`, s[i], s[i+1:i+1+digits])
		}
		b.WriteRune(rune(n))
		i += digits
	}
	return b.String()
}

package exchange

import (
	"slices"
	"strings"
	"testing"
)

// shown prints a triple without its line.
func shown(t triple) string {
	s := func(n term) string {
		switch n.kind {
		case address:
			return "<" + n.value + ">"
		case blank:
			return "_:" + n.value
		}
		return literal(n.value) + "^" + strings.TrimPrefix(n.of, xsd)
	}
	return s(t.subject) + " " + s(t.predicate) + " " + s(t.object)
}

// TestTurtle reads the forms of the grammar of RDF 1.1 Turtle, section 6.5.
func TestTurtle(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"", nil},
		{"# only a comment", nil},
		{"<a:s> <a:p> <a:o> .", []string{"<a:s> <a:p> <a:o>"}},
		{"@prefix e: <x:> . e:s a e:C ; e:p e:o , e:q ; .", []string{"<x:s> <" + rdf + "type> <x:C>", "<x:s> <x:p> <x:o>", "<x:s> <x:p> <x:q>"}},
		{"PREFIX : <x:>\n:s :p :o.", []string{"<x:s> <x:p> <x:o>"}},
		{"@base <http://h/> . <s> <p> <#o> .", []string{"<http://h/s> <http://h/p> <http://h/#o>"}},
		{"@prefix e: <x:> . e:s e:p 1, -2.5, 1e3, .5, true, false .", []string{`<x:s> <x:p> "1"^integer`, `<x:s> <x:p> "-2.5"^decimal`, `<x:s> <x:p> "1e3"^double`, `<x:s> <x:p> ".5"^decimal`, `<x:s> <x:p> "true"^boolean`, `<x:s> <x:p> "false"^boolean`}},
		{"@prefix e: <x:> . e:s e:p 1.\ne:t e:p 2 .", []string{`<x:s> <x:p> "1"^integer`, `<x:t> <x:p> "2"^integer`}},
		{`@prefix e: <x:> . e:s e:p "a\"b\\\n\u00e9"@en-GB, 'c'^^e:t, """long "x" ` + "\n" + `"""  .`, []string{`<x:s> <x:p> "a\"b\\\né"^@en-GB`, `<x:s> <x:p> "c"^x:t`, `<x:s> <x:p> "long \"x\" \n"^string`}},
		{"@prefix e: <x:> . e:s e:p [ e:q [ ] ; e:r e:o ] .", []string{"_:b1 <x:q> _:b2", "_:b1 <x:r> <x:o>", "<x:s> <x:p> _:b1"}},
		{"@prefix e: <x:> . [ e:p e:o ] . [ e:p e:o ] e:q e:r .", []string{"_:b1 <x:p> <x:o>", "_:b2 <x:p> <x:o>", "_:b2 <x:q> <x:r>"}},
		{"@prefix e: <x:> . e:s e:p (e:a 2) .", []string{"_:b1 <" + rdf + `first> "2"^integer`, "_:b1 <" + rdf + "rest> <" + rdf + "nil>", "_:b2 <" + rdf + "first> <x:a>", "_:b2 <" + rdf + "rest> _:b1", "<x:s> <x:p> _:b2"}},
		{"@prefix e: <x:> . e:s e:p () .", []string{"<x:s> <x:p> <" + rdf + "nil>"}},
		{"@prefix e: <x:> . _:n e:p e:a.b.c , e:a%2Fb , e:a\\/b , e: .", []string{"_:_n <x:p> <x:a.b.c>", "_:_n <x:p> <x:a%2Fb>", "_:_n <x:p> <x:a/b>", "_:_n <x:p> <x:>"}},
		{"@prefix a: <x:> . a:a a a:a .", []string{"<x:a> <" + rdf + "type> <x:a>"}},
		{"\ufeff@prefix é: <x:> . é:ü é:p é:o .", []string{"<x:ü> <x:p> <x:o>"}},
	} {
		list, err := parseTurtle([]byte(c.text))
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		var got []string
		for _, one := range list {
			got = append(got, shown(one))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q:\n got %q\nwant %q", c.text, got, c.want)
		}
	}
}

func TestTurtleFaults(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"e:s a e:C .", `line 1: the prefix "e:" is not declared`},
		{"\n<a:s> <a:p> <a:o>", `line 2: "." is missing before ""`},
		{"<a:s> <a:p> .", "this is no term"},
		{"<a:s <a:p> <a:o> .", "an address is not closed"},
		{"<a:s> <a:p> (1 ..x)", "this is no number"},
		{"<a:s\n> <a:p> <a:o> .", "line 1: an address is not closed"},
		{`<a:s> <a:p> "x .`, "a text is not closed"},
		{`<a:s> <a:p> "\q" .`, `\q is no escape`},
		{`<a:s> <a:p> "\u12" .`, "an escape is cut off"},
		{`"x" <a:p> <a:o> .`, "a literal cannot be a subject"},
		{`<a:s> "p" <a:o> .`, "a predicate must be an address"},
		{"<a:s> <a:p> [ <a:q> <a:o> .", `"]" is missing`},
		{"<a:s> <a:p> (", "the text ends in the middle"},
		{"<a:s> <a:p> " + strings.Repeat("[ <a:p> ", 3000), "nest deeper than 1000"},
	} {
		_, err := parseTurtle([]byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%.60q: %v, want %q", c.text, err, c.says)
		}
	}
}

func FuzzTurtle(f *testing.F) {
	for _, s := range []string{"@prefix e: <x:> . e:s a e:C ; e:p [ e:q 'x'@en ] , (1 2.5e3 .5) .", `<a:s> <a:p> """x\u00e9""" .`, "_:a <b:> +.", "<a:s> <a:p> 1.e", "@base <", "PREFIX", " (1 ..x"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := parseTurtle(data)
		for _, one := range list {
			if err != nil || one.predicate.kind != address || one.subject.kind == text || one.line < 1 {
				t.Fatalf("%+v %v", one, err)
			}
		}
	})
}

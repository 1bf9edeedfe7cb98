package main

import (
	"bytes"
	"io"

	"tallywire/model"
	"tallywire/points/exchange"
	"tallywire/points/library"
)

// form is one that export can write. Ending is that of the default output; a
// set of files takes it as the prefix of their names.
type form struct {
	name, ending string
	write        func(lib *library.Library, plan *model.Plan, prefix string) ([]exchange.File, error)
	set          bool
}

// forms are what export can write.
var forms = []form{
	{"json", "-plan.json", single(func(w io.Writer, _ *library.Library, p *model.Plan) error { return exchange.JSON(w, p) }), false},
	{"csv", "-points.csv", single(func(w io.Writer, _ *library.Library, p *model.Plan) error { return exchange.CSV(w, p) }), false},
	{"functions", "-functions.csv", single(func(w io.Writer, _ *library.Library, p *model.Plan) error { return exchange.Functions(w, p) }), false},
	{"ede", "", exchange.EDE, true},
	{"haystack", "-haystack.json", single(exchange.Haystack), false},
	{"zinc", "-haystack.zinc", single(exchange.Zinc), false},
	{"brick", "-brick.ttl", single(exchange.Brick), false},
}

// single makes a form of one file.
func single(write func(io.Writer, *library.Library, *model.Plan) error) func(*library.Library, *model.Plan, string) ([]exchange.File, error) {
	return func(lib *library.Library, plan *model.Plan, _ string) ([]exchange.File, error) {
		var buf bytes.Buffer
		if err := write(&buf, lib, plan); err != nil {
			return nil, err
		}
		return []exchange.File{{Text: buf.Bytes()}}, nil
	}
}

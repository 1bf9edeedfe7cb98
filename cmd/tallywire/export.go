package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/exchange"
)

// formats are what export can write: name, ending of the default output, renderer.
var formats = []struct {
	name, ending string
	write        func(io.Writer, *model.Plan) error
}{
	{"json", "-plan.json", exchange.JSON},
	{"csv", "-points.csv", exchange.CSV},
}

func exportCommand(w world) *cli.Command {
	var names []string
	for _, f := range formats {
		names = append(names, f.name)
	}
	return &cli.Command{
		Name: "export", Usage: "write the plan in another form: " + strings.Join(names, ", "), ArgsUsage: "INPUT",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "as", Usage: "`FORM`: " + strings.Join(names, ", "), Value: "json"},
			&cli.StringFlag{Name: "o", Usage: "write to `PATH`; - is standard output"},
			applyFixesFlag(), strictFlag(),
		},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			for _, f := range formats {
				if f.name != c.String("as") {
					continue
				}
				k, err := planInput(c)
				if err != nil {
					return err
				}
				if err := k.export(w, c.String("o"), f.ending, f.write); err != nil {
					return err
				}
				return refuse(k.plan, c.Bool("strict"), false)
			}
			if near := finding.Nearest(c.String("as"), names); near != "" {
				return wrong("--as %q is no form; did you mean %q?", c.String("as"), near)
			}
			return wrong("--as %q is no form; there are %s", c.String("as"), strings.Join(names, ", "))
		},
	}
}

func (k *work) export(w world, to, ending string, write func(io.Writer, *model.Plan) error) error {
	var buf bytes.Buffer
	if err := write(&buf, k.plan); err != nil {
		return err
	}
	if to == "-" {
		_, err := w.out.Write(buf.Bytes())
		return err
	}
	path, err := k.target(to, ending)
	if err != nil {
		return err
	}
	if err := replaceFile(path, buf.Bytes()); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w.err, "wrote %s\n", filepath.Clean(path))
	return err
}

package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/excel"
	"tallywire/model"
	"tallywire/points"
	"tallywire/points/exchange"
	"tallywire/points/revise"
)

func compareCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "compare", Usage: "what changed between two issues; exit 1 on any difference", ArgsUsage: "OLD NEW",
		Description: "OLD and NEW are inputs, or what was issued: a plan that export wrote (.json), a workbook. NEW is planned as the issue after OLD: landings and\n" +
			"instances stay where they can, as with schedule --previous, so that only what changed is told.",
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "apart", Usage: "plan each for itself: tells every landing and instance that moves where a new issue is made without --previous"},
			applyFixesFlag(), jsonFlag(),
		},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			if c.NArg() != 2 {
				return wrong("compare takes OLD and NEW, two inputs; %d given", c.NArg())
			}
			before, err := issuedOrPlanned(c.Args().Get(0), points.Options{ApplyFixes: c.Bool("apply-fixes")})
			if err != nil {
				return err
			}
			opts := points.Options{ApplyFixes: c.Bool("apply-fixes")}
			if !c.Bool("apart") {
				opts.Previous = before
			}
			after, err := issuedOrPlanned(c.Args().Get(1), opts)
			if err != nil {
				return err
			}
			list := revise.Compare(before, after)
			if c.Bool("json") {
				err = exchange.Answer(w.out, model.CompareAnswer{Differences: list})
			} else {
				err = printDifferences(w, list)
			}
			if err == nil && len(list) > 0 {
				return errNo
			}
			return err
		},
	}
}

// issuedOrPlanned is the plan of an input, or the plan of a file that was
// issued: one that export wrote, or a workbook.
func issuedOrPlanned(path string, opts points.Options) (*model.Plan, error) {
	// A file that cannot be read is told below, with the words for inputs.
	if data, err := os.ReadFile(path); err == nil {
		json := strings.EqualFold(filepath.Ext(path), ".json") && bytes.Contains(data, []byte(`"schema_version"`))
		if json || bytes.HasPrefix(data, []byte("PK")) && excel.IsOurs(data) {
			return readPrevious(path)
		}
	}
	k, err := planPath(path, opts)
	if err != nil {
		return nil, err
	}
	return k.plan, nil
}

func printDifferences(w world, list []model.Difference) error {
	for _, d := range list {
		line := d.Code + ": " + d.Message
		if d.Where != nil || d.Other != nil {
			line += " (" + place(d.Where) + " / " + place(d.Other) + ")"
		}
		if _, err := fmt.Fprintln(w.out, line); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(w.out, number(len(list), "difference"))
	return err
}

func place(w *model.Where) string {
	if w == nil {
		return "-"
	}
	return w.String()
}

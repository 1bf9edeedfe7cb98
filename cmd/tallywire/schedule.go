package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/excel"
	"tallywire/points/exchange"
	"tallywire/points/revise"
)

func scheduleCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "schedule", Usage: "read, plan, write the point schedule workbook, print counts and findings", ArgsUsage: "INPUT",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "o", Usage: "write the workbook to `OUT.xlsx` (default: <input>-points.xlsx beside the input)"},
			&cli.BoolFlag{Name: "force", Usage: "replace a workbook that holds other people's entries"},
			&cli.BoolFlag{Name: "reissue", Usage: "carry what people wrote in the workbook that is there over into the new one"},
			&cli.StringFlag{Name: "for", Usage: "whose copy: `WHO` is vendor, estimate, field or all", Value: "vendor"},
			applyFixesFlag(), strictFlag(), jsonFlag(), previousFlag(),
		},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			if !slices.Contains(excel.Copies(), c.String("for")) {
				return wrong("--for %q is nobody; the copies are %s", c.String("for"), strings.Join(excel.Copies(), ", "))
			}
			k, err := planInput(c)
			if err != nil {
				return err
			}
			out, err := k.target(c.String("o"), "-points.xlsx")
			if err != nil {
				return err
			}
			if !strings.HasSuffix(strings.ToLower(out), ".xlsx") {
				return wrong("%s: the workbook's name has to end in .xlsx", out)
			}
			opts := excel.Options{For: c.String("for")}
			if k.previous != nil {
				opts.Changes, opts.Since = revise.Compare(k.previous, k.plan), k.previous.Project.Issue
			}
			if err := excel.Save(out, k.plan, excel.SaveOptions{Options: opts, Force: c.Bool("force"), Reissue: c.Bool("reissue")}); err != nil {
				return saving(err)
			}
			if c.Bool("json") {
				if err := exchange.JSON(w.out, k.plan); err != nil {
					return err
				}
			} else if err := printSummary(w.out, k.plan); err != nil {
				return err
			} else if err := printFindings(w.out, k.plan, true); err != nil {
				return err
			}
			fmt.Fprintf(w.err, "wrote %s\n", out)
			if lock := excel.OpenElsewhere(out); lock != "" {
				fmt.Fprintf(w.err, "%s says that a program has %s open: close it there without saving, or it puts the old issue back\n", lock, filepath.Base(out))
			}
			return refuse(k.plan, c.Bool("strict"), false)
		},
	}
}

// saving words the refusals of the workbook's door.
func saving(err error) error {
	if errors.Is(err, excel.ErrEntries) || errors.Is(err, excel.ErrForeign) {
		return inputError{text: err.Error()}
	}
	return err
}

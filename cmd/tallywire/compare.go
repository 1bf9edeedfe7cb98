package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"tallywire/model"
	"tallywire/points"
	"tallywire/points/exchange"
	"tallywire/points/revise"
)

func compareCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "compare", Usage: "what changed between two issues; exit 1 on any difference", ArgsUsage: "OLD NEW",
		Flags:        []cli.Flag{applyFixesFlag(), jsonFlag()},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			if c.NArg() != 2 {
				return wrong("compare takes OLD and NEW, two inputs; %d given", c.NArg())
			}
			opts := points.Options{ApplyFixes: c.Bool("apply-fixes")}
			before, err := planPath(c.Args().Get(0), opts)
			if err != nil {
				return err
			}
			after, err := planPath(c.Args().Get(1), opts)
			if err != nil {
				return err
			}
			list := revise.Compare(before.plan, after.plan)
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

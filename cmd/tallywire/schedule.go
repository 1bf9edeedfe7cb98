package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/excel"
	"tallywire/points/exchange"
)

func scheduleCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "schedule", Usage: "read, plan, write the point schedule workbook, print counts and findings", ArgsUsage: "INPUT",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "o", Usage: "write the workbook to `OUT.xlsx` (default: <input>-points.xlsx beside the input)"},
			&cli.BoolFlag{Name: "force", Usage: "replace a workbook that holds other people's entries"},
			applyFixesFlag(), strictFlag(), jsonFlag(),
		},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
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
			if err := excel.Save(out, k.plan, excel.SaveOptions{Force: c.Bool("force")}); err != nil {
				return saving(err)
			}
			if c.Bool("json") {
				if err := exchange.JSON(w.out, k.plan); err != nil {
					return err
				}
			} else if err := printSummary(w.out, k.plan); err != nil {
				return err
			} else if err := printFindings(w.out, k.plan); err != nil {
				return err
			}
			fmt.Fprintf(w.err, "wrote %s\n", out)
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

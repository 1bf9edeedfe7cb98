package main

import (
	"github.com/urfave/cli/v2"

	"tallywire/model"
	"tallywire/points/exchange"
)

func countCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "count", Usage: "points by type, system, panel", ArgsUsage: "INPUT",
		Flags:        []cli.Flag{applyFixesFlag(), jsonFlag()},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			k, err := planInput(c)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				return exchange.Answer(w.out, model.CountAnswer{Counts: k.plan.Counts})
			}
			return printCounts(w.out, k.plan)
		},
	}
}

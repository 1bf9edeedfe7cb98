package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/exchange"
)

func checkCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "check", Usage: "findings only; exit 1 on any fault", ArgsUsage: "INPUT",
		Flags:        []cli.Flag{applyFixesFlag(), strictFlag(), jsonFlag()},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			k, err := planInput(c)
			if err != nil {
				return err
			}
			if c.Bool("json") {
				err = exchange.Answer(w.out, checkAnswer(k.plan))
			} else {
				err = printCheck(w, k.plan)
			}
			if err != nil {
				return err
			}
			return refuse(k.plan, c.Bool("strict"), true)
		},
	}
}

func checkAnswer(p *model.Plan) model.CheckAnswer {
	return model.CheckAnswer{
		Findings: p.Findings, Cautions: p.Cautions, CannotTell: cannotTell(p),
		Counts: model.FindingCounts{
			Faults: finding.Count(p.Findings, finding.Fault), Cautions: finding.Count(p.Findings, finding.Caution), Notes: finding.Count(p.Findings, finding.Note),
		},
	}
}

func printCheck(w world, p *model.Plan) error {
	if err := printFindings(w.out, p, false); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w.out, "%s, %d cannot tell\n", number(finding.Count(p.Findings, finding.Fault), "fault"), cannotTell(p))
	return err
}

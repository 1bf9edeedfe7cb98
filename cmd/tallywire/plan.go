package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"slices"

	"github.com/urfave/cli/v2"

	"tallywire/excel"
	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points"
	"tallywire/points/exchange"
	"tallywire/points/library"
)

// work is a planned input.
type work struct {
	*input
	library  *library.Library
	plan     *model.Plan
	previous *model.Plan // the issued plan that this one keeps to, nil none
}

// planInput reads the INPUT of a command and plans it.
func planInput(c *cli.Context) (*work, error) {
	path, err := oneInput(c)
	if err != nil {
		return nil, err
	}
	opts := points.Options{ApplyFixes: c.Bool("apply-fixes")}
	if previous := c.String("previous"); previous != "" {
		if opts.Previous, err = readPrevious(previous); err != nil {
			return nil, err
		}
	}
	k, err := planPath(path, opts)
	if err == nil {
		k.previous = opts.Previous
	}
	return k, err
}

// readPrevious reads an issued plan: the JSON that export wrote, or the issued
// workbook where only that is at hand.
func readPrevious(path string) (*model.Plan, error) {
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, missing(path)
	}
	if err != nil {
		return nil, err
	}
	if bytes.HasPrefix(data, []byte("PK")) {
		return readIssuedBook(path, data)
	}
	plan, err := exchange.ReadPlan(data)
	if err != nil {
		return nil, wrong("%s: is neither a plan that export --as json wrote nor an issued workbook: %v", path, err)
	}
	return plan, nil
}

// readIssuedBook reads the landings of an issued workbook. Copies for a single
// trade may lack them: then nothing could stay, and that is an error rather
// than a plan that moves every wire.
func readIssuedBook(path string, data []byte) (*model.Plan, error) {
	plan, err := excel.ReadIssued(path, data)
	if err != nil {
		return nil, wrong("%s: %v", path, err)
	}
	if len(plan.Landings) > 0 && len(plan.Controllers) == 0 || len(plan.Landings) == 0 && slices.ContainsFunc(plan.Points, func(q model.Point) bool { return q.Controller != "" }) {
		return nil, wrong("%s: the sheets Controllers and Landings are not both there, and with them what is to stay; name the full copy, or the plan that export --as json wrote", path)
	}
	return plan, nil
}

func planPath(path string, opts points.Options) (*work, error) {
	in, err := readInput(path)
	if err != nil {
		return nil, err
	}
	return planRead(in, opts)
}

func planRead(in *input, opts points.Options) (*work, error) {
	lib, err := library.Load(in.project.Library)
	if err != nil {
		return nil, asInput(err)
	}
	if err := in.readExisting(lib); err != nil {
		return nil, err
	}
	plan, err := points.Plan(lib, in.project, opts)
	if err != nil {
		return nil, asInput(err)
	}
	return &work{input: in, library: lib, plan: plan}, nil
}

// strictFlag and its neighbours stand on several commands.
func strictFlag() cli.Flag {
	return &cli.BoolFlag{Name: "strict", Usage: "exit 1 on any fault and on anything that cannot be told"}
}

func jsonFlag() cli.Flag {
	return &cli.BoolFlag{Name: "json", Usage: "print the answer as one JSON document"}
}

func previousFlag() cli.Flag {
	return &cli.StringFlag{Name: "previous", Usage: "keep landings, instances and wire labels of the issued `PLAN` (.json or workbook) where they can stay"}
}

func applyFixesFlag() cli.Flag {
	return &cli.BoolFlag{Name: "apply-fixes", Usage: "plan with the interposers that make failing circuits work"}
}

// cannotTell counts the circuits whose verdict is unknown and the findings
// that wait for an answer.
func cannotTell(p *model.Plan) int {
	n := 0
	for _, c := range p.Circuits {
		if c.Verdict == model.Unknown {
			n++
		}
	}
	return n
}

// refuse is the outcome under --strict and check.
func refuse(p *model.Plan, strict bool, faultsCount bool) error {
	if faultsCount && finding.Count(p.Findings, finding.Fault) > 0 {
		return errNo
	}
	if strict && (finding.Count(p.Findings, finding.Fault) > 0 || cannotTell(p) > 0) {
		return errNo
	}
	return nil
}

package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"github.com/urfave/cli/v2"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points"
	"tallywire/points/crosscheck"
	"tallywire/points/exchange"
	"tallywire/points/library"
	"tallywire/schemas"
)

func crosscheckCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "crosscheck", Usage: "where another trade's list disagrees; exit 1 on any fault or caution", ArgsUsage: "INPUT",
		Flags: []cli.Flag{
			&cli.StringSliceFlag{Name: "against", Usage: "another trade's list (repeatable): electrical, controls points list, fire matrix, submittal, damper schedule, COBie, object list, trend list, graphics list"},
			&cli.StringSliceFlag{Name: "role", Usage: "what the list is, one for each --against in order; left out, it is recognised"},
			jsonFlag(),
		},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			plan, err := planAgainst(c)
			if err != nil {
				return err
			}
			answer := model.CrosscheckAnswer{Counts: countDifferences(plan.Differences), Differences: plan.Differences, Retrofit: plan.Retrofit}
			if c.Bool("json") {
				err = exchange.Answer(w.out, answer)
			} else {
				err = printCrosscheck(w.out, answer)
			}
			if err == nil && answer.Counts.Faults+answer.Counts.Cautions > 0 {
				return errNo
			}
			return err
		},
	}
}

// planAgainst plans the INPUT with the documents of --against beside those
// that the project names.
func planAgainst(c *cli.Context) (*model.Plan, error) {
	path, err := oneInput(c)
	if err != nil {
		return nil, err
	}
	in, err := readInput(path)
	if err != nil {
		return nil, err
	}
	files, roles := c.StringSlice("against"), c.StringSlice("role")
	if len(roles) > len(files) {
		return nil, wrong("%d --role for %d --against: each role belongs to one list, in order", len(roles), len(files))
	}
	for i, file := range files {
		l := schemas.ListFile{File: relativeTo(in.dir, file)}
		existing := tellsOfExisting(file)
		if i < len(roles) {
			if existing = strings.EqualFold(strings.TrimSpace(roles[i]), existingRole); !existing {
				if l.Role, err = knownRole(roles[i]); err != nil {
					return nil, err
				}
			}
		}
		if !exists(file) {
			return nil, missing(file)
		}
		if existing {
			if err := in.addExisting(l); err != nil {
				return nil, err
			}
			continue
		}
		if err := in.addDocument(l); err != nil {
			return nil, err
		}
	}
	if len(in.project.Against)+len(in.existing) == 0 {
		return nil, wrong("crosscheck needs the other list: --against FILE, or against: in the project file")
	}
	lib, err := library.Load(in.project.Library)
	if err != nil {
		return nil, asInput(err)
	}
	if err := in.readExisting(lib); err != nil {
		return nil, err
	}
	plan, err := points.Plan(lib, in.project, points.Options{})
	return plan, asInput(err)
}

// relativeTo names a file from the input's folder.
func relativeTo(dir, file string) string {
	if rel, err := filepath.Rel(dir, file); err == nil {
		return filepath.ToSlash(rel)
	}
	return filepath.ToSlash(file)
}

func knownRole(role string) (string, error) {
	known := crosscheck.DocumentRoles()
	word := strings.ToLower(strings.TrimSpace(role))
	if one := crosscheck.RoleNamed(word); one != "" {
		return one, nil
	}
	if near := finding.Nearest(word, known); near != "" {
		return "", wrong("--role %s is not known; did you mean %s? (%s)", role, near, strings.Join(known, ", "))
	}
	return "", wrong("--role %s is not known; it may be %s", role, strings.Join(known, ", "))
}

func countDifferences(list []model.Difference) model.FindingCounts {
	var n model.FindingCounts
	for _, d := range list {
		switch d.Severity {
		case finding.Fault:
			n.Faults++
		case finding.Caution:
			n.Cautions++
		default:
			n.Notes++
		}
	}
	return n
}

// printCrosscheck prints one aligned line a difference, with what decides and
// what to ask below it.
func printCrosscheck(w io.Writer, a model.CrosscheckAnswer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, d := range a.Differences {
		fmt.Fprintf(t, "%s\t%s\t%s\there: %s\tthere: %s\t%s / %s\n", d.Severity, d.Subject, d.Code, dash(d.Ours), dash(d.Theirs), place(d.Where), place(d.Other))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if len(a.Differences) > 0 {
		fmt.Fprintln(w)
	}
	same := sameQuestion(a.Differences)
	for i, d := range a.Differences {
		if same[i] == nil {
			continue // told with an earlier one
		}
		fmt.Fprintf(w, "%s %s: %s\n", d.Severity, d.Code, d.Message)
		if d.Likely != "" {
			fmt.Fprintf(w, "  likely: %s\n", d.Likely)
		}
		if d.Ask != "" {
			fmt.Fprintf(w, "  ask: %s\n", d.Ask)
		}
		if len(same[i]) > 1 {
			fmt.Fprintf(w, "  the same of %s\n", strings.Join(same[i][1:], ", "))
		}
	}
	if len(a.Differences) > 0 {
		fmt.Fprintln(w)
	}
	if err := printRetrofit(w, a.Retrofit); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "%s, %s, %s\n", number(a.Counts.Faults, "fault"), number(a.Counts.Cautions, "caution"), number(a.Counts.Notes, "note"))
	return err
}

// sameQuestion gathers differences that say and ask the same, each of its own
// machine: one question to the other trade serves for all. It gives the subjects
// at the first of them, nil at the others.
func sameQuestion(list []model.Difference) [][]string {
	out := make([][]string, len(list))
	first := map[string]int{}
	for i, d := range list {
		words := strings.Join([]string{string(d.Severity), d.Code, d.Message, d.Likely, d.Ask}, "\x00")
		if d.Subject != "" {
			words = strings.ReplaceAll(words, d.Subject, "\x01")
		}
		at, known := first[words]
		if !known {
			at, first[words] = i, i
		}
		out[at] = append(out[at], d.Subject)
	}
	return out
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/excel"
	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points"
	"tallywire/points/exchange"
	"tallywire/points/revise"
	"tallywire/schemas"
)

// answersFile holds the accepted answers of a project, beside its project file.
const answersFile = "answers.yaml"

func mergeCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "merge", Usage: "what came back in returned workbooks, and take over what you accept", ArgsUsage: "INPUT",
		Flags: []cli.Flag{
			&cli.StringSliceFlag{Name: "returned", Usage: "a `BOOK.xlsx` that came back; once for each"},
			&cli.StringSliceFlag{Name: "accept", Usage: "take over `WHAT`: all, a field (" + strings.Join(revise.Settable(), ", ") + ") or a point key; written to " + answersFile + " beside the project file"},
			jsonFlag(),
		},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			path, err := oneInput(c)
			if err != nil {
				return err
			}
			k, err := planPath(path, points.Options{})
			if err != nil {
				return err
			}
			if err := knownRules(k.plan, c.StringSlice("accept")); err != nil {
				return err
			}
			returned, err := readReturned(k.plan, c.StringSlice("returned"))
			if err != nil {
				return err
			}
			m := revise.Merge(returned, c.StringSlice("accept"))
			if len(m.Accepted) > 0 {
				if err := k.keepAnswers(m.Accepted); err != nil {
					return err
				}
			}
			if c.Bool("json") {
				err = exchange.Answer(w.out, m)
			} else {
				err = printMerged(w, m)
			}
			if err == nil && len(m.Conflicts) > 0 {
				return errNo
			}
			return err
		},
	}
}

// knownRules refuses an accept rule that can match nothing.
func knownRules(p *model.Plan, rules []string) error {
	known := append([]string{"all"}, revise.Settable()...)
	for _, q := range p.Points {
		known = append(known, q.Key)
	}
	for _, r := range rules {
		if slices.Contains(known, r) {
			continue
		}
		if near := finding.Nearest(r, known); near != "" {
			return wrong("--accept %q matches nothing; did you mean %q?", r, near)
		}
		return wrong("--accept %q matches nothing; it takes all, a point key, or a field: %s", r, strings.Join(revise.Settable(), ", "))
	}
	return nil
}

func readReturned(p *model.Plan, files []string) ([]*model.Returned, error) {
	if len(files) == 0 {
		return nil, wrong("merge needs a workbook that came back: --returned BOOK.xlsx")
	}
	var out []*model.Returned
	for _, file := range files {
		data, err := os.ReadFile(file)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, missing(file)
		}
		if err != nil {
			return nil, err
		}
		r, err := excel.ReadReturned(filepath.Base(file), data, p)
		if err != nil {
			return nil, named(file, err)
		}
		out = append(out, r)
	}
	return out, nil
}

// keepAnswers lays accepted answers over those that the project has.
func (k *work) keepAnswers(fresh []model.Answer) error {
	if k.projectFile == "" {
		return wrong("--accept writes %s beside a project file, and this INPUT is a bare list; write a project.yaml that names it (tallywire new shows one)", answersFile)
	}
	text, err := schemas.WriteAnswers(revise.Lay(k.project.Answers, fresh))
	if err != nil {
		return err
	}
	return replaceFile(filepath.Join(k.dir, answersFile), text)
}

func printMerged(w world, m revise.Merged) error {
	for _, e := range m.Edits {
		fmt.Fprintf(w.out, "%-7s %s %s (%s): was %q, is %q", e.Kind, e.Key, e.Field, place(e.Where), e.Old, e.New)
		if e.Moved {
			fmt.Fprint(w.out, "; the plan has changed here since the workbook was issued")
		}
		if e.Means != "" {
			fmt.Fprintf(w.out, "; %s", e.Means)
		}
		fmt.Fprintln(w.out)
	}
	for _, c := range m.Conflicts {
		var sides []string
		for _, s := range c.Sides {
			sides = append(sides, fmt.Sprintf("%q (%s)", s.New, place(s.Where)))
		}
		fmt.Fprintf(w.out, "conflict %s %s: %s; neither is taken over\n", c.Key, c.Field, strings.Join(sides, " against "))
	}
	if err := finding.Text(w.out, m.Findings); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w.out, "%s, %s, %d accepted\n", number(len(m.Edits), "edit"), number(len(m.Conflicts), "conflict"), len(m.Accepted))
	return err
}

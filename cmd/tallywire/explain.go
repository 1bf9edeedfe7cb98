package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points"
)

func explainCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "explain", Usage: "what a finding's code proves; why a tag or a point is planned as it is", ArgsUsage: "WHAT [INPUT]",
		Flags:        []cli.Flag{applyFixesFlag()},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			switch c.NArg() {
			case 1:
				return explainCode(w, c.Args().First())
			case 2:
				k, err := planPath(c.Args().Get(1), points.Options{ApplyFixes: c.Bool("apply-fixes")})
				if err != nil {
					return err
				}
				return explainIn(w, c.Args().First(), k)
			}
			return wrong("explain needs WHAT: a code such as under-voltage, or a tag or point key and the INPUT it stands in (explain EF-1/start fans.xlsx)")
		},
	}
}

func explainCode(w world, id string) error {
	text, ok := points.Explain(id)
	if !ok {
		var ids []string
		for _, c := range finding.Codes() {
			ids = append(ids, c.ID)
		}
		if near := finding.Nearest(id, ids); near != "" {
			return wrong("%q is no code; did you mean %q? A tag or point key needs its INPUT: tallywire explain %s fans.xlsx", id, near, id)
		}
		return wrong("%q is no code; a tag or point key needs its INPUT: tallywire explain %s fans.xlsx. The codes are %s", id, id, strings.Join(ids, ", "))
	}
	_, err := fmt.Fprint(w.out, text)
	return err
}

// explainIn explains a tag or a point key of a plan.
func explainIn(w world, what string, k *work) error {
	p := k.plan
	for i := range p.Points {
		if strings.EqualFold(p.Points[i].Key, what) {
			return explainPoint(w, &p.Points[i], k)
		}
	}
	for i := range p.Equipment {
		if strings.EqualFold(p.Equipment[i].Tag, what) {
			return explainEquipment(w, &p.Equipment[i], p)
		}
	}
	if _, ok := finding.Lookup(what); ok {
		return explainCode(w, what)
	}
	var known []string
	for _, e := range p.Equipment {
		known = append(known, e.Tag)
	}
	for _, q := range p.Points {
		known = append(known, q.Key)
	}
	if near := finding.Nearest(what, known); near != "" {
		return wrong("%q is neither a tag nor a point of this input; did you mean %q?", what, near)
	}
	return wrong("%q is neither a tag nor a point of this input, nor a code", what)
}

func explainEquipment(w world, e *model.Equipment, p *model.Plan) error {
	fmt.Fprintf(w.out, "%s  kind %s, scheme %s, control %s\n", e.Tag, orUnknown(e.Kind), orUnknown(e.Scheme), orUnknown(e.Control))
	if e.Where != nil {
		fmt.Fprintf(w.out, "  read at %s\n", e.Where)
	}
	if e.OutOfScope != "" {
		fmt.Fprintf(w.out, "  out of scope: %s\n", e.OutOfScope)
	}
	for _, about := range evidenceSubjects(e) {
		fmt.Fprintf(w.out, "  %s\n", about)
		for _, v := range e.Evidence {
			if v.About != about {
				continue
			}
			followed := "rejected"
			if v.Won {
				followed = "followed"
			}
			fmt.Fprintf(w.out, "    %s  %s (weight %s): %s%s\n", followed, v.For, model.Figure(v.Weight), v.Words, at(v.Where))
		}
	}
	for _, q := range p.Points {
		if q.Equipment == e.Tag {
			fmt.Fprintf(w.out, "  %-24s %s %s: %s\n", q.Key, q.Carried, q.ObjectType, q.Why)
		}
	}
	return printConcerning(w, p, e.Tag)
}

func evidenceSubjects(e *model.Equipment) []string {
	var out []string
	for _, v := range e.Evidence {
		if !slices.Contains(out, v.About) {
			out = append(out, v.About)
		}
	}
	return out
}

func explainPoint(w world, q *model.Point, k *work) error {
	fmt.Fprintf(w.out, "%s  %s, %s\n", q.Key, q.ObjectType, q.Carried)
	fmt.Fprintf(w.out, "  why: %s\n  rule: %s\n", q.Why, q.Rule)
	if text := points.WhatElse(k.library, k.plan, q.Key); text != "" {
		fmt.Fprintf(w.out, "  removed by: %s\n", text)
	}
	for _, c := range k.plan.Circuits {
		if c.Point != q.Key {
			continue
		}
		fmt.Fprintf(w.out, "  circuit %s: %s\n", c.ID, c.Verdict)
		for _, check := range c.Checks {
			fmt.Fprintf(w.out, "    %-8s %s: %s\n", check.Verdict, check.Code, check.Text)
		}
	}
	return printConcerning(w, k.plan, q.Key)
}

// printConcerning prints the findings about a tag or a point.
func printConcerning(w world, p *model.Plan, subject string) error {
	for _, f := range p.Findings {
		if f.Subject == subject || slices.Contains(f.Subjects, subject) {
			fmt.Fprintln(w.out, "  "+f.Line())
		}
	}
	return nil
}

func orUnknown(s string) string {
	if s == "" {
		return "unknown"
	}
	return s
}

func at(w *model.Where) string {
	if w == nil {
		return ""
	}
	return ", " + w.String()
}

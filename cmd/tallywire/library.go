package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/urfave/cli/v2"

	"tallywire/model/finding"
	"tallywire/points/exchange"
	"tallywire/points/library"
)

func libraryCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "library", Usage: "what the library knows: all subjects, one subject, or one record", ArgsUsage: "[ID]",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "with", Usage: "lay the own records of project `INPUT` over the built-in ones"},
			jsonFlag(),
		},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			all, err := recordsInForce(c.String("with"))
			if err != nil {
				return err
			}
			if c.NArg() > 1 {
				return wrong("library takes one ID, not %d", c.NArg())
			}
			listing, err := chooseRecords(all, c.Args().First())
			if err != nil {
				return err
			}
			if c.Bool("json") {
				return exchange.Answer(w.out, library.Answer{Records: listing})
			}
			return printRecords(w, listing, c.NArg() == 1)
		},
	}
}

// recordsInForce lists the built-in records with a project's own laid over them.
func recordsInForce(input string) ([]library.Entry, error) {
	if input == "" {
		return library.Entries(nil)
	}
	in, err := readInput(input)
	if err != nil {
		return nil, err
	}
	if _, err := library.Load(in.project.Library); err != nil {
		return nil, asInput(err)
	}
	return library.Entries(in.project.Library)
}

// chooseRecords picks all records, those of a subject, or those of one id.
func chooseRecords(all []library.Entry, id string) ([]library.Entry, error) {
	if id == "" {
		return all, nil
	}
	var out []library.Entry
	var known []string
	for _, e := range all {
		if e.Subject == id || e.ID == id {
			out = append(out, e)
		}
		known = append(known, e.ID, e.Subject)
	}
	if len(out) > 0 {
		return out, nil
	}
	if near := finding.Nearest(id, known); near != "" {
		return nil, wrong("the library has no %q; did you mean %q?", id, near)
	}
	return nil, wrong("the library has no %q; subjects: %s", id, strings.Join(library.Subjects(), ", "))
}

func printRecords(w world, list []library.Entry, whole bool) error {
	if whole && len(list) == 1 {
		e := list[0]
		_, err := fmt.Fprintf(w.out, "%s %s (%s)\n%s\n", e.Subject, e.ID, e.Where, e.Text)
		return err
	}
	t := tabwriter.NewWriter(w.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "subject\tid\tname\tsource\tfile")
	for _, e := range list {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", e.Subject, e.ID, e.Name, e.Source, e.Where.File)
	}
	return t.Flush()
}

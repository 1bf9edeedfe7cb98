package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/exchange"
)

func exportCommand(w world) *cli.Command {
	var names []string
	for _, f := range forms {
		names = append(names, f.name)
	}
	return &cli.Command{
		Name: "export", Usage: "write the plan in another form: " + strings.Join(names, ", "), ArgsUsage: "INPUT",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "as", Usage: "`FORM`: " + strings.Join(names, ", "), Value: "json"},
			&cli.StringFlag{Name: "o", Usage: "write to `PATH`; - is standard output; the set of files of ede takes it as a prefix"},
			&cli.StringFlag{Name: "address", Usage: "what names stand under in a brick model: `IRI` ending with # or /; wins over settings.naming.address"},
			applyFixesFlag(), strictFlag(), previousFlag(),
		},
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			for _, f := range forms {
				if f.name == c.String("as") {
					return export(w, c, f)
				}
			}
			if near := finding.Nearest(c.String("as"), names); near != "" {
				return wrong("--as %q is no form; did you mean %q?", c.String("as"), near)
			}
			return wrong("--as %q is no form; there are %s", c.String("as"), strings.Join(names, ", "))
		},
	}
}

func export(w world, c *cli.Context, f form) error {
	k, err := planInput(c)
	if err != nil {
		return err
	}
	if err := address(w, c, f, k.plan); err != nil {
		return err
	}
	to := c.String("o")
	prefix := to
	if to == "" || to == "-" {
		prefix = filepath.Join(k.dir, k.stem)
	}
	files, err := f.write(k.library, k.plan, filepath.Base(prefix))
	var unfit *exchange.Unfit
	if errors.As(err, &unfit) {
		return inputError{text: unfit.Error()}
	}
	if err != nil {
		return err
	}
	if to == "-" {
		for _, one := range files {
			if _, err := w.out.Write(one.Text); err != nil {
				return err
			}
		}
		return refuse(k.plan, c.Bool("strict"), false)
	}
	if err := k.writeFiles(w, f, files, to); err != nil {
		return err
	}
	return refuse(k.plan, c.Bool("strict"), false)
}

// address gives a linked model what its names stand under, and tells a
// placeholder: two buildings under it would be one.
func address(w world, c *cli.Context, f form, plan *model.Plan) error {
	if f.name != "brick" {
		if c.IsSet("address") {
			return wrong("--address is for --as brick; %s has no addresses", f.name)
		}
		return nil
	}
	if c.IsSet("address") {
		plan.Settings.Naming.Address = c.String("address")
	}
	if plan.Settings.Naming.Address != "" {
		return nil
	}
	_, err := fmt.Fprintf(w.err, "names stand under the placeholder %s: give the owner's own by --address or settings.naming.address\n", exchange.PlaceholderAddress)
	return err
}

// writeFiles writes one file under the name asked for, or a set beside each other.
func (k *work) writeFiles(w world, f form, files []exchange.File, to string) error {
	paths := make([]string, len(files))
	for i, one := range files {
		asked := to
		if f.set {
			asked = filepath.Join(filepath.Dir(to), one.Name)
			if to == "" {
				asked = filepath.Join(k.dir, one.Name)
			}
		}
		path, err := k.target(asked, f.ending)
		if err != nil {
			return err
		}
		paths[i] = path
	}
	for i, one := range files {
		if err := replaceFile(paths[i], one.Text); err != nil {
			return err
		}
		if _, err := fmt.Fprintf(w.err, "wrote %s\n", paths[i]); err != nil {
			return err
		}
	}
	return nil
}

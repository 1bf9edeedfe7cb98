package main

import (
	_ "embed"
	"fmt"
	"os"
	"path/filepath"

	"github.com/urfave/cli/v2"
)

//go:embed starter/project.yaml
var starterProject []byte

//go:embed starter/fans.csv
var starterList []byte

func newCommand(w world) *cli.Command {
	return &cli.Command{
		Name: "new", Usage: "make a starter project in a new folder", ArgsUsage: "DIR",
		OnUsageError: usageError,
		Action: func(c *cli.Context) error {
			if c.NArg() != 1 {
				return wrong("new takes one DIR to make")
			}
			return startProject(w, c.Args().First())
		},
	}
}

// startProject writes the starter files; a folder that holds anything is left alone.
func startProject(w world, dir string) error {
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return wrong("%s is not empty; name a new folder", dir)
	} else if err != nil && exists(dir) {
		return wrong("%s is a file; name a new folder", dir)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, f := range []struct {
		name string
		text []byte
	}{{"project.yaml", starterProject}, {"fans.csv", starterList}} {
		if err := replaceFile(filepath.Join(dir, f.name), f.text); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintf(w.out, "%s holds project.yaml and fans.csv.\nPut your schedule in fans.csv (or name your own file under lists:), then: tallywire %s\n", dir, dir)
	return err
}

package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/model/finding"
)

// arrange puts a command line in the order that the command-line library
// understands: the command first (schedule where only an INPUT is given), then
// the flags wherever they stood, then what is not a flag. "--" ends the flags.
func arrange(app *cli.App, args []string) ([]string, error) {
	if len(args) == 0 || args[0] == "-h" || args[0] == "--help" || args[0] == "help" || args[0] == "h" {
		return args, nil
	}
	command, rest, err := chooseCommand(app, args)
	if err != nil {
		return nil, err
	}
	var flags, words []string
	for i := 0; i < len(rest); i++ {
		a := rest[i]
		if a == "--" {
			words = append(words, rest[i+1:]...)
			break
		}
		if len(a) < 2 || a[0] != '-' {
			words = append(words, a)
			continue
		}
		name, _, hasValue := strings.Cut(strings.TrimLeft(a, "-"), "=")
		f := findFlag(command, name)
		if f == nil {
			return nil, unknownFlag(command, a, name)
		}
		flags = append(flags, a)
		if _, isBool := f.(*cli.BoolFlag); isBool || hasValue {
			continue
		}
		if i+1 >= len(rest) {
			return nil, wrong("%s needs a value", a)
		}
		i++
		flags = append(flags, rest[i])
	}
	out := append([]string{command.Name}, flags...)
	return append(append(out, "--"), words...), nil
}

// chooseCommand finds the command word. Flags may stand before it. A first
// word that is no command is an INPUT, so it means schedule; a word that is
// nearly a command and no file is a slip.
func chooseCommand(app *cli.App, args []string) (*cli.Command, []string, error) {
	at := firstWord(app, args)
	if at < 0 {
		return command(app, "schedule"), args, nil
	}
	if c := command(app, args[at]); c != nil {
		return c, append(slices.Clone(args[:at]), args[at+1:]...), nil
	}
	var names []string
	for _, c := range app.Commands {
		names = append(names, c.Name)
	}
	if word := args[at]; !strings.ContainsAny(word, "./\\") && !exists(word) {
		if near := finding.Nearest(word, names); near != "" {
			return nil, nil, wrong("%q is neither a command nor a file; did you mean %q?", word, near)
		}
		return nil, nil, wrong("%q is neither a command nor a file; the commands are %s", word, strings.Join(names, ", "))
	}
	return command(app, "schedule"), args, nil
}

// firstWord returns the index of the first argument that is no flag and no
// flag's value; -1 if there is none.
func firstWord(app *cli.App, args []string) int {
	for i := 0; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			return -1
		}
		if len(a) < 2 || a[0] != '-' {
			return i
		}
		name, _, hasValue := strings.Cut(strings.TrimLeft(a, "-"), "=")
		for _, c := range app.Commands {
			if f := findFlag(c, name); f != nil {
				if _, isBool := f.(*cli.BoolFlag); !isBool && !hasValue {
					i++
				}
				break
			}
		}
	}
	return -1
}

func command(app *cli.App, name string) *cli.Command {
	for _, c := range app.Commands {
		if c.Name == name {
			return c
		}
	}
	return nil
}

func findFlag(c *cli.Command, name string) cli.Flag {
	if name == "help" || name == "h" {
		return cli.HelpFlag
	}
	for _, f := range c.Flags {
		if slices.Contains(f.Names(), name) {
			return f
		}
	}
	return nil
}

func unknownFlag(c *cli.Command, typed, name string) error {
	var names []string
	for _, f := range c.Flags {
		names = append(names, "--"+f.Names()[0])
	}
	text := fmt.Sprintf("%s does not know %s", c.Name, typed)
	if near := finding.Nearest("--"+name, names); near != "" {
		return wrong("%s; did you mean %s?", text, near)
	}
	return wrong("%s; it knows %s", text, strings.Join(names, ", "))
}

// oneInput returns the single INPUT of a command.
func oneInput(c *cli.Context) (string, error) {
	switch c.NArg() {
	case 1:
		return c.Args().First(), nil
	case 0:
		return "", wrong("%s needs an INPUT: an equipment list (.csv, .xlsx), a project file (.yaml, .json) or a folder holding one", c.Command.Name)
	}
	return "", wrong("%s takes one INPUT, not %d (%s); a name with blanks goes in quotes", c.Command.Name, c.NArg(), strings.Join(c.Args().Slice(), ", "))
}

// Command tallywire turns an equipment list into a point schedule and says
// what would not work. This package is wiring only: arguments, streams and
// files in, an exit code out.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/urfave/cli/v2"

	"tallywire/model"
	"tallywire/points/exchange"
	"tallywire/schemas"
)

// Exit codes of the contract.
const (
	exitDone    = 0 // done
	exitNo      = 1 // done, and the answer is no
	exitInput   = 2 // the input or the usage is wrong; nothing was written
	exitMachine = 3 // the machine failed: disk, permission
)

// world is what the program has of the outside.
type world struct {
	in       io.Reader
	out, err io.Writer
}

// answerNo says that the work is done and the answer is no.
var errNo = errors.New("the answer is no")

// inputError is wrong input or usage: exit 2, one clear line, nothing written.
// The faults of an authored file keep their places.
type inputError struct {
	text   string
	faults schemas.Faults
}

func (e inputError) Error() string { return e.text }

// wrong makes an inputError.
func wrong(format string, args ...any) error { return inputError{text: fmt.Sprintf(format, args...)} }

func main() {
	os.Exit(run(world{os.Stdin, os.Stdout, os.Stderr}, os.Args[1:]))
}

// run executes one command line and returns the exit code.
func run(w world, args []string) int {
	app := newApp(w)
	args, err := arrange(app, args)
	if err == nil {
		err = app.Run(append([]string{"tallywire"}, args...))
	}
	return report(w, args, err)
}

// report turns the outcome into an exit code and its one line.
func report(w world, args []string, err error) int {
	if err == nil {
		return exitDone
	}
	if errors.Is(err, errNo) {
		return exitNo
	}
	code := exitMachine
	var wrongInput inputError
	if errors.As(err, &wrongInput) {
		code = exitInput
	}
	if asksJSON(args) {
		if writeErr := printErrorJSON(w.out, err, code); writeErr != nil {
			fmt.Fprintln(w.err, "tallywire:", writeErr)
		}
		return code
	}
	for _, line := range strings.Split(err.Error(), "\n") {
		fmt.Fprintln(w.err, "tallywire:", line)
	}
	return code
}

func asksJSON(args []string) bool {
	for _, a := range args {
		if a == "--" {
			return false
		}
		if a == "--json" || a == "-json" {
			return true
		}
	}
	return false
}

// newApp lists the commands; each has a file of its own.
func newApp(w world) *cli.App {
	return &cli.App{
		Name:      "tallywire",
		Usage:     "equipment list in, controls point schedule out, every pairing checked",
		ArgsUsage: "INPUT",
		Description: "INPUT is an equipment list (.csv, .tsv, .xlsx), a project file (.yaml, .json) or a folder holding one.\n" +
			"An INPUT given without a command runs schedule.\n" +
			"Exit: 0 done; 1 done, and the answer is no; 2 the input or the usage is wrong; 3 the machine failed.",
		Writer:                    w.out,
		ErrWriter:                 w.err,
		Reader:                    w.in,
		HideVersion:               true,
		DisableSliceFlagSeparator: true,
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              usageError,
		CommandNotFound:           nil,
		Commands: []*cli.Command{
			scheduleCommand(w), checkCommand(w), countCommand(w), crosscheckCommand(w), compareCommand(w), mergeCommand(w),
			exportCommand(w), newCommand(w), libraryCommand(w), explainCommand(w),
		},
		Action: func(c *cli.Context) error {
			return wrong("no INPUT given; try: tallywire schedule fans.xlsx (tallywire help lists the commands)")
		},
	}
}

func usageError(_ *cli.Context, err error, _ bool) error { return inputError{text: err.Error()} }

// printErrorJSON prints the error as the one JSON document of the answer.
func printErrorJSON(w io.Writer, err error, code int) error {
	answer := model.ErrorAnswer{Error: model.ErrorText{Message: err.Error(), Exit: code}}
	var wrongInput inputError
	if errors.As(err, &wrongInput) {
		for _, f := range wrongInput.faults {
			answer.Error.Faults = append(answer.Error.Faults, model.ErrorFault{Where: &f.Where, Message: f.Message, Nearest: f.Nearest})
		}
	}
	return exchange.Answer(w, answer)
}

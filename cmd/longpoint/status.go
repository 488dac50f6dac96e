package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
)

// The exit statuses, which are part of what users may rely on.
const (
	statusDone        = 0
	statusFault       = 1
	statusUsage       = 2
	statusInput       = 3
	statusCannotCut   = 4
	statusCheckFailed = 5
)

// statusOf is the one table from kinds of error to exit statuses.
var statusOf = map[model.ErrorKind]int{
	model.Fault:       statusFault,
	model.BadUsage:    statusUsage,
	model.BadInput:    statusInput,
	model.CannotCut:   statusCannotCut,
	model.CheckFailed: statusCheckFailed,
}

// report writes an error to standard error, one line each thing that is wrong and then the command to type next, and gives the exit
// status: the least of its errors' statuses, so that bad input is mended before what cannot be cut is looked at. typed is the command
// that failed, and shop what it was about.
func (p *program) report(err error, typed, shop string) int {
	if err == nil {
		return statusDone
	}
	status := statusCheckFailed
	all := leaves(err)
	for _, e := range all {
		p.say("longpoint: %s\n", plain(e.Error()))
		status = min(status, statusOf[e.Kind])
	}
	for _, line := range nextOf(all, typed, shop) {
		p.say("longpoint: %s\n", line)
	}
	return status
}

// nextOf gives a line with the command to type next for errors that name none themselves, one for each such command.
func nextOf(all []*model.Error, typed, shop string) (lines []string) {
	for _, e := range all {
		if strings.Contains(e.What+e.Do, `"longpoint `) {
			continue
		}
		if line := nextFor(e, typed, shop); !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	return lines
}

// nextFor gives the line for one error.
func nextFor(e *model.Error, typed, shop string) string {
	switch e.Kind {
	case model.BadUsage:
		return "how this is called: " + typed + " --help"
	case model.CannotCut:
		return "what else is odd in the shop: longpoint examine" + shop
	case model.CheckFailed:
		return "a new plan: longpoint plan" + shop
	case model.BadInput:
		if e.Where.Column != "" || e.Where.Line > 0 {
			return "what every column and setting takes: longpoint help tables"
		}
		return "why something is refused, and what to do: longpoint help refused"
	}
	return "which program this is, for the report: longpoint --version"
}

// leaves takes an error apart into errors a person can act on. What is not one is a fault of ours.
func leaves(err error) []*model.Error { return text.Leaves(err) }

// usage is an error in the command line.
func usage(what, do string) *model.Error {
	return &model.Error{Kind: model.BadUsage, What: what, Do: do}
}

// usageError makes an error of the command line out of one that came before any command began.
func usageError(err error) error {
	if _, ok := errors.AsType[*model.Error](err); ok {
		return err
	}
	return usage(err.Error(), "")
}

// optionError says in our words what the library that reads the command line has against an option of cmd.
func optionError(cmd *cobra.Command, err error) error {
	if unknown, ok := errors.AsType[*pflag.NotExistError](err); ok {
		if unknown.GetSpecifiedShortnames() != "" {
			return usage(fmt.Sprintf("there is no option -%s", unknown.GetSpecifiedName()), "")
		}
		var names []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		do := ""
		if near, found := model.Nearest(unknown.GetSpecifiedName(), names); found {
			do = "did you mean --" + near + "?"
		}
		return usage(fmt.Sprintf("there is no option --%s", unknown.GetSpecifiedName()), do)
	}
	if bare, ok := errors.AsType[*pflag.ValueRequiredError](err); ok {
		kind, _ := pflag.UnquoteUsage(bare.GetFlag())
		return usage(fmt.Sprintf("--%s needs something behind it", bare.GetFlag().Name), "write --"+bare.GetFlag().Name+" "+strings.ToUpper(kind))
	}
	if invalid, ok := errors.AsType[*pflag.InvalidValueError](err); ok {
		return usage(fmt.Sprintf("--%s cannot be %q", invalid.GetFlag().Name, invalid.GetValue()), takes(invalid))
	}
	return err
}

// takes says what an option takes.
func takes(invalid *pflag.InvalidValueError) string {
	switch invalid.GetFlag().Value.Type() {
	case "int", "int64":
		return "write a whole number"
	case "duration":
		return "write a time such as 30s or 5m"
	case "bool":
		return "write it without a value"
	}
	return errors.Unwrap(invalid).Error()
}

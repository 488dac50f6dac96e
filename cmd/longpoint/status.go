package main

import (
	"errors"
	"fmt"
	"io"

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

// report writes an error to standard error, one line each thing that is wrong, and gives the exit status: the least of
// its errors' statuses, so that bad input is mended before what cannot be cut is looked at.
func report(stderr io.Writer, err error) int {
	if err == nil {
		return statusDone
	}
	status := statusCheckFailed
	for _, e := range leaves(err) {
		fmt.Fprintf(stderr, "longpoint: %s\n", plain(e.Error()))
		status = min(status, statusOf[e.Kind])
	}
	return status
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
	return usage(err.Error(), `add --help to the command to see how it is used`)
}

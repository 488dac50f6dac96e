// Command bench is the evidence: it solves published instances and checks every plan and every bound, solves the same
// instances with general-purpose solvers side by side, and plans generated workshops of growing size.
//
//	go run ./bench solve --table out.csv --solutions out
//	go run ./bench peers --table peers.csv
//	go run ./bench shop --table shop.csv
//	go run ./bench weeks --table weeks.csv
//	go run ./bench waiting --table waiting.csv
//	go run ./bench commands --table commands.csv
//	go run ./bench report
//
// Measurements are tables that grow a row at a time; a run that was stopped goes on where it stopped. Every instance
// is solved in a process of its own, so that memory is its own and a crash ends nothing else. Beside each table stands a note of
// the command, commit, machine and load it was measured with, and report writes all of it as RESULTS.md.
//
// Against other programs, what is over within a second is run five times and the least time counts: noise only ever adds, and with
// one try each a hiccup of some milliseconds in ours is as much as a factor of twenty in an instance's ratio. What a program takes to start is taken
// off. Nothing else should run on the machine meanwhile; the load in the note says whether something did.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"

	"github.com/spf13/cobra"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	root := command()
	root.SetArgs(os.Args[1:])
	if err := root.ExecuteContext(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		stop()
		os.Exit(1)
	}
}

// command gives the whole command line.
func command() *cobra.Command {
	root := &cobra.Command{
		Use:           "bench",
		Short:         "Measure the solver on published instances, beside its peers, and on whole workshops",
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.AddCommand(solveCommand(), oneCommand(), peersCommand(), shopCommand(), weeksCommand(), waitingCommand(), commandsCommand(), reportCommand())
	return root
}

// outFolder is where measurements go unless a flag says otherwise; it is not under version control.
const outFolder = "bench/out"

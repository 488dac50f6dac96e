package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"longpoint/bench/record"
)

// resultsFile and pictureFolder are what "bench report --to" writes, in that folder.
const (
	resultsFile   = "RESULTS.md"
	pictureFolder = "pictures"
)

func reportCommand() *cobra.Command {
	var folder, to string
	cmd := &cobra.Command{
		Use:   "report",
		Short: "Write what was measured as " + resultsFile + ", with pictures",
		Long: `Report reads the tables that there are of solve, peers (also of profiles), shop, waiting, commands and weeks from a folder, and writes what they say as Markdown, each with
the command, the commit and the machine it was measured on. It measures nothing.`,
		Args: cobra.NoArgs,
		RunE: func(_ *cobra.Command, _ []string) error { return report(folder, to) },
	}
	cmd.Flags().StringVar(&folder, "folder", outFolder, "where the tables are")
	cmd.Flags().StringVar(&to, "to", "bench", "folder to write "+resultsFile+" and the folder "+pictureFolder+" in")
	return cmd
}

// section is one part of the report: the table it is about, and what to say of its rows.
type section struct {
	name, title, about string
	header             []string
	pictures           []string
	write              func(w io.Writer, fields [][]string, pictures string) error // pictures is the folder they go to
}

// sections lists the parts in their order.
func sections(folder string) []section {
	return []section{
		{"solve", "Published instances",
			"Each instance was solved in a process of its own on one thread, and its plan and certificate were checked by `solver/check`. Seconds are of the " +
				"search alone, on the clock. Where they come from stands in `testdata/README.md`.",
			solveHeader, nil,
			ofRows(parseSolveRow, func(w io.Writer, rows []solveRow, _ string) error {
				return writeSolveSummary(w, rows)
			})},
		{"peers", "Beside general-purpose solvers",
			"The same instances, given to each program on the textbook arc-flow model (J. M. Valério de Carvalho, 1999), one after another, each on one thread. " +
				"Where HiGHS stands in the table it is the WebAssembly build, which is slower than a native one.",
			peersHeader, []string{"peers.svg"},
			ofRows(parsePeerRow, func(w io.Writer, rows []peerRow, pictures string) error {
				return errors.Join(writePeersSummary(w, rows), drawPeers(filepath.Join(pictures, "peers.svg"), rows))
			})},
		{"profiles", "A shop's profiles beside general-purpose solvers",
			"The profiles of generated weeks that the arc-flow model states whole: sticks of several lengths, few of some, bundles, prices that fall with the number. " +
				"Credits, lots to match and suppliers' terms it does not state; profiles with the first two are left out.",
			peersHeader, []string{"profiles.svg"},
			ofRows(parsePeerRow, func(w io.Writer, rows []peerRow, pictures string) error {
				return errors.Join(writePeersSummary(w, rows), drawPeers(filepath.Join(pictures, "profiles.svg"), rows))
			})},
		{"shop", "Whole workshops",
			"Generated workshops of growing size, planned by the program itself, the order of cuts included. Seconds are of the whole process, on the clock " +
				"and of all processors together.",
			shopHeader, []string{shopTime, shopMemory},
			ofRows(parseShopRow, func(w io.Writer, rows []shopRow, pictures string) error {
				return errors.Join(writeShopSummary(w, rows), drawShop(pictures, rows))
			})},
		{"waiting", "What a shop waits",
			"Generated weeks with everything on: suppliers' least orders and deliveries, bundles, price breaks, random lengths, credits for offcuts, lots, matching, damage. " +
				"Seconds are on the clock, reading and checking included: the median, and the longest. A gap is what was known at the time, as a share of the cost.",
			waitingHeader, []string{waitingPicture},
			ofRows(parseWaitingRow, func(w io.Writer, rows []waitingRow, pictures string) error {
				return errors.Join(writeWaitingSummary(w, rows), drawWaiting(filepath.Join(pictures, waitingPicture), rows))
			})},
		{"commands", "What a shop waits for besides a plan",
			"Whole processes in generated weeks with everything on, and in the demo's shops: a plan; a quotation of the job with the most sides; orders with what it would cost to do without each " +
				"line; and, where half the sticks of the largest profile are cut and the next side is torn, the rest planned anew in a folder and in a book, and the book's week planned once more. The median, " +
				"and the most; plans are what a command takes of the processors beside what a plan of the same shop takes. Over 2 plans is counted where a plan takes at least 0.3 s.",
			commandsHeader, nil,
			ofRows(parseCommandsRow, func(w io.Writer, rows []commandsRow, _ string) error {
				return writeCommandsSummary(w, rows)
			})},
		{"weeks", "Week after week",
			"A generated workshop planned week by week, the rack carried over, beside first-fit by longest side with a rack of its own. Each week's plan is the cheapest for that week, " +
				"which does not promise that all weeks together are.",
			weeksHeader, nil,
			func(w io.Writer, _ [][]string, _ string) error {
				summary, err := os.ReadFile(filepath.Join(folder, weeksSummary))
				if err != nil {
					return err
				}
				_, err = w.Write(summary)
				return err
			}},
	}
}

// ofRows writes of the rows that a table holds, each read by parse.
func ofRows[R any](parse func([]string) (R, error), write func(w io.Writer, rows []R, pictures string) error) func(io.Writer, [][]string, string) error {
	return func(w io.Writer, fields [][]string, pictures string) error {
		rows, err := parseRows(fields, parse)
		if err != nil {
			return err
		}
		return write(w, rows, pictures)
	}
}

// report writes the results of the tables in folder, and the pictures that belong to them.
func report(folder, to string) error {
	pictures := filepath.Join(to, pictureFolder)
	if err := os.MkdirAll(pictures, 0o755); err != nil {
		return err
	}
	var b bytes.Buffer
	b.WriteString("# What was measured\n\n`make bench-report` writes this page from the tables of the newest measurements; DEVELOPERS.md says how to repeat them. " +
		"A load above the number of cores means that other work ran beside it: seconds on the clock are then too long, and time limits are reached too early.\n")
	found := 0
	for _, s := range sections(folder) {
		table := filepath.Join(folder, s.name+".csv")
		if _, err := os.Stat(table); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		found++
		if err := s.report(&b, table, pictures); err != nil {
			return fmt.Errorf("%s: %w", table, err)
		}
	}
	if found == 0 {
		return fmt.Errorf("%s has none of solve.csv, peers.csv, profiles.csv, shop.csv, waiting.csv, commands.csv and weeks.csv; run bench solve, peers, shop, waiting, commands or weeks first", folder)
	}
	return record.WriteFile(filepath.Join(to, resultsFile), b.Bytes())
}

// report writes one section.
func (s section) report(w io.Writer, table, pictures string) error {
	fields, err := record.Read(table, s.header)
	if err != nil {
		return err
	}
	notes, err := record.Notes(table)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "\n## %s\n\n%s\n\n", s.title, s.about)
	for _, n := range slices.Compact(notes) {
		fmt.Fprintf(w, "%s\n\n", n)
	}
	if err := s.write(w, fields, pictures); err != nil {
		return err
	}
	for _, p := range s.pictures {
		fmt.Fprintf(w, "\n![%s](%s/%s)\n", s.title, pictureFolder, p)
	}
	return nil
}

package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"longpoint/bench/chart"
	"longpoint/bench/record"
)

func reportCommand() *cobra.Command {
	var folder string
	cmd := &cobra.Command{
		Use:   "report",
		Short: "Write the summary tables and draw the pictures of what was measured",
		Long: `Report reads solve.csv, peers.csv and shop.csv, those that there are, from a folder, writes their summaries as Markdown to
standard output, and draws solve.svg, peers.svg, ` + shopTime + ` and ` + shopMemory + ` beside them. It measures nothing.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return report(cmd.OutOrStdout(), folder) },
	}
	cmd.Flags().StringVar(&folder, "folder", outFolder, "where the tables are and the pictures go")
	return cmd
}

func report(w io.Writer, folder string) error {
	parts := []struct {
		name, title string
		header      []string
		write       func(fields [][]string) error
	}{
		{"solve", "Published instances", solveHeader, func(fields [][]string) error {
			rows, err := parseSolveRows(fields)
			if err != nil {
				return err
			}
			return errors.Join(writeSolveSummary(w, rows), drawSolved(filepath.Join(folder, "solve.svg"), rows))
		}},
		{"peers", "Beside general-purpose solvers", peersHeader, func(fields [][]string) error {
			rows, err := parsePeerRows(fields)
			if err != nil {
				return err
			}
			return errors.Join(writePeersSummary(w, rows), drawPeers(filepath.Join(folder, "peers.svg"), rows))
		}},
		{"shop", "Whole workshops", shopHeader, func(fields [][]string) error {
			rows, err := parseShopRows(fields)
			if err != nil {
				return err
			}
			return errors.Join(writeShopSummary(w, rows), drawShop(folder, rows))
		}},
	}
	found := 0
	for _, p := range parts {
		path := filepath.Join(folder, p.name+".csv")
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		fields, err := record.Read(path, p.header)
		if err != nil {
			return err
		}
		found++
		fmt.Fprintf(w, "### %s\n\n", p.title)
		if err := p.write(fields); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		fmt.Fprintln(w)
	}
	if found == 0 {
		return fmt.Errorf("%s has none of solve.csv, peers.csv and shop.csv; run bench solve, bench peers or bench shop first", folder)
	}
	return nil
}

// drawSolved draws, for every class, what share of it is proven by when.
func drawSolved(path string, rows []solveRow) error {
	var sets []chart.Share
	for _, g := range groups(rows) {
		s := chart.Share{Name: g.title, Total: len(g.rows)}
		for _, r := range g.rows {
			if r.Status == proven {
				s.Values = append(s.Values, max(r.Seconds, leastTime))
			}
		}
		sets = append(sets, s)
	}
	return chart.Shares(path, chart.Labels{
		Title: fmt.Sprintf("Proven by when, %d instances", len(rows)), X: "time (s)", Y: "of the class proven (%)",
	}, sets)
}

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/manual"
)

// manualPages is "longpoint manual-pages", for those who pack the program: the help of every command as a manual page of section 1, and
// every topic as one of section 7. It is not listed.
func (p *program) manualPages() *cobra.Command {
	return &cobra.Command{
		Use:    "manual-pages FOLDER",
		Short:  "Write help and manual as manual pages",
		Hidden: true,
		Args:   arguments("FOLDER, where to,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			pages := map[string][]byte{}
			date := packedOn().Format(time.DateOnly)
			commandPages(pages, cmd.Root(), date)
			for _, topic := range manual.Topics() {
				pages[filepath.Join("man7", "longpoint-"+topic.Name+".7")] = topic.Man(date, release)
			}
			for name, page := range pages {
				name = filepath.Join(args[0], name)
				if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
					return outputError(name, err)
				}
				if err := os.WriteFile(name, page, 0o666); err != nil {
					return outputError(name, err)
				}
			}
			return nil
		},
	}
}

// packedOn is the day on which pages are said to be made: with SOURCE_DATE_EPOCH, which packers set so that the same source gives
// the same bytes (reproducible-builds.org, specification of that name), the day that it gives, else today.
func packedOn() time.Time {
	if seconds, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(seconds, 0).UTC()
	}
	return time.Now()
}

// commandPages makes a page of a command's help, and of that of each command below it.
func commandPages(pages map[string][]byte, cmd *cobra.Command, date string) {
	name := strings.ReplaceAll(cmd.CommandPath(), " ", "-")
	m := manual.NewMan(name, cmd.Short, 1, date, release)
	m.Heading("SYNOPSIS")
	m.Verbatim(strings.Join(calls(cmd), "\n"))
	m.Heading("DESCRIPTION")
	long := cmd.Long
	if long == "" {
		long = cmd.Short + "."
	}
	for part := range strings.SplitSeq(strings.Trim(long, "\n"), "\n\n") {
		if strings.HasPrefix(part, " ") || strings.Contains(part, "\n ") {
			m.Verbatim(part)
		} else {
			m.Paragraph(part)
		}
	}
	if rows := options(cmd); len(rows) > 0 {
		m.Heading("OPTIONS")
		for _, row := range rows {
			m.Item(row[0], row[1])
		}
	}
	if cmd.Example != "" {
		m.Heading("EXAMPLES")
		m.Verbatim(cmd.Example)
	}
	see := seeAlso(cmd)
	for _, sub := range cmd.Commands() {
		if sub.IsAvailableCommand() {
			see = append(see, strings.ReplaceAll(sub.CommandPath(), " ", "-")+"(1)")
			commandPages(pages, sub, date)
		}
	}
	if len(see) > 0 {
		m.Heading("SEE ALSO")
		m.Paragraph(strings.Join(see, ", "))
	}
	pages[filepath.Join("man1", name+".1")] = []byte(m.String())
}

// seeAlso names the pages round a command's: the command above it, and the topics that say more.
func seeAlso(cmd *cobra.Command) (see []string) {
	if !cmd.HasParent() {
		for _, topic := range manual.Topics() {
			see = append(see, fmt.Sprintf("longpoint-%s(7)", topic.Name))
		}
		return see
	}
	see = append(see, strings.ReplaceAll(cmd.Parent().CommandPath(), " ", "-")+"(1)")
	for _, topic := range topicsOf[cmd.Name()] {
		if !cmd.Parent().HasParent() {
			see = append(see, fmt.Sprintf("longpoint-%s(7)", topic))
		}
	}
	return see
}

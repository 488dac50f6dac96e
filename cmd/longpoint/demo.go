package main

import (
	"fmt"
	"runtime"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"longpoint/model/folder"
)

// demo is "longpoint demo": a workshop to start from.
func (p *program) demo() *cobra.Command {
	var kind string
	cmd := &cobra.Command{
		Use:   "demo DIR",
		Short: "Write an invented workshop to start from",
		Long: `Write a complete workshop into the new or empty folder DIR, with comments that
explain each column. Everything in it is invented. Plan it to see what comes
out, then open the tables in a spreadsheet or an editor and put your own in
their place. The kinds of shop are:

` + kindsOfDemo(),
		Example: demoExample,
		Args:    arguments("DIR, the folder to write,"),
		RunE: func(_ *cobra.Command, args []string) error {
			one, err := folder.InventedBy(kind)
			if err != nil {
				return err
			}
			if err := folder.WriteNew(args[0], one.Files); err != nil {
				return err
			}
			p.kept = "the demo workshop is in " + args[0]
			said := fmt.Sprintf("The demo workshop is in %s. To plan it: longpoint plan %s\n", plain(args[0]), shellWord(args[0]))
			if one.Lesson != "" {
				said += paragraph("What it shows: "+one.Lesson, "")
			}
			return p.show(said)
		},
	}
	cmd.Flags().StringVar(&kind, "kind", "everything", "which `KIND` of shop, named above")
	completedFlags(cmd, nil)
	return cmd
}

// kindsOfDemo lists the invented workshops.
func kindsOfDemo() string {
	var rows [][2]string
	for _, one := range folder.AllInvented() {
		rows = append(rows, [2]string{one.Kind, one.About})
	}
	return glossary(rows)
}

// shellWord quotes a name that a shell would otherwise take apart.
func shellWord(name string) string { return shellWordOn(runtime.GOOS, name) }

// shellWordOn does so for the shells of a system. Windows has two, which agree on double quotes alone; no name of a file holds one there.
func shellWordOn(system, name string) string {
	harmless, quoted := "._-/", "'"+strings.ReplaceAll(plain(name), "'", `'\''`)+"'"
	if system == "windows" {
		harmless, quoted = `._-/\:`, `"`+strings.ReplaceAll(plain(name), `"`, "")+`"`
	}
	if strings.IndexFunc(name, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune(harmless, r)
	}) < 0 {
		return name
	}
	return quoted
}

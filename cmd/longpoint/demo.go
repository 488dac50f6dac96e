package main

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"longpoint/model/folder"
)

// demo is "longpoint demo": a workshop to start from.
func (p *program) demo() *cobra.Command {
	return &cobra.Command{
		Use:   "demo DIR",
		Short: "Write an invented workshop to start from",
		Long: `Write a complete workshop into the new or empty folder DIR: workshop.toml,
profiles.csv, offers.csv, rack.csv and jobs.csv, with comments that explain each
column. Everything in it is invented. Plan it to see what comes out, then open
the tables in a spreadsheet or an editor and put your own in their place.`,
		Example: demoExample,
		Args:    arguments("DIR, the folder to write,"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := folder.WriteDemo(args[0]); err != nil {
				return err
			}
			return p.show(fmt.Sprintf("The demo workshop is in %s. To plan it: longpoint plan %s\n", plain(args[0]), shellWord(args[0])))
		},
	}
}

// shellWord quotes a name that a shell would otherwise take apart.
func shellWord(name string) string {
	if strings.IndexFunc(name, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("._-/", r)
	}) < 0 {
		return name
	}
	return "'" + strings.ReplaceAll(plain(name), "'", `'\''`) + "'"
}

package main

import (
	"fmt"
	"io/fs"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"longpoint/model/folder"
)

// demos are the invented workshops to start from.
var demos = map[string]func() fs.FS{"everything": folder.Demo, "small": folder.Small}

// demo is "longpoint demo": a workshop to start from.
func (p *program) demo() *cobra.Command {
	var kind string
	cmd := &cobra.Command{
		Use:   "demo DIR",
		Short: "Write an invented workshop to start from",
		Long: `Write a complete workshop into the new or empty folder DIR, with comments that
explain each column. Everything in it is invented. Plan it to see what comes
out, then open the tables in a spreadsheet or an editor and put your own in
their place.`,
		Example: demoExample,
		Args:    arguments("DIR, the folder to write,"),
		RunE: func(_ *cobra.Command, args []string) error {
			files, ok := demos[kind]
			if !ok {
				return usage(fmt.Sprintf("--kind: there is no demo %q", kind), "choose everything or small")
			}
			if err := folder.WriteNew(args[0], files()); err != nil {
				return err
			}
			p.kept = "the demo workshop is in " + args[0]
			return p.show(fmt.Sprintf("The demo workshop is in %s. To plan it: longpoint plan %s\n", plain(args[0]), shellWord(args[0])))
		},
	}
	cmd.Flags().StringVar(&kind, "kind", "everything", "which `KIND`: everything, which uses all there is, or small, with five jobs")
	return cmd
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

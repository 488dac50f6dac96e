package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/cpuguy83/go-md2man/v2/md2man"
	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

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
			one, seven := filepath.Join(args[0], "man1"), filepath.Join(args[0], "man7")
			for _, dir := range []string{one, seven} {
				if err := os.MkdirAll(dir, 0o777); err != nil {
					return outputError(dir, err)
				}
			}
			root := cmd.Root()
			root.DisableAutoGenTag = true
			header := &doc.GenManHeader{Section: "1", Source: "Longpoint " + release, Manual: "Longpoint"}
			if err := doc.GenManTree(root, header, one); err != nil {
				return outputError(one, err)
			}
			for _, topic := range manual.Topics() {
				name := filepath.Join(seven, "longpoint-"+topic.Name+".7")
				title := fmt.Sprintf("%% \"LONGPOINT-%s\" \"7\" \"\" \"Longpoint %s\" \"Longpoint\"\n", strings.ToUpper(topic.Name), release)
				_, rest, _ := strings.Cut(topic.Markdown, "\n")
				text := title + fmt.Sprintf("# NAME\nlongpoint-%s \\- %s\n\n# DESCRIPTION\n", topic.Name, topic.About) + rest
				if err := os.WriteFile(name, md2man.Render([]byte(text)), 0o666); err != nil {
					return outputError(name, err)
				}
			}
			return nil
		},
	}
}

package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// help is "longpoint help COMMAND", which, unlike cobra's own, fails on a command that does not exist.
func (p *program) help(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Explain a command",
		RunE: func(_ *cobra.Command, args []string) error {
			cmd, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return usage(fmt.Sprintf("there is no command %q", strings.Join(args, " ")),
					`run "longpoint help" for the list of commands`)
			}
			cmd.InitDefaultHelpFlag()
			return cmd.Help()
		},
	}
}

// reword puts cobra's completion command into our words, and makes it fail on a shell that it does not know.
func reword(completion *cobra.Command) {
	completion.Short = "Write what a shell needs to complete commands with the Tab key"
	completion.Long = `Write a script with which your shell completes the commands and options of
longpoint when you press the Tab key. "longpoint completion bash --help" says
where to put it, and likewise for the other shells.`
	completion.Use = "completion SHELL"
	completion.Args = func(_ *cobra.Command, args []string) error {
		if len(args) == 0 {
			return fmt.Errorf("the shell is missing: bash, fish, powershell or zsh")
		}
		return fmt.Errorf("there is no completion for %q, only for bash, fish, powershell and zsh", args[0])
	}
	completion.RunE = func(*cobra.Command, []string) error { return nil } // never reached: Args always fails
}

// helpText is what --help prints: what the command is for, how to call it, its options, its commands, and an example.
func helpText(cmd *cobra.Command) string {
	parts := []string{strings.TrimSpace(cmd.Long) + "\n"}
	if cmd.Long == "" {
		parts[0] = cmd.Short + ".\n"
	}
	call := cmd.UseLine()
	if cmd.HasAvailableSubCommands() {
		call = cmd.CommandPath() + " COMMAND …"
	}
	parts = append(parts, "How to call it\n  "+strings.ReplaceAll(call, "[flags]", "[OPTIONS]")+"\n")
	if cmd.HasAvailableSubCommands() {
		var rows [][2]string
		for _, sub := range cmd.Commands() {
			if sub.IsAvailableCommand() || sub.Name() == "help" {
				rows = append(rows, [2]string{sub.Name(), sub.Short})
			}
		}
		parts = append(parts, "Commands (add --help to one to read more)\n"+glossary(rows))
	}
	if rows := options(cmd); len(rows) > 0 {
		parts = append(parts, "Options\n"+glossary(rows))
	}
	if cmd.Example != "" {
		parts = append(parts, "Example (type what follows the $; … stands for lines left out here)\n"+strings.Trim(cmd.Example, "\n")+"\n")
	}
	return strings.Join(parts, "\n")
}

// options lists a command's flags and what they mean.
func options(cmd *cobra.Command) (rows [][2]string) {
	cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		value, meaning := pflag.UnquoteUsage(f)
		switch f.Name { // cobra's own two
		case "help":
			meaning = "show this help"
		case "version":
			meaning = "show the version"
		}
		name := "--" + f.Name
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", " + name
		}
		if f.Value.Type() != "bool" {
			name += " " + strings.ToUpper(value)
			if f.DefValue != "" && f.DefValue != "[]" {
				meaning += fmt.Sprintf(" (%s unless you say otherwise)", strings.Trim(f.DefValue, "[]"))
			}
		}
		rows = append(rows, [2]string{name, meaning})
	})
	return rows
}

// glossary sets names and their meanings in two columns.
func glossary(rows [][2]string) string {
	wide := 0
	for _, r := range rows {
		wide = max(wide, len(r[0]))
	}
	indent := strings.Repeat(" ", wide+4)
	var b strings.Builder
	for _, r := range rows {
		text := paragraph(strings.Repeat("_", wide+3)+" "+r[1], indent) // the underscores keep the room for the name
		b.WriteString(fmt.Sprintf("  %-*s ", wide+1, r[0]) + strings.TrimPrefix(text, strings.Repeat("_", wide+3)+" "))
	}
	return b.String()
}

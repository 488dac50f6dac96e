package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"longpoint/cmd/longpoint/manual"
)

// help is "longpoint help NAME" for a command or a topic of the manual. Unlike cobra's own it fails on a name that is
// neither. Of a name that is both it shows the command, then the topic. With --out it writes the whole manual as a file.
func (p *program) help(root *cobra.Command) *cobra.Command {
	var find, out string
	cmd := &cobra.Command{
		Use:   "help [TOPIC or COMMAND]",
		Short: "Explain a topic or a command",
		RunE: func(_ *cobra.Command, args []string) error {
			switch {
			case out != "":
				return p.writeManual(out)
			case find != "":
				return p.findInManual(find)
			}
			return p.explain(root, args)
		},
		ValidArgsFunction: func(_ *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
			var names []string
			for _, name := range helpNames(root) {
				if len(args) == 0 && strings.HasPrefix(name, begun) {
					names = append(names, name)
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&find, "find", "", "say where the manual speaks of these `words`, or explains what was refused with them")
	flags.StringVar(&out, "out", "", "write the whole manual to this `file`: .html for a browser, .pdf for paper")
	cmd.MarkFlagsMutuallyExclusive("find", "out")
	return cmd
}

// explain shows the help of a command, a topic, or both.
func (p *program) explain(root *cobra.Command, args []string) error {
	var parts []string
	if cmd, rest, err := root.Find(args); err == nil && len(rest) == 0 {
		cmd.InitDefaultHelpFlag()
		parts = append(parts, helpText(cmd))
	}
	if len(args) == 1 {
		if topic, ok := manual.Find(args[0]); ok {
			parts = append(parts, manual.Terminal(topic, pageWidth))
		}
	}
	if len(parts) == 0 {
		return usage(fmt.Sprintf("there is no topic or command %q%s", strings.Join(args, " "), nearHelp(root, args)),
			`run "longpoint help" for the list`)
	}
	return p.show(strings.Join(parts, "\n"))
}

// helpNames lists what can be explained: topics, then commands.
func helpNames(root *cobra.Command) (names []string) {
	for _, t := range manual.Topics() {
		names = append(names, t.Name)
	}
	for _, cmd := range root.Commands() {
		if cmd.IsAvailableCommand() && !slices.Contains(names, cmd.Name()) {
			names = append(names, cmd.Name())
		}
	}
	return names
}

// nearHelp asks whether a topic or command was meant that is written almost like it, by cobra's own measure of that.
func nearHelp(root *cobra.Command, args []string) string {
	if len(args) != 1 {
		return ""
	}
	all := &cobra.Command{SuggestionsMinimumDistance: root.SuggestionsMinimumDistance}
	for _, name := range helpNames(root) {
		all.AddCommand(&cobra.Command{Use: name, Run: func(*cobra.Command, []string) {}})
	}
	return didYouMean(all.SuggestionsFor(args[0]))
}

// reword puts cobra's completion command into our words, and makes it fail on a shell that it does not know.
func reword(completion *cobra.Command) {
	completion.Short = "Write what a shell needs to complete commands with the Tab key"
	completion.Long = `Write a script with which your shell completes the commands and options of
Longpoint when you press the Tab key. "longpoint completion bash --help" says
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

// topicsOf names the topics of the manual that say more about a command than its help does.
var topicsOf = map[string][]string{
	"blades":   {"book"},
	"book":     {"book"},
	"buy":      {"money"},
	"check":    {"proof"},
	"cut":      {"book"},
	"demo":     {"week", "tables"},
	"examine":  {"start", "tables"},
	"finish":   {"book"},
	"group":    {"money"},
	"history":  {"book"},
	"jobs":     {"book"},
	"order":    {"book"},
	"plan":     {"reading", "proof", "machines", "mishaps"},
	"prices":   {"tables", "money"},
	"quote":    {"money"},
	"rack":     {"book"},
	"receive":  {"book"},
	"run":      {"book"},
	"serve":    {"page", "book"},
	"settings": {"tables", "book"},
	"sheets":   {"paper"},
	"size":     {"lengths"},
	"start":    {"start", "page"},
	"take":     {"book", "tables"},
	"undo":     {"book"},
	"yield":    {"book"},
}

// topics gives the lines of a list of topics.
func topics(of []manual.Topic) string {
	var rows [][2]string
	for _, t := range of {
		rows = append(rows, [2]string{t.Name, t.About})
	}
	return glossary(rows)
}

// helpText is what --help prints: what the command is for, how to call it, its options, its commands, an example, and
// where the manual says more.
func helpText(cmd *cobra.Command) string {
	parts := []string{strings.TrimSpace(cmd.Long) + "\n"}
	if cmd.Long == "" {
		parts[0] = cmd.Short + ".\n"
	}
	parts = append(parts, "How to call it\n  "+strings.Join(calls(cmd), "\n  ")+"\n")
	if cmd.HasAvailableSubCommands() {
		var rows [][2]string
		for _, sub := range cmd.Commands() {
			if sub.IsAvailableCommand() || sub.Name() == "help" {
				rows = append(rows, [2]string{sub.Name(), sub.Short})
			}
		}
		parts = append(parts, "Commands (add --help to one to read more)\n"+glossary(rows))
	}
	if !cmd.HasParent() {
		parts = append(parts, "Topics of the manual (longpoint help TOPIC, or longpoint help TOPIC | more)\n"+topics(manual.Listed()))
	}
	if rows := options(cmd); len(rows) > 0 {
		parts = append(parts, "Options\n"+glossary(rows))
	}
	if cmd.Example != "" {
		parts = append(parts, "Example (type what follows the $; … stands for lines left out here)\n"+strings.Trim(cmd.Example, "\n")+"\n")
	}
	if !cmd.HasParent() || cmd.Parent().HasParent() {
		return strings.Join(parts, "\n")
	}
	var more []manual.Topic
	for _, name := range topicsOf[cmd.Name()] {
		if t, ok := manual.Find(name); ok {
			more = append(more, t)
		}
	}
	if len(more) > 0 {
		parts = append(parts, "More in the manual (longpoint help TOPIC)\n"+topics(more))
	}
	return strings.Join(parts, "\n")
}

// calls gives the ways to call a command.
func calls(cmd *cobra.Command) (lines []string) {
	if strings.Contains(cmd.Use, " ") || !cmd.HasAvailableSubCommands() {
		lines = append(lines, strings.ReplaceAll(cmd.UseLine(), "[flags]", "[OPTIONS]"))
	}
	if cmd.HasAvailableSubCommands() {
		lines = append(lines, cmd.CommandPath()+" COMMAND …")
	}
	return lines
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
			notGiven := f.DefValue == "" || f.DefValue == "[]" || f.Value.Type() != "string" && strings.TrimSuffix(f.DefValue, "s") == "0"
			if !notGiven {
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
	var b strings.Builder
	for _, r := range rows {
		b.WriteString(hanging(fmt.Sprintf("  %-*s", wide, r[0]), r[1]))
	}
	return b.String()
}

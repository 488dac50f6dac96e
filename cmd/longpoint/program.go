package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"longpoint/model"
)

// program is one run of Longpoint: where it reads and writes.
type program struct {
	name           string   // as one types it; empty: ownName
	commands       []string // there are
	stdin          io.Reader
	tablesTo       string    // a file for the tables that are shown; empty: none
	tables         []carried // that were shown
	stdout, stderr io.Writer
	browse         func(url string) error // opens the browser
	hasDisplay     func() bool            // tells whether there is a screen for one
	working        bool                   // the command line was understood and a command has begun
	shop           string                 // the book or folder that the command is about, with a blank before it, as one types it
	kept           string                 // what the command has done that stays
	lost           error                  // of an answer whose writer cannot say so: help
}

// run runs one command line and gives the exit status. Nothing below it ends the process.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return runAs(ownName, args, stdin, stdout, stderr)
}

// runAs runs the program under the name that one types to call it.
func runAs(name string, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := interruptible()
	defer stop()
	p := &program{name: name, stdin: stdin, stdout: stdout, stderr: stderr, browse: openBrowser, hasDisplay: hasScreen}
	if len(args) == 0 && noConsole() { // the page is all that can be seen then
		p.stdout, p.stderr = io.Discard, told{}
	}
	return p.run(ctx, args)
}

func (p *program) run(ctx context.Context, args []string) int {
	root := p.root()
	p.commands = []string{"--version", "--help", "help"}
	for _, cmd := range root.Commands() {
		p.commands = append(p.commands, cmd.Name())
	}
	root.SetArgs(append([]string{}, args...)) // never nil: cobra would take the process's own
	typed := root
	err := caught(func() (err error) {
		typed, err = root.ExecuteContextC(ctx)
		return err
	})
	if err == nil {
		err = p.lost
	}
	if err != nil && !p.working {
		err = usageError(err)
	}
	status := p.report(err, typed.CommandPath(), p.shop)
	if status != statusDone && len(args) == 0 && ownConsole() {
		p.asked("Press the Enter key to close this window.")
	}
	return status
}

// told is standard error where there is none: each line is shown in a window.
type told struct{}

func (told) Write(text []byte) (int, error) {
	tell(string(text))
	return len(text), nil
}

// interruptible gives a context that the first interrupt ends, upon which a plan stops with the best it has. The second
// interrupt ends the process, as it would any other. A reader that closes the pipe ends nothing: see show.
func interruptible() (context.Context, context.CancelFunc) {
	signal.Ignore(syscall.SIGPIPE)
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}

// caught makes an error of a panic, with the place in our code: it is a fault of ours, not a use of the command line,
// which Go's own exit status for a panic would say.
func caught(work func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = &model.Error{Kind: model.Fault, What: "a fault of ours", Err: model.Broken(r),
				Do: "please report this line together with the command you typed"}
		}
	}()
	return work()
}

// root builds the command tree.
func (p *program) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "longpoint",
		Short: "Plan which frame side comes off which moulding stick",
		Long: `Longpoint plans a picture framer's week at the mitre guillotine or mitre saw:
how long each side is along its long point, which sides come off which stick,
what to buy, and what each job's moulding costs. The plan is the cheapest there
is, and carries a proof that "longpoint check" can check.

"longpoint start" begins: it shows an invented shop, or makes your own shop's
book. A workshop can also be a folder of tables: start from the demo and put
your own in its place. A book is one file that holds all that and remembers
what became of it; every command that takes a workshop's folder takes a book in
its place. A book need not be named: without [FILE] or [DIR] a command takes the
one whose name is in LONGPOINT_BOOK, or else the one file *.book of the current
folder.`,
		Example:       rootExample,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return fmt.Errorf("there is no command %q%s", args[0], didYouMean(cmd.SuggestionsFor(args[0])))
		},
		RunE: func(cmd *cobra.Command, _ []string) error {
			if p.isFirstStart() {
				return p.firstStart(cmd.Context())
			}
			return cmd.Help()
		},
		PersistentPreRunE: func(*cobra.Command, []string) error {
			p.working = true
			if err := p.mayWriteTables(); err != nil {
				return err
			}
			return p.canAnswer()
		},
		PersistentPostRunE: p.writeTables,
	}
	root.PersistentFlags().StringVar(&p.tablesTo, "tables", "", "also write every table that is shown to this `file`, .xlsx or .csv")
	root.SetIn(p.stdin)
	root.SetOut(shown{p})
	root.SetErr(p.stderr)
	root.SetVersionTemplate("longpoint {{.Version}}\n")
	root.SetFlagErrorFunc(optionError)
	root.SuggestionsMinimumDistance = 2
	root.AddCommand(p.size(), p.plan(), p.buy(), p.group(), p.quote(), p.check(), p.examine(), p.sheets(), p.start(), p.demo())
	root.AddCommand(p.book(), p.take(), p.prices(), p.order(), p.receive(), p.startRun(), p.cut(), p.finish(), p.undo(), p.rack(), p.jobs(), p.history(),
		p.yield(), p.blades(), p.settings(), p.serve(), p.manualPages(), p.versionCommand())
	p.byDefault(root)
	root.SetHelpCommand(p.help(root))
	root.SetHelpFunc(func(cmd *cobra.Command, _ []string) { p.lost = p.show(helpText(cmd)) })
	root.InitDefaultVersionFlag()
	root.InitDefaultCompletionCmd()
	for _, cmd := range root.Commands() {
		if cmd.Name() == "completion" {
			reword(cmd)
		}
	}
	return root
}

// arguments demands exactly the arguments that are named, in this order.
func arguments(names ...string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) < len(names):
			return fmt.Errorf("%s is missing", names[len(args)])
		case len(args) > len(names):
			return fmt.Errorf("%q is one argument too many (put quotes round text with a space in it)", args[len(names)])
		}
		return nil
	}
}

// canAnswer says that standard output is closed. Then a command does nothing: its answer would be lost.
func (p *program) canAnswer() error {
	if _, err := p.stdout.Write(nil); errors.Is(err, syscall.EBADF) || p.stdout == io.Writer(os.Stdout) && noConsole() {
		return &model.Error{Kind: model.Fault, What: "standard output is closed, so nothing was done", Do: "leave it open, or send it to a file"}
	}
	return nil
}

// show writes a result to standard output in one go. Who reads only the first lines and closes the pipe has seen enough,
// and the command goes on to its end: its file is still written, and no temporary one left behind. An error says what was done all
// the same.
func (p *program) show(result string) error { return p.put(p.unload(p.called(result))) }

// put writes a result as it is, byte by byte: a printed page is no text.
func (p *program) put(result string) error {
	_, err := io.WriteString(p.stdout, result)
	if err == nil || errors.Is(err, syscall.EPIPE) {
		return nil
	}
	if inner, ok := errors.AsType[*fs.PathError](err); ok {
		err = inner.Err
	}
	if p.kept != "" {
		return &model.Error{Kind: model.Fault, What: "this is done (" + p.kept + "), and only the answer could not be written to standard output", Err: err,
			Do: "do not do it again"}
	}
	return &model.Error{Kind: model.Fault, What: "the result could not be written to standard output, and nothing was done", Err: err}
}

// shown is standard output for what cobra writes by itself: the version, and scripts for shells.
type shown struct{ *program }

func (p shown) Write(text []byte) (int, error) { return len(text), p.put(string(text)) }

// warn writes one line to standard error. That it cannot be written changes nothing about the result.
func (p *program) warn(format string, args ...any) {
	p.say("longpoint: warning: %s\n", plain(fmt.Sprintf(format, args...)))
}

// say writes to standard error.
func (p *program) say(format string, args ...any) {
	fmt.Fprint(p.stderr, p.called(fmt.Sprintf(format, args...)))
}

// didYouMean is "; did you mean …?" or nothing.
func didYouMean(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return fmt.Sprintf("; did you mean %s?", strings.Join(names, " or "))
}

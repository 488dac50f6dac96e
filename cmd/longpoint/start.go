package main

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"longpoint/cmd/longpoint/page"
	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
)

// What a shop's first book is called, and the folder for it where nobody chose one: that of the user's home.
const (
	firstBook   = "shop" + bookEnding
	firstFolder = "Longpoint"
	demoBook    = "demo-" // what the books of demos begin with
)

// starting is the command line of "longpoint start".
type starting struct {
	serving
	here   bool   // ask in the terminal
	folder string // for a new book where none is named
}

// start is "longpoint start": the first start, or the next one.
func (p *program) start() *cobra.Command {
	var f starting
	cmd := &cobra.Command{
		Use:   "start [BOOK]",
		Short: "Begin: see an invented shop, or answer six questions for your own",
		Long: `Begin with Longpoint. The page that opens in the browser shows an invented shop
or asks the six things that a shop must say: units, currency, machine, what a
cut takes, the play in a frame, and what an offcut is. A new book comes of it.
With --here the questions are asked in the terminal, and so they are where there
is no screen.

Without BOOK it is the book of ` + bookVariable + `, or else the one file *.book
of the current folder. Where that is there already, it is opened. Only this
computer reaches the pages. "longpoint" alone does the same where somebody sits
at a screen; in a script it shows the help.`,
		Example: startExample,
		Args:    cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.begin(cmd.Context(), &f, strings.Join(args, ""))
		},
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.BoolVar(&f.here, "here", false, "ask in the terminal, without a browser")
	flags.StringVar(&f.listen, "listen", "", "`address` and port of this computer to listen at; "+usualPort+" where that is free")
	flags.BoolVar(&f.quiet, "no-browser", false, "do not open the browser")
	flags.DurationVar(&f.during, "for", 0, "stop by itself after this `time`, such as 10h")
	flags.StringVar(&f.who, "who", "", "who sits at this computer, by `name`; LONGPOINT_WHO or the user's name where not given")
	f.folder = "."
	return cmd
}

// begin opens the book that is meant, or begins one: on the page, or in the terminal.
func (p *program) begin(ctx context.Context, f *starting, path string) error {
	begin := &page.Beginning{}
	if path = cmp.Or(path, os.Getenv(bookVariable)); path == "" {
		if path, begin.Books = booksIn(f.folder); path == "" {
			begin.Path = freeName(f.folder)
		}
	}
	if _, err := os.Lstat(path); path != "" && errors.Is(err, fs.ErrNotExist) {
		begin.Path, path = path, ""
	}
	if path == "" && !f.here && !f.quiet && f.listen == "" && p.isTerminal(p.stdin) && p.isTerminal(p.stdout) && !p.hasDisplay() {
		f.here = true
		p.say("%s\n", paragraph("There is no screen for a browser, so the questions come here. For the pages all the same: Ctrl-C, then \"longpoint start --no-browser\".", ""))
	}
	if f.here {
		return p.askHere(ctx, f, path, begin.Path)
	}
	return p.beginPages(ctx, f, path, begin)
}

// booksIn gives the one book of a folder that is no demo's, where it is the only one; else all there are, by their files' names.
func booksIn(dir string) (path string, names []string) {
	found, _ := filepath.Glob(filepath.Join(dir, "*"+bookEnding)) // the pattern is right
	var own []string
	for _, file := range found {
		names = append(names, filepath.Base(file))
		if !strings.HasPrefix(filepath.Base(file), demoBook) {
			own = append(own, file)
		}
	}
	if len(own) == 1 {
		return own[0], nil
	}
	return "", names
}

// freeName gives a name for a new book of a folder.
func freeName(dir string) string {
	path := filepath.Join(dir, firstBook)
	for n := 2; ; n++ {
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
			return path
		}
		path = filepath.Join(dir, fmt.Sprintf("shop-%d%s", n, bookEnding))
	}
}

// beginPages serves the book, or else the page that makes one.
func (p *program) beginPages(ctx context.Context, f *starting, path string, begin *page.Beginning) error {
	ctx, quit := context.WithCancel(ctx)
	defer quit()
	var opened *book.Book
	defer func() {
		if opened != nil {
			opened.Close()
		}
	}()
	open := func(ctx context.Context, path string) (b *book.Book, err error) {
		if b, err = book.Open(ctx, path); err == nil {
			opened = b
		}
		return b, err
	}
	config := page.Config{Begin: begin, Quit: quit}
	if path != "" {
		b, err := open(ctx, path)
		if err != nil {
			return err
		}
		config.Book, config.Begin = b, nil
	}
	dir := filepath.Dir(begin.Path)
	begin.Open = func(ctx context.Context, name string) (*book.Book, error) { return open(ctx, filepath.Join(dir, name)) }
	begin.Make = func(ctx context.Context, kind string, fill func(*book.Book) error) (*book.Book, error) {
		path := begin.Path
		if kind != "" {
			path = filepath.Join(dir, demoBook+kind+bookEnding)
		}
		if err := makeBook(ctx, path, kind != "", fill); err != nil {
			return nil, err
		}
		return open(ctx, path)
	}
	at, err := f.listenHere()
	if err != nil {
		return err
	}
	if err := p.reach(&f.serving, &config); err != nil {
		at.Close()
		return err
	}
	return p.servePages(ctx, &f.serving, config, at)
}

// makeBook makes a book, and the folder for it. A demo's that is there already is left as it is.
func makeBook(ctx context.Context, path string, demo bool, fill func(*book.Book) error) error {
	if _, err := os.Stat(path); err == nil && demo {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return outputError(path, err)
	}
	return book.Create(ctx, path, fill)
}

// listenHere listens at an address of this computer's own: the usual one where it is free, unless one is named.
func (f *starting) listenHere() (net.Listener, error) {
	if f.listen == "" {
		f.listen = usualPort
		if at, err := net.Listen("tcp", f.listen); err == nil {
			return at, nil
		}
		f.listen = "127.0.0.1:0"
	}
	host, _, _ := net.SplitHostPort(f.listen)
	if ip := net.ParseIP(host); host != "localhost" && !ip.IsLoopback() {
		return nil, usage(model.Quote(f.listen)+" is no address of this computer alone", `write it like 127.0.0.1:7464; for tablets run "longpoint serve --listen 0.0.0.0:7464" once there is a book`)
	}
	return listenAt(f.listen)
}

// askHere asks the questions in the terminal and makes the book. Where it is there already, it says how to go on with it.
func (p *program) askHere(ctx context.Context, f *starting, path, young string) error {
	if path != "" {
		name := shellWord(path)
		return p.show(fmt.Sprintf("The book is in %s already. To plan it: longpoint plan %s\nIts pages: longpoint serve %s\n", plain(path), name, name))
	}
	p.say("%s\n", paragraph(beginWords+` An invented shop to look at first: "longpoint demo my-workshop". Ctrl-C stops, and nothing is made then.`, ""))
	in := &answerLines{from: bufio.NewReader(p.stdin)}
	answers := map[string]string{}
	for n, q := range text.Questions {
		fmt.Fprintf(p.stderr, "%d. %s\n%s%s", n+1, q.Ask, paragraph(q.Why, ""), sketches[q.Name])
		if q.Where != "" {
			unit, _ := model.ParseUnit(answers["units"]) // none before it is chosen
			where := q.Place(unit.String())
			if q.Topic != "" {
				where += ` More: "longpoint help ` + q.Topic + `".`
			}
			p.say("%s", paragraph(where, ""))
		}
		for _, a := range q.Fields {
			if a.Of != "" && a.Of != answers["machine.type"] {
				continue
			}
			if err := p.askOne(ctx, in, a, answers); err != nil {
				return err
			}
		}
		fmt.Fprintln(p.stderr)
	}
	w, err := folder.FromAnswers(answers)
	if err != nil {
		return err
	}
	sign := signature{who: f.who}
	if err := makeBook(ctx, young, false, func(b *book.Book) error { return b.Fill(ctx, w, sign.by()) }); err != nil {
		return err
	}
	p.kept = "the book is in " + plain(young)
	said := p.comesNext(young)
	if answers["currency"] == "$" {
		said = paragraph(fmt.Sprintf("$ is taken for %s. If it is another: longpoint settings --set currency=CAD", w.Currency.Code), "") + said
	}
	return p.show(said)
}

// beginWords say what Longpoint is.
const beginWords = "Longpoint works out which side of which frame comes off which stick, what to order, and what each job's moulding costs. Six questions make your " +
	"shop's book."

// answerLines are the lines that answers stand in, and how many of them are read.
type answerLines struct {
	from *bufio.Reader
	read int
}

// askOne asks for one answer until it is one. Answers that come from a file end at the first that is none: the next line is the answer to another question.
func (p *program) askOne(ctx context.Context, in *answerLines, a text.Answer, answers map[string]string) error {
	label := a.Label
	for _, c := range a.Choices {
		label += "\n     " + c.Word + ": " + c.About
	}
	for {
		fmt.Fprintf(p.stderr, "   %s\n   > ", label)
		line, err := readLine(ctx, in.from)
		in.read++
		if err != nil && line == "" {
			fmt.Fprintln(p.stderr)
			return usage("the answers ended before the last question, and no book was made", `begin again with "longpoint start --here", or on the page with "longpoint start"`)
		}
		answers[a.Key] = strings.TrimSpace(line)
		if !p.atTerminal() {
			fmt.Fprintln(p.stderr, plain(answers[a.Key])) // as a terminal shows what is typed
		}
		_, err = folder.FromAnswers(answers)
		wrong := leavesOf(err, a.Key)
		if len(wrong) == 0 {
			return nil
		}
		if !p.atTerminal() {
			return wrongLine(in.read, a, wrong[0])
		}
		label, _, _ = strings.Cut(label, "\n")
		fmt.Fprint(p.stderr, hanging("   ", plain(wrong[0].What+"; "+wrong[0].Do+".")))
	}
}

// wrongLine is the error of an answer in a file.
func wrongLine(line int, a text.Answer, wrong *model.Error) error {
	return &model.Error{Kind: model.BadInput, What: fmt.Sprintf("line %d of the answers, to %q: %s, and no book was made", line, a.Label, wrong.What),
		Do: wrong.Do + fmt.Sprintf(" in line %d, and type \"longpoint start --here\" with it again", line)}
}

// readLine reads a line, or gives up when the program is interrupted.
func readLine(ctx context.Context, in *bufio.Reader) (line string, err error) {
	read := make(chan struct{})
	go func() {
		line, err = in.ReadString('\n')
		close(read)
	}()
	select {
	case <-read:
		return line, err
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

// leavesOf gives the errors that are about one setting.
func leavesOf(err error, key string) []*model.Error {
	if err == nil {
		return nil
	}
	return slices.DeleteFunc(leaves(err), func(e *model.Error) bool { return e.Where.Column != key })
}

// comesNext says what to do with a new book.
func (p *program) comesNext(path string) string {
	name := shellWord(path)
	said := paragraph(fmt.Sprintf("The book is in %s. Until you say otherwise the shop is called %q, and a stick on its rack counts %s of the price of new moulding. "+
		"Next (tables come from a spreadsheet or an editor):", path, folder.NameAtFirst, folder.RackShareAtFirst), "")
	for _, next := range [][2]string{
		{"settings " + name + " --set machine.limits.stops=2", "before all: how many measuring stops the machine has, where that is not one"},
		{"settings " + name + " --set machine.limits.shortest_side=LENGTH", "the shortest side that is safe to hold, as the machine's manual says"},
		{"book import " + name + " profiles.csv", "your mouldings: profile, width, rebate"},
		{"book import " + name + " offers.csv", "what can be bought: supplier, profile, stick_length, price"},
		{"book import " + name + " suppliers.csv", "what each supplier asks: supplier, delivery, free_from; only if one does"},
		{"book import " + name + " rack.csv", "the sticks that are there: profile, length, quantity"},
		{"take " + name + " jobs.csv", "jobs: job, due, profile, width, height"},
		{"plan " + name, "what comes off which stick, and what to order"},
		{"sheets " + name + " --out paper", "cut sheets and labels"},
		{"serve " + name, "the same by forms, in a browser"},
		{"help tables", "every column and every setting"},
	} {
		said += "  longpoint " + next[0] + "\n    " + next[1] + "\n"
	}
	return said
}

// sketches are the pictures of the questions as far as a terminal can show them.
var sketches = map[string]string{
	"units": `
     mm  |''''|''''|''''|''''|''''|
     in  |____._____|_____.____|
`,
	"currency": `
     ========================  a stick
              \__[ price: ___ ]
`,
	"machine": `
     back edge  ______/\______    ________//____
                     /  \                //
     sight edge ____/    \____    ______//______
                   guillotine          saw
`,
	"loss": `
                      /\  } overrun       kerf
     back edge  _____/  \_____    _______/ /____
                    /    \              / /
     sight edge ___/      \___    _____/ /______
`,
	"allowance": `
      ___________________
     |  _____________    |  } play
     | |             |   |
     | |what goes in |   |
     |_|_____________|___|
                      play
`,
	"offcut": `
     \  1  /\  2  /\  3  /\__________
                           <-- kept from this length on -->
`,
}

// isFirstStart tells whether "longpoint" alone was started by somebody who sits at a screen: in a terminal there, or by a double click.
func (p *program) isFirstStart() bool {
	in, out := p.isTerminal(p.stdin), p.isTerminal(p.stdout)
	switch {
	case !p.hasDisplay():
		return false
	case in && out:
		return true
	}
	return !in && !out && p.goesNowhere()
}

func (p *program) isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// goesNowhere tells whether standard output is what a desktop gives a program that it starts: no file and no pipe, into which somebody
// might want the help.
func (p *program) goesNowhere() bool {
	if p.stdout == io.Discard {
		return true
	}
	f, ok := p.stdout.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&(fs.ModeSocket|fs.ModeCharDevice) != 0
}

// firstStart is "longpoint" alone at a screen. Whoever double-clicked has chosen no folder: the book is then in the user's home.
func (p *program) firstStart(ctx context.Context) error {
	f := &starting{folder: "."}
	if ownConsole() || !p.isTerminal(p.stdout) {
		home, err := os.UserHomeDir()
		if err != nil {
			return outputError(firstFolder, err)
		}
		f.folder = filepath.Join(home, firstFolder)
	}
	if err := p.show(paragraph("This is Longpoint. It opens its page in the browser, and shows its commands with \"longpoint help\". Without a browser: \"longpoint start --here\".", "")); err != nil {
		return err
	}
	return p.begin(ctx, f, "")
}

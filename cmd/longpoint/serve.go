package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log"
	"net"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"longpoint/cmd/longpoint/page"
	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/book"
	"longpoint/model/plan"
)

// usualPort is where the page is, unless somebody says otherwise.
const usualPort = "127.0.0.1:7464"

// serving is the command line of "longpoint serve", as typed.
type serving struct {
	listen, cert, key, passFile, who string
	names                            []string
	newPass, quiet, bookless         bool
	during                           time.Duration
}

// serve is "longpoint serve": the shop's book in a browser.
func (p *program) serve() *cobra.Command {
	var f serving
	cmd := &cobra.Command{
		Use:   "serve [FILE]",
		Short: "Show a book in a browser: jobs, plans, orders, and the bench",
		Long: `Show the book FILE as pages in a browser: jobs are entered and planned there,
orders placed and received, and a run is cut side by side at the bench. The
pages need nothing from elsewhere and work with the network off. Ctrl-C stops.

Only this computer reaches them, unless --listen names an address for tablets on
the shop's own network. Then a pass phrase is asked for, once; its hash alone is
kept, in --pass-file. With --cert and --key the pages come by TLS, without which
anybody on that network can read along.

With --no-book there is no FILE, and the server only makes plans of workshops
that are sent to it.`,
		Example:     serveExample,
		Annotations: map[string]string{withoutStore: "no-book"},
		Args: func(cmd *cobra.Command, args []string) error {
			if f.bookless {
				return arguments()(cmd, args)
			}
			return bookArguments()(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if f.bookless {
				return p.serveBook(cmd.Context(), &f, nil)
			}
			b, err := book.Open(cmd.Context(), args[0])
			if err != nil {
				return err
			}
			defer b.Close()
			b.BackedUp = p.backedUp
			return p.serveBook(cmd.Context(), &f, b)
		},
	}
	flags := cmd.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.listen, "listen", usualPort, "`address` and port to listen at, such as 0.0.0.0:7464 for tablets")
	flags.StringArrayVar(&f.names, "name", nil, "a `name` this computer is reached by, besides its own; may be repeated")
	flags.StringVar(&f.passFile, "pass-file", "", "`file` for the pass phrase's hash; unless you say otherwise the book's name with .pass")
	flags.BoolVar(&f.newPass, "new-pass", false, "ask for a new pass phrase, which signs everybody out")
	flags.StringVar(&f.cert, "cert", "", "`file` with the certificate for TLS")
	flags.StringVar(&f.key, "key", "", "`file` with the certificate's key")
	flags.BoolVar(&f.quiet, "no-browser", false, "do not open the browser")
	flags.DurationVar(&f.during, "for", 0, "stop by itself after this `time`, such as 10h")
	flags.BoolVar(&f.bookless, "no-book", false, "without a book: only make plans of what is sent")
	flags.StringVar(&f.who, "who", "", "who sits at this computer, by `name`; LONGPOINT_WHO or the user's name where not given")
	return cmd
}

// serveBook serves a book, or none, until it is interrupted.
func (p *program) serveBook(ctx context.Context, f *serving, b *book.Book) error {
	if (f.cert == "") != (f.key == "") {
		return usage("--cert and --key belong together", "give both, or neither")
	}
	config := page.Config{Book: b}
	if err := p.reach(f, &config); err != nil {
		return err
	}
	at, err := listenAt(f.listen)
	if err != nil {
		return err
	}
	return p.servePages(ctx, f, config, at)
}

func listenAt(address string) (net.Listener, error) {
	at, err := net.Listen("tcp", address)
	if err != nil {
		e := usage("cannot listen at "+model.Quote(address), `see whether the pages are open already, or name another port, as in "longpoint serve --listen 127.0.0.1:7465"`)
		e.Err = err
		return nil, e
	}
	return at, nil
}

// servePages serves what config says at a listener, and opens the browser on it.
func (p *program) servePages(ctx context.Context, f *serving, config page.Config, at net.Listener) error {
	defer at.Close()
	config.Secure, config.Verify, config.MadeWith, config.Right = f.cert != "", verify, "longpoint "+release, right
	config.Log = log.New(p.stderr, "longpoint: ", 0)
	s, err := page.New(config)
	if err != nil {
		return err
	}
	url := address(at.Addr(), f.cert != "")
	if err := p.show(fmt.Sprintf("The pages are at %s. Ctrl-C stops.\n", url)); err != nil {
		return err
	}
	if !f.quiet {
		go func() {
			if err := p.browse(url); err != nil {
				or := ""
				if config.Begin != nil {
					or = `, or stop with Ctrl-C and answer the questions here: "longpoint start --here"`
				}
				p.warn("the browser could not be opened (%v); open %s in it yourself%s", err, url, or)
			}
		}()
	}
	if f.during > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, f.during)
		defer cancel()
	}
	if err := s.Serve(ctx, at, f.cert, f.key); err != nil {
		e := usage("the pages could not be served", "see to certificate and key, where you gave them")
		e.Err = err
		return e
	}
	return p.show("Stopped.\n")
}

// reach settles who may reach the server, and by which names.
func (p *program) reach(f *serving, c *page.Config) error {
	host, _, err := net.SplitHostPort(f.listen)
	if err != nil {
		return usage(model.Quote(f.listen)+" is no address with a port", "write it like 127.0.0.1:7464 or 0.0.0.0:7464")
	}
	c.Hosts = append([]string{"localhost"}, f.names...)
	ip := net.ParseIP(host)
	if host == "localhost" || ip != nil && ip.IsLoopback() {
		c.Who = f.who
		if c.Who == "" {
			c.Who = whoIsThis()
		}
		return nil
	}
	if name, err := os.Hostname(); err == nil {
		c.Hosts = append(c.Hosts, strings.ToLower(name), strings.ToLower(name)+".local")
	}
	c.Hosts = append(c.Hosts, strings.ToLower(host))
	c.AnyIP = true
	if f.passFile == "" && c.Book == nil {
		return usage("--pass-file is missing", "name a file for the pass phrase's hash")
	}
	if f.passFile == "" {
		f.passFile = c.Book.Path() + ".pass"
	}
	c.Pass, err = p.passPhrase(f)
	return err
}

// passPhrase reads the hash of the pass phrase, or asks for one and keeps its hash.
func (p *program) passPhrase(f *serving) (*page.Pass, error) {
	data, err := os.ReadFile(f.passFile)
	switch {
	case f.newPass || errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return nil, outputError(f.passFile, err)
	default:
		pass, err := page.ParsePass(string(data))
		if err != nil {
			return nil, inFile(f.passFile, err)
		}
		return pass, nil
	}
	phrase, err := p.typedSecret("A pass phrase for everybody who may use the pages: ")
	if err != nil {
		return nil, err
	}
	pass, err := page.NewPass(phrase)
	if err != nil {
		return nil, err
	}
	file, err := stageFor(f.passFile, []byte(pass.String()+"\n"), 0o600)
	if err != nil {
		return nil, err
	}
	return pass, file.keep()
}

// typedSecret asks for a line that is not shown while it is typed; without a terminal it is the first line of standard input.
func (p *program) typedSecret(question string) (string, error) {
	fmt.Fprint(p.stderr, question)
	if in, ok := p.stdin.(*os.File); ok && term.IsTerminal(int(in.Fd())) {
		line, err := term.ReadPassword(int(in.Fd()))
		fmt.Fprintln(p.stderr)
		return string(line), err
	}
	line, err := bufio.NewReader(p.stdin).ReadString('\n')
	fmt.Fprintln(p.stderr)
	if err != nil && line == "" {
		return "", usage("no pass phrase was given", "type one, or send it as the first line of standard input")
	}
	return strings.TrimRight(line, "\r\n"), nil
}

// right demands that a plan is right for a workshop: what is cut by a stale sheet is cut wrong.
func right(ctx context.Context, w *model.Workshop, d *plan.Document) error {
	findings, err := audit.Check(ctx, w, d, auditTools)
	if err != nil {
		return unfinished(err)
	}
	if len(findings) > 0 {
		return &model.Error{Kind: model.CheckFailed, What: "the plan is not right for the shop as it is now: something was changed, ordered, received or cut since",
			Do: `where its sticks have come, start its runs with "longpoint run"; runs that are open print with "longpoint sheets" and no --plan; or plan again with "longpoint plan" and print that`}
	}
	return nil
}

// address is where a browser finds what listens there.
func address(at net.Addr, secure bool) string {
	host, port, err := net.SplitHostPort(at.String())
	if err != nil {
		return at.String()
	}
	if ip := net.ParseIP(host); ip != nil && (ip.IsUnspecified() || ip.IsLoopback()) {
		host = "localhost"
	}
	scheme := "http"
	if secure {
		scheme = "https"
	}
	return scheme + "://" + net.JoinHostPort(host, port) + "/"
}

// openBrowser opens the pages in the user's browser, and says where that cannot be done.
func openBrowser(url string) error {
	command := map[string][]string{"darwin": {"open"}, "windows": {"rundll32", "url.dll,FileProtocolHandler"}}[runtime.GOOS]
	if command == nil {
		command = []string{"xdg-open"}
	}
	return exec.Command(command[0], append(command[1:], url)...).Run()
}

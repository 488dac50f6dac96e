package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
	"longpoint/model/audit"
	"longpoint/model/plan"
	"longpoint/model/whole"
)

// sheetKinds are the pieces that "longpoint sheets" makes, in the order in which it makes them.
var sheetKinds = []string{"cuts", "labels", "tickets", "orders", "summary", "sticks"}

// sheetForms are the forms it writes them in.
var sheetForms = []string{"pdf", "html", "svg", "png"}

// sheetsFlags is the command line of "longpoint sheets", as typed.
type sheetsFlags struct {
	how              planning
	mishap           mishaps
	plan, out, dated string
	forms            []string
	dots             float64
	print            printFlags
	order            int64 // of a book; 0: the plan's
	json             bool
	run              string
	changed          bool
	planID           int64  // the plan of a book that is printed
	runs             string // those that are: "run 2"
}

// sheets is "longpoint sheets": what comes out of the printer.
func (p *program) sheets() *cobra.Command {
	var f sheetsFlags
	cmd := &cobra.Command{
		Use:   "sheets [DIR] [PIECE...]",
		Short: "Make cut sheets, labels, tickets and orders to print",
		Long: `Plan the workshop folder DIR as "longpoint plan" does, or take a plan that it
wrote (--plan), and make what is to be printed:

  cuts     cut sheets: set-up, and under each stick as drawn the cuts off it
  labels   a label for each side and each kept offcut, with its id as a QR code
  tickets  a ticket for each job: its frames as joined, sizes, what to check
  orders   a purchase order for each supplier
  summary  yields, what planning saved, what each job costs, plots
  sticks   the drawings of the sticks alone, one by one

Without any PIECE it makes all but the last. With --out each is a file of its
own in that folder, which must be new or empty. Without --out they go to
standard output as one PDF file or one HTML page. SVG and PNG pictures are one a
page, and of sticks one a stick.

Paper, tickets to a page and labels are settings of the workshop (printing and
labels in workshop.toml); options count before them. Labels lie on the sheet as
you say: measure your own sheets, or name a roll. Where nothing is said there
are 3 columns and 11 rows of 60 × 24 mm, on plain paper to be cut apart.
--label-start leaves off the labels that are gone from the first sheet.

The plan of what is left of another (see "longpoint help plan") is printed with
the same --last and --after with which it was made.

Of a book, --run prints cuts, labels and tickets of a run, with the names of its
sticks and what is done ticked off. While runs are open these are printed unless
options of planning ask for a new plan. With --changed labels are only printed
of sides that are not cut yet and that a mishap or a delivery has changed since
the run began.
Where no run is open the last plan of the book is printed as it was kept, for as
long as it is right, or the one whose number --plan gives.`,
		Example: sheetsExample,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return arguments("DIR, the workshop's folder,")(cmd, args)
			}
			return knownPieces(args[1:])
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			for _, name := range planningFlags {
				if f.plan != "" && cmd.Flags().Changed(name) {
					return usage("--"+name+" is for making a plan, and --plan names one that is made", "leave one of them out")
				}
			}
			if f.mishap.given() && f.plan == "" {
				return usage("--last and --after say what became of plans before the one that --plan names", "make the plan of the rest with \"longpoint plan\" and name it")
			}
			if kinds := args[1:]; f.order != 0 && len(kinds) > 0 && !slices.Equal(kinds, []string{"orders"}) {
				return usage("--order prints an order and nothing else", "leave out the pieces, or make them without --order")
			}
			return p.makeSheets(cmd.Context(), &f, args[0], args[1:], cmd.Flags().Changed)
		},
	}
	f.how.addFlags(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.plan, "plan", "", "print the plan in this `file`, or of a book by its number, after checking it, and do not plan anew")
	f.mishap.addFlags(cmd)
	flags.StringVar(&f.run, "run", "", "print this `run` of a book, by its number, or the open run of a profile")
	flags.BoolVar(&f.changed, "changed", false, "labels only of what has changed since a run began and is not cut yet")
	flags.StringVar(&f.out, "out", "", "write each piece as a file into this new or empty `folder`")
	flags.StringSliceVar(&f.forms, "as", []string{"pdf"}, "`form`: pdf, html, svg or png; several with commas, such as pdf,html")
	flags.StringVar(&f.dated, "dated", "", "`date` printed on every page; today where not given")
	flags.Float64Var(&f.dots, "dots", 150, "of PNG pictures, the `number` of dots per inch")
	f.print.addFlags(flags)
	flags.Int64Var(&f.order, "order", 0, "of a book, print this `order` and nothing else")
	flags.BoolVar(&f.json, "json", false, "with --out, list the files as JSON")
	return cmd
}

// knownPieces says which of the named pieces there are not.
func knownPieces(names []string) error {
	for _, name := range names {
		if !slices.Contains(sheetKinds, name) {
			return fmt.Errorf("there is no piece %q; the pieces are %s", name, joinAnd(sheetKinds))
		}
	}
	return nil
}

// makeSheets makes the pieces and writes them.
func (p *program) makeSheets(ctx context.Context, f *sheetsFlags, dir string, kinds []string, given func(flag string) bool) error {
	if err := f.check(); err != nil {
		return err
	}
	if f.out == "" {
		if err := p.oneStream(f); err != nil {
			return err
		}
	} else if err := newFolder(f.out); err != nil { // before the search, which may take its time
		return err
	}
	pieces, err := p.pieces(ctx, f, dir, kinds, given)
	if err != nil {
		return err
	}
	if f.out == "" {
		data, err := sheetStream(f, pieces)
		if err != nil {
			return err
		}
		return p.put(string(data))
	}
	var files []sheet.File
	for _, form := range f.forms {
		more, err := sheet.Files(pieces, form, f.dots)
		if err != nil {
			return err
		}
		files = append(files, more...)
	}
	if err := writeFolder(f.out, files); err != nil {
		return err
	}
	p.kept = "the sheets are in " + f.out
	return p.showSheets(f, dir, files)
}

// pieces makes the pieces of these kinds; of none, all but the sticks alone.
func (p *program) pieces(ctx context.Context, f *sheetsFlags, dir string, kinds []string, given func(string) bool) ([]sheet.Piece, error) {
	if f.order != 0 {
		return p.orderPiece(ctx, f, dir)
	}
	source, set, err := p.runToPrint(ctx, f, dir, &kinds, given)
	if err == nil && source == nil {
		source, set, err = p.sheetSource(ctx, f, dir, given)
	}
	if err != nil {
		return nil, err
	}
	if len(kinds) == 0 {
		kinds = sheetKinds[:len(sheetKinds)-1]
	}
	return piecesOf(source, kinds, set)
}

// check says what is wrong with the command line, as far as that can be said without a workshop.
func (f *sheetsFlags) check() error {
	for _, form := range f.forms {
		if !slices.Contains(sheetForms, form) {
			return usage(fmt.Sprintf("--as: there is no form %q", form), "write pdf, html, svg or png")
		}
	}
	f.forms = distinct(f.forms)
	if len(f.forms) == 0 {
		return usage("--as names no form", "write pdf, html, svg or png")
	}
	return f.print.check()
}

// day gives the day that is printed, as the shop writes days.
func (f *sheetsFlags) day(h model.Habits) (model.Date, error) {
	day, err := h.ParseDate(cmp.Or(f.dated, time.Now().Format(time.DateOnly)))
	if err != nil {
		return day, flagError("dated", err)
	}
	return day, nil
}

// distinct leaves out what has been named before.
func distinct(names []string) (out []string) {
	for _, name := range names {
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// oneStream says why the forms cannot go to standard output.
func (p *program) oneStream(f *sheetsFlags) error {
	switch {
	case len(f.forms) > 1:
		return usage("several forms cannot go to standard output", "name a folder with --out")
	case f.json:
		return usage("--json lists files, and without --out there are none", "name a folder with --out")
	}
	if file, ok := p.stdout.(*os.File); ok && f.forms[0] != "html" && term.IsTerminal(int(file.Fd())) {
		return usage("a printed page cannot be shown in a terminal", "name a folder with --out, or send standard output to a file with >")
	}
	return nil
}

// sheetSource makes or reads the plan, with its workshop, and says how to print it.
func (p *program) sheetSource(ctx context.Context, f *sheetsFlags, dir string, given func(string) bool) (source *sheet.Source, set sheet.Printing, err error) {
	if err := f.mishap.notOfBook(dir); err != nil {
		return nil, set, err
	}
	workshop, document, err := p.keptPlan(ctx, f, dir, given)
	if err != nil {
		return nil, set, err
	}
	if document == nil {
		if workshop, err = p.workshop(ctx, dir); err != nil {
			return nil, set, err
		}
		if workshop, err = f.mishap.workshop(ctx, p, workshop); err != nil {
			return nil, set, err
		}
	}
	if set, err = f.print.over(workshop.Printing); err != nil {
		return nil, set, err
	}
	dated, err := f.day(workshop.Habits) // before the search, which may take its time
	if err != nil {
		return nil, set, err
	}
	switch {
	case document != nil:
	case f.plan == "":
		document, _, _, err = f.how.makeFrom(ctx, p, dir)
	default:
		document, err = p.checkedPlan(ctx, workshop, f.plan)
	}
	if err != nil {
		return nil, set, err
	}
	if source, err = sheet.NewSource(workshop, document, dated, set.Paper); err != nil {
		return nil, set, err
	}
	source.Weeks, err = yieldWeeks(ctx, dir)
	return source, set, err
}

// checkedPlan reads a plan and demands that it is right for the workshop: what is cut by a stale sheet is cut wrong.
func (p *program) checkedPlan(ctx context.Context, w *model.Workshop, name string) (*plan.Document, error) {
	document, err := p.readPlan(name)
	if err != nil {
		return nil, err
	}
	findings, err := audit.Check(ctx, w, document, auditTools)
	if err != nil {
		return nil, unfinished(err)
	}
	if len(findings) > 0 {
		return nil, &model.Error{Kind: model.CheckFailed, Where: model.Place{File: name},
			What: fmt.Sprintf("the plan is not right for this workshop: the check found %s off", count(len(findings), "thing", "things")),
			Do:   `"longpoint check" lists them; make a new plan with "longpoint plan", and print that`}
	}
	return document, nil
}

// piecesOf makes the pieces of these kinds, in the order of sheetKinds.
func piecesOf(s *sheet.Source, kinds []string, set sheet.Printing) (pieces []sheet.Piece, err error) {
	for _, kind := range sheetKinds {
		if !slices.Contains(kinds, kind) {
			continue
		}
		made, err := s.Pieces(kind, set)
		if err != nil {
			return nil, err
		}
		pieces = append(pieces, made...)
	}
	switch {
	case len(pieces) > 0:
		return pieces, nil
	case s.OnlyChanged:
		return nil, usage("there is nothing to print: no label has changed", "print those of sticks that are still to come when these are here")
	case slices.Contains(kinds, "orders"):
		return nil, usage("there is nothing to print: nothing is to be ordered", `print an order that is placed with "longpoint sheets --order NUMBER"`)
	}
	return nil, usage("there is nothing to print", "name other pieces")
}

// sheetStream gives all pieces in the one form that was asked for, as one.
func sheetStream(f *sheetsFlags, pieces []sheet.Piece) ([]byte, error) {
	if len(pieces) == 0 {
		return nil, usage("there is nothing to print", `name other pieces, which "longpoint sheets --help" lists, or plan other jobs`)
	}
	switch f.forms[0] {
	case "pdf":
		var pages []*sheet.Drawing
		for _, p := range pieces {
			pages = append(pages, p.Pages()...)
		}
		return sheet.PDF(streamTitle(pieces), pages)
	case "html":
		return sheet.HTML(streamTitle(pieces), pieces...), nil
	}
	files, err := sheet.Files(pieces, f.forms[0], f.dots)
	if err != nil {
		return nil, err
	}
	if len(files) != 1 {
		return nil, usage(fmt.Sprintf("there are %d pictures, and standard output takes one", len(files)), "name a folder with --out, or a piece of one page")
	}
	return files[0].Data, nil
}

// streamTitle names what is in one stream.
func streamTitle(pieces []sheet.Piece) string {
	if len(pieces) == 1 {
		return pieces[0].Title
	}
	return "Sheets: " + pieces[0].Under
}

// newFolder demands that a folder is not there yet, or empty.
func newFolder(name string) error {
	entries, err := os.ReadDir(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return outputError(name, err)
	case len(entries) > 0:
		return &model.Error{Kind: model.BadUsage, What: "there is something in this folder already, and nothing is written over",
			Where: model.Place{File: name}, Do: "name a new or empty folder, so that no sheet of an earlier plan lies among these"}
	}
	return nil
}

// writeFolder writes files into a new or empty folder: all of them or, after an error, none.
func writeFolder(name string, files []sheet.File) (err error) {
	name = filepath.Clean(name)
	apart, remove, err := whole.Apart(filepath.Dir(name))
	if err != nil {
		return outputError(name, err)
	}
	defer remove()
	temp := filepath.Join(apart, filepath.Base(name))
	if err := os.Mkdir(temp, 0o777); err != nil {
		return outputError(name, err)
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(temp, f.Name), f.Data, 0o666); err != nil {
			return outputError(name, err)
		}
	}
	if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) { // it is empty, or has just been filled by somebody else
		return outputError(name, err)
	}
	if err := whole.Put(temp, name); err != nil {
		return outputError(name, err)
	}
	return nil
}

// sheetsAnswer is what "longpoint sheets --json" prints.
type sheetsAnswer struct {
	Format string       `json:"format"`
	Folder string       `json:"folder"`
	Plan   int64        `json:"plan,omitempty"` // of a book, where that is printed
	Files  []sheet.File `json:"files"`
}

// showSheets lists what was written.
func (p *program) showSheets(f *sheetsFlags, dir string, files []sheet.File) error {
	if f.json {
		text, err := asJSON(sheetsAnswer{Format: "longpoint-sheets/1", Folder: f.out, Plan: f.planID, Files: files})
		if err != nil {
			return err
		}
		return p.show(text)
	}
	t := &table{columns: []column{words("file"), words("piece"), numbers("pages")}}
	pages := 0
	for _, file := range files {
		pages += file.Pages
		number := ""
		if file.Pages > 0 {
			number = fmt.Sprint(file.Pages)
		}
		t.add(cell(file.Name, 56), file.Kind, number)
	}
	t.foot = []string{"all", "", fmt.Sprint(pages)}
	return p.show(paragraph("Written into "+plain(f.out+f.ofWhat(dir))+":", "") + t.String())
}

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/folder"
	tabular "longpoint/model/table"
)

// Every table that a command shows can be written to files too. A table's text carries the table itself between two control characters, which no
// cell has (plain), in front of its first line; show takes it out. So a page stays a string that anybody may put together, and the one
// option of the root command, --tables, does for all of them.
const (
	carryFrom = "\x02"
	carryTo   = "\x03"
	// fullCut parts what a cell holds from what of it is shown.
	fullCut = "\x1f"
)

// carried is a table on its way to show.
type carried struct {
	Title   string   `json:"-"` // the line above it, if that is one
	Heading []string `json:"heading"`
	Number  []bool   `json:"number"` // whether a column is one of numbers
	Day     []bool   `json:"day"`    // or of days
	Rows    [][]string
}

// carry gives what String puts in front of a table.
func (t *table) carry() string {
	c := carried{Rows: [][]string{}}
	for _, column := range t.columns {
		c.Heading, c.Number, c.Day = append(c.Heading, column.heading), append(c.Number, column.number), append(c.Day, column.day)
	}
	rows := t.rows
	if t.foot != nil {
		rows = append(rows[:len(rows):len(rows)], t.foot)
	}
	for _, r := range rows {
		cells := make([]string, len(r))
		for i, cell := range r {
			full, _, _ := strings.Cut(cell, fullCut)
			cells[i] = plain(full)
		}
		if slices.ContainsFunc(cells, func(cell string) bool { return cell != "" }) { // else a row only goes on with what did not fit above
			c.Rows = append(c.Rows, cells)
		}
	}
	text, err := json.Marshal(c)
	if err != nil {
		panic(err) // strings and yes or no: only our own misuse can fail
	}
	return carryFrom + string(text) + carryTo
}

// cell gives a cell of a table of which so many characters are shown.
func cell(words string, most int) string {
	if cut := cutShort(words, most); cut != plain(words) {
		return words + fullCut + cut
	}
	return words
}

// shownOf gives what of a cell is shown.
func shownOf(cell string) string {
	if _, cut, found := strings.Cut(cell, fullCut); found {
		return cut
	}
	return plain(cell)
}

// carriedForm finds the tables that a page carries.
var carriedForm = regexp.MustCompile(carryFrom + `([^` + carryTo + `]*)` + carryTo)

// unload takes the tables out of a page, and gives its text.
func (p *program) unload(page string) string {
	if !strings.Contains(page, carryFrom) {
		return page
	}
	var text strings.Builder
	at := 0
	for _, found := range carriedForm.FindAllStringSubmatchIndex(page, -1) {
		text.WriteString(page[at:found[0]])
		at = found[1]
		var c carried
		if json.Unmarshal([]byte(page[found[2]:found[3]]), &c) == nil {
			above := strings.Split(strings.TrimRight(text.String(), "\n"), "\n")
			c.Title = above[len(above)-1]
			p.tables = append(p.tables, c)
		}
	}
	text.WriteString(page[at:])
	return text.String()
}

// mayWriteTables says what is wrong with the name of --tables, before anything is done.
func (p *program) mayWriteTables() error {
	if p.tablesTo == "" {
		return nil
	}
	if ext := strings.ToLower(filepath.Ext(p.tablesTo)); ext != ".csv" && ext != ".xlsx" {
		return usage("--tables: "+model.Quote(p.tablesTo)+" is neither a CSV file nor a workbook", "let its name end with .csv or .xlsx")
	}
	return notThere("tables", p.tablesTo)
}

// notThere says that a file is there already that an option names: a slip in the name must not cost somebody their own.
func notThere(option, name string) error {
	if _, err := os.Lstat(name); err == nil {
		return &model.Error{Kind: model.BadUsage, What: "there is something of this name already, and it is not written over", Where: model.Place{File: name},
			Do: "give --" + option + " another name, or take the file away first"}
	}
	return nil
}

// writeTables writes the tables that a command has shown: each a sheet of a workbook, or a CSV file.
func (p *program) writeTables(cmd *cobra.Command, args []string) error {
	if p.tablesTo == "" {
		return nil
	}
	if len(p.tables) == 0 {
		p.warn("this command has shown no table, so there is no %s", p.tablesTo)
		return nil
	}
	h := habitsOf(cmd, args)
	if strings.EqualFold(filepath.Ext(p.tablesTo), ".xlsx") {
		b := tabular.NewWorkbook(h)
		defer b.Close()
		names := map[string]bool{}
		for _, c := range p.tables {
			w := c.written(names)
			b.Add(w.Set, w.Rows)
		}
		var data bytes.Buffer
		if err := b.Write(&data); err != nil {
			return err
		}
		return writeWhole(p.tablesTo, data.Bytes())
	}
	for n, c := range p.tables {
		name := p.tablesTo
		if n > 0 {
			ext := filepath.Ext(name)
			name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), n+1, ext)
		}
		if err := notThere("tables", name); err != nil {
			return err
		}
		w := c.written(map[string]bool{})
		var data bytes.Buffer
		if err := tabular.WriteCSV(&data, h, w.Set, w.Rows); err != nil {
			return err
		}
		if err := writeWhole(name, data.Bytes()); err != nil {
			return err
		}
	}
	return nil
}

func writeWhole(name string, data []byte) error {
	s, err := stage(name, data)
	if err != nil {
		return err
	}
	defer s.drop()
	return s.keep()
}

// written gives the table as files have it: columns of numbers as numbers, of days as days, and all others as text. names are those of
// sheets that are taken.
func (c carried) written(names map[string]bool) tabular.Written {
	set := tabular.Set{Name: c.sheetName(names)}
	for i, heading := range c.Heading {
		kind := tabular.Text
		switch {
		case c.Number[i]:
			kind = tabular.Money // with the decimals that it is shown with
		case c.Day[i]:
			kind = tabular.Date
		}
		set.Columns = append(set.Columns, tabular.Column{Name: heading, Kind: kind})
	}
	return tabular.Written{Set: set, Rows: tabular.RowsOf(c.Rows)}
}

// sheetName names a sheet after the line above the table, as spreadsheets allow and no other is called.
func (c carried) sheetName(names map[string]bool) string {
	const most = 31
	short := func(name string, most int) string {
		r := []rune(name)
		return strings.TrimSpace(string(r[:min(len(r), most)]))
	}
	base := strings.TrimSpace(strings.Trim(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\`, r) {
			return ' '
		}
		return r
	}, c.Title), "' "))
	if base == "" {
		base = "table"
	}
	name := short(base, most)
	for n := 2; names[strings.ToLower(name)]; n++ {
		end := fmt.Sprintf(" %d", n)
		name = short(base, most-len(end)) + end
	}
	names[strings.ToLower(name)] = true
	return name
}

// habitsOf gives how the shop that a command is about writes tables; of none nothing is known.
func habitsOf(cmd *cobra.Command, args []string) (h model.Habits) {
	places := strings.Fields(cmd.Use)[1:]
	if len(places) == 0 || !slices.Contains([]string{"[FILE]", "[DIR]", "FILE", "DIR"}, places[0]) {
		return h
	}
	all, err := withBook(cmd, places[1:], args)
	if err != nil || len(all) == 0 {
		return h
	}
	var w *model.Workshop
	if isBook(all[0]) {
		err = reading(cmd.Context(), all[0], func(b *book.Book) error {
			w, err = b.Workshop(cmd.Context())
			return err
		})
	} else {
		w, err = folder.Read(all[0])
	}
	if err != nil {
		return h
	}
	return w.Habits
}

package book

import (
	"context"
	"database/sql"
	"strings"
)

// kind is how a column's value is written in a file.
type kind uint8

const (
	words   kind = iota // a text
	integer             // a whole number
	length              // whole nanometres; in files of the workshop's unit
	money               // whole minor units; in files the currency's units
	degrees             // millionths of a degree; in files degrees
	spans               // a text of lengths
	blob                // bytes; in files base64
)

// column is a column of a table.
type column struct {
	name     string
	kind     kind
	optional bool   // may be NULL, which is a blank cell
	preset   string // the SQL default; empty: the column must be given
	file     string // what it is called in files, where no unit is in a name
}

// word is the column's name for people.
func (c column) word() string {
	for _, unit := range []string{"_nm", "_minor", "_udeg", "_pct"} {
		if name, found := strings.CutSuffix(c.name, unit); found {
			return name
		}
	}
	return strings.ReplaceAll(c.name, "_", " ")
}

// table is a table of the book.
type table struct {
	name    string
	columns []column // the first is id
}

// keys lists the book's tables, each after those it refers to.
var keys = []string{
	"workshop",
	"profile",
	"supplier",
	"offer",
	"price_list",
	"price_article",
	"job",
	"frame",
	"ring",
	"plan",
	"plan_part",
	"purchase",
	"purchase_line",
	"delivery",
	"stick",
	"stock_count",
	"blade",
	"sharpening",
	"run",
	"run_stick",
	"cut",
}

// history lists the tables that steps are written down in. Only a whole book is imported with them.
var history = []string{"step", "change"}

// querier is what a transaction and a database have in common.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// tablesIn gives the tables of a database that steps change, in the order of keys. Those a later version brings are not
// there yet.
func tablesIn(ctx context.Context, q querier) ([]table, error) {
	var tables []table
	for _, name := range keys {
		columns, err := columnsOf(ctx, q, name)
		if err != nil {
			return nil, err
		}
		if len(columns) > 0 {
			tables = append(tables, table{name, columns})
		}
	}
	return tables, nil
}

// historyIn gives the tables of history.
func historyIn(ctx context.Context, q querier) ([]table, error) {
	var tables []table
	for _, name := range history {
		columns, err := columnsOf(ctx, q, name)
		if err != nil {
			return nil, err
		}
		tables = append(tables, table{name, columns})
	}
	return tables, nil
}

// columnsOf reads the columns of a table; none where there is no such table.
func columnsOf(ctx context.Context, q querier, name string) ([]column, error) {
	rows, err := q.QueryContext(ctx, "SELECT name, type, \"notnull\", coalesce(dflt_value, '') FROM pragma_table_info(?)", name)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var columns []column
	for rows.Next() {
		var c column
		var sqlType string
		var given bool
		if err := rows.Scan(&c.name, &sqlType, &given, &c.preset); err != nil {
			return nil, err
		}
		c.kind = kindOf(c.name, sqlType)
		c.optional = !given && c.name != "id"
		columns = append(columns, c)
	}
	nameForFiles(columns)
	return columns, rows.Err()
}

// nameForFiles takes the units off the columns' names. Where two would then be called the same each says what it holds.
func nameForFiles(columns []column) {
	units := map[kind]struct{ unit, word string }{length: {"_nm", "length"}, spans: {"_nm", "parts"}, money: {"_minor", "money"}, degrees: {"_udeg", "angle"}, integer: {"_pct", "share"}}
	n := map[string]int{}
	for i := range columns {
		c := &columns[i]
		c.file = strings.TrimSuffix(c.name, units[c.kind].unit)
		n[c.file]++
	}
	for i := range columns {
		if c := &columns[i]; n[c.file] > 1 {
			c.file += "_" + units[c.kind].word
		}
	}
}

// kindOf goes by the unit in a column's name, and by its type.
func kindOf(name, sqlType string) kind {
	switch {
	case sqlType == "BLOB":
		return blob
	case sqlType == "TEXT" && strings.HasSuffix(name, "_nm"):
		return spans
	case sqlType == "TEXT":
		return words
	case strings.HasSuffix(name, "_nm"):
		return length
	case strings.HasSuffix(name, "_minor"):
		return money
	case strings.HasSuffix(name, "_udeg"):
		return degrees
	}
	return integer
}

// names gives the columns' names, with commas between them.
func (t table) names() string {
	names := make([]string, len(t.columns))
	for i, c := range t.columns {
		names[i] = c.name
	}
	return strings.Join(names, ", ")
}

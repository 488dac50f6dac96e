package sheet

// Piece is one thing that is printed: a cut sheet, a job ticket and so on.
type Piece struct {
	Kind   string // as Source.Pieces calls it
	File   string // name of its file, without an ending
	Title  string // what it is, on each of its pages
	Under  string // whose it is and of when, on each of its pages
	Foot   string // at the foot of each page; may be empty
	Blocks []Block
	Paper  Paper
}

// Paper is a size of paper, in millimetres.
type Paper struct {
	Name          string // as it is asked for, and as CSS calls it
	Width, Height float64
}

// The papers. A4: ISO 216:2007, table 1. Letter: 8 1/2 × 11 in (ANSI/ASME Y14.1, size A, from memory).
var (
	A4     = Paper{"A4", 210, 297}
	Letter = Paper{"letter", 215.9, 279.4}
)

// margin is what stays white round a page, in millimetres: more than printers leave out.
const margin = 10

// inner is how wide what is printed may be.
func (p Paper) inner() float64 { return p.Width - 2*margin }

// Block is a part of a piece.
type Block interface{ block() }

// Heading begins a part. Parts do not nest. One that begins a chapter gives its name, which stands over each page that has
// something of it.
type Heading struct {
	Text    string
	Chapter string
}

// Paragraph is running text. Strong ones are set off.
type Paragraph struct {
	Text   string
	Strong bool
	Leads  bool // to what follows, with which it stays
}

// Bullets is a list of things to see to, each with a box to tick where Boxes is set.
type Bullets struct {
	Items []string
	Boxes bool
	Leads bool // as in Paragraph
}

// Figure is a picture, with what it shows in words.
type Figure struct {
	Drawing *Drawing
	Alt     string
}

// Figures are several pictures, side by side as far as they go.
type Figures []Figure

// Beside is a picture with blocks to the right of it, on one page.
type Beside struct {
	Figure Figure
	Blocks []Block
}

// Abreast are columns of blocks, all of one width, on one page.
type Abreast [][]Block

// Lines are short lines one under the other, the first of which is set off, with a small heading.
type Lines struct {
	Head  string
	Items []string
}

// Cards are sheets smaller than a page, to be cut apart. As a block they are a piece's only one.
type Cards struct {
	PerPage int // 1, 2 or 4
	Cards   []Card
}

// Card is one of them. Where it needs more room it goes on in the fields beside and below its own, and then on pages.
type Card struct {
	Title  string
	Aside  string // to the right of the title
	Under  string
	Foot   string // at the foot of each of its fields
	Blocks []Block
}

// Table is a table. A row is never parted over two pages, and a row that begins a section stays with the one after it.
type Table struct {
	Caption string  // for who cannot see it
	Size    float64 // of the type in its rows, in millimetres; 0: that of all tables
	Close   bool    // rows close together
	Bare    bool    // its heads are only for who cannot see it
	Columns []Column
	Rows    []Row
}

// Column says how a column is set.
type Column struct {
	Head string
	Unit string // set under the head; may be empty
	Kind ColumnKind
}

// ColumnKind is what a column holds.
type ColumnKind uint8

// The kinds of columns.
const (
	Number ColumnKind = iota // set to the right, never cut short
	Mark                     // short words, set to the left, never cut short
	Name                     // words that may be cut short where there is no room
	List                     // words that go on over several lines
	Box                      // an empty box to tick
)

// Row is a row of a table.
type Row struct {
	Cells   []string // one a column; of a section or a note one alone
	Section bool     // a heading over the rows that follow
	Figure  *Figure  // of a section: a picture in place of words
	Sum     bool     // the sum of the rows above
	Note    bool     // words over all columns, about the row above
	Now     bool     // of a note: it is to be read before the next cut
	Strong  []int    // columns that are set off, in rising order
	Of      string   // of a box to tick: what it is for
	Ticked  bool     // and it is ticked already
	Spoilt  bool     // and it came to nothing: the row is struck through and has no box
}

func (Heading) block()   {}
func (Paragraph) block() {}
func (Bullets) block()   {}
func (Figure) block()    {}
func (Figures) block()   {}
func (Beside) block()    {}
func (Abreast) block()   {}
func (Lines) block()     {}
func (Table) block()     {}
func (Labels) block()    {}
func (Cards) block()     {}

package table

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// What of a workbook is read is bounded besides Limits: what a small part may unpack to, what may stand between two elements of a
// large one, and how many rows and cells may stand in a sheet with nothing in them.
const (
	maxSmall   = 16 << 20
	maxElement = 1 << 20
	maxNothing = 500_000
)

// workbook is an XLSX file (ECMA-376, Office Open XML File Formats, part 1, SpreadsheetML).
//
// It is taken apart here and not by excelize, which writes ours, for three reasons. Excelize's rows are texts: the number
// 1.234 and the text 1.234, which may mean 1234, are the same there. Its typed cells cost the whole sheet as a tree. And its rows
// took three times as long as the tokens of encoding/xml (9.9 s beside 3.1 s for 100,000 rows of 8 cells on a busy machine).
type workbook struct {
	parts    map[string]*zip.File
	sheets   []*sheet
	strings  []string
	styles   []style // of a cell, by number
	from1904 bool    // days are counted from 1904-01-01
	left     int     // bytes that its parts may still unpack to
	texts    int     // that its cells may share
}

// style is what the way a cell is shown says about its number.
type style struct {
	form    form
	time    bool // it is shown as a time of day
	noughts int  // it is filled up to so many digits
}

// The faults of a workbook as a whole. They are texts for people.
var (
	errTooLarge = errors.New("it unpacks to more than a workshop's tables ever take")
	errNoSheet  = errors.New("there is no sheet in it")
)

// openWorkbook reads everything of a workbook but its sheets' rows.
func openWorkbook(file *zip.Reader, most Limits) (*workbook, error) {
	w := &workbook{parts: map[string]*zip.File{}, left: most.Parts, texts: most.Texts}
	for _, f := range file.File {
		w.parts[strings.ToLower(strings.TrimPrefix(f.Name, "/"))] = f
	}
	main, err := w.mainPart()
	if err != nil {
		return nil, err
	}
	var book struct {
		Properties struct {
			From1904 string `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Sheets []struct {
			Name  string `xml:"name,attr"`
			State string `xml:"state,attr"`
			ID    string `xml:"id,attr"`
		} `xml:"sheets>sheet"`
	}
	if err := w.decode(main, &book); err != nil {
		return nil, err
	}
	w.from1904 = book.Properties.From1904 == "1" || book.Properties.From1904 == "true"
	targets, err := w.targets(main)
	if err != nil {
		return nil, err
	}
	if err := w.readStyles(targets["styles"]); err != nil {
		return nil, err
	}
	if err := w.readStrings(targets["sharedStrings"]); err != nil {
		return nil, err
	}
	for _, s := range book.Sheets {
		target, ok := targets[s.ID]
		if _, there := w.parts[target]; !ok || !there {
			continue // a chart
		}
		w.sheets = append(w.sheets, w.sheet(s.Name, s.State != "" && s.State != "visible", target))
	}
	if len(w.sheets) == 0 {
		return nil, errNoSheet
	}
	return w, nil
}

// mainPart gives the name of the part that lists the sheets.
func (w *workbook) mainPart() (string, error) {
	targets, err := w.targets("")
	if err != nil {
		return "", err
	}
	if main := targets["officeDocument"]; w.parts[main] != nil {
		return main, nil
	}
	return "", errNoSheet
}

// targets gives the parts that a part refers to, by the references' names and by the last word of what they are.
func (w *workbook) targets(part string) (map[string]string, error) {
	var list struct {
		All []struct {
			ID     string `xml:"Id,attr"`
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
		} `xml:"Relationship"`
	}
	dir, name := path.Split(part)
	if err := w.decode(dir+"_rels/"+name+".rels", &list); err != nil {
		return nil, err
	}
	out := map[string]string{}
	for _, r := range list.All {
		target := strings.ToLower(strings.TrimPrefix(r.Target, "/"))
		if !strings.HasPrefix(r.Target, "/") {
			target = path.Join(dir, target)
		}
		out[r.ID], out[path.Base(r.Type)] = target, target
	}
	return out, nil
}

// open gives a part's bytes, and an error beyond what it may unpack to.
func (w *workbook) open(part string) (io.ReadCloser, error) {
	f := w.parts[part]
	if f == nil {
		return nil, fmt.Errorf("the part %s is missing", part)
	}
	if f.UncompressedSize64 > uint64(w.left) {
		return nil, errTooLarge
	}
	return f.Open()
}

// decode reads a small part.
func (w *workbook) decode(part string, into any) error {
	r, err := w.open(part)
	if err != nil {
		return err
	}
	defer r.Close()
	return xml.NewDecoder(&paced{from: r, left: &w.left, most: maxSmall}).Decode(into)
}

// paced gives bytes as long as they are not too many, in all or since something was made of them.
type paced struct {
	from  io.Reader
	left  *int // bytes that may still come
	since int
	most  int // since
}

func (p *paced) Read(to []byte) (int, error) {
	n, err := p.from.Read(to)
	*p.left -= n
	p.since += n
	if *p.left < 0 || p.since > p.most {
		return 0, errTooLarge
	}
	return n, err
}

// tokens calls do for every start, end and text of a part until one of them is an error.
func (w *workbook) tokens(part string, do func(xml.Token) error) error {
	r, err := w.open(part)
	if err != nil {
		return err
	}
	defer r.Close()
	p := &paced{from: r, left: &w.left, most: maxElement}
	d := xml.NewDecoder(p)
	for {
		token, err := d.RawToken()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		p.since = 0
		if err := do(token); err != nil {
			return err
		}
	}
}

// readStrings reads the texts that cells share. How words in them are pronounced is left out.
func (w *workbook) readStrings(part string) error {
	if w.parts[part] == nil {
		return nil
	}
	var text strings.Builder
	in, spoken := false, false
	return w.tokens(part, func(token xml.Token) error {
		switch token := token.(type) {
		case xml.StartElement:
			in = token.Name.Local == "t"
			spoken = spoken || token.Name.Local == "rPh"
		case xml.CharData:
			if in && !spoken {
				text.Write(token)
			}
		case xml.EndElement:
			in = false
			switch token.Name.Local {
			case "rPh":
				spoken = false
			case "si":
				if len(w.strings) == w.texts {
					return errTooLarge
				}
				w.strings = append(w.strings, text.String())
				text.Reset()
			}
		}
		return nil
	})
}

// readStyles reads what numbers are shown as.
func (w *workbook) readStyles(part string) error {
	if w.parts[part] == nil {
		return nil
	}
	var list struct {
		Formats []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Cells []struct {
			Format int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	if err := w.decode(part, &list); err != nil {
		return err
	}
	codes := map[int]string{}
	for _, f := range list.Formats {
		codes[f.ID] = f.Code
	}
	for _, c := range list.Cells {
		w.styles = append(w.styles, styleOf(c.Format, codes[c.Format]))
	}
	return nil
}

var (
	saidInFormat = regexp.MustCompile(`"[^"]*"|\\.|_.|\*.|\[[^\]]*\]`) // words, padding, colours and conditions
	onlyNoughts  = regexp.MustCompile(`^0{2,}$`)
)

// styleOf tells what a format makes of a number. Numbers below 164 are formats of their own (ECMA-376, part 1, 18.8.30).
func styleOf(id int, code string) style {
	switch {
	case id == 9 || id == 10:
		return style{form: percent}
	case 14 <= id && id <= 17 || id == 22 || 27 <= id && id <= 36 || 50 <= id && id <= 58:
		return style{form: day}
	case 18 <= id && id <= 21 || 45 <= id && id <= 47:
		return style{form: number, time: true}
	}
	if onlyNoughts.MatchString(code) {
		return style{form: number, noughts: len(code)}
	}
	plain, _, _ := strings.Cut(saidInFormat.ReplaceAllString(strings.ToLower(code), ""), ";")
	switch {
	case strings.Contains(plain, "general"):
	case strings.ContainsAny(plain, "yd"):
		return style{form: day}
	case strings.ContainsAny(plain, "hs"):
		return style{form: number, time: true}
	case strings.Contains(plain, "%"):
		return style{form: percent}
	}
	return style{form: number}
}

// number makes a cell's number what it is shown as.
func (w *workbook) number(text string, styled int) (form, string) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return faulty, "the cell holds " + text + ", which is no number"
	}
	var s style
	if s.form = number; 0 <= styled && styled < len(w.styles) {
		s = w.styles[styled]
	}
	switch {
	case s.time:
		return faulty, "the cell holds a time of day"
	case s.form == day:
		t, err := excelize.ExcelDateToTime(v, w.from1904)
		if err != nil {
			return faulty, "the cell holds a day that no calendar has"
		}
		return day, t.Format(time.DateOnly)
	case s.form == percent:
		return percent, decimal(100 * v)
	}
	text = decimal(v)
	if s.noughts > len(text) {
		text = strings.Repeat("0", s.noughts-len(text)) + text
	}
	return number, text
}

// decimal writes a number with the 15 digits that are meant of the 17 that a spreadsheet keeps (IEEE 754-2019: a double holds
// every decimal number of 15 digits).
func decimal(v float64) string {
	const meant = 15
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', meant, 64), 64) // of what was just written
	return strconv.FormatFloat(v, 'f', -1, 64)
}

package sheet

import (
	"fmt"
	"strings"
)

// File is pieces, or pages of one, as a file.
type File struct {
	Name  string `json:"name"`
	Kind  string `json:"kind"`            // of the piece
	Pages int    `json:"pages,omitempty"` // of HTML the browser says how many
	Data  []byte `json:"-"`
}

// Files gives the files of pieces in one form: pdf, html, svg or png, this with so many dots per inch. Of svg and png there is one a page, and of sticks one a stick. Names that would be alike get a number.
func Files(pieces []Piece, form string, dots float64) (files []File, err error) {
	taken := map[string]bool{} // in small letters: some disks tell no others apart
	for _, p := range pieces {
		name := p.File
		for n := 2; taken[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s-%d", p.File, n)
		}
		taken[strings.ToLower(name)] = true
		if form == "svg" || form == "png" {
			pictures, err := picturesOf(p, name, form, dots)
			if err != nil {
				return nil, err
			}
			files = append(files, pictures...)
			continue
		}
		file := File{Name: name + "." + form, Kind: p.Kind}
		if form == "pdf" {
			pages := p.Pages()
			file.Pages = len(pages)
			if file.Data, err = PDF(p.Title, pages); err != nil {
				return nil, err
			}
		} else {
			file.Data = HTML(p.Title, p)
		}
		files = append(files, file)
	}
	return files, nil
}

// picturesOf gives the files of a piece's pages, or of its drawings where it is of sticks.
func picturesOf(p Piece, name, form string, dots float64) (files []File, err error) {
	var figures []Figure
	if p.Kind == "sticks" {
		for _, b := range p.Blocks {
			if f, ok := b.(Figure); ok {
				figures = append(figures, f)
			}
		}
	} else {
		pages := p.Pages()
		for i, page := range pages {
			figures = append(figures, Figure{Drawing: page, Alt: fmt.Sprintf("%s, page %d of %d", p.Title, i+1, len(pages))})
		}
	}
	for i, f := range figures {
		file := File{Name: fmt.Sprintf("%s-%d.%s", name, i+1, form), Kind: p.Kind, Pages: 1}
		if form == "svg" {
			file.Data = f.Drawing.SVG(f.Alt)
		} else if file.Data, err = f.Drawing.PNG(dots); err != nil {
			return nil, err
		}
		files = append(files, file)
	}
	return files, nil
}

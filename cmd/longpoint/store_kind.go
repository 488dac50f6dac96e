package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/folder"
)

// The kinds of file that people mix up, as a sentence names them.
const (
	aBook        = "a book"
	aShop        = "a workshop's folder or book" // what is wanted
	aShopDir     = "a workshop's folder"
	aPlan        = "a plan"
	aCuts        = "a cuts document"
	aTable       = "a table"
	aWorkbook    = "a workbook"
	aFolder      = "a folder"
	aPDF         = "a PDF"
	aPicture     = "a picture"
	someSettings = "a file of settings"
)

// kindOf tells what a file is by its first bytes, or by its name where these do not say; empty: something else, or it cannot be read.
func kindOf(path string) string {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return ""
	case info.IsDir() && folder.IsWorkshop(path):
		return aShopDir
	case info.IsDir():
		return aFolder
	case !info.Mode().IsRegular():
		return ""
	}
	f, err := os.Open(path)
	if err != nil {
		return ""
	}
	defer f.Close()
	const enough = 500
	head, err := io.ReadAll(io.LimitReader(f, enough))
	if err != nil {
		return ""
	}
	for _, known := range []struct{ begins, kind string }{{"SQLite format 3\x00", aBook}, {"%PDF-", aPDF}, {"\x89PNG", aPicture}, {"\xff\xd8\xff", aPicture}, {"<svg", aPicture}, {"PK\x03\x04", aWorkbook}} {
		if bytes.HasPrefix(head, []byte(known.begins)) {
			return known.kind
		}
	}
	isJSON := bytes.HasPrefix(bytes.TrimSpace(head), []byte("{"))
	switch ending := strings.ToLower(filepath.Ext(path)); {
	case isJSON && bytes.Contains(head, []byte(`"longpoint-plan/`)):
		return aPlan
	case isJSON && bytes.Contains(head, []byte(`"longpoint-cuts/`)):
		return aCuts
	case slices.Contains([]string{".csv", ".tsv"}, ending):
		return aTable
	case ending == ".toml":
		return someSettings
	}
	return ""
}

// notOneOf says that a file is of a known kind and of none of those that are wanted, and what to type; nil: it may be one.
func notOneOf(path string, wanted ...string) error {
	is := kindOf(path)
	if is == "" || slices.Contains(wanted, is) {
		return nil
	}
	name := shellWord(path)
	do := map[string]string{
		aBook:        fmt.Sprintf(`to check the book: "longpoint book check %s"; to plan it: "longpoint plan %s"`, name, name),
		aShopDir:     fmt.Sprintf(`to plan it: "longpoint plan %s"; to make a book of it: "longpoint book new shop.book --from %s"`, name, name),
		aPlan:        fmt.Sprintf(`to check it against its workshop or book: "longpoint check DIR %s"`, name),
		aCuts:        fmt.Sprintf(`to check it: "longpoint check --cuts %s"`, name),
		aTable:       fmt.Sprintf(`to take it into a book: "longpoint book import BOOK %s"`, name),
		aWorkbook:    fmt.Sprintf(`to take its tables into a book: "longpoint book import BOOK %s"`, name),
		someSettings: fmt.Sprintf(`to take them into a book: "longpoint book import BOOK %s"`, name),
		aFolder:      `name the folder that holds workshop.toml, or a file in this one`,
		aPDF:         `it is for printing, and is not read; name the book or file that it was printed from`,
		aPicture:     `it is for looking at, and is not read; name the book or file that it was made of`,
	}[is]
	return &model.Error{Kind: model.BadInput, What: fmt.Sprintf("this is %s, not %s", is, wanted[0]), Where: model.Place{File: path}, Do: do}
}

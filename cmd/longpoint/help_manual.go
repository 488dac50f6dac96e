package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"longpoint/cmd/longpoint/manual"
	"longpoint/model"
)

// writeManual writes the whole manual as one file, a page for a browser or a PDF file, by the ending of its name. A manual that
// is there already is written anew; another file is left alone.
func (p *program) writeManual(name string) error {
	var data []byte
	switch strings.ToLower(filepath.Ext(name)) {
	case ".html", ".htm":
		data = manual.HTML(release)
	case ".pdf":
		pdf, err := manual.PDF(release)
		if err != nil {
			return err
		}
		data = pdf
	default:
		return usage(fmt.Sprintf("the manual cannot be written as %s", model.Quote(filepath.Base(name))), "give a name that ends with .html or .pdf")
	}
	if _, err := os.Stat(name); err == nil {
		return &model.Error{Kind: model.BadUsage, What: "there is a file of this name already, and it is not written over", Where: model.Place{File: name},
			Do: "give --out another name, or take the file away first"}
	}
	file, err := stage(name, data)
	if err != nil {
		return err
	}
	defer file.drop()
	if err := p.show(fmt.Sprintf("The manual is in %s.\n", name)); err != nil {
		return err
	}
	return file.keep()
}

// foundPlaces is how many places a search of the manual shows.
const foundPlaces = 12

// findInManual says what the manual has on some words. Where the words are what the program said when it refused something, or a
// part of that, it shows what is to be done.
func (p *program) findInManual(words string) error {
	var b strings.Builder
	for i, r := range manual.Explain(words) {
		if i == 2 {
			break // the others fit less well
		}
		b.WriteString(hanging("It says:", r.Sentence))
		b.WriteString("  " + paragraph(r.Why, "  ") + fmt.Sprintf("  More: longpoint help %s, under “%s”\n\n", r.Topic, r.Part))
	}
	places, found := manual.Search(words)
	if all := len(found) == len(strings.Fields(words)); !all && b.Len() > 0 {
		places = nil // what was refused is explained; few of its words say nothing more
	} else if !all && len(places) > 0 {
		fmt.Fprintf(&b, "No place has all of these words. On %s:\n\n", strings.Join(found, " "))
	}
	for _, place := range places[:min(foundPlaces, len(places))] {
		head := "longpoint help " + place.Topic.Name
		if place.Part != "" {
			head += ", under “" + place.Part + "”"
		}
		b.WriteString(head + "\n")
		if place.Line != place.Part {
			b.WriteString("  " + paragraph(shortened(place.Line, found[0]), "  "))
		}
	}
	if more := len(places) - foundPlaces; more > 0 {
		fmt.Fprintf(&b, "\nAnd %s more; add a word to find fewer.\n", count(more, "place", "places"))
	}
	if b.Len() == 0 {
		return usage("the manual has nothing on "+model.Quote(words), `try one word, or run "longpoint help" for the list of topics`)
	}
	return p.show(strings.TrimSuffix(b.String(), "\n\n") + "\n")
}

// shortened gives what fits two lines of a long text, from a little before a word on.
func shortened(line, word string) string {
	const most, before = 150, 40
	runes := []rune(line)
	if len(runes) <= most {
		return line
	}
	at := len([]rune(line[:max(0, strings.Index(strings.ToLower(line), word))]))
	from := max(0, min(at-before, len(runes)-most))
	cut := string(runes[from : from+most])
	if from > 0 {
		_, cut, _ = strings.Cut(cut, " ")
		cut = "… " + cut
	}
	if from+most < len(runes) {
		cut = cut[:max(1, strings.LastIndex(cut, " "))] + " …"
	}
	return cut
}

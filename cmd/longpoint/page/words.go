package page

import (
	"html/template"
	"net/url"
	"regexp"
	"strings"

	"longpoint/model"
)

// What the book refuses says what to do next with a command. A page says where to click instead: doneOn is the one table of it.

// doneOn is where on the pages something is done, by the command that does it; the longest one that a sentence begins with counts. An empty
// name is what no page does: it is typed at the book's own computer, and stays as it is.
var doneOn = map[string]place{
	"run": {Name: "Bench"}, "cut": {Name: "Bench"}, "finish": {Name: "Bench"},
	"history": {Name: "Diary"}, "undo": {Name: "Diary"},
	"rack": {Name: "Rack"}, "rack count": {Name: "Stock count", Path: "/rack/count"}, "blades": {Name: "Blades"}, "settings": {Name: "Settings"},
	"receive": {Name: "Orders"}, "order": {Name: "Orders"},
	"plan": {Name: "Plan"}, "jobs": {Name: "Jobs"}, "take": {Name: "A new job", Path: "/jobs/new"},
	"prices": {Name: "Price list", Path: "/tables/prices"}, "book import": {Name: "Tables"}, "book export": {Name: "Tables"}, "help tables": {Name: "Help on tables", Path: "/help/tables"},
	"start": {Name: "Six questions", Path: "/start"}, "examine": {Name: "What is odd", Path: "/settings/odd"},
	"book": {}, "demo": {}, "serve": {},
}

var (
	// typedCommand is a command in a sentence, with a word before it that says that it is used.
	typedCommand = regexp.MustCompile(`(with |what )?"(?:longpoint) ([^"]*)"`)
	// flagWords are options of commands that a sentence names by themselves.
	flagWords = strings.NewReplacer(" or with --until", "", " with --until", ` at "due up to"`, "with --cost", "in its field", "--more and --line", "the fields of each line",
		" --cancel", "")
	// optionWords are options that a sentence names without a command.
	optionWords = strings.NewReplacer("add --more", "tick “more than ordered has come”", `say so with the heading: --is "HEADING=width in cm"`,
		"write HEADING=width in cm in the field for headings of your own", `write --is "`, `write "`)
	// headingsTyped is a command that says what headings of the shop's own are, and tableTyped one that says which table a file is.
	headingsTyped = regexp.MustCompile(`longpoint (?:take|book import) .*?(?: --is "[^"]*")+`)
	tableTyped    = regexp.MustCompile(`: longpoint book import .* --as \w+`)
	pricesTyped   = regexp.MustCompile(`, take it in as one: longpoint prices .*`)
	// pageNamed is a page that a sentence names.
	pageNamed = regexp.MustCompile(`the page “([^”]*)”`)
)

// pageOf gives the page that does what a command does; known = false: the table does not have the command.
func pageOf(command string) (at place, known bool) {
	words := strings.Fields(command)
	if len(words) == 2 && words[0] == "finish" {
		return endOf(words[1]), true
	}
	for n := len(words); n > 0 && !known; n-- {
		at, known = doneOn[strings.Join(words[:n], " ")]
	}
	for _, p := range places {
		if at.Path == "" && p.Name == at.Name {
			at.Path = p.Path
		}
	}
	return at, known
}

// endOfRun begins the name of the page that ends a run.
const endOfRun = "End run "

// endOf is the page that ends a run.
func endOf(run string) place {
	return place{Name: endOfRun + run, Path: "/bench/run/" + url.PathEscape(run) + "/end"}
}

// toClick says with pages what a sentence says with commands.
func toClick(sentence string) string {
	pages := typedCommand.ReplaceAllStringFunc(sentence, func(found string) string {
		m := typedCommand.FindStringSubmatch(found)
		at, known := pageOf(m[2])
		switch {
		case !known || at.Path == "":
			return found + " (typed at the book's own computer)"
		case m[1] == "with ":
			return "on the page “" + at.Name + "”"
		}
		return m[1] + "the page “" + at.Name + "”"
	})
	pages = headingsTyped.ReplaceAllStringFunc(pages, func(found string) string {
		_, pairs, _ := strings.Cut(found, ` --is "`)
		return "write " + strings.ReplaceAll(strings.TrimSuffix(pairs, `"`), `" --is "`, "; ") + " in the field for headings of your own"
	})
	pages = pricesTyped.ReplaceAllString(pages, ", take it in on the page “Price list”")
	pages = strings.TrimPrefix(tableTyped.ReplaceAllString(pages, ", in the field for it"), "--is: ")
	if pages != sentence {
		pages = flagWords.Replace(pages)
	}
	return optionWords.Replace(pages)
}

// linked makes links of the pages that a sentence names.
func linked(sentence string) template.HTML {
	return template.HTML(pageNamed.ReplaceAllStringFunc(template.HTMLEscapeString(sentence), func(found string) string {
		name := pageNamed.FindStringSubmatch(found)[1]
		if run, ok := strings.CutPrefix(name, template.HTMLEscapeString(endOfRun)); ok {
			return `the page <a href="` + endOf(run).Path + `">` + name + `</a>`
		}
		for command := range doneOn {
			if at, _ := pageOf(command); at.Name == name {
				return `the page <a href="` + at.Path + `">` + name + `</a>`
			}
		}
		return found
	}))
}

// onPages gives errors in the words of the pages.
func onPages(all []*model.Error) []*model.Error {
	out := make([]*model.Error, len(all))
	for i, e := range all {
		one := *e
		one.What, one.Do = toClick(e.What), toClick(e.Do)
		out[i] = &one
	}
	return out
}

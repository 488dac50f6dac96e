package page

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"longpoint/model"
	"longpoint/model/folder"
)

// settingFields gives what the form of a page would send if nobody typed anything.
func settingFields(s *site, path string) map[string]string {
	s.Helper()
	fields := map[string]string{}
	page := s.get(200, path)
	for _, m := range regexp.MustCompile(`<input type="hidden" name="(was\.[a-z_.]+)" value="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		value := strings.NewReplacer("&#34;", `"`, "&#39;", "'", "&amp;", "&").Replace(m[2])
		fields[m[1]], fields[strings.TrimPrefix(m[1], "was.")] = value, value
	}
	return fields
}

// change sends the form with some fields typed otherwise.
func (s *site) change(status int, path string, fields map[string]string, typed ...string) string {
	s.Helper()
	all := []string{}
	for name, value := range fields {
		if at := slices.Index(typed, name); at < 0 || at%2 == 1 {
			all = append(all, name, value)
		}
	}
	return s.post(status, path, append(append(all, typed...), "why", "as measured")...)
}

// TestSettings changes the settings of a shop on their page: each has its field and what it is, slips stand beside their fields, and a change
// is one step of the history.
func TestSettings(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	shown := settingFields(s, "/settings")
	page := plainText(s.get(200, "/settings"))
	for _, section := range folder.Sections {
		for _, one := range section.Settings {
			if _, there := shown["was."+one.Key]; !there {
				t.Errorf("there is no field for %s", one.Key)
			}
			if about := blanks.ReplaceAllString(strings.ReplaceAll(one.About, "`", " "), " "); !strings.Contains(strings.Join(strings.Fields(page), " "), strings.Join(strings.Fields(about), " ")) {
				t.Errorf("what %s is does not stand there: %s", one.Key, about)
			}
		}
	}
	s.wants(page, "copy them from the machine's manual")
	w, err := b.Workshop(t.Context())
	must(t, err)
	s.wants(s.change(200, "/settings", shown, "do", "try", "machine.shave", "2.4 mm"), "These would change. Nothing is changed yet.", "machine.shave 2 mm → 2.4 mm", "in the book: 2 mm")
	if now, err := b.Workshop(t.Context()); err != nil || now.Machine.Shave != w.Machine.Shave {
		t.Fatalf("what was only tried is done: %v %v", now.Machine.Shave, err)
	}
	s.wants(s.change(422, "/settings", shown, "do", "change", "machine.shave", "2.4 xx", "machine.kerf", "3", "currency", "JPY"),
		"3 slips, named beside their fields: currency · kerf · shave", "“2.4 xx” is not a length", "a guillotine has no kerf", "prices in this book have 2 decimals, and those in JPY have 0")
	s.wants(s.change(200, "/settings", shown, "do", "change", "machine.shave", "2.4", "defaults.rack_share", "40", "name", "A shop"),
		"Changed: name Corner workshop (invented) → A shop, machine.shave 2 mm → 2.4 mm and defaults.rack_share 50 % → 40 %.")
	// Somebody who opened the page before changes another field: that one only.
	s.wants(s.change(200, "/settings", shown, "do", "change", "printing.paper", "Letter"), "Changed: printing.paper nothing → Letter.")
	s.wants(s.change(200, "/settings", shown, "do", "change"), "Nothing is changed")
	now, err := b.Workshop(t.Context())
	must(t, err)
	w.Machine.Shave, w.Defaults.RackShare, w.Name, w.Printing.Paper = w.Machine.Shave*12/10, 40, "A shop", "Letter"
	if got, want := fmt.Sprintf("%+v", now), fmt.Sprintf("%+v", w); got != want {
		t.Errorf("the shop is\n%s\nwant\n%s", got, want)
	}
	s.wants(s.get(200, "/diary"), "changed the settings: name Corner workshop (invented) → A shop; machine.shave 2 mm → 2.4 mm; defaults.rack_share 50 % → 40 % (as measured)")
	if found, err := b.Check(t.Context()); err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
	s.wants(s.change(200, "/settings", settingFields(s, "/settings"), "do", "change", "units", "in"), "Changed: units mm → in.")
}

// TestTerms changes what a supplier asks of an order, of one who has terms and one who has none.
func TestTerms(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	w, err := b.Workshop(t.Context())
	must(t, err)
	for _, name := range suppliersOf(w) {
		path := supplierPath(name)
		shown := settingFields(s, path)
		s.wants(s.change(422, path, shown, "do", "change", "delivery", "much", "least_sticks", "-1"), "2 slips", "“much” is not an amount of money", "in the book: ")
		s.wants(s.change(200, path, shown, "do", "change", "delivery", "12.5", "least_order", "80", "delivery_days", "3", "address", "1 Quay / Port"),
			"Changed: ", "delivery_days ", "→ 3", "→ 12.50", "→ 80.00", "address ")
		w, err := b.Workshop(t.Context())
		must(t, err)
		f := folder.Typed{Supplier: name}.Texts(w)
		if f["delivery"] != "12.50" || f["least_order"] != "80.00" || f["address"] != "1 Quay / Port" {
			t.Errorf("%s: %v", name, f)
		}
		s.wants(s.get(200, "/diary"), "changed the terms of "+name+": ")
	}
	s.get(404, "/settings/supplier?of=nobody")
	if found, err := b.Check(t.Context()); err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
}

// TestRowForms types a profile, a supplier and an offer, each in a form that names what is wrong beside its field.
func TestRowForms(t *testing.T) {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	s.get(404, "/tables/row?of=jobs")
	s.get(404, "/tables/row")
	s.wants(s.get(200, "/tables"), "A profile · A supplier · An offer")
	s.wants(s.get(200, "/tables/row?of=profiles"), "A profile", "less than the width")
	before, err := b.Workshop(t.Context())
	must(t, err)
	s.wants(s.post(422, "/tables/row?of=profiles", "profile", "oak, dark", "width", "ten", "rebate", "6", "why", "new", "do", "take"), "1 slip, named beside its field", "ten")
	if page := s.post(422, "/tables/row?of=profiles", "profile", "oak, dark", "width", "ten", "rebate", "6", "why", "new", "do", "take"); strings.Count(page, "is not a length") != 1 {
		t.Errorf("a slip is not named just once: %s", plainText(page))
	}
	s.wants(s.post(200, "/tables/row?of=profiles", "profile", "oak, dark", "width", "30", "rebate", "6", "keep", "400", "why", "new", "do", "try"), "This was tried only", "oak, dark")
	w, err := b.Workshop(t.Context())
	must(t, err)
	if len(w.Profiles) != len(before.Profiles) {
		t.Fatal("a try took in a profile")
	}
	s.wants(s.post(200, "/tables/row?of=profiles", "profile", "oak, dark", "width", "30", "rebate", "6", "keep", "400", "why", "new", "do", "take"), "Tables taken in", "+ profiles oak, dark")
	s.wants(s.post(200, "/tables/row?of=suppliers", "supplier", "Invented Timber", "delivery", "12.50", "why", "new", "do", "take"), "Invented Timber")
	s.wants(s.get(200, "/tables/row?of=offers"), "oak, dark")
	s.wants(s.post(200, "/tables/row?of=offers", "supplier", "Invented Timber", "profile", "oak, dark", "stick_length", "3000", "price", "15", "why", "new", "do", "take"), "Tables taken in")
	// A field that is left blank stays as it is.
	s.wants(s.post(200, "/tables/row?of=profiles", "profile", "oak, dark", "width", "31", "rebate", "6", "why", "measured again", "do", "take"), "~ profiles oak, dark")
	w, err = b.Workshop(t.Context())
	must(t, err)
	if p, _ := w.ProfileByName("oak, dark"); p.Width != 31*model.Millimetre || p.Keep != 400*model.Millimetre || len(w.Offers) != len(before.Offers)+1 {
		t.Errorf("the book has %+v and %d offers", p, len(w.Offers))
	}
}

// TestSettingsAreExplained holds the topic "tables" against the lists that the forms are made of: each setting and term stands there in the same words.
func TestSettingsAreExplained(t *testing.T) {
	data, err := os.ReadFile("../manual/tables.md")
	must(t, err)
	topic := string(data)
	part := func(from, to string) []string {
		_, rest, found := strings.Cut(topic, from)
		if !found {
			t.Fatalf("the topic has no %q", from)
		}
		rest, _, _ = strings.Cut(rest, to)
		var rows []string
		for line := range strings.Lines(rest) {
			if strings.HasPrefix(line, "| `") {
				rows = append(rows, strings.TrimSpace(line))
			}
		}
		return rows
	}
	row := func(name string, one folder.Setting) string {
		return strings.ReplaceAll(fmt.Sprintf("| `%s` | %s | %s |", name, one.Need, one.About), "|  |", "| |")
	}
	var want []string
	for _, s := range folder.Sections {
		if s.Name != "" && !strings.Contains(topic, "Below the line `["+s.Name+"]`") {
			t.Errorf("the topic has no section %s", s.Name)
		}
		for _, one := range s.Settings {
			want = append(want, row(one.Key[strings.LastIndex(one.Key, ".")+1:], one))
		}
	}
	for _, table := range []string{"profiles", "offers", "suppliers"} {
		var fields []string
		for _, one := range folder.Fields(table) {
			fields = append(fields, row(one.Key, one))
		}
		if got := part("## "+table+".csv", "\n## "); !slices.Equal(got, fields) {
			t.Errorf("the topic has the columns\n%s\nof %s and the list has\n%s", strings.Join(got, "\n"), table, strings.Join(fields, "\n"))
		}
	}
	if got := part("## workshop.toml", "\n## "); !slices.Equal(got, want) {
		t.Errorf("the topic has the settings\n%s\nand the list has\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	want = nil
	for _, one := range (folder.Typed{Supplier: "x"}).Fields()[0].Settings {
		want = append(want, row(one.Key, one))
	}
	if got := part("## suppliers.csv", "\n## "); len(got) == 0 || !slices.Equal(got[1:], want) {
		t.Errorf("the topic has the terms\n%s\nand the list has\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

package folder

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"longpoint/model"
)

// TestPrices reads price lists as suppliers send them. The workshop is the small one: North sells oak by 3000 mm at 17.40 and ash by 10 ft at 20.00.
func TestPrices(t *testing.T) {
	w := workshopOf(t, small)
	for _, c := range []struct {
		name string
		form model.PriceForm
		list string
		want []string // offers as rows, or the error
	}{
		{"by the metre, a title above, titles between, columns of no interest", model.PriceForm{Article: "No", Price: "per m", By: "m", Length: "3000", Profiles: map[string]string{"4711": "oak"}},
			"North: spring,,,\n,,,\nNo,what,per m,stock\n,HARDWOOD,,\n4711,Oak,5.80,yes\n815,Walnut,9.90,no\nall without tax,,,\n",
			[]string{"North oak 3000 17.40 4711 5.80/m"}},
		{"more decimals than cents", model.PriceForm{Article: "No", Price: "ft", By: "ft", Length: "10 ft; 8 ft", Profiles: map[string]string{"A": "ash"}}, "No,ft\nA,0.8375\n",
			[]string{"North ash 3048 8.38 A 83.75/100 ft", "North ash 2438.4 6.70 A 83.75/100 ft"}},
		{"charges from a column and for all", model.PriceForm{Article: "No", Price: "price", By: "m", Length: "len", Unit: "m", Least: "5.00", Cut: "saw"}, "No,len,price,saw\noak,0.5,5.80,1.20\noak,\"2,5\",5.80,\n",
			[]string{"North oak 500 6.20 oak 5.80/m 5.00 1.20", "North oak 2500 14.50 oak 5.80/m 5.00"}},
		{"lengths as on offer, the currency beside the price", model.PriceForm{Article: "Article", Price: "Price EUR"}, "Article;Price EUR\nOak;18,20 €\nash;EUR 21.-\n",
			[]string{"North oak 3000 18.20 Oak", "North ash 3048 21.00 ash"}},
		{"by the stick, in bundles, with breaks", model.PriceForm{Article: "a", Price: "1-9", Breaks: []model.PriceBreak{{From: 10, Column: "10+"}}, Bundle: "4", Length: "l"}, "a,l,1-9,10+\noak,2400,10,9.50\nash,2400,11,\n",
			[]string{"North oak 2400 by 4 40.00 oak", "North oak 2400 by 4 from 10 38.00 oak", "North ash 2400 by 4 44.00 ash"}},
		{"by the bundle", model.PriceForm{Article: "a", Price: "p", By: "bundle", Bundle: "n", Length: "2400"}, "a,p,n\noak,40,4\n", []string{"North oak 2400 by 4 40.00 oak"}},
		{"the list's own marks", model.PriceForm{Article: "a", Price: "p", Length: "3000", Habits: model.Habits{Decimal: ",", Thousands: "."}}, "a;p\noak;1.017,40\n", []string{"North oak 3000 1017.40 oak"}},
		{"on request", model.PriceForm{Article: "a", Price: "p", Length: "3000"}, "a,p\noak,on request\nash,20\n", []string{"North ash 3000 20.00 ash"}},
		{"two ways to read it", model.PriceForm{Article: "a", Price: "p", Length: "3000"}, "a;p\noak;1.017\n", []string{"list.csv:2, column p: “1.017” can be read in two ways, as 1.017 and as 1017"}},
		{"another currency", model.PriceForm{Article: "a", Price: "p", Length: "3000"}, "a,p\noak,$ 20\n", []string{"list.csv:2, column p: “$ 20” is not an amount of money"}},
		{"twice at two prices", model.PriceForm{Article: "a", Price: "p", Length: "3000"}, "a,p\noak,20\nOAK,21\n", []string{"list.csv:3, column p: oak of 3000 mm, OAK, costs 21.00 EUR here and 20.00 EUR in line 2"}},
		{"nobody knows how long", model.PriceForm{Supplier: "South", Article: "a", Price: "p"}, "a,p\noak,20\n", []string{"list.csv:2, column a: nobody says how long the sticks of oak are"}},
		{"no bundle", model.PriceForm{Supplier: "South", Article: "a", Price: "p", By: "bundle", Length: "3000"}, "a,p\noak,20\n", []string{"list.csv:2, column a: nobody says how many sticks are in a bundle of oak"}},
		{"no such column", model.PriceForm{Article: "a", Price: "Preis"}, "a,b,c\noak,20,1\n", []string{"list.csv:1, column Preis: the column is missing; name one of its columns: a, b, c"}},
		{"nothing of ours", model.PriceForm{Article: "a", Price: "p", Length: "3000"}, "a,p\nwalnut,20\n", []string{"none of its articles is a profile of this workshop"}},
		{"no such profile", model.PriceForm{Article: "a", Price: "p", Length: "3000", Profiles: map[string]string{"x": "oka"}}, "a,p\nx,20\n", []string{"list.csv:2, column profile: there is no profile “oka”"}},
		{"a break that is dearer", model.PriceForm{Article: "a", Price: "p", Breaks: []model.PriceBreak{{From: 10, Column: "q"}}, Length: "3000"}, "a,p,q\noak,20,21\n", []string{"asks more for oak"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "list.csv")
			write(t, path, c.list)
			if c.form.Supplier == "" {
				c.form.Supplier = "North"
			}
			in, err := OpenPrices(path, c.form, false)
			if err != nil {
				t.Fatal(err)
			}
			got, _, err := in.Read(w, false)
			if err != nil {
				if len(c.want) != 1 || !strings.Contains(err.Error(), c.want[0]) {
					t.Fatal(err)
				}
				return
			}
			if diff := cmp.Diff(c.want, offersInWords(got)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func offersInWords(w *model.Workshop) (out []string) {
	for _, o := range w.Offers {
		s := fmt.Sprintf("%s %s %s", o.Supplier, o.Profile, o.Length.Bare(w.Unit))
		if o.Bundle > 1 {
			s += fmt.Sprintf(" by %d", o.Bundle)
		}
		if o.From > 1 {
			s += fmt.Sprintf(" from %d", o.From)
		}
		s += " " + o.Price.In(w.Currency) + " " + o.Article
		if b := o.ByLength; b.Given() {
			s += fmt.Sprintf(" %s/%s", b.Price.In(w.Currency), model.PerText(b.Per))
			for _, charge := range []model.Money{b.Least, b.Cut} {
				if charge > 0 {
					s += " " + charge.In(w.Currency)
				}
			}
		}
		out = append(out, s)
	}
	return out
}

// TestPricesOfAPart leaves what the list lacks; special offers that end, and other suppliers, stay in any case.
func TestPricesOfAPart(t *testing.T) {
	w := workshopOf(t, small)
	until, err := model.ParseDate("2027-05-01")
	if err != nil {
		t.Fatal(err)
	}
	special := w.Offers[0]
	special.Until, special.Price = until, 1500
	other := w.Offers[1]
	other.Supplier = "South"
	w.Offers = append(w.Offers, special, other)
	path := filepath.Join(t.TempDir(), "list.csv")
	write(t, path, "a,p\noak,18\n")
	for part, want := range map[bool][]string{
		true:  {"North oak 3000 18.00 oak", "North ash 3048 20.00 ", "North oak 3000 15.00 ", "South ash 3048 20.00 "},
		false: {"North oak 3000 18.00 oak", "North oak 3000 15.00 ", "South ash 3048 20.00 "},
	} {
		in, err := OpenPrices(path, model.PriceForm{Supplier: "North", Article: "a", Price: "p"}, part)
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := in.Read(w, false)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, offersInWords(got)); diff != "" {
			t.Errorf("part %t: %s", part, diff)
		}
	}
}

// workshopOf reads the workshop in invented files.
func workshopOf(t *testing.T, files map[string]string) *model.Workshop {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		write(t, filepath.Join(dir, name), text)
	}
	w, err := Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

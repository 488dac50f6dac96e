package page

import (
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"longpoint/cmd/longpoint/examine"
)

var oddRoutes = []route{{method: "GET", path: "/settings/odd", do: (*call).oddPage, shop: true}}

// oddThing is something odd with the page where it is put right, and the topic that explains it; either may be missing.
type oddThing struct {
	examine.Oddity
	At, Topic place
}

// oddPage looks the whole shop over and says what is odd.
func (c *call) oddPage() error {
	x := &examine.Shop{Path: c.s.Book.Path(), Name: "BOOK", Word: strings.TrimSpace, Day: c.s.Book.Now().Format(time.DateOnly)}
	if err := x.Book(c.ctx, c.s.Book); err != nil {
		return err
	}
	dir := filepath.Dir(c.s.Book.Path()) + string(filepath.Separator)
	var parts []struct {
		Title string
		Odd   []oddThing
	}
	for n, o := range x.Odd {
		if n == 0 || o.About != x.Odd[n-1].About {
			parts = append(parts, struct {
				Title string
				Odd   []oddThing
			}{Title: strings.ToUpper(o.About[:1]) + o.About[1:]})
		}
		one := oddThing{Oddity: o, At: oddAt(o)}
		one.What = toClick(strings.ReplaceAll(o.What, dir, ""))
		if topic, found := strings.CutPrefix(o.Next, "longpoint help "); found {
			one.Topic = place{Name: topic, Path: "/help/" + topic}
		}
		last := &parts[len(parts)-1]
		last.Odd = append(last.Odd, one)
	}
	return c.show("odd", "What is odd", map[string]any{"Parts": parts, "All": len(x.Odd)})
}

// oddAt is the page on which one goes after something odd.
func oddAt(o examine.Oddity) place {
	of := func(name, list, one string) place {
		if o.Of == "" {
			return place{Name: name, Path: list}
		}
		return place{Name: name + " " + o.Of, Path: one + url.PathEscape(o.Of)}
	}
	switch o.About {
	case "book":
		if o.Wrong {
			return place{Name: "Diary", Path: "/diary"}
		}
		return place{Name: "A copy of the book to keep", Path: "/tables#copy"}
	case "settings":
		return place{Name: "Settings", Path: "/settings"}
	case "rack":
		return of("Stick", "/rack", "/rack/of/")
	case "offers":
		if o.Of != "" {
			return place{Name: "Price list of " + o.Of, Path: pricesPath(o.Of)}
		}
		return place{Name: "Tables", Path: "/tables"}
	case "orders":
		return of("Order", "/orders", "/orders/")
	case "runs":
		return of("Run", "/bench", "/bench/run/")
	case "jobs":
		if strings.HasPrefix(o.Next, "longpoint plan") {
			return place{Name: "Plan", Path: "/plan"}
		}
		return place{Name: "Jobs", Path: "/jobs"}
	}
	return place{}
}

package page

import (
	"bytes"
	"fmt"
	"html/template"
	"net/http"
	"regexp"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"

	"longpoint/cmd/longpoint/manual"
	"longpoint/model"
)

// helpList lists the topics of the manual.
func (c *call) helpList() error { return c.show("helplist", "Help", manual.Topics()) }

// topicLink finds what leads to another topic, or to a picture, in a topic that was made a page.
var topicLink = regexp.MustCompile(`(href|src)="([a-z0-9-]+)\.(md|svg)"`)

// heading finds the title of a topic, which the page shows by itself.
var heading = regexp.MustCompile(`(?s)^<h1[^>]*>.*?</h1>\n?`)

// helpTopic shows a topic of the manual.
func (c *call) helpTopic() error {
	name := c.r.PathValue("topic")
	topic, ok := manual.Find(name)
	if !ok {
		return notFound("there is no topic "+model.Quote(name), "see the list of topics")
	}
	var b bytes.Buffer
	if err := goldmark.New(goldmark.WithExtensions(extension.Table)).Convert([]byte(topic.Markdown), &b); err != nil {
		return err
	}
	page := heading.ReplaceAll(b.Bytes(), nil)
	page = topicLink.ReplaceAllFunc(page, func(found []byte) []byte {
		m := topicLink.FindSubmatch(found)
		if string(m[3]) == "md" {
			return []byte(`href="/help/` + string(m[2]) + `"`)
		}
		return []byte(string(m[1]) + `="/help/` + name + `/` + string(m[2]) + `.svg"`)
	})
	page = bytes.ReplaceAll(page, []byte("<pre>"), []byte(`<pre tabindex="0">`))
	page = alignment.ReplaceAll(page, []byte(` class="n"`)) // no style within a page
	tables := 0
	page = tableMark.ReplaceAllFunc(page, func(mark []byte) []byte {
		if string(mark) == "</table>" {
			return []byte("</table></div>")
		}
		tables++
		return fmt.Appendf(nil, `<div class="wide" tabindex="0" role="region" aria-label="Table %d"><table>`, tables)
	})
	return c.show("help", topic.Title, template.HTML(page)) // the manual is ours
}

// tableMark finds where tables begin and end.
var tableMark = regexp.MustCompile(`</?table>`)

// alignment finds what goldmark says of a column of numbers.
var alignment = regexp.MustCompile(` (style="text-align:\s*right"|align="right")`)

// helpPicture shows a picture of a topic.
func (c *call) helpPicture() error {
	data, ok := manual.Picture(c.r.PathValue("picture"))
	if !ok {
		return notFound("there is no such picture", "see the list of topics")
	}
	// A picture by itself may have a style of its own: it is no page of ours.
	c.w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'")
	c.w.Header().Set("Content-Type", "image/svg+xml")
	http.ServeContent(c.w, c.r, "", noTime, bytes.NewReader(data))
	return nil
}

// booklessStart is the first page of a server without a book.
func (c *call) booklessStart() error { return c.show("bookless", "Plans, without a book", nil) }

package page

import (
	"bytes"
	"fmt"
	"html"
	"html/template"
	"net/http"

	"longpoint/cmd/longpoint/manual"
	"longpoint/model"
)

// helpList lists the topics of the manual.
func (c *call) helpList() error { return c.show("helplist", "Help", manual.Listed()) }

// helpTopic shows a topic of the manual.
func (c *call) helpTopic() error {
	name := c.r.PathValue("topic")
	topic, ok := manual.Find(name)
	if !ok {
		return notFound("there is no topic "+model.Quote(name), "see the list of topics")
	}
	page := topic.HTML(manual.Web{
		Link: func(topic, part string) string {
			if part != "" {
				part = "#" + part
			}
			return "/help/" + topic + part
		},
		ID: func(_, part string) string { return part },
		Picture: func(topic, file, alt string) string {
			return fmt.Sprintf(`<img src="/help/%s/%s" alt="%s">`, topic, file, html.EscapeString(alt))
		},
	})
	return c.show("help", topic.Title, template.HTML(page)) // the manual is ours
}

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

package page

import (
	"encoding/base64"
	"io"
	"path/filepath"
	"strings"
)

// upload is a file that was sent.
type upload struct {
	Name string // the last part of it
	Data []byte
}

// Coded is the file as a page has it that sends it once more.
func (u upload) Coded() string { return u.Name + ":" + base64.StdEncoding.EncodeToString(u.Data) }

// uploads gives the files that were chosen in a field or, where none was, those that came back with the page (template "again"). chosen tells which they are.
func (c *call) uploads(field string) (files []upload, chosen bool, err error) {
	if c.r.MultipartForm == nil {
		return nil, false, nil
	}
	name := func(sent string) string { return filepath.Base(strings.ReplaceAll(sent, `\`, "/")) }
	for _, head := range c.r.MultipartForm.File[field] {
		sent, err := head.Open()
		if err != nil {
			return nil, true, err
		}
		data, err := io.ReadAll(sent)
		sent.Close()
		if err != nil {
			return nil, true, err
		}
		files = append(files, upload{name(head.Filename), data})
	}
	if len(files) > 0 {
		return files, true, nil
	}
	for _, coded := range c.r.MultipartForm.Value["again"] {
		end := max(strings.LastIndex(coded, ":"), 0)
		data, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(coded[end:], ":"))
		if err != nil {
			return nil, false, usage("a file did not come back whole", "choose it once more")
		}
		files = append(files, upload{name(coded[:end]), data})
	}
	return files, false, nil
}

// again gives the files that go back with a page, so that nobody has to choose them once more; of more than a form may hold, none.
func again(files []upload) []upload {
	all := 0
	for _, f := range files {
		all += len(f.Data)
	}
	if all > formBytes {
		return nil
	}
	return files
}

package page

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"longpoint/model"
)

// copyTime is how long sending a copy of the book may take; books of years are large and tablets' networks slow.
const copyTime = 10 * time.Minute

// sendCopy sends a copy of the book as it stands, to be kept somewhere else: the whole of it in one file that can be opened or gone back to. Where there
// is a pass phrase it is asked for again, for the file leaves the shop's computer.
func (c *call) sendCopy() error {
	if c.s.Pass != nil {
		if err := c.passed(c.form("pass")); err != nil {
			return err
		}
	}
	dir, err := os.MkdirTemp("", "longpoint-copy-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	_, last, err := c.s.Book.Undoable(c.ctx)
	if err != nil {
		return err
	}
	path := filepath.Join(dir, "copy.book")
	found, err := c.s.Book.Backup(c.ctx, path)
	if err != nil {
		return without(err, dir)
	}
	if len(found) > 0 {
		return &model.Error{Kind: model.CheckFailed, What: "the backup is not sound: " + found[0].String(), Do: `see what else is off with "longpoint book check"`}
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	http.NewResponseController(c.w).SetWriteDeadline(time.Now().Add(copyTime))
	name := strings.TrimSuffix(filepath.Base(c.s.Book.Path()), ".book")
	c.w.Header().Set("Content-Type", "application/vnd.sqlite3")
	c.w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s-step-%d.book"`, asID(name), last.ID))
	http.ServeContent(c.w, c.r, "", noTime, f)
	return nil
}

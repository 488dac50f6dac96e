package book

import (
	"context"
	"time"

	"longpoint/model"
)

// ErrSent says that what is asked for was sent before under the same key (By.Key), and was done then. Nothing is done now.
var ErrSent = &model.Error{Kind: model.BadUsage, What: "this was sent before, and was done then", Do: `see "longpoint history" before you do it again`}

// keysKept is how long keys are remembered: longer than anybody keeps a page open, or a tablet off the network.
const keysKept = 60 * 24 * time.Hour

// Sent tells whether something was sent under a key.
func (b *Book) Sent(ctx context.Context, key string) (bool, error) {
	return look(ctx, b, func(t *transaction) (bool, error) { return t.isSent(key) })
}

// isSent tells whether something was sent under a key.
func (t *transaction) isSent(key string) (sent bool, err error) {
	if key == "" {
		return false, nil
	}
	return sent, t.row("SELECT EXISTS (SELECT 1 FROM press WHERE key = ?)", key).Scan(&sent)
}

// keepKey remembers a key, and forgets those that nobody will send again.
func (t *transaction) keepKey(key string) error {
	if key == "" {
		return nil
	}
	if _, err := t.exec("DELETE FROM press WHERE at < ?", t.now.Add(-keysKept).UTC().Format(time.RFC3339)); err != nil {
		return err
	}
	_, err := t.exec("INSERT INTO press (key, at) VALUES (?, ?)", key, t.now.UTC().Format(time.RFC3339))
	return err
}

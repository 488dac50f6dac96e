package plan

import (
	"context"

	"longpoint/model"
)

// Make plans the workshop's jobs. The document is nil when there is an error.
func Make(ctx context.Context, w *model.Workshop, o Options) (*Document, error) {
	return nil, &model.Error{Kind: model.Fault, What: "planning is being built"}
}

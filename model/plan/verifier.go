package plan

import (
	"context"
	"errors"
)

// ErrUnchecked is wrapped by a Verifier's error when it could not finish its work, so that nothing is known.
var ErrUnchecked = errors.New("not checked")

// Verifier is the independent checker of a cuts document. It gives the grade the document earned ("proven",
// "searched" or "open") and the bound its certificate proves; an error when it finds anything off, and one that wraps
// ErrUnchecked or ctx's error when it could not finish.
type Verifier func(ctx context.Context, cuts []byte) (grade string, lower int64, err error)

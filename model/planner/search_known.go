package planner

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"sync"
	"time"

	"longpoint/model/plan"
	"longpoint/solver"
)

// Known keeps the searches of cutting problems, so that the plans of one command search a problem once, and go on where an
// earlier plan stopped. It is for one command: nothing of it is written anywhere. Several goroutines may use it.
type Known struct {
	mu       sync.Mutex
	searches map[[sha256.Size]byte]*search
	latest   map[string]*search // by profile
	verified map[[sha256.Size]byte]verified
	checked  int           // numbers of certificates that were written down and verified
	checking time.Duration // that it took
}

// At first a certificate's number is taken to need firstCheck, with the weight of so many numbers.
const firstCheck, firstChecked = 20 * time.Microsecond, 10_000

// noteCheck notes how long a certificate took to be written down and verified.
func (k *Known) noteCheck(numbers int, took time.Duration) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.checked, k.checking = k.checked+numbers, k.checking+took
}

// checkOf is how long so many numbers of certificates need at the pace so far.
func (k *Known) checkOf(numbers int) time.Duration {
	k.mu.Lock()
	defer k.mu.Unlock()
	pace := float64(k.checking+firstChecked*firstCheck) / float64(k.checked+firstChecked)
	return time.Duration(float64(numbers) * pace)
}

// numbersOf is how many numbers the certificate of a result has.
func (jp *jointProblem) numbersOf(r solver.Result) int {
	p := &jp.problem
	return len(r.Certificate.Leaves) * (1 + len(p.Items) + len(p.Kinds) + len(p.Rows))
}

// verified is what the verifier has accepted of cuts.
type verified struct {
	grade string
	bound int64
}

// NewKnown returns one that knows nothing yet.
func NewKnown() *Known {
	return &Known{searches: map[[sha256.Size]byte]*search{}, latest: map[string]*search{}, verified: map[[sha256.Size]byte]verified{}}
}

// remembering is a verifier that is not asked again about cuts that it has accepted.
func (k *Known) remembering(verify plan.Verifier) plan.Verifier {
	return func(ctx context.Context, cuts []byte) (string, int64, error) {
		key := sha256.Sum256(cuts)
		k.mu.Lock()
		known, ok := k.verified[key]
		k.mu.Unlock()
		if ok {
			return known.grade, known.bound, nil
		}
		grade, bound, err := verify(ctx, cuts)
		if err == nil {
			k.mu.Lock()
			k.verified[key] = verified{grade, bound}
			k.mu.Unlock()
		}
		return grade, bound, err
	}
}

// Nodes is how many nodes all searches have solved, each search once.
func (k *Known) Nodes() (nodes int) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, s := range k.searches {
		nodes += s.nodes
	}
	return nodes
}

// search is the search of one cutting problem.
type search struct {
	mu     sync.Mutex
	search *solver.Search
	nodes  int // that it has solved
}

// of gives the search of a problem of some profiles, begun or new. A new one learns from the latest of the same profiles. Its error is
// solver.ErrProblem.
func (k *Known) of(p solver.Problem, profiles string) (*search, error) {
	text, err := json.Marshal(p)
	if err != nil {
		return nil, err
	}
	key := sha256.Sum256(text)
	k.mu.Lock()
	defer k.mu.Unlock()
	if s := k.searches[key]; s != nil {
		return s, nil
	}
	begun, err := solver.NewSearch(p)
	if err != nil {
		return nil, err
	}
	s := &search{search: begun}
	if other := k.latest[profiles]; other != nil {
		other.mu.Lock()
		begun.Learn(other.search)
		other.mu.Unlock()
	}
	k.searches[key], k.latest[profiles] = s, s
	return s, nil
}

// run goes on with the search.
func (s *search) run(ctx context.Context, o solver.Options) (solver.Result, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, err := s.search.Run(ctx, o)
	s.nodes = r.Nodes
	return r, err
}

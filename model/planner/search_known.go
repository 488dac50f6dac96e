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
	all      pace            // of all certificates that were written down and verified
	paces    map[string]pace // by profiles: of the last one
}

// pace is how long so many numbers of certificates took to be written down and verified.
type pace struct {
	numbers int
	took    time.Duration
}

// At first a certificate's number is taken to need firstCheck, with the weight of so many numbers.
const firstCheck, firstChecked = 20 * time.Microsecond, 10_000

// noteCheck notes how long a certificate of some profiles took to be written down and verified.
func (k *Known) noteCheck(profiles string, numbers int, took time.Duration) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.all.numbers, k.all.took = k.all.numbers+numbers, k.all.took+took
	k.paces[profiles] = pace{numbers, took}
}

// slower is by how much longer a certificate may take than one before it, for as many numbers: what is found last has most conditions.
const slower = 1.5

// checkOf is how long a certificate of some profiles with so many numbers needs, at the pace of their last one or of all so far.
func (k *Known) checkOf(profiles string, numbers int) time.Duration {
	k.mu.Lock()
	defer k.mu.Unlock()
	took, of := slower*float64(k.paces[profiles].took), k.paces[profiles].numbers
	if of == 0 {
		took, of = float64(k.all.took+firstChecked*firstCheck), k.all.numbers+firstChecked
	}
	return time.Duration(took * float64(numbers) / float64(of))
}

// numbersOf is how many numbers the certificate of a result has.
func (jp *jointProblem) numbersOf(r solver.Result) int {
	p, parts := &jp.problem, len(r.Certificate.Leaves)
	if m := r.Certificate.Mixes; m != nil {
		parts += len(m.Cuts)
	}
	return parts * (1 + len(p.Items) + len(p.Kinds) + len(p.Rows))
}

// checkOf is how long the certificate of a result will take to be written down and verified.
func (jp *jointProblem) checkOf(r solver.Result, o Options) time.Duration {
	return o.Known.checkOf(jp.profileNames(), jp.numbersOf(r))
}

// verified is what the verifier has accepted of cuts.
type verified struct {
	grade string
	bound int64
}

// NewKnown returns one that knows nothing yet.
func NewKnown() *Known {
	return &Known{searches: map[[sha256.Size]byte]*search{}, latest: map[string]*search{}, paces: map[string]pace{}, verified: map[[sha256.Size]byte]verified{}}
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

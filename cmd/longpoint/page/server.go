package page

import (
	"context"
	"embed"
	"errors"
	"io/fs"
	"log"
	"net"
	"net/http"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
)

//go:embed static
var static embed.FS

// Limits of time and size. They bound what a stranger on the shop's network can take up; nobody at work comes near them.
const (
	headerTime   = 5 * time.Second
	readTime     = 30 * time.Second // of a whole request
	writeTime    = 60 * time.Second // of an answer; one that goes on (events) sets its own
	idleTime     = 2 * time.Minute
	stopTime     = 5 * time.Second // for what is being answered when the server stops
	headerBytes  = 32 << 10
	formBytes    = 2 << 20
	uploadBytes  = 64 << 20
	mostAtOnce   = 256 // requests
	mostUploads  = 4   // large ones at a time
	eventsPeriod = 300 * time.Millisecond
)

// Config is what a server is given.
type Config struct {
	Book     *book.Book    // nil: there is none, and only plans are made (POST /api/plan)
	Who      string        // who somebody is who has not said; empty: they are asked first
	Pass     *Pass         // nil: anybody who reaches the server may use it
	Secure   bool          // it is reached by TLS
	Hosts    []string      // names it is reached by, without a port
	AnyIP    bool          // or by any address that is no name
	Verify   plan.Verifier // the independent checker
	MadeWith string        // program and version, for plans
	// Begin makes a book where there is none; nil: nothing does.
	Begin *Beginning
	Quit  func() // ends the program; nil: whoever started it does so
	// Right holds a plan against a workshop before it is printed; nil: it is printed as it is.
	Right func(ctx context.Context, w *model.Workshop, d *plan.Document) error
	Log   *log.Logger // faults of ours; nil: nowhere
}

// Server is the shop's page.
type Server struct {
	Config
	handler http.Handler
	with    func(Config) (*Server, error) // New
	begun   sync.Mutex                    // of those who would begin at once
	next    atomic.Pointer[Server]        // with the book that was begun
	file    os.FileInfo                   // of the book as it was opened
	pages   map[string]*pageTemplate
	ready   sync.Map // the same for each of the units that they have been used in, by setIn
	atOnce  chan struct{}
	uploads chan struct{}
	guesses guesses
	making  making
	presses sync.Map        // *sync.Mutex by run
	waiting chan struct{}   // for plans without a book
	stop    context.Context // ends when the server stops
	halt    context.CancelFunc
	version string // of what is static
}

// New makes a server. It does not close the book.
func New(c Config) (*Server, error) {
	s := &Server{Config: c, atOnce: make(chan struct{}, mostAtOnce), uploads: make(chan struct{}, mostUploads),
		waiting: make(chan struct{}, mostWaiting), with: New}
	s.stop, s.halt = context.WithCancel(context.Background())
	if c.Log == nil {
		s.Log = log.New(discard{}, "", 0)
	}
	if c.Book != nil {
		info, err := os.Stat(c.Book.Path())
		if err != nil {
			return nil, err
		}
		s.file = info
	}
	var err error
	if s.pages, s.version, err = readTemplates(); err != nil {
		return nil, err
	}
	own := s.guarded(s.mux())
	s.handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if next := s.next.Load(); next != nil {
			next.handler.ServeHTTP(w, r)
			return
		}
		own.ServeHTTP(w, r)
	})
	return s, nil
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }

// Handler answers requests.
func (s *Server) Handler() http.Handler { return s.handler }

// Serve answers at a listener until ctx ends; then it lets what is being answered come to its end, within stopTime. With cert and key
// it speaks TLS.
func (s *Server) Serve(ctx context.Context, at net.Listener, cert, key string) error {
	server := &http.Server{Handler: s.handler, ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime, IdleTimeout: idleTime,
		MaxHeaderBytes: headerBytes, ErrorLog: s.Log}
	stopped := make(chan error, 1)
	go func() {
		<-ctx.Done()
		s.Close()
		last, cancel := context.WithTimeout(context.Background(), stopTime)
		defer cancel()
		err := server.Shutdown(last)
		if errors.Is(err, context.DeadlineExceeded) {
			err = server.Close()
		}
		stopped <- err
	}()
	var err error
	if cert != "" {
		err = server.ServeTLS(at, cert, key)
	} else {
		err = server.Serve(at)
	}
	if errors.Is(err, http.ErrServerClosed) {
		err = <-stopped
	}
	return err
}

// Close ends what goes on by itself: a plan in the making, and events that are waited for.
func (s *Server) Close() {
	if next := s.next.Load(); next != nil {
		next.Close()
	}
	s.halt()
	s.making.wait()
}

// route is one thing that can be asked for.
type route struct {
	method, path string
	do           func(*call) error
	open         bool // without a pass phrase
	bookless     bool // without a book
	large        bool // its body may be large
	keyless      bool // a form that changes no book: it needs no key
	shop         bool // it needs the workshop as it stands
}

// routes lists everything there is.
func (s *Server) routes() []route {
	all := []route{
		{method: "GET", path: "/sign-in", do: (*call).signInPage, open: true, bookless: true},
		{method: "POST", path: "/sign-in", do: (*call).signIn, keyless: true, open: true, bookless: true},
		{method: "POST", path: "/sign-out", do: (*call).signOut, keyless: true, bookless: true},
		{method: "GET", path: "/help", do: (*call).helpList, bookless: true},
		{method: "GET", path: "/help/{topic}", do: (*call).helpTopic, bookless: true},
		{method: "GET", path: "/help/{topic}/{picture}", do: (*call).helpPicture, bookless: true},
		{method: "GET", path: "/api/openapi.json", do: (*call).openAPI, bookless: true},
		{method: "POST", path: "/api/plan", do: (*call).apiPlanAlone, bookless: true, large: true},
	}
	if s.Quit != nil {
		all = append(all, route{method: "POST", path: "/stop", do: (*call).stopServer, keyless: true, bookless: true})
	}
	switch {
	case s.Book == nil && s.Begin != nil:
		return append(all, beginRoutes...)
	case s.Book == nil:
		return append(all, route{method: "GET", path: "/{$}", do: (*call).booklessStart, bookless: true})
	}
	for _, more := range [][]route{startRoutes, settingsRoutes, oddRoutes, pricesRoutes, jobRoutes, planRoutes, orderRoutes, rackRoutes, diaryRoutes, paperRoutes, benchRoutes, apiRoutes} {
		all = append(all, more...)
	}
	return all
}

// mux sorts requests by what they ask for.
func (s *Server) mux() http.Handler {
	mux := http.NewServeMux()
	for _, r := range s.routes() {
		mux.HandleFunc(r.method+" "+r.path, func(w http.ResponseWriter, q *http.Request) { s.answer(r, w, q) })
	}
	files, err := fs.Sub(static, "static")
	if err != nil {
		panic(err) // the files are built into the program
	}
	served := http.StripPrefix("/static/", http.FileServerFS(files))
	mux.HandleFunc("GET /static/{file}", func(w http.ResponseWriter, q *http.Request) {
		w.Header().Set("Cache-Control", "max-age=31536000, immutable") // its address has the version in it
		served.ServeHTTP(w, q)
	})
	mux.HandleFunc("/", func(w http.ResponseWriter, q *http.Request) {
		c := s.newCall(w, q)
		c.fail(notFound("there is no such page", "go back to the first page"))
	})
	return mux
}

// Wait waits until no plan is in the making.
func (s *Server) Wait() { s.making.wait() }

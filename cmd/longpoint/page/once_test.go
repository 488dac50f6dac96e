package page

import (
	"bufio"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"log"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"longpoint/model/book"
	"longpoint/model/runs"
)

var (
	rivals = flag.Int("rivals", 60, "how often two browsers press at the same moment")
	kills  = flag.Int("kills", 15, "how often the server is killed")
	breaks = flag.Int("breaks", 20, "how often the network is cut")
	load   = flag.Duration("load", 3*time.Second, "how long fifty clients ask")
)

// serveBook names a book that this process, which is a test's own, is to serve instead of running tests.
const serveBook = "LONGPOINT_TEST_SERVE"

func TestMain(m *testing.M) {
	if path := os.Getenv(serveBook); path != "" {
		if err := serveAlone(path); err != nil {
			log.Fatal(err)
		}
		return
	}
	os.Exit(m.Run())
}

// serveAlone serves a book at any port, which it writes to standard output.
func serveAlone(path string) error {
	b, err := book.Open(context.Background(), path)
	if err != nil {
		return err
	}
	s, err := New(Config{Book: b, Who: "Ada", Hosts: []string{"localhost"}, Verify: verify, Log: log.Default()})
	if err != nil {
		return err
	}
	at, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	fmt.Println(at.Addr())
	return s.Serve(context.Background(), at, "", "")
}

// benchJSON is what the bench is told of a run.
type benchJSON struct {
	State string `json:"state"`
	Line  string `json:"line"`
	ToCut int    `json:"to_cut"`
	Cuts  []struct {
		No    int    `json:"no"`
		Stick string `json:"stick"`
		Side  string `json:"side"`
	} `json:"cuts"`
}

// manyCuts makes a book with an open run of at least so many cuts.
func manyCuts(t testing.TB, n int) *book.Book {
	b := newBook(t, true)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	table := fmt.Sprintf("job,due,frame,profile,quantity,width,height\n900,2027-04-08,many,black-22,%d,200,300\n", (n+3)/4)
	s.post(200, "/jobs/paste", "cells", table)
	s.post(200, "/plan", "limit", "3s")
	s.planned()
	s.post(200, "/orders/place", "plan", "1")
	s.post(200, "/orders/1/send")
	s.post(200, "/orders/1/receive")
	s.post(200, "/bench/start", "profile", "black-22")
	return b
}

// tablet presses at the bench as its script does: with a key of each press, again and again until there is an answer.
type tablet struct {
	testing.TB
	client  *http.Client
	url     func() string
	retries int
}

func (c *tablet) try(method, path string, body any) (state benchJSON, status int, err error) {
	data, err := json.Marshal(body)
	must(c, err)
	r, err := http.NewRequest(method, c.url()+path, strings.NewReader(string(data)))
	must(c, err)
	r.Header.Set("Content-Type", "application/json")
	answer, err := c.client.Do(r)
	if err != nil {
		return state, 0, err
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		return state, 0, err
	}
	if answer.StatusCode >= 500 {
		return state, 0, fmt.Errorf("status %d: %s", answer.StatusCode, text)
	}
	return state, answer.StatusCode, json.Unmarshal(text, &state)
}

// until tries until there is an answer.
func (c *tablet) until(method, path string, body any) (benchJSON, int) {
	end := time.Now().Add(time.Minute)
	for time.Now().Before(end) {
		state, status, err := c.try(method, path, body)
		if err == nil {
			return state, status
		}
		c.retries++
		time.Sleep(5 * time.Millisecond)
	}
	c.Fatalf("%s %s: no answer for a minute", method, path)
	return benchJSON{}, 0
}

func (c *tablet) run() benchJSON {
	state, _ := c.until("GET", "/api/runs/1", nil)
	return state
}

// done presses done for the next cut of a state.
func (c *tablet) done(s benchJSON) (benchJSON, int) {
	next := s.Cuts[0]
	return c.until("POST", "/api/runs/1/press", map[string]any{"key": key(), "do": "done", "stick": next.Stick, "no": next.No, "side": next.Side})
}

// everyCutOnce demands that of a run's cuts so many are done, each in a step of its own, and that the book is sound.
func everyCutOnce(t *testing.T, b *book.Book, want int) {
	t.Helper()
	r, err := b.Run(t.Context(), 1)
	must(t, err)
	done := 0
	for _, s := range r.Sticks {
		for _, side := range s.Sides {
			if side.Became == runs.Done {
				done++
			}
		}
	}
	steps, err := b.Steps(t.Context(), 100_000)
	must(t, err)
	cuts := 0
	for _, s := range steps {
		if s.Kind == "cut" {
			cuts++
		}
	}
	if done != want || cuts != want {
		t.Errorf("%d sides are done in %d steps, want %d in as many", done, cuts, want)
	}
	found, err := b.Check(t.Context())
	if err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
}

// TestTwoAtOnce: two browsers press done on the same cut at the same moment, over and over: every cut is written down once.
func TestTwoAtOnce(t *testing.T) {
	b := manyCuts(t, *rivals)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	one, two := &tablet{TB: t, client: newClient(t), url: func() string { return s.url }}, &tablet{TB: t, client: newClient(t), url: func() string { return s.url }}
	state := one.run()
	for n := range *rivals {
		var wait sync.WaitGroup
		var statuses [2]int
		for i, c := range []*tablet{one, two} {
			wait.Go(func() { _, statuses[i] = c.done(state) })
		}
		wait.Wait()
		if statuses != [2]int{200, 200} {
			t.Fatalf("press %d: statuses %v", n, statuses)
		}
		before := state.ToCut
		if state = one.run(); state.ToCut != before-1 {
			t.Fatalf("press %d: %d were to cut, now %d", n, before, state.ToCut)
		}
	}
	everyCutOnce(t, b, *rivals)
}

// TestOldTablets: a press about a cut that is no more as it was is refused, and a side that two say is torn is torn once.
func TestOldTablets(t *testing.T) {
	s := newSite(t, Config{Book: manyCuts(t, 12), Who: "Ada"})
	c := &tablet{TB: t, client: newClient(t), url: func() string { return s.url }}
	old := c.run()
	next := old.Cuts[0]
	torn := map[string]any{"key": key(), "do": "torn", "stick": next.Stick, "no": next.No, "side": next.Side}
	for n, want := range []int{200, 200, 200} { // with the same key, and then with another
		if n == 2 {
			torn["key"] = key()
		}
		if _, status := c.until("POST", "/api/runs/1/press", torn); status != want {
			t.Errorf("torn, %d: status %d", n, status)
		}
	}
	if now := c.run(); now.ToCut != old.ToCut || !strings.Contains(now.Line, "1 torn") {
		t.Errorf("%d were to cut, now %d; %s", old.ToCut, now.ToCut, now.Line)
	}
	if _, status := c.done(old); status != http.StatusConflict {
		t.Errorf("done of a side that was torn: status %d", status)
	}
	if _, status := c.until("POST", "/api/runs/1/press", map[string]any{"key": key(), "do": "done", "stick": "no such", "no": 1, "side": next.Side}); status != http.StatusConflict {
		t.Errorf("of a stick that is not in hand: status %d", status)
	}
}

// TestMishapMeanwhile: a side tears while others write in the book all the time: it is written down all the same, once.
func TestMishapMeanwhile(t *testing.T) {
	b := manyCuts(t, 12)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	c := &tablet{TB: t, client: newClient(t), url: func() string { return s.url }}
	over, quiet := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(quiet)
		for n := 0; ; n++ {
			select {
			case <-over:
				return
			default:
			}
			if _, err := b.Do(t.Context(), book.By{Who: "Bert"}, book.AddBlade(book.Blade{Name: fmt.Sprint("set ", n), Height: 50_000_000})); err != nil {
				t.Error(err)
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
	}()
	next := c.run().Cuts[0]
	now, status := c.until("POST", "/api/runs/1/press", map[string]any{"key": key(), "do": "torn", "stick": next.Stick, "no": next.No, "side": next.Side})
	close(over)
	<-quiet
	if status != 200 || !strings.Contains(now.Line, "1 torn") {
		t.Errorf("status %d: %+v", status, now)
	}
	if found, err := b.Check(t.Context()); err != nil || len(found) > 0 {
		t.Errorf("the book: %v %v", found, err)
	}
}

// TestServerKilled: the server is killed at random moments of a run, and started again. What was pressed meanwhile is sent until there is
// an answer, and is written down once.
func TestServerKilled(t *testing.T) {
	b := manyCuts(t, 6**kills)
	path := b.Path()
	must(t, b.Close())
	var mu sync.Mutex
	url, alive := "", (*exec.Cmd)(nil)
	start := func() {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), serveBook+"="+path)
		cmd.Stderr = os.Stderr
		out, err := cmd.StdoutPipe()
		must(t, err)
		must(t, cmd.Start())
		line, err := bufio.NewReader(out).ReadString('\n')
		must(t, err)
		mu.Lock()
		defer mu.Unlock()
		url, alive = "http://"+strings.TrimSpace(line), cmd
	}
	start()
	c := &tablet{TB: t, client: newClient(t), url: func() string { mu.Lock(); defer mu.Unlock(); return url }}
	random := rand.New(rand.NewPCG(1, 2))
	killed := make(chan struct{})
	var answered atomic.Int64
	go func() { // kills and starts again, as long as there are kills left
		defer close(killed)
		for range *kills {
			amidst(random, &answered)
			mu.Lock()
			cmd := alive
			mu.Unlock()
			cmd.Process.Kill()
			cmd.Wait()
			start()
		}
	}()
	presses := 0
	for state := c.run(); ; {
		select {
		case <-killed:
			mu.Lock()
			alive.Process.Kill()
			alive.Wait()
			mu.Unlock()
			again, err := book.Open(t.Context(), path)
			must(t, err)
			defer again.Close()
			everyCutOnce(t, again, presses)
			t.Logf("%d presses, %d kills, %d tries without an answer", presses, *kills, c.retries)
			return
		default:
		}
		if len(state.Cuts) == 0 {
			t.Fatal("there were too few cuts")
		}
		state, _ = c.done(state)
		answered.Store(int64(presses + 1))
		presses++
	}
}

// amidst waits until a few more presses are answered, and then a moment, so that it ends in the midst of another.
func amidst(random *rand.Rand, answered *atomic.Int64) {
	for enough := answered.Load() + 1 + random.Int64N(3); answered.Load() < enough; {
		time.Sleep(time.Millisecond)
	}
	time.Sleep(time.Duration(random.IntN(12_000)) * time.Microsecond)
}

// broken is a network between a client and a server that can be cut.
type broken struct {
	net.Listener
	to    string
	mu    sync.Mutex
	conns map[net.Conn]bool
	cut   bool
}

func newBroken(t testing.TB, to string) *broken {
	at, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	n := &broken{Listener: at, to: to, conns: map[net.Conn]bool{}}
	t.Cleanup(func() { n.Close(); n.set(true) })
	go func() {
		for {
			from, err := at.Accept()
			if err != nil {
				return
			}
			go n.join(from)
		}
	}()
	return n
}

// join passes on what goes to and fro, until it is cut.
func (n *broken) join(from net.Conn) {
	to, err := net.Dial("tcp", n.to)
	n.mu.Lock()
	if err != nil || n.cut {
		n.mu.Unlock()
		from.Close()
		return
	}
	n.conns[from], n.conns[to] = true, true
	n.mu.Unlock()
	go func() { io.Copy(to, from); to.Close() }()
	io.Copy(from, to)
	from.Close()
	n.mu.Lock()
	delete(n.conns, from)
	delete(n.conns, to)
	n.mu.Unlock()
}

// set cuts the network, or mends it.
func (n *broken) set(cut bool) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.cut = cut
	if cut {
		for c := range n.conns {
			c.Close()
		}
	}
}

// TestNetworkCut: the network between page and server is cut at random moments, so that presses or their answers get lost. Each is
// written down once.
func TestNetworkCut(t *testing.T) {
	b := manyCuts(t, 6**breaks)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	between := newBroken(t, strings.TrimPrefix(s.url, "http://"))
	c := &tablet{TB: t, client: newClient(t), url: func() string { return "http://" + between.Addr().String() }}
	random := rand.New(rand.NewPCG(3, 4))
	over := make(chan struct{})
	var answered atomic.Int64
	go func() {
		defer close(over)
		for range *breaks {
			amidst(random, &answered)
			between.set(true)
			time.Sleep(time.Duration(random.IntN(20)) * time.Millisecond)
			between.set(false)
		}
	}()
	presses := 0
	for state := c.run(); len(state.Cuts) > 0; presses++ {
		select {
		case <-over:
			everyCutOnce(t, b, presses)
			t.Logf("%d presses, %d times cut, %d tries without an answer", presses, *breaks, c.retries)
			return
		default:
		}
		state, _ = c.done(state)
		answered.Store(int64(presses + 1))
	}
	t.Fatal("there were too few cuts")
}

// TestLoad: fifty clients ask for pages and press: no error, none waits out of all proportion, memory stays flat. How long they ask is
// -load; the proportion is held where they ask for ten seconds or more.
func TestLoad(t *testing.T) {
	b := manyCuts(t, 200)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	paths := []string{"/", "/bench/run/1?begin=1", "/api/runs/1", "/rack", "/plan/of/1", "/orders/1", "/jobs/of/900", "/diary", "/static/page.css"}
	times := func(during time.Duration) (all []time.Duration) {
		var mu sync.Mutex
		var wait sync.WaitGroup
		end := time.Now().Add(during)
		for i := range 50 {
			wait.Go(func() {
				client := newClient(t)
				for n := i; time.Now().Before(end); n++ {
					began := time.Now()
					r, err := client.Get(s.url + paths[n%len(paths)])
					if err != nil {
						t.Error(err)
						return
					}
					io.Copy(io.Discard, r.Body)
					r.Body.Close()
					if r.StatusCode != 200 {
						t.Errorf("%s: status %d", paths[n%len(paths)], r.StatusCode)
					}
					mu.Lock()
					all = append(all, time.Since(began))
					mu.Unlock()
				}
			})
		}
		wait.Wait()
		slices.Sort(all)
		return all
	}
	times(min(*load/3, time.Second)) // so that what is kept between requests is there
	before := heap()
	all := times(*load)
	after := heap()
	median, p99 := all[len(all)/2], all[len(all)*99/100]
	t.Logf("%d answers in %v: median %v, 99th percentile %v, the slowest %v; heap %d kB, before %d kB", len(all), *load, median, p99, all[len(all)-1], after>>10, before>>10)
	if *load >= 10*time.Second && p99 > 20*median {
		t.Errorf("the 99th percentile is %v, over 20 times the median, %v", p99, median)
	}
	if after > before+before/2+4<<20 {
		t.Errorf("the heap grew from %d kB to %d kB", before>>10, after>>10)
	}
}

func heap() uint64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// TestBenchWhilePlanning: a plan in the making does not slow the bench.
func TestBenchWhilePlanning(t *testing.T) {
	b := manyCuts(t, 40)
	s := newSite(t, Config{Book: b, Who: "Ada"})
	var table strings.Builder // a week that keeps the planner at work
	table.WriteString("job,due,frame,profile,quantity,width,height\n")
	for n := range 60 {
		fmt.Fprintf(&table, "%d,2027-04-09,one,oak-40,2,%d,%d\n", 2000+n, 200+7*n, 303+11*n)
	}
	s.post(200, "/jobs/paste", "cells", table.String())
	s.post(200, "/plan", "limit", "10s")
	var all []time.Duration
	for range 20 {
		began := time.Now()
		s.get(200, "/bench/run/1?begin=1")
		all = append(all, time.Since(began))
	}
	planning := !s.s.lastTask().over()
	s.post(200, "/plan/stop")
	s.s.making.wait()
	if !planning {
		t.Fatal("the plan was made before the bench was asked: it says nothing")
	}
	slices.Sort(all)
	t.Logf("the next cut within %v in the middle, %v at most", all[len(all)/2], all[len(all)-1])
	if all[len(all)/2] > 200*time.Millisecond {
		t.Errorf("the next cut takes %v", all[len(all)/2])
	}
}

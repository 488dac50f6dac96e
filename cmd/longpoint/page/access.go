package page

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"

	"longpoint/model"
)

// Argon2id with the second recommended option of RFC 9106, section 4: 3 passes over 64 MiB, 4 lanes; 128 bits of salt, 256 of hash.
const (
	argonPasses = 3
	argonKiB    = 64 << 10
	argonLanes  = 4
	saltBytes   = 16
	hashBytes   = 32
)

// LeastPass and MostPass bound a pass phrase, in bytes.
const (
	LeastPass = 8
	MostPass  = 1000
)

// Pass is a pass phrase, of which only a hash is known.
type Pass struct{ salt, hash []byte }

// NewPass hashes a pass phrase with a salt of its own.
func NewPass(phrase string) (*Pass, error) {
	if len(phrase) < LeastPass || len(phrase) > MostPass {
		return nil, &model.Error{Kind: model.BadUsage, What: fmt.Sprintf("a pass phrase has %d to %d characters", LeastPass, MostPass),
			Do: "choose some words that nobody would guess"}
	}
	salt := make([]byte, saltBytes)
	rand.Read(salt) // never fails
	return &Pass{salt, argon(phrase, salt)}, nil
}

func argon(phrase string, salt []byte) []byte {
	return argon2.IDKey([]byte(phrase), salt, argonPasses, argonKiB, argonLanes, hashBytes)
}

// passForm is how a hash is written: its name, its parameters, salt and hash.
var passForm = fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$", argon2.Version, argonKiB, argonPasses, argonLanes)

// ParsePass reads what String wrote.
func ParsePass(text string) (*Pass, error) {
	rest, ours := strings.CutPrefix(strings.TrimSpace(text), passForm)
	salt, hash, two := strings.Cut(rest, "$")
	p := &Pass{}
	var bad [2]error
	p.salt, bad[0] = base64.RawStdEncoding.DecodeString(salt)
	p.hash, bad[1] = base64.RawStdEncoding.DecodeString(hash)
	if !ours || !two || bad[0] != nil || bad[1] != nil || len(p.salt) != saltBytes || len(p.hash) != hashBytes {
		return nil, &model.Error{Kind: model.BadInput, What: "this is no pass phrase's hash of ours", Do: "take the file away and choose a pass phrase anew"}
	}
	return p, nil
}

// String gives the hash for a file.
func (p *Pass) String() string {
	return passForm + base64.RawStdEncoding.EncodeToString(p.salt) + "$" + base64.RawStdEncoding.EncodeToString(p.hash)
}

// is tells whether this is the pass phrase.
func (p *Pass) is(phrase string) bool {
	return len(phrase) <= MostPass && subtle.ConstantTimeCompare(argon(phrase, p.salt), p.hash) == 1
}

// sign gives the cookie's value of somebody who is signed in until a time.
func (p *Pass) sign(until time.Time) string {
	text := strconv.FormatInt(until.Unix(), 10)
	return text + "." + p.mac(text)
}

func (p *Pass) mac(text string) string {
	key := sha256.Sum256(append([]byte("longpoint signed in\x00"), p.hash...))
	m := hmac.New(sha256.New, key[:])
	m.Write([]byte(text))
	return hex.EncodeToString(m.Sum(nil))
}

// signed tells whether a cookie's value is ours and not too old.
func (p *Pass) signed(value string, now time.Time) bool {
	text, mac, _ := strings.Cut(value, ".")
	until, err := strconv.ParseInt(text, 10, 64)
	return err == nil && hmac.Equal([]byte(mac), []byte(p.mac(text))) && now.Unix() < until
}

// guesses slows down those who guess the pass phrase: after each wrong one its address waits twice as long, and only one is looked at a time.
type guesses struct {
	one  sync.Mutex // hashing takes much memory
	mu   sync.Mutex
	from map[string]guess
}

type guess struct {
	wrong int
	until time.Time
}

const (
	guessWait   = time.Second
	guessMost   = 5 * time.Minute
	mostGuesser = 10_000 // addresses that are remembered
)

// wait says how long an address must still wait.
func (g *guesses) wait(from string, now time.Time) time.Duration {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.from[from].until.Sub(now)
}

// wrong notes a wrong guess, before it is known to be one: whoever asks many times at once gets no more answers for it.
func (g *guesses) wrong(from string, now time.Time) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.from == nil || len(g.from) >= mostGuesser {
		g.from = map[string]guess{}
	}
	before := g.from[from]
	pause := min(guessWait<<min(before.wrong, 20), guessMost)
	g.from[from] = guess{before.wrong + 1, now.Add(pause)}
}

// right forgets the wrong guesses.
func (g *guesses) right(from string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	delete(g.from, from)
}

// Names of cookies, and how long they last.
const (
	passCookie = "longpoint-pass"
	whoCookie  = "longpoint-who"
	saidCookie = "longpoint-said"
	signedFor  = 90 * 24 * time.Hour
	mostWho    = 60 // characters of a name
)

// setCookie gives the browser something to remember; for no time at all it forgets it.
func (c *call) setCookie(name, value string, last time.Duration) {
	cookie := &http.Cookie{Name: name, Value: url.QueryEscape(value), Path: "/", HttpOnly: true, Secure: c.s.Secure, SameSite: http.SameSiteStrictMode,
		MaxAge: int(last.Seconds())}
	if last <= 0 {
		cookie.MaxAge = -1
	}
	http.SetCookie(c.w, cookie)
}

// cookie gives what the browser remembers, or nothing.
func (c *call) cookie(name string) string {
	cookie, err := c.r.Cookie(name)
	if err != nil {
		return ""
	}
	value, err := url.QueryUnescape(cookie.Value)
	if err != nil {
		return ""
	}
	return value
}

// signedIn tells whether whoever asks has given the pass phrase, or needs none.
func (c *call) signedIn() bool {
	return c.s.Pass == nil || c.s.Pass.signed(c.cookie(passCookie), time.Now())
}

// who is who somebody says to be.
func (c *call) who() string {
	if name := c.cookie(whoCookie); name != "" {
		return cleanName(name)
	}
	return c.s.Who
}

func cleanName(name string) string {
	name = strings.Join(strings.Fields(strings.ToValidUTF8(name, "")), " ")
	if utf8.RuneCountInString(name) > mostWho {
		name = string([]rune(name)[:mostWho])
	}
	return name
}

// signInPage asks for a name and, where there is one, the pass phrase.
func (c *call) signInPage() error {
	return c.show("sign-in", "Who are you?", map[string]any{"Ask": c.s.Pass != nil && !c.signedIn(), "Next": localPath(c.r.FormValue("next")), "Name": c.who()})
}

// signIn takes name and pass phrase.
func (c *call) signIn() error {
	name := cleanName(c.form("who"))
	if name == "" {
		return usage("the name is missing", "write who you are: each step in the book's history says who did it")
	}
	if c.s.Pass != nil && !c.signedIn() {
		if err := c.passed(c.form("pass")); err != nil {
			return err
		}
		c.setCookie(passCookie, c.s.Pass.sign(time.Now().Add(signedFor)), signedFor)
	}
	c.setCookie(whoCookie, name, signedFor)
	c.redirect(localPath(c.form("next")))
	return nil
}

// passed holds a pass phrase against the shop's.
func (c *call) passed(phrase string) error {
	from, _, err := net.SplitHostPort(c.r.RemoteAddr)
	if err != nil {
		from = c.r.RemoteAddr
	}
	if wait := c.s.guesses.wait(from, time.Now()); wait > 0 {
		seconds := int(wait.Seconds()) + 1
		c.w.Header().Set("Retry-After", strconv.Itoa(seconds))
		return &answerError{http.StatusTooManyRequests, usage(fmt.Sprintf("the pass phrase was wrong before: wait %d s", seconds), "then write it once more")}
	}
	c.s.guesses.wrong(from, time.Now())
	c.s.guesses.one.Lock()
	defer c.s.guesses.one.Unlock()
	if !c.s.Pass.is(phrase) {
		return &answerError{http.StatusForbidden, usage("the pass phrase is wrong", "ask whoever started the server")}
	}
	c.s.guesses.right(from)
	return nil
}

// signOut forgets who somebody is.
func (c *call) signOut() error {
	c.setCookie(passCookie, "", 0)
	c.setCookie(whoCookie, "", 0)
	c.redirect("/sign-in")
	return nil
}

// localPath gives a path of ours, for a redirect; anything else is the first page.
func localPath(path string) string {
	u, err := url.Parse(path)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(u.Path, "//") || strings.Contains(path, "\\") {
		return "/"
	}
	return u.RequestURI()
}

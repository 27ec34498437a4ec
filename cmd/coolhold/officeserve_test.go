package main

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/fusion"
	"coolhold/logbook/office"
	"coolhold/logbook/seal"
)

// A served is an office as the verb serves it, from the line that it begins with.
type served struct {
	first   string
	url     string
	ends    context.CancelFunc
	over    chan error
	rest    chan string
	said    *heard      // stderr
	workups chan string // the day of each working up
}

// heard is what several say at once.
type heard struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (h *heard) Write(p []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.text.Write(p)
}

func (h *heard) String() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.text.String()
}

// serves has the verb serve the office of a firm; workUp is its error each time.
func (f *firm) serves(s serving, workUp error) *served {
	f.t.Helper()
	return f.servesFrom(f.office, s, workUp)
}

func (f *firm) servesFrom(h office.Holder, s serving, workUp error) *served {
	f.t.Helper()
	o := &served{over: make(chan error, 1), rest: make(chan string, 1), said: &heard{}, workups: make(chan string, 9)}
	e := f.e
	e.err = timed{o.said, wall(e)}
	in, out := io.Pipe()
	ctx, end := context.WithCancel(context.Background())
	o.ends = end
	go func() {
		o.over <- s.serve(ctx, e, out, h, func() (seal.Key, error) { return officeKey(e) }, func(context.Context) error { o.workups <- e.now().Local().Format(time.DateOnly); return workUp })
		out.Close()
	}()
	line := make([]byte, 4096)
	n, err := in.Read(line)
	if err != nil {
		f.t.Fatalf("it said nothing: %v, %v", err, <-o.over)
	}
	o.first = string(line[:n])
	o.url = regexp.MustCompile(`https?://[^;]+`).FindString(o.first)
	go func() { text, _ := io.ReadAll(in); o.rest <- string(text) }()
	return o
}

// An office that is served works up what came while nobody served, then after each parcel;
// its key is made once; it ends in order.
func TestServe(t *testing.T) {
	f := newFirm(t)
	f.env["COOLHOLD_OFFICE_KEY"] = filepath.Join(t.TempDir(), "keys", "office.key")
	o := f.serves(serving{listen: "127.0.0.1:0"}, errors.New("the disk is full"))
	<-o.workups
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	f.send(exitDone, "the office has all", "--to", o.url)
	<-o.workups
	k, err := officeKey(f.e)
	if err != nil {
		t.Fatal(err)
	}
	if f.key = k; !strings.Contains(o.first, k.Public()) {
		t.Errorf("%q does not name its key %s", o.first, k.Public())
	}
	f.holds(0)
	o.ends()
	if err := <-o.over; err != nil {
		t.Error(err)
	}
	if rest := <-o.rest; !strings.Contains(rest, "ended; what was taken is kept") {
		t.Errorf("it ended with %q", rest)
	}
	if said := o.said.String(); !strings.Contains(said, "a key was made for the receipts") || !strings.Contains(said, "the disk is full") {
		t.Errorf("said %q", said)
	}
	again := f.serves(serving{listen: "127.0.0.1:0"}, nil)
	f.note("a word")
	f.send(exitDone, "the office has all", "--to", again.url) // the same key
	again.ends()
	if err := <-again.over; err != nil || strings.Contains(again.said.String(), "a key was made") {
		t.Errorf("%v; said %q", err, again.said)
	}
}

// Without a certificate it listens to this machine alone; with one it speaks TLS to who
// knows it.
func TestServeUnderTLS(t *testing.T) {
	f := admitted(t)
	f.env["COOLHOLD_OFFICE_KEY"] = filepath.Join(t.TempDir(), "office.key")
	cert, secret := ownCertificate(t)
	never := func(context.Context) error { return nil }
	for _, c := range []struct {
		s    serving
		code int
		says string
	}{
		{serving{listen: "0.0.0.0:0"}, exitUsage, "name a certificate with --cert and --key-file"},
		{serving{listen: "nonsense"}, exitUsage, `--listen: this is no address for an office: "nonsense"; write it as 127.0.0.1:7667`},
		{serving{listen: "127.0.0.1:0", cert: cert, key: cert}, exitUsage, "--cert " + cert + ", --key-file " + cert + ": certificate and key do not go together: "},
		{serving{listen: strings.TrimPrefix(f.url, "http://")}, exitUsage, strings.TrimPrefix(f.url, "http://") + " cannot be listened on: "},
		{serving{listen: strings.TrimPrefix(f.url, "http://"), cert: cert, key: secret}, exitUsage, "--listen names an address or a port"},
		{serving{listen: "127.0.0.1:0", cert: cert, key: "/nowhere"}, exitInput, "cannot read /nowhere"},
	} {
		var ee *exitError
		err := c.s.serve(context.Background(), f.e, io.Discard, f.office, func() (seal.Key, error) { return officeKey(f.e) }, never)
		if !errors.As(err, &ee) || ee.code != c.code || !strings.Contains(fmt.Sprint(err), c.says) {
			t.Errorf("%+v: %v", c.s, err)
		}
		if asks := strings.Contains(fmt.Sprint(err), "name a certificate"); asks != (c.s.listen == "0.0.0.0:0") {
			t.Errorf("%+v asks for a certificate %t: %v", c.s, asks, err)
		}
	}
	if _, err := os.Stat(f.env["COOLHOLD_OFFICE_KEY"]); err == nil {
		t.Error("a key was made for an office that nobody can reach")
	}
	o := f.serves(serving{listen: "127.0.0.1:0", cert: cert, key: secret}, nil)
	if !strings.HasPrefix(o.url, "https://") {
		t.Fatalf("it is at %q", o.url)
	}
	port := o.url[strings.LastIndex(o.url, ":")+1:]
	begins := func(code int, says, to string) {
		t.Helper()
		got := f.run("send", "--log", f.log, "--to", to)
		if got.code != code || !strings.HasPrefix(got.err, "coolhold: "+to+": "+says) {
			t.Errorf("%s: %+v, want %q", to, got, says)
		}
	}
	begins(exitUsage, "its certificate is not known here: made by CN=invented; COOLHOLD_OFFICE_CA names the file of the certificates to know it by\n", o.url)
	begins(exitUsage, "it speaks TLS: write https:// in place of http://\n", "http://127.0.0.1:"+port)
	begins(exitUsage, "it does not speak TLS there; ", strings.Replace(f.url, "http", "https", 1))
	f.env["COOLHOLD_OFFICE_CA"] = cert
	begins(exitUsage, "its certificate is for 127.0.0.1, not for localhost\n", "https://localhost:"+port)
	f.env["COOLHOLD_OFFICE_CA"] = secret
	f.send(exitInput, "COOLHOLD_OFFICE_CA, "+secret+": there is no certificate (PEM)", "--to", o.url)
	f.env["COOLHOLD_OFFICE_CA"] = cert
	f.send(exitDone, "the office has all", "--to", o.url)
	o.ends()
	if err := <-o.over; err != nil {
		t.Error(err)
	}
	all := f.serves(serving{listen: ":0", cert: cert, key: secret}, nil)
	if !regexp.MustCompile(`^the office is at port [1-9][0-9]* on all addresses of this machine, for laptops https://NAME-OF-THIS-MACHINE:[1-9]`).MatchString(all.first) {
		t.Errorf("it is at %q", all.first)
	}
	all.ends()
	if err := <-all.over; err != nil {
		t.Error(err)
	}
	got := f.run("office", "serve", "--db", "host=/nowhere", "--cert", cert)
	if got.code != exitUsage || !strings.Contains(got.err, "go together") {
		t.Errorf("%+v", got)
	}
}

// Where a copy of the database is named who reads is answered from there, and what is
// sent goes into the database itself.
func TestServeWithACopyForReaders(t *testing.T) {
	f := firmIn(t)
	at := f.env["COOLHOLD_OFFICE_DB"]
	does := func(args ...string) string {
		t.Helper()
		got := f.run(args...)
		if got.code != exitDone {
			t.Fatalf("%v: %+v", args, got)
		}
		return got.out
	}
	stick := t.TempDir()
	does("office", "admit", f.public(), "--crew", "crew north", "--by", "Ida Invented")
	f.send(exitDone, "", "--to", stick)
	does("office", "take", stick)
	f.env["COOLHOLD_OFFICE_TOKEN"] = strings.TrimSpace(does("office", "grant", "--by", "Ida Invented", "--until", "2030-01-01"))
	copied, err := server.database(at)
	if err != nil {
		t.Fatal(err)
	}
	before := does("history", "--weld", "XM-0001", "--log", f.log)
	copySaid := ""
	// answer is what the office answers, with or without a copy for its readers.
	answer := func(reads string) string {
		t.Helper()
		f.env["COOLHOLD_OFFICE_READ"] = reads
		o, err := officeDB(f.e, "")
		if err != nil {
			t.Fatal(err)
		}
		defer o.Close()
		said := &heard{}
		e := f.e
		e.err = said
		h, done, err := serving{}.readers(e, o)
		if err != nil {
			t.Fatal(err)
		}
		defer done()
		s := f.servesFrom(h, serving{listen: "127.0.0.1:0"}, nil)
		defer func() { s.ends(); <-s.over }()
		f.send(exitDone, "the office has all", "--to", s.url)
		if err := workedUp(context.Background(), f.e, o); err != nil {
			t.Fatal(err)
		}
		got := does("history", "--weld", "XM-0001", "--office", s.url)
		if again := does("history", "--weld", "XM-0001", "--office", s.url); again != got {
			t.Errorf("asked again it answers\n%s", again)
		}
		copySaid = said.String()
		return got
	}
	does("note", "XM-0001", "said after the copy was made", "--by", "Ada Invented", "--log", f.log)
	if got := answer(copied); got != before {
		t.Errorf("the copy answers\n%s, want\n%s", got, before)
	}
	if strings.Contains(copySaid, "COOLHOLD_OFFICE_READ") {
		t.Errorf("said %q", copySaid)
	}
	if got := answer("host=/nowhere"); got == before || !strings.Contains(got, "said after the copy was made") {
		t.Errorf("without its copy the database answers\n%s", got)
	}
	if n := strings.Count(copySaid, "COOLHOLD_OFFICE_READ does not answer, who reads is answered by the database itself: "); n != 1 {
		t.Errorf("said %d times in %q", n, copySaid)
	}
	f.env["COOLHOLD_OFFICE_TOKEN"] = strings.TrimSpace(does("office", "grant", "--by", "Ida Invented"))
	if got := answer(copied); got == before || !strings.Contains(got, "said after the copy was made") {
		t.Errorf("to a token that the copy does not know yet is answered\n%s", got)
	}
	if got := answer(""); got == before || !strings.Contains(got, "said after the copy was made") {
		t.Errorf("the database answers\n%s", got)
	}
	f.env["COOLHOLD_OFFICE_READ"] = "nonsense"
	if got := f.run("office", "serve", "--listen", "127.0.0.1:0"); got.code != exitUsage || !strings.Contains(got.err, "COOLHOLD_OFFICE_READ: the address of the database cannot be read") {
		t.Errorf("a copy at no address: %+v", got)
	}
}

// An office that cannot answer says so before it listens: it asks itself first. So does
// its check.
func TestServeAsksItselfFirst(t *testing.T) {
	f := firmIn(t)
	o, err := officeDB(f.e, "") // it is laid out
	if err != nil {
		t.Fatal(err)
	}
	o.Close()
	c, err := pgx.Connect(context.Background(), f.env["COOLHOLD_OFFICE_DB"])
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(context.Background())
	may := func(sql string) {
		t.Helper()
		if _, err := c.Exec(context.Background(), sql); err != nil {
			t.Fatal(err)
		}
	}
	may(`revoke select on coolhold.weld from coolhold_reader`)
	if got := f.run("office", "serve", "--listen", "nonsense"); got.code != exitLog || !strings.Contains(got.err, "permission denied for table weld") {
		t.Errorf("%+v", got)
	}
	may(`drop table coolhold.token cascade`)
	for _, verb := range []string{"serve --listen nonsense", "check", "known"} {
		got := f.run(append([]string{"office"}, strings.Fields(verb)...)...)
		if got.code != exitLog || !strings.HasPrefix(got.err, "coolhold: the office's database: ") || !strings.Contains(got.err, "token: gone from what the office keeps: restore the newest backup") {
			t.Errorf("%s: %+v", verb, got)
		}
	}
}

// A held answers as it is told, for who reads.
type held struct {
	office.Holder
	err   error
	asked int
}

func (h *held) Site(context.Context, office.Reader, office.SiteAsk) (office.SiteLines, error) {
	h.asked++
	return office.SiteLines{ID: fmt.Sprintf("%p", h)}, h.err
}

func (h *held) Recall(context.Context, office.Reader, office.RecallAsk) (office.Recalled, error) {
	h.asked++
	return office.Recalled{Late: []string{fmt.Sprintf("%p", h)}}, h.err
}

// What a copy does not have yet the database itself answers, and it is not asked for a
// minute once it did not answer: that is said once, and when it answers again.
func TestACopyThatIsBehindOrAway(t *testing.T) {
	var boot time.Duration
	said := &heard{}
	own, copied := &held{}, &held{}
	var opens error
	a := &apart{Holder: own, e: edges{err: said, now: func() fusion.Stamp { return fusion.Stamp{Boot: boot} }}, open: func() (office.Holder, func(), error) { return copied, func() {}, opens }}
	asks := func(owns, copies int, want error, says string) {
		t.Helper()
		own.asked, copied.asked, said.text = 0, 0, bytes.Buffer{}
		lines, err := a.Site(context.Background(), office.Reader{}, office.SiteAsk{})
		found, err2 := a.Recall(context.Background(), office.Reader{}, office.RecallAsk{})
		by := map[bool]office.Holder{true: own, false: copied}[owns > 0]
		if id := fmt.Sprintf("%p", by); !errors.Is(err, want) || !errors.Is(err2, want) || lines.ID != id || found.Late[0] != id {
			t.Errorf("%v, %v, answered by %s and %v, want %s", err, err2, lines.ID, found, id)
		}
		if own.asked != owns || copied.asked != copies || said.String() != says {
			t.Errorf("asked %d and %d, want %d and %d; said %q, want %q", own.asked, copied.asked, owns, copies, said, says)
		}
	}
	lost := errors.New("connection\nrefused")
	gone := "coolhold: COOLHOLD_OFFICE_READ does not answer, who reads is answered by the database itself: connection refused\n"
	opens = lost
	asks(2, 0, nil, gone)
	boot += copyRest
	asks(2, 0, nil, "")
	opens, boot = nil, boot+copyRest-1
	asks(2, 0, nil, "") // it rests
	boot++
	asks(0, 2, nil, "coolhold: COOLHOLD_OFFICE_READ answers again\n")
	for _, unknown := range []error{office.ErrRefused, office.ErrNotHeld} {
		copied.err = fmt.Errorf("%w: so far", unknown)
		asks(2, 2, nil, "")
		own.err = fmt.Errorf("%w at all", unknown)
		asks(2, 2, own.err, "")
		own.err = nil
	}
	copied.err = lost
	asks(2, 1, nil, gone)
	asks(2, 0, nil, "")
}

// Each request is a line, with the time, from where it came, what was asked and how it
// was answered, of a parcel whose it is; nothing that a stranger sends is more than that.
func TestServeSaysWhatWasAsked(t *testing.T) {
	f := newFirm(t)
	f.env["COOLHOLD_OFFICE_KEY"] = filepath.Join(t.TempDir(), "office.key")
	h := &held{Holder: f.office, err: errors.New("the disk\nis \x1b[31mfull")}
	o := f.servesFrom(h, serving{listen: "127.0.0.1:0"}, errors.New("not now"))
	<-o.workups
	f.send(exitFindings, "does not know this laptop's key yet", "--to", o.url)
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	f.send(exitDone, "the office has all", "--to", o.url)
	<-o.workups
	ask := func(path, token string) {
		t.Helper()
		r, err := http.NewRequest("POST", o.url+path, strings.NewReader("{}"))
		if err != nil {
			t.Fatal(err)
		}
		if token != "" {
			r.Header.Set("Authorization", "Bearer "+token)
		}
		got, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		got.Body.Close()
	}
	ask("/1/parcel", "")
	ask("/1/site", "")
	ask("/1/site", "tok")
	ask("/1/site", "tok")
	ask("/1/%1b%5b2J%0Aforged%20line", "")
	h.err = fmt.Errorf("%w: the token is not known", office.ErrRefused)
	ask("/1/recall", "tok")
	o.ends()
	if err := <-o.over; err != nil {
		t.Error(err)
	}
	k, err := laptopKey(f.e)
	if err != nil {
		t.Fatal(err)
	}
	id := strings.Join(strings.SplitN(k.Public(), "+", 3)[:2], "+")
	said := o.said.String()
	for _, line := range []string{
		"POST /1/parcel 202 log XM, key " + id,
		"POST /1/parcel 200 log XM, key " + id,
		"POST /1/parcel 422: ",
		"POST /1/site 401: a token is needed to read at the office",
		"POST /1/site 503 token 1a7674eb: the office has a fault of its own; try again later: the disk is ",
		"POST /1/site 503 token 1a7674eb: the office has a fault of its own; try again later: the same fault as before",
		"POST /1/·[2J forged line 404",
		"POST /1/recall 403 token 1a7674eb: not granted: the token is not known",
	} {
		if !regexp.MustCompile(`(?m)^2026-03-09 17:40:00 127\.0\.0\.1:[0-9]+ ` + regexp.QuoteMeta(line)).MatchString(said) {
			t.Errorf("no line %q in\n%s", line, said)
		}
	}
	if !regexp.MustCompile(`(?m)^2026-03-09 17:40:00 coolhold: not now$`).MatchString(said) {
		t.Errorf("what was not worked up has no line with the time in\n%s", said)
	}
	for line := range strings.Lines(said) {
		if !strings.HasPrefix(line, "2026-03-09 17:40:00 ") || strings.ContainsRune(line, 0x1b) {
			t.Errorf("a line that is none of its own: %q", line)
		}
	}
}

// All that the environment may name stands together in the help and in README.
func TestTheOfficesEnvironmentIsNamed(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	f := newFirm(t)
	help := map[string]string{"README": string(readme), "office": f.run("office", "--help").out}
	for _, name := range []string{"DB", "KEY", "READ", "CA", "TOKEN"} {
		for where, text := range help {
			if !strings.Contains(text, "COOLHOLD_OFFICE_"+name) {
				t.Errorf("%s does not name COOLHOLD_OFFICE_%s", where, name)
			}
		}
	}
	if !strings.Contains(f.run("send", "--help").out, "COOLHOLD_OFFICE_CA") {
		t.Error("send does not name COOLHOLD_OFFICE_CA")
	}
}

// What is due is worked up once, and as a day begins though nothing came.
func TestKeepsUp(t *testing.T) {
	noon := fusion.Stamp{Wall: time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)}
	var passed atomic.Int64
	e := edges{now: func() fusion.Stamp { return noon.Add(time.Duration(passed.Load())) }, err: io.Discard}
	ctx, end := context.WithCancel(context.Background())
	defer end()
	due, look, done := make(chan struct{}), make(chan time.Time), make(chan struct{})
	var days []string
	go func() {
		keepsUp(ctx, e, due, look, func(context.Context) error {
			days = append(days, e.now().Local().Format(time.DateOnly))
			return nil
		})
		close(done)
	}()
	due <- struct{}{}
	look <- time.Time{} // the same day
	look <- time.Time{} // it heard the one before
	passed.Store(int64(24 * time.Hour))
	look <- time.Time{}
	look <- time.Time{}
	end()
	<-done
	if got := strings.Join(days, " "); got != "2026-03-09 2026-03-10" {
		t.Errorf("worked up on %s", got)
	}
}

// ownCertificate is one for this machine, with its key, in files.
func ownCertificate(t *testing.T) (cert, key string) {
	t.Helper()
	public, secret, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "invented"}, NotAfter: time.Date(2099, 1, 1, 0, 0, 0, 0, time.UTC),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, &c, &c, public, secret)
	if err != nil {
		t.Fatal(err)
	}
	pkcs, err := x509.MarshalPKCS8PrivateKey(secret)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for name, block := range map[string]*pem.Block{"office.crt": {Type: "CERTIFICATE", Bytes: der}, "office.pem": {Type: "PRIVATE KEY", Bytes: pkcs}} {
		if err := os.WriteFile(filepath.Join(dir, name), pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(dir, "office.crt"), filepath.Join(dir, "office.pem")
}

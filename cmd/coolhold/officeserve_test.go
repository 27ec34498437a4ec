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
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/office"
	"coolhold/logbook/office/pg/cluster"
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
	e.err = o.said
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
		{serving{listen: "nonsense"}, exitUsage, "write it as 127.0.0.1:7667"},
		{serving{listen: "127.0.0.1:0", cert: cert, key: cert}, exitUsage, "do not go together"},
		{serving{listen: "127.0.0.1:0", cert: cert, key: "/nowhere"}, exitInput, "cannot read /nowhere"},
	} {
		var ee *exitError
		err := c.s.serve(context.Background(), f.e, io.Discard, f.office, func() (seal.Key, error) { return officeKey(f.e) }, never)
		if !errors.As(err, &ee) || ee.code != c.code || !strings.Contains(fmt.Sprint(err), c.says) {
			t.Errorf("%+v: %v", c.s, err)
		}
	}
	if _, err := os.Stat(f.env["COOLHOLD_OFFICE_KEY"]); err == nil {
		t.Error("a key was made for an office that nobody can reach")
	}
	o := f.serves(serving{listen: "127.0.0.1:0", cert: cert, key: secret}, nil)
	if !strings.HasPrefix(o.url, "https://") {
		t.Fatalf("it is at %q", o.url)
	}
	f.send(exitUsage, "its certificate is not known here", "--to", o.url)
	f.env["COOLHOLD_OFFICE_CA"] = cert
	f.send(exitDone, "the office has all", "--to", o.url)
	o.ends()
	if err := <-o.over; err != nil {
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
	server := &postgres{t: t}
	at, err := server.database("")
	if errors.Is(err, cluster.ErrNone) {
		t.Skip(err)
	} else if err != nil {
		t.Fatal(err)
	}
	f := newFirm(t)
	f.env["COOLHOLD_OFFICE_KEY"] = filepath.Join(t.TempDir(), "office.key")
	f.env["COOLHOLD_OFFICE_DB"] = at
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
	// answer is what the office answers, with or without a copy for its readers.
	answer := func(reads string) string {
		t.Helper()
		f.env["COOLHOLD_OFFICE_READ"] = reads
		o, err := officeDB(f.e, "")
		if err != nil {
			t.Fatal(err)
		}
		defer o.Close()
		h, done, err := serving{}.readers(f.e, o)
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
		return does("history", "--weld", "XM-0001", "--office", s.url)
	}
	does("note", "XM-0001", "said after the copy was made", "--by", "Ada Invented", "--log", f.log)
	if got := answer(copied); got != before {
		t.Errorf("the copy answers\n%s, want\n%s", got, before)
	}
	if got := answer(""); got == before || !strings.Contains(got, "said after the copy was made") {
		t.Errorf("the database answers\n%s", got)
	}
	f.env["COOLHOLD_OFFICE_READ"] = "host=/nowhere"
	if got := f.run("office", "serve", "--listen", "127.0.0.1:0"); got.code != exitLog || !strings.Contains(got.err, "COOLHOLD_OFFICE_READ: the office's database") {
		t.Errorf("a copy that is nowhere: %+v", got)
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

package wire

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
	"net/http/httptest"
	"net/url"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"coolhold/logbook/office"
	"coolhold/logbook/recall"
)

// A desk answers as it is told, and keeps what it was asked.
type desk struct {
	err    error
	answer office.Answer
	took   []byte
	who    office.Reader
	site   office.SiteAsk
	query  office.RecallAsk
	wait   chan struct{} // taking waits for it
}

func (d *desk) Take(_ context.Context, p []byte) (office.Answer, error) {
	d.took = p
	if d.wait != nil {
		<-d.wait
	}
	return d.answer, d.err
}

func (d *desk) Site(_ context.Context, who office.Reader, ask office.SiteAsk) (office.SiteLines, error) {
	d.who, d.site = who, ask
	return office.SiteLines{ID: "id", Tag: "KM", Entries: 3, Lines: []string{"a", "b"}}, d.err
}

func (d *desk) Recall(_ context.Context, who office.Reader, q office.RecallAsk) (office.Recalled, error) {
	d.who, d.query = who, q
	return office.Recalled{Hits: []recall.Hit{{Weld: "KM-0001"}}, Logs: []office.RecalledFrom{{ID: "id", Hits: 1}}, Late: []string{"s"}}, d.err
}

// asks is a client of a desk that is served here.
func asks(t *testing.T, d *desk, told Told, token string) *Client {
	t.Helper()
	s := httptest.NewServer(Handler(d, told))
	t.Cleanup(s.Close)
	c, err := NewClient(s.URL, token, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.Close)
	return c
}

// Each answer to a parcel goes through with its code, and each refusal comes out as the
// error that went in; of the office's own faults nothing is told but that there is one.
func TestWhatIsAnsweredToAParcel(t *testing.T) {
	own := errors.New("host=/secret is on fire")
	for _, c := range []struct {
		answer office.Answer
		err    error
		code   int
		is     error
		taken  int
	}{
		{office.Answer{Standing: office.Level, Receipt: "r", Key: "k"}, nil, 200, nil, 1},
		{office.Answer{Standing: office.Parted, Receipt: "r", Branch: 1, Parted: 7}, nil, 200, nil, 1},
		{office.Answer{Standing: office.Behind, Receipt: "r"}, nil, 200, nil, 1},
		{office.Answer{Waiting: true}, nil, 202, nil, 0},
		{office.Answer{Waiting: true, Held: true, Withdrawn: &office.Withdrawal{At: time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC), By: "Ida Invented"}}, nil, 202, nil, 0},
		{office.Answer{Standing: office.Ahead, From: 12, Marks: []office.Mark{{Branch: 1, Entries: 11}}}, nil, 409, nil, 0},
		{office.Answer{}, fmt.Errorf("%w: its root", office.ErrParcel), 422, office.ErrParcel, 0},
		{office.Answer{}, fmt.Errorf("%w: 3 bytes", office.ErrFull), 507, office.ErrFull, 0},
		{office.Answer{}, own, 503, ErrOffice, 0},
	} {
		var taken int
		var asked []Request
		d := &desk{answer: c.answer, err: c.err}
		told := Told{func() { taken++ }, func(r *Request) { asked = append(asked, *r) }}
		got, err := asks(t, d, told, "").Take(context.Background(), []byte("parcel"))
		if string(d.took) != "parcel" || !errors.Is(err, c.is) || (err == nil) != (c.is == nil) || taken != c.taken {
			t.Errorf("%v: took %q, error %v, told %d times", c.code, d.took, err, taken)
		}
		if c.err == nil && !reflect.DeepEqual(got, c.answer) {
			t.Errorf("%+v became %+v", c.answer, got)
		}
		if len(asked) != 1 || asked[0].Code != c.code || asked[0].Path != pathParcel || asked[0].From == "" {
			t.Fatalf("%v: told of %+v", c.code, asked)
		}
		if r := asked[0]; (r.Fault == own) != (c.err == own) || err != nil && (strings.Contains(err.Error(), "secret") || r.Says != err.Error()) {
			t.Errorf("%v: told of %+v, said %v", c.code, r, err)
		}
		w := httptest.NewRecorder()
		Handler(d, Told{}).ServeHTTP(w, httptest.NewRequest("POST", pathParcel, strings.NewReader("parcel")))
		if w.Code != c.code {
			t.Errorf("code %d, want %d", w.Code, c.code)
		}
	}
}

// A parcel that is longer than one may be is refused before it is all read.
func TestAParcelThatIsTooLong(t *testing.T) {
	d := &desk{}
	w := httptest.NewRecorder()
	endless := &counted{}
	r := httptest.NewRequest("POST", pathParcel, endless)
	Handler(d, Told{}).ServeHTTP(w, r)
	if w.Code != 422 || d.took != nil || endless.n > office.MostParcel+1<<20 {
		t.Errorf("code %d, took %d, read %d bytes", w.Code, len(d.took), endless.n)
	}
}

type counted struct{ n int }

func (c *counted) Read(p []byte) (int, error) { c.n += len(p); return len(p), nil }

// Nothing is answered but what is asked for with POST.
func TestOtherPaths(t *testing.T) {
	for _, c := range []struct {
		method, path string
		code         int
	}{{"GET", pathParcel, 405}, {"POST", "/", 404}, {"POST", "/1/weld", 404}, {"DELETE", pathSite, 405}} {
		w := httptest.NewRecorder()
		Handler(&desk{}, Told{}).ServeHTTP(w, httptest.NewRequest(c.method, c.path, nil))
		if w.Code != c.code {
			t.Errorf("%s %s: %d, want %d", c.method, c.path, w.Code, c.code)
		}
	}
}

// Questions and answers go through as they are, with the token, and who has none gets
// nothing.
func TestQuestions(t *testing.T) {
	d := &desk{}
	c := asks(t, d, Told{}, "tok")
	ask := office.SiteAsk{Log: "KM", Site: "larkrise", AsOf: time.Date(2026, 3, 9, 17, 40, 0, 0, time.UTC)}
	lines, err := c.Site(context.Background(), ask)
	if err != nil || d.who.Token != "tok" || !d.site.AsOf.Equal(ask.AsOf) || d.site.Log != ask.Log || d.site.Site != ask.Site || len(lines.Lines) != 2 || lines.Entries != 3 {
		t.Errorf("%v; asked %+v by %+v; %+v", err, d.site, d.who, lines)
	}
	q := office.RecallAsk{Query: recall.Query{Batch: "B", Unit: "U", Operator: "O", From: "2026-01-01", To: "2026-02-02"}, Logs: []string{"KM/1", "KN"}}
	got, err := c.Recall(context.Background(), q)
	if err != nil || !reflect.DeepEqual(d.query, q) || len(got.Hits) != 1 || got.Logs[0].Hits != 1 || got.Late[0] != "s" {
		t.Errorf("%v; asked %+v; %+v", err, d.query, got)
	}
	for _, refusal := range []error{office.ErrRefused, office.ErrNotHeld} {
		d.err = fmt.Errorf("%w: in these words", refusal)
		if _, err := c.Site(context.Background(), ask); !errors.Is(err, refusal) || !strings.Contains(err.Error(), "in these words") {
			t.Errorf("%v became %v", refusal, err)
		}
	}
	d.err, d.who = nil, office.Reader{Token: "nobody asked"}
	none := asks(t, d, Told{}, "")
	if _, err := none.Site(context.Background(), ask); !errors.Is(err, office.ErrRefused) {
		t.Errorf("without a token: %v", err)
	}
	if _, err := none.Recall(context.Background(), q); !errors.Is(err, office.ErrRefused) || d.who.Token != "nobody asked" {
		t.Errorf("without a token: %v, asked by %v", err, d.who)
	}
	for _, body := range []string{"", "{", strings.Repeat(" ", mostAsked+1) + "{}"} {
		w, r := httptest.NewRecorder(), httptest.NewRequest("POST", pathSite, strings.NewReader(body))
		r.Header.Set("Authorization", "Bearer t")
		if Handler(d, Told{}).ServeHTTP(w, r); w.Code != 422 {
			t.Errorf("a question of %d bytes: %d", len(body), w.Code)
		}
	}
}

// certificate is one for this machine until a year, with its key.
func certificate(t *testing.T, until int) (cert, key []byte) {
	t.Helper()
	public, secret, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "invented"}, NotBefore: time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC), NotAfter: time.Date(until, 1, 1, 0, 0, 0, 0, time.UTC),
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
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: pkcs})
}

// listen listens until the test is over.
func listen(t *testing.T, cert, key []byte) net.Listener {
	t.Helper()
	l, err := Listen("127.0.0.1:0", cert, key)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return l
}

// serves is an office that answers until the test is over.
func serves(t *testing.T, l net.Listener) (at string) {
	t.Helper()
	ctx, end := context.WithCancel(context.Background())
	over := make(chan error, 1)
	go func() { over <- Serve(ctx, l, Handler(&desk{answer: office.Answer{Standing: office.Level}}, Told{})) }()
	t.Cleanup(func() {
		end()
		if err := <-over; err != nil {
			t.Error(err)
		}
	})
	return l.Addr().String()
}

// Without a certificate only this machine is listened to; with one it is spoken to under
// TLS, and only by who knows it.
func TestTLSOrThisMachineAlone(t *testing.T) {
	cert, key := certificate(t, 2099)
	old, oldKey := certificate(t, 2002)
	plain := listen(t, nil, nil)
	for _, c := range []struct {
		at        string
		cert, key []byte
		is        error
		says      string
	}{
		{"0.0.0.0:0", nil, nil, ErrOpen, "can be reached from other machines"},
		{":0", nil, nil, ErrOpen, "can be reached"},
		{"[::]:0", nil, nil, ErrOpen, "can be reached"},
		{"192.0.2.1:0", nil, nil, ErrOpen, "can be reached"},
		{"office.invalid:0", nil, nil, ErrOpen, "can be reached"},
		{"127.0.0.1", nil, nil, ErrAddress, "write it as 127.0.0.1:7667"},
		{"", nil, nil, ErrAddress, "write it as"},
		{"127.0.0.1:0", cert, cert, ErrCertificate, "certificate and key do not go together"},
		{"127.0.0.1:0", cert, oldKey, ErrCertificate, "certificate and key do not go together: private key does not match public key"},
		{plain.Addr().String(), nil, nil, ErrTaken, plain.Addr().String() + " cannot be listened on: "},
		{plain.Addr().String(), cert, key, ErrTaken, plain.Addr().String() + " cannot be listened on: "},
	} {
		l, err := Listen(c.at, c.cert, c.key)
		if !errors.Is(err, c.is) || !strings.Contains(fmt.Sprint(err), c.says) || c.is != ErrAddress && errors.Is(err, ErrAddress) {
			t.Errorf("%q: %v, %v; want %v, %q", c.at, l, err, c.is, c.says)
		}
	}
	at := "https://" + serves(t, listen(t, cert, key))
	serves(t, plain)
	for _, c := range []struct {
		at        string
		authority []byte
		is        error
		says      string
	}{
		{at, cert, nil, ""},
		{at, nil, ErrUnknown, "its certificate is not known here: made by CN=invented"},
		{at, old, ErrUnknown, "its certificate is not known here"},
		{strings.Replace(at, "127.0.0.1", "localhost", 1), cert, ErrCertificate, "its certificate is for 127.0.0.1, not for localhost"},
		{strings.Replace(at, "https", "http", 1), nil, ErrScheme, "it speaks TLS: write https://"},
		{"https://" + serves(t, listen(t, old, oldKey)), old, ErrCertificate, "its certificate holds from 2001-01-01 to 2002-01-01, and by this machine's clock that is not now"},
		{"https://" + plain.Addr().String(), cert, ErrScheme, "it does not speak TLS there"},
	} {
		client, err := NewClient(c.at, "", c.authority)
		if err != nil {
			t.Fatal(err)
		}
		if _, err = client.Take(context.Background(), []byte("p")); !errors.Is(err, c.is) || (err == nil) != (c.is == nil) || err != nil && !strings.HasPrefix(err.Error(), c.says) {
			t.Errorf("%s: %v, want %v, %q", c.at, err, c.is, c.says)
		}
		client.Close()
	}
}

// What is being answered as an office ends is answered.
func TestAnOfficeEndsInOrder(t *testing.T) {
	l, err := Listen("127.0.0.1:0", nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(context.Background())
	d := &desk{answer: office.Answer{Standing: office.Level, Receipt: "r"}, wait: make(chan struct{})}
	over, asked := make(chan error, 1), make(chan error, 1)
	go func() { over <- Serve(ctx, l, Handler(d, Told{})) }()
	c, err := NewClient("http://"+l.Addr().String(), "", nil)
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		a, err := c.Take(context.Background(), []byte("p"))
		if err == nil && a.Receipt != "r" {
			err = errors.New("no receipt")
		}
		asked <- err
	}()
	d.wait <- struct{}{} // it is being taken
	end()
	if err := <-asked; err != nil {
		t.Error(err)
	}
	if err := <-over; err != nil {
		t.Error(err)
	}
	if _, err := c.Take(context.Background(), []byte("p")); !errors.Is(err, ErrAway) || !errors.Is(err, ErrLink) {
		t.Errorf("it has ended: %v", err)
	}
}

// Addresses that would be spoken to in the open are refused, and what is none.
func TestAddresses(t *testing.T) {
	for _, at := range []string{"", "office", "ftp://office", "http://office.invalid", "http://192.0.2.1:1", "https://", "https://a:b@office", "https://office?x=1", "https://office#x", "://"} {
		if _, err := NewClient(at, "", nil); !errors.Is(err, ErrAddress) {
			t.Errorf("%q: %v", at, err)
		}
	}
	for _, at := range []string{"https://office.invalid", "https://office.invalid:7667/", "http://127.0.0.1:7667", "http://localhost:1", "http://[::1]:1"} {
		if _, err := NewClient(at, "", nil); err != nil {
			t.Errorf("%q: %v", at, err)
		}
	}
	if _, err := NewClient("https://office.invalid", "", []byte("nothing")); !errors.Is(err, ErrCertificate) {
		t.Errorf("an authority that is none: %v", err)
	}
}

// What answers and is no office, or too long, or leads elsewhere, is an error, and no
// answer.
func TestNoOffice(t *testing.T) {
	elsewhere := false
	for name, h := range map[string]http.HandlerFunc{
		"a page":      func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "<html>log in") },
		"too long":    func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write(bytes.Repeat([]byte(" "), 1<<20+1)) },
		"bad gateway": func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(502) },
		"elsewhere": func(w http.ResponseWriter, r *http.Request) {
			elsewhere = elsewhere || r.URL.Path == "/there"
			http.Redirect(w, r, "/there", http.StatusFound)
		},
	} {
		s := httptest.NewServer(h)
		c, err := NewClient(s.URL, "", nil)
		if err != nil {
			t.Fatal(err)
		}
		if a, err := c.Take(context.Background(), []byte("p")); !errors.Is(err, ErrOffice) || elsewhere {
			t.Errorf("%s: %+v, %v", name, a, err)
		}
		c.Close()
		s.Close()
	}
}

// A link on which nothing moves is given up.
func TestALinkThatStalls(t *testing.T) {
	d := &desk{wait: make(chan struct{})}
	c := asks(t, d, Told{}, "")
	c.stall = time.Millisecond
	if _, err := c.Take(context.Background(), []byte("p")); !errors.Is(err, ErrLink) || !errors.Is(err, ErrStalled) || !strings.Contains(err.Error(), "nothing came through") {
		t.Error(err)
	}
	close(d.wait)
	if err := linkLost(context.Background(), &url.Error{Op: "Post", URL: "https://office.invalid", Err: os.ErrDeadlineExceeded}); !errors.Is(err, ErrStalled) || !errors.Is(err, ErrLink) || errors.Is(err, ErrAway) {
		t.Errorf("a handshake that nobody answers: %v", err)
	}
}

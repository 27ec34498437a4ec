package wire

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"strings"

	"coolhold/logbook/office"
	"coolhold/logbook/recall"
)

// A Told is whom a server tells what happens. Each may be called by several at once.
type Told struct {
	Taken func()         // a parcel was taken: there may be something to work up
	Asked func(*Request) // something was asked, and answered
}

// A Request is something that was asked, and with which code it was answered. All but the
// code and the fault may be what a stranger made up.
type Request struct {
	Method, Path, From string
	Code               int    // 0: nobody waited for the answer
	Tag, Key           string // of a parcel: the log's letters and the key that is said to have signed it
	Token              string // of a question: the name of its token
	Says               string // why it was refused
	Fault              error  // of the office's own; the other side is not told of it
}

// Handler answers for a desk.
func Handler(desk office.Desk, told Told) http.Handler {
	s := server{desk, told, make(chan struct{}, mostAtOnce)}
	mux := http.NewServeMux()
	mux.HandleFunc("POST "+pathParcel, s.parcel)
	mux.HandleFunc("POST "+pathSite, s.site)
	mux.HandleFunc("POST "+pathRecall, s.recall)
	if told.Asked == nil {
		return mux
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		t := &tells{w, Request{Method: r.Method, Path: r.URL.Path, From: r.RemoteAddr}}
		mux.ServeHTTP(t, r)
		told.Asked(&t.Request)
	})
}

// A tells is an answer that keeps what is told of it.
type tells struct {
	http.ResponseWriter
	Request
}

func (t *tells) WriteHeader(code int) {
	t.Code = code
	t.ResponseWriter.WriteHeader(code)
}

// bare is the answer itself: a reader of too much ends its connection.
func bare(w http.ResponseWriter) http.ResponseWriter {
	if t, is := w.(*tells); is {
		return t.ResponseWriter
	}
	return w
}

type server struct {
	desk   office.Desk
	told   Told
	atWork chan struct{}
}

// work waits for its turn; false: whoever asked has gone.
func (s server) work(r *http.Request) bool {
	select {
	case s.atWork <- struct{}{}:
		return true
	case <-r.Context().Done():
		return false
	}
}

func (s server) parcel(w http.ResponseWriter, r *http.Request) {
	data, err := io.ReadAll(http.MaxBytesReader(bare(w), r.Body, office.MostParcel))
	if err != nil {
		s.refuse(w, fmt.Errorf("%w: it is cut off, or longer than %d bytes", office.ErrParcel, office.MostParcel))
		return
	}
	if t, is := w.(*tells); is {
		t.Tag, t.Key, _ = office.Claims(data) // what is no parcel says nothing
	}
	if !s.work(r) {
		return
	}
	defer func() { <-s.atWork }()
	a, err := s.desk.Take(r.Context(), data)
	switch {
	case err != nil:
		s.refuse(w, err)
	case a.Waiting:
		answer(w, http.StatusAccepted, a)
	case a.Standing == office.Ahead:
		answer(w, http.StatusConflict, a)
	default:
		answer(w, http.StatusOK, a)
		if s.told.Taken != nil {
			s.told.Taken()
		}
	}
}

func (s server) site(w http.ResponseWriter, r *http.Request) {
	reply(s, w, r, func(who office.Reader, ask office.SiteAsk) (office.SiteLines, error) {
		return s.desk.Site(r.Context(), who, ask)
	})
}

func (s server) recall(w http.ResponseWriter, r *http.Request) {
	reply(s, w, r, func(who office.Reader, ask asked) (office.Recalled, error) {
		return s.desk.Recall(r.Context(), who, office.RecallAsk{Query: recall.Query(ask.query), Logs: ask.Logs})
	})
}

// reply answers a question of somebody with a token.
func reply[Q, A any](s server, w http.ResponseWriter, r *http.Request, f func(office.Reader, Q) (A, error)) {
	token, is := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !is || token == "" {
		answer(w, http.StatusUnauthorized, refusal{"a token is needed to read at the office"})
		return
	}
	if t, is := w.(*tells); is {
		t.Token = office.Reader{Token: token}.ID()
	}
	var q Q
	if err := json.NewDecoder(http.MaxBytesReader(bare(w), r.Body, mostAsked)).Decode(&q); err != nil {
		answer(w, http.StatusUnprocessableEntity, refusal{"this question cannot be read"})
		return
	}
	if !s.work(r) {
		return
	}
	defer func() { <-s.atWork }()
	a, err := f(office.Reader{Token: token}, q)
	if err != nil {
		s.refuse(w, err)
		return
	}
	answer(w, http.StatusOK, a)
}

// refuse answers with an error of package office; any other is the office's own, which
// may name what is of no concern outside.
func (s server) refuse(w http.ResponseWriter, err error) {
	for _, c := range codes {
		if errors.Is(err, c.err) {
			answer(w, c.code, refusal{oneLine(err.Error())})
			return
		}
	}
	if t, is := w.(*tells); is && !errors.Is(err, context.Canceled) {
		t.Fault = err
	}
	answer(w, http.StatusServiceUnavailable, refusal{"the office has a fault of its own; try again later"})
}

func answer(w http.ResponseWriter, code int, v any) {
	if t, is := w.(*tells); is {
		if r, refused := v.(refusal); refused {
			t.Says = r.Says
		}
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(v) // who does not hear it asks again
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// Listen listens on an address. certificate and key are the text of their files; without
// them it must be one of this machine alone, since what is said could be read on the way.
// The error is ErrAddress, ErrOpen, ErrCertificate or ErrTaken.
func Listen(address string, certificate, key []byte) (net.Listener, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, fmt.Errorf("%w: %q; write it as 127.0.0.1:7667", ErrAddress, address)
	}
	if certificate == nil {
		if !here(host) {
			return nil, worded{address + " can be reached from other machines, and without a certificate anybody on the way could read what is said", ErrOpen}
		}
		l, err := net.Listen("tcp", address)
		return l, listened(address, err)
	}
	pair, err := tls.X509KeyPair(certificate, key)
	if err != nil {
		return nil, worded{"certificate and key do not go together: " + strings.TrimPrefix(err.Error(), "tls: "), ErrCertificate}
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, listened(address, err)
	}
	return tls.NewListener(l, &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}), nil
}

func listened(address string, err error) error {
	var op *net.OpError
	if err == nil {
		return nil
	}
	if errors.As(err, &op) {
		err = op.Err // the rest names the address once more
	}
	if why := errors.Unwrap(err); why != nil {
		err = why // without the name of the system's call
	}
	return worded{address + " cannot be listened on: " + err.Error(), ErrTaken}
}

// Everywhere is the port of a listener that is reached at all addresses of this machine;
// not of one that is reached at a single one.
func Everywhere(l net.Listener) (port int, all bool) {
	a, is := l.Addr().(*net.TCPAddr)
	if !is || !a.IP.IsUnspecified() {
		return 0, false
	}
	return a.Port, true
}

// here tells whether a host is this machine and no other.
func here(host string) bool {
	if host == "localhost" {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// Serve answers until it is told to end; what is being answered then is answered.
func Serve(ctx context.Context, l net.Listener, h http.Handler) error {
	s := &http.Server{
		Handler: h, ReadHeaderTimeout: headWait, ReadTimeout: bodyWait, WriteTimeout: answerWait, IdleTimeout: idleWait,
		MaxHeaderBytes: 16 << 10, ErrorLog: log.New(io.Discard, "", 0), // what strangers send is no news
	}
	over := make(chan error, 1)
	stop := context.AfterFunc(ctx, func() {
		end, cancel := context.WithTimeout(context.Background(), endWait)
		defer cancel()
		over <- s.Shutdown(end)
	})
	err := s.Serve(l)
	if !stop() { // it was told to end
		<-over
		return nil
	}
	return err
}

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
	Taken func()      // a parcel was taken: there may be something to work up
	Fault func(error) // a fault of the office's own; the other side is not told of it
}

// Handler answers for a desk.
func Handler(desk office.Desk, told Told) http.Handler {
	s := server{desk, told, make(chan struct{}, mostAtOnce)}
	mux := http.NewServeMux()
	mux.HandleFunc("POST "+pathParcel, s.parcel)
	mux.HandleFunc("POST "+pathSite, s.site)
	mux.HandleFunc("POST "+pathRecall, s.recall)
	return mux
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
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, office.MostParcel))
	if err != nil {
		s.refuse(w, fmt.Errorf("%w: it is cut off, or longer than %d bytes", office.ErrParcel, office.MostParcel))
		return
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
		return s.desk.Recall(r.Context(), who, recall.Query(ask))
	})
}

// reply answers a question of somebody with a token.
func reply[Q, A any](s server, w http.ResponseWriter, r *http.Request, f func(office.Reader, Q) (A, error)) {
	token, is := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !is || token == "" {
		answer(w, http.StatusUnauthorized, refusal{"a token is needed to read at the office"})
		return
	}
	var q Q
	if err := json.NewDecoder(http.MaxBytesReader(w, r.Body, mostAsked)).Decode(&q); err != nil {
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
	if s.told.Fault != nil && !errors.Is(err, context.Canceled) {
		s.told.Fault(err)
	}
	answer(w, http.StatusServiceUnavailable, refusal{"the office has a fault of its own; try again later"})
}

func answer(w http.ResponseWriter, code int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(code)
	_ = json.NewEncoder(w).Encode(v) // who does not hear it asks again
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// Listen listens on an address. certificate and key are the text of their files; without
// them it must be one of this machine alone, since what is said could be read on the way.
func Listen(address string, certificate, key []byte) (net.Listener, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, fmt.Errorf("%w: %q; write it as 127.0.0.1:7667", ErrAddress, address)
	}
	if certificate == nil {
		if !here(host) {
			return nil, fmt.Errorf("%w: %s can be reached from other machines, and without a certificate anybody on the way could read what is said", ErrAddress, address)
		}
		l, err := net.Listen("tcp", address)
		return l, listened(err)
	}
	pair, err := tls.X509KeyPair(certificate, key)
	if err != nil {
		return nil, fmt.Errorf("%w: certificate and key do not go together: %w", ErrAddress, err)
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, listened(err)
	}
	return tls.NewListener(l, &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}), nil
}

func listened(err error) error {
	if err != nil {
		err = fmt.Errorf("%w: %w", ErrAddress, err)
	}
	return err
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

package wire

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"

	"coolhold/logbook/office"
	"coolhold/logbook/recall"
)

// stalls is after how long without a byte a link counts as lost: our choice.
const stalls = time.Minute

// A Client speaks with one office.
type Client struct {
	at    string
	token string
	http  *http.Client
	stall time.Duration
}

// NewClient is one for an office at https://HOST, or http:// on this machine. token is
// for reading. authority, if it is not empty, is the text of the certificates by which
// the office's own is known; else those of this machine count.
func NewClient(at, token string, authority []byte) (*Client, error) {
	u, err := url.Parse(at)
	switch {
	case err != nil || u.Host == "" || u.User != nil || u.RawQuery != "" || u.Fragment != "":
		return nil, fmt.Errorf("%w: %q; write it as https://office.example:7667", ErrAddress, at)
	case u.Scheme == "http" && !here(u.Hostname()):
		return nil, fmt.Errorf("%w: %s would be spoken to in the open, where anybody on the way can read it; write https://", ErrAddress, at)
	case u.Scheme != "https" && u.Scheme != "http":
		return nil, fmt.Errorf("%w: %q begins with neither https:// nor http://", ErrAddress, at)
	}
	trust := &tls.Config{MinVersion: tls.VersionTLS12}
	if len(authority) > 0 {
		trust.RootCAs = x509.NewCertPool()
		if !trust.RootCAs.AppendCertsFromPEM(authority) {
			return nil, fmt.Errorf("%w: there is no certificate in what the office is to be known by", ErrAddress)
		}
	}
	t := &http.Transport{
		Proxy: http.ProxyFromEnvironment, DialContext: (&net.Dialer{Timeout: headWait}).DialContext, TLSHandshakeTimeout: headWait,
		TLSClientConfig: trust, MaxIdleConns: 2, IdleConnTimeout: time.Minute, MaxResponseHeaderBytes: 16 << 10,
	}
	never := func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return &Client{strings.TrimRight(at, "/"), token, &http.Client{Transport: t, CheckRedirect: never}, stalls}, nil
}

// Close lets go of what is open.
func (c *Client) Close() { c.http.CloseIdleConnections() }

// Take has the office take a parcel. The error is ErrLink where it may be sent again.
func (c *Client) Take(ctx context.Context, parcel []byte) (a office.Answer, err error) {
	code, body, err := c.post(ctx, pathParcel, "application/octet-stream", parcel, 1<<20)
	if err != nil {
		return a, err
	}
	return a, read(code, body, &a, http.StatusOK, http.StatusAccepted, http.StatusConflict)
}

// Site asks for what a verb on one site reads.
func (c *Client) Site(ctx context.Context, ask office.SiteAsk) (s office.SiteLines, err error) {
	return s, c.ask(ctx, pathSite, ask, &s)
}

// Recall asks for the welds that ever had something.
func (c *Client) Recall(ctx context.Context, q recall.Query) (r office.Recalled, err error) {
	return r, c.ask(ctx, pathRecall, asked(q), &r)
}

func (c *Client) ask(ctx context.Context, path string, q, to any) error {
	data, err := json.Marshal(q)
	if err != nil {
		return err
	}
	code, body, err := c.post(ctx, path, "application/json", data, mostAnswered)
	if err != nil {
		return err
	}
	return read(code, body, to, http.StatusOK)
}

// read reads an answer with one of the codes that have one.
func read(code int, body []byte, to any, good ...int) error {
	for _, g := range good {
		if g != code {
			continue
		}
		if err := json.Unmarshal(body, to); err != nil {
			return fmt.Errorf("%w: what it answers is not in its form: %w", ErrOffice, err)
		}
		return nil
	}
	var r refusal
	_ = json.Unmarshal(body, &r) // what is between may answer with a page
	return refused(code, oneLine(r.Says))
}

// errStalled: nothing moved for too long.
var errStalled = errors.New("nothing came through for too long")

// post sends a body and reads all of the answer.
func (c *Client) post(ctx context.Context, path, kind string, data []byte, most int64) (code int, body []byte, err error) {
	ctx, lost := context.WithCancelCause(ctx)
	defer lost(nil)
	watch := time.AfterFunc(c.stall, func() { lost(errStalled) })
	defer watch.Stop()
	moving := func(r io.Reader) io.Reader { return moves{r, func() { watch.Reset(c.stall) }} }
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, c.at+path, moving(bytes.NewReader(data)))
	if err != nil {
		return 0, nil, fmt.Errorf("%w: %w", ErrAddress, err)
	}
	r.ContentLength = int64(len(data))
	r.Header.Set("Content-Type", kind)
	if c.token != "" {
		r.Header.Set("Authorization", "Bearer "+c.token)
	}
	answer, err := c.http.Do(r)
	if err != nil {
		return 0, nil, linkLost(ctx, err)
	}
	defer answer.Body.Close()
	body, err = io.ReadAll(io.LimitReader(moving(answer.Body), most+1))
	switch {
	case err != nil:
		return 0, nil, linkLost(ctx, err)
	case int64(len(body)) > most:
		return 0, nil, fmt.Errorf("%w: what it answers is longer than %d bytes", ErrOffice, most)
	}
	return answer.StatusCode, body, nil
}

// linkLost says why nothing came back: an address that will never do is told apart.
func linkLost(ctx context.Context, err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		err = u.Err // without the address, which the caller names
	}
	var cert *tls.CertificateVerificationError
	if errors.As(err, &cert) {
		return fmt.Errorf("%w: its certificate is not known here: %w", ErrAddress, cert.Err)
	}
	if cause := context.Cause(ctx); errors.Is(cause, errStalled) {
		err = cause
	}
	if dial := new(net.OpError); errors.As(err, &dial) && dial.Op == "dial" {
		return unreached{err}
	}
	return fmt.Errorf("%w: %w", ErrLink, err)
}

// An unreached is a link that did not come about.
type unreached struct{ err error }

func (u unreached) Error() string   { return ErrAway.Error() + ": " + u.err.Error() }
func (u unreached) Unwrap() []error { return []error{ErrAway, ErrLink, u.err} }

// moves says with each read that something moves.
type moves struct {
	r    io.Reader
	tell func()
}

func (m moves) Read(p []byte) (int, error) {
	m.tell()
	return m.r.Read(p)
}

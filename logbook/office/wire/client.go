package wire

import (
	"bytes"
	"cmp"
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
	"slices"
	"strings"
	"time"

	"coolhold/logbook/office"
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
			return nil, worded{"there is no certificate (PEM) in what the office is to be known by", ErrCertificate}
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
func (c *Client) Recall(ctx context.Context, q office.RecallAsk) (r office.Recalled, err error) {
	return r, c.ask(ctx, pathRecall, asked{query(q.Query), q.Logs}, &r)
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

// post sends a body and reads all of the answer.
func (c *Client) post(ctx context.Context, path, kind string, data []byte, most int64) (code int, body []byte, err error) {
	ctx, lost := context.WithCancelCause(ctx)
	defer lost(nil)
	watch := time.AfterFunc(c.stall, func() { lost(ErrStalled) })
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
		return 0, nil, c.lost(ctx, err)
	}
	defer answer.Body.Close()
	body, err = io.ReadAll(io.LimitReader(moving(answer.Body), most+1))
	switch {
	case err != nil:
		return 0, nil, c.lost(ctx, err)
	case answer.StatusCode == http.StatusBadRequest && r.URL.Scheme == "http" && bytes.Contains(body, []byte("HTTPS")):
		return 0, nil, errSpeaksTLS
	case int64(len(body)) > most:
		return 0, nil, fmt.Errorf("%w: what it answers is longer than %d bytes", ErrOffice, most)
	}
	return answer.StatusCode, body, nil
}

var errSpeaksTLS = worded{"it speaks TLS: write https:// in place of http://", ErrScheme}

// lost is linkLost, but where TLS is spoken and was not spoken to.
func (c *Client) lost(ctx context.Context, err error) error {
	if c.speaksTLS(ctx) {
		return errSpeaksTLS
	}
	return linkLost(ctx, err)
}

// speaksTLS tells whether TLS is spoken where it was spoken to in the open. Such an office may
// hang up before its answer is read; nothing of it is believed here.
func (c *Client) speaksTLS(ctx context.Context) bool {
	host, open := strings.CutPrefix(c.at, "http://")
	if !open || ctx.Err() != nil {
		return false
	}
	d := tls.Dialer{NetDialer: &net.Dialer{Timeout: headWait}, Config: &tls.Config{InsecureSkipVerify: true, MinVersion: tls.VersionTLS12}} // it is only asked whether, never spoken to
	host, _, _ = strings.Cut(host, "/")
	link, err := d.DialContext(ctx, "tcp", host)
	if err != nil {
		return false
	}
	link.Close()
	return true
}

// linkLost says why nothing came back: an address that will never do is told apart.
func linkLost(ctx context.Context, err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		err = u.Err // without the address, which the caller names
	}
	var cert *tls.CertificateVerificationError
	switch {
	case errors.As(err, &cert):
		return distrusted(cert.Err)
	case errors.Is(err, http.ErrSchemeMismatch):
		return worded{"it does not speak TLS there; an office without a certificate is reached on its own machine alone, with http://", ErrScheme}
	}
	if cause := context.Cause(ctx); errors.Is(cause, ErrStalled) {
		err = cause
	}
	if dial := new(net.OpError); errors.As(err, &dial) && dial.Op == "dial" {
		return unreached{err}
	}
	var late net.Error
	if errors.As(err, &late) && late.Timeout() { // such as a handshake that nobody answers
		err = ErrStalled
	}
	return fmt.Errorf("%w: %w", ErrLink, err)
}

// distrusted says why a certificate does not prove that this is the office.
func distrusted(err error) error {
	var unknown x509.UnknownAuthorityError
	var name x509.HostnameError
	var invalid x509.CertificateInvalidError
	switch {
	case errors.As(err, &unknown):
		return worded{"its certificate is not known here: made by " + cmp.Or(unknown.Cert.Issuer.String(), "nobody with a name"), ErrUnknown}
	case errors.As(err, &name):
		return worded{fmt.Sprintf("its certificate is for %s, not for %s", names(name.Certificate), name.Host), ErrCertificate}
	case errors.As(err, &invalid) && invalid.Reason == x509.Expired:
		c := invalid.Cert
		return worded{fmt.Sprintf("its certificate holds from %s to %s, and by this machine's clock that is not now", c.NotBefore.Format(time.DateOnly), c.NotAfter.Format(time.DateOnly)), ErrCertificate}
	}
	return worded{"its certificate is not right: " + strings.TrimPrefix(err.Error(), "x509: "), ErrCertificate}
}

// names are those that a certificate is for.
func names(c *x509.Certificate) string {
	all := slices.Clone(c.DNSNames)
	for _, ip := range c.IPAddresses {
		all = append(all, ip.String())
	}
	return cmp.Or(strings.Join(all, ", "), "no host")
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

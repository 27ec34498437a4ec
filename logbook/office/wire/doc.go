// Package wire brings parcels and questions to an office over the network, and answers
// there. It is the only package that knows the network: it reads no file and asks for no
// time.
//
// All is asked with POST, of a path that names its version:
//
//	/1/parcel  the bytes of a parcel            office.Answer
//	/1/site    office.SiteAsk                   office.SiteLines
//	/1/recall  what is looked for, and where    office.Recalled
//
// Both but the parcel are JSON. Who reads says "Authorization: Bearer TOKEN"; a parcel
// needs none, since it is signed by its laptop.
//
//	200 taken, or answered         409 there is a gap: send from the entry that is named
//	202 its key is not admitted,   422 this is no whole parcel, or no question
//	    or no more; it is kept     507 too much waits to be admitted
//	401 no token, 403 not granted  503 the office's own fault: try again later
//	404 the office has no such log or site
//
// What is refused has a line in "says".
package wire

import (
	"errors"
	"fmt"
	"time"

	"coolhold/logbook/office"
	"coolhold/logbook/recall"
)

const (
	pathParcel = "/1/parcel"
	pathSite   = "/1/site"
	pathRecall = "/1/recall"
)

// Bounds of ours: on what is held in memory, and on how long somebody is waited for.
const (
	mostAsked    = 64 << 10  // bytes of a question
	mostAnswered = 256 << 20 // bytes of an answer: a site of 100,000 welds is less
	mostAtOnce   = 32        // requests that an office works on at one time; others wait
	headWait     = 10 * time.Second
	bodyWait     = 5 * time.Minute // the longest parcel over 64 KB/s
	answerWait   = 10 * time.Minute
	idleWait     = 2 * time.Minute
	endWait      = 5 * time.Second // for what is being answered as the office ends
)

// What is wrong with an address or an answer, beside the errors of package office.
var (
	// ErrAddress: it can never be listened on or asked.
	ErrAddress = errors.New("this is no address for an office")
	// ErrOpen: anybody on the way could read what is said.
	ErrOpen = errors.New("not without a certificate")
	// ErrTaken: it cannot be listened on now.
	ErrTaken = errors.New("cannot be listened on")
	// ErrCertificate: one that cannot be used, or does not prove that this is the office.
	ErrCertificate = errors.New("the certificate is not right")
	// ErrScheme: it is spoken to in the open where it speaks TLS, or the other way about.
	ErrScheme = errors.New("it is not spoken to in this way")
	// ErrStalled: nothing moved for too long; it is an ErrLink too.
	ErrStalled = errors.New("nothing came through for too long")
	// ErrUnknown: nobody is known here who stands for the office's certificate. It is an
	// ErrCertificate too.
	ErrUnknown = fmt.Errorf("%w: nobody is known here who stands for it", ErrCertificate)
	// ErrLink: the office was not reached, or the link was lost: try again.
	ErrLink = errors.New("the office does not answer")
	// ErrAway: it was not even begun; it is an ErrLink too.
	ErrAway = errors.New("there is no way to the office")
	// ErrOffice: the office has a fault of its own.
	ErrOffice = errors.New("the office has a fault of its own")
)

// A refusal is what is answered where there is nothing else.
type refusal struct {
	Says string `json:"says"`
}

// An asked is an office.RecallAsk on its way.
type asked struct {
	query
	Logs []string `json:"logs,omitempty"`
}

// A query is a recall.Query on its way.
type query struct {
	Batch    string `json:"batch,omitempty"`
	Unit     string `json:"unit,omitempty"`
	Operator string `json:"operator,omitempty"`
	From     string `json:"from,omitempty"`
	To       string `json:"to,omitempty"`
}

var _ = recall.Query(query{}) // the same fields

// codes are what an office refuses with, by the error. What is not listed is its own
// fault, and is told to nobody outside.
var codes = []struct {
	err  error
	code int
}{
	{office.ErrParcel, 422},
	{office.ErrFull, 507},
	{office.ErrRefused, 403},
	{office.ErrNotHeld, 404},
}

// refused is the error that a code stands for.
func refused(code int, says string) error {
	err := ErrOffice
	for _, c := range codes {
		if c.code == code {
			err = c.err
		}
	}
	if code == 401 {
		err = office.ErrRefused
	}
	if says == "" {
		return fmt.Errorf("%w (it answered %d)", err, code)
	}
	return worded{says, err}
}

// A worded is an error in words of its own, or of the office.
type worded struct {
	says string
	err  error
}

func (w worded) Error() string { return w.says }
func (w worded) Unwrap() error { return w.err }

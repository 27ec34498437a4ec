package office

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/recall"
)

// What an office answers beside the faults of a parcel.
var (
	// ErrFull: parcels of keys that are not admitted wait, and no more of them fit.
	ErrFull = errors.New("too much is waiting to be admitted")
	// ErrRefused: the token is not known, has ended, or does not reach so far.
	ErrRefused = errors.New("not granted")
	// ErrNotHeld: the office holds no such log or site.
	ErrNotHeld = errors.New("the office does not hold it")
)

// A Desk is an office as it is spoken to, wherever it keeps what it holds.
type Desk interface {
	// Take takes a parcel. What is new in it is on disk when it answers. The error is
	// ErrParcel, ErrFull, or one of the office's own.
	Take(ctx context.Context, parcel []byte) (Answer, error)
	// Site gives what a verb on one site reads. The error is ErrNotHeld where there is
	// none, and where there are several that it can be.
	Site(ctx context.Context, who Reader, ask SiteAsk) (SiteLines, error)
	// Recall finds the welds that ever had a batch, a unit or an operator.
	// It is ErrNotHeld where a log is named that the office does not have.
	Recall(ctx context.Context, who Reader, ask RecallAsk) (Recalled, error)
}

// An Answer is what an office says to a parcel.
type Answer struct {
	Standing  Standing    `json:"standing"`
	Waiting   bool        `json:"waiting,omitempty"`   // its key is not admitted: it is kept, and nothing is held
	Withdrawn *Withdrawal `json:"withdrawn,omitempty"` // waiting: its key was admitted once
	Held      bool        `json:"held,omitempty"`      // withdrawn: all of it was taken before, and nothing of it waits
	Receipt   string      `json:"receipt,omitempty"`   // signed; none where the laptop waits. Ahead: over what stands before From, for a laptop to which nobody else says it
	Key       string      `json:"key,omitempty"`       // with a receipt: the public key of the office, for a laptop that meets it
	From      int64       `json:"from,omitempty"`      // ahead: the entry from which to send, if the laptop shares what stands before
	Marks     []Mark      `json:"marks,omitempty"`     // ahead: to find out what it shares
	Branch    int         `json:"branch,omitempty"`    // parted: the course that the laptop is on
	Parted    int64       `json:"parted,omitempty"`    // parted: its first entry that is not the office's
}

// A Withdrawal is when, and by whom, what a key may was ended.
type Withdrawal struct {
	At time.Time `json:"at"`
	By string    `json:"by"`
}

// A Reader is who asks: Token is what was granted to him.
type Reader struct{ Token string }

// Hash is what the office keeps of the token.
func (r Reader) Hash() []byte {
	hash := sha256.Sum256([]byte(r.Token))
	return hash[:]
}

// ID names the token without giving it away.
func (r Reader) ID() string { return fmt.Sprintf("%x", r.Hash()[:4]) }

// A SiteAsk names a site: by its name, short name or own id.
type SiteAsk struct {
	Log  string    `json:"log,omitempty"` // the log's id or letters; "" where one log alone has such a site
	Site string    `json:"site"`
	AsOf time.Time `json:"as_of,omitzero"` // as it was then
}

// SiteLines are what a verb on one site reads of a log: as store.ReadSite does, but for
// the heartbeat, which no laptop sends.
type SiteLines struct {
	ID      string       `json:"id"`
	Tag     string       `json:"tag"`
	Entries int64        `json:"entries"`           // of the log as of then
	Last    fusion.Stamp `json:"last"`              // of the last of them
	Sealed  string       `json:"sealed,omitempty"`  // the line of the newest seal among them
	Sites   []SiteHead   `json:"sites"`             // all that were opened by then, in that order
	Site    string       `json:"site"`              // the name in entries of the one that is asked for
	Lines   []string     `json:"lines"`             // its entries
	Course  *Course      `json:"course,omitempty"`  // of a log that went on in two ways
	Waiting int          `json:"waiting,omitempty"` // parcels of the log that wait to be admitted
	Upto    time.Time    `json:"upto"`              // when the office last heard of the log, or when the last entry was made that it has gone through
}

// A Course is one of the ways in which a log went on.
type Course struct {
	Branch int   `json:"branch"`
	Parted int64 `json:"parted"` // its first entry that is not its parent's; of branch 0 the first at which another left it
}

// A SiteHead is a site as a list of all has it.
type SiteHead struct {
	Opened string       `json:"opened"` // the line that opened it
	Newest fusion.Stamp `json:"newest"` // of its newest entry; zero as of a time
}

// Book is what a verb reads, folded.
func (s SiteLines) Book() (*logbook.Book, error) {
	entries, err := s.Entered()
	if err != nil {
		return nil, err
	}
	book := logbook.NewBook(s.Tag, 1)
	for _, head := range s.Sites {
		e, err := logbook.ReadEntry([]byte(head.Opened))
		if err != nil {
			return nil, err
		}
		site := logbook.Site{}.After(&e)
		site.LastAt = head.Newest
		book.PutSite(site)
	}
	if len(entries) > 0 {
		book.Adopt(logbook.Fold(s.Tag, entries), s.Site)
	}
	return book, nil
}

// Entered reads the lines, on all processors: it is half of the work of an answer.
func (s SiteLines) Entered() ([]logbook.Entry, error) {
	entries := make([]logbook.Entry, len(s.Lines))
	err := logbook.Each(len(entries), func(i int) (err error) {
		entries[i], err = logbook.ReadEntry([]byte(s.Lines[i]))
		return err
	})
	return entries, err
}

// A RecallAsk is what is looked for, and in which logs.
type RecallAsk struct {
	recall.Query
	Logs []string // by id or letters, with /N a branch alone; none: in all
}

// SilentDays is after how many days without a word a laptop counts as silent, where
// nothing else is said: our choice.
const SilentDays = 7

// Recalled are the welds that were found, and what there may be besides.
type Recalled struct {
	Hits    []recall.Hit   `json:"hits"`              // in the order of logs and welds
	Logs    []RecalledFrom `json:"logs"`              // in which something was found
	Late    []string       `json:"late"`              // sites that are not worked up yet, and were not looked through
	Silent  []Unheard      `json:"silent,omitempty"`  // of these logs there may be more
	Waiting int            `json:"waiting,omitempty"` // laptops of which something waits to be admitted
}

// An Unheard is a log that was not heard of for SilentDays; without letters it is a laptop
// that was admitted and never sent.
type Unheard struct {
	Log   string    `json:"log,omitempty"`
	Tag   string    `json:"tag,omitempty"`
	Heard time.Time `json:"heard"` // or when it was admitted
}

// A RecalledFrom is one of the logs in which was looked.
type RecalledFrom struct {
	ID     string `json:"id"`
	Branch int    `json:"branch,omitempty"`
	Tag    string `json:"tag"`
	Hits   int    `json:"hits"` // how many of the hits, in turn, are of it
}

// Package officetest is an office in memory, for tests that need no database. It judges
// parcels as every office does.
package officetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/recall"
	"coolhold/logbook/seal"
)

// An Office is one in memory. Its fields are set before it is used.
type Office struct {
	Now      func() time.Time
	Token    string // that reads; "": none does
	MostWait int    // parcels of unknown keys that it keeps

	mu       sync.Mutex
	admitted []note.Verifier
	Ended    *office.Withdrawal // of all keys, from then on
	logs     map[string]*held
	waiting  [][]byte
	Takes    int // parcels that came whole
}

// held is what is held of one log.
type held struct {
	tag      string
	branches []office.Branch
	lines    [][][]byte // of each branch all, those of its parents included
	ends     [][]office.Mark
	heard    time.Time
}

// Admit admits a laptop's key and takes what waits.
func (o *Office) Admit(public string) error {
	v, err := seal.ReadPublic(public)
	if err != nil {
		return err
	}
	o.mu.Lock()
	o.admitted, o.Ended = append(o.admitted, v), nil
	waiting := o.waiting
	o.waiting = nil
	o.mu.Unlock()
	for _, data := range waiting {
		if _, _, err := o.Take(context.Background(), data); err != nil {
			return err
		}
	}
	return nil
}

// Waits are the first entries of the parcels that wait.
func (o *Office) Waits() (first []int64) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, data := range o.waiting {
		if p, err := office.Read(data); err == nil {
			first = append(first, p.First())
		}
	}
	return first
}

// Lines are all of a log's branch.
func (o *Office) Lines(log string, branch int) [][]byte {
	o.mu.Lock()
	defer o.mu.Unlock()
	if h := o.logs[log]; h != nil && branch < len(h.lines) {
		return h.lines[branch]
	}
	return nil
}

// Copy is the office as it is, as a backup of it would be.
func (o *Office) Copy() *Office {
	o.mu.Lock()
	defer o.mu.Unlock()
	c := &Office{Now: o.Now, Token: o.Token, MostWait: o.MostWait, admitted: slices.Clone(o.admitted), logs: map[string]*held{}, waiting: slices.Clone(o.waiting)}
	for id, h := range o.logs {
		c.logs[id] = &held{h.tag, slices.Clone(h.branches), slices.Clone(h.lines), slices.Clone(h.ends), h.heard}
	}
	return c
}

// Take is a Holder's.
func (o *Office) Take(_ context.Context, data []byte) (a office.Answer, r office.Receipt, err error) {
	p, err := office.Read(data)
	if err != nil {
		return a, r, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	o.Takes++
	h := o.logs[p.Log]
	if h == nil {
		h = &held{tag: p.Tag}
	}
	j, err := office.Judge(p, h)
	if err != nil {
		return a, r, err
	}
	if o.Ended != nil {
		a = office.Answer{Waiting: true, Withdrawn: o.Ended, Held: j.Standing != office.Ahead && len(j.New) == 0, From: j.From, Marks: j.Marks}
		if !a.Held && len(p.Lines) > 0 {
			o.waiting = append(o.waiting, slices.Clone(data))
		}
		return a, r, nil
	}
	if _, err := p.SignedBy(o.admitted...); errors.Is(err, seal.ErrForged) {
		return a, r, fmt.Errorf("%w: %w", office.ErrParcel, err)
	} else if err != nil {
		if len(o.waiting) >= o.MostWait {
			return a, r, office.ErrFull
		}
		o.waiting = append(o.waiting, slices.Clone(data))
		return office.Answer{Waiting: true}, r, nil
	}
	a = office.Answer{Standing: j.Standing, From: j.From, Marks: j.Marks}
	r = office.Receipt{Log: p.Log, Tag: p.Tag, Branch: j.Branch.No, Entries: j.Branch.Entries(), Root: j.Branch.After.Root(), Taken: o.Now()}
	if j.Standing == office.Ahead {
		return a, r, nil
	}
	if a.Branch = j.Branch.No; j.Standing == office.Parted {
		a.Parted = j.Branch.Parted
	}
	if o.logs == nil {
		o.logs = map[string]*held{}
	}
	o.logs[p.Log] = h
	h.keep(j)
	h.heard = o.Now()
	return a, r, nil
}

func (h *held) keep(j office.Judgement) {
	no := j.Branch.No
	if j.IsNew {
		var before [][]byte
		if no > 0 {
			before = slices.Clip(h.lines[j.Branch.Parent][:j.First-1])
		}
		h.branches, h.lines, h.ends = append(h.branches, j.Branch), append(h.lines, before), append(h.ends, nil)
	}
	if len(j.New) == 0 {
		return
	}
	h.branches[no] = j.Branch
	h.lines[no] = append(slices.Clip(h.lines[no]), j.New...)
	h.ends[no] = append(slices.Clip(h.ends[no]), office.Mark{Branch: no, Entries: j.Branch.Entries(), Root: j.Branch.After.Root()})
}

// Branches, EdgeAt, Lines and Marks are a Shelf's.
func (h *held) Branches() ([]office.Branch, error) { return h.branches, nil }

func (h *held) EdgeAt(branch int, n int64) (office.Edge, error) {
	return office.Edge{}.Add(h.lines[branch][:n]...), nil
}

func (h *held) Lines(branch int, first, last int64) ([][]byte, error) {
	return h.lines[branch][first-1 : last], nil
}

func (h *held) Marks() (marks []office.Mark, err error) {
	for _, ends := range h.ends {
		marks = append(marks, office.Thin(ends)...)
	}
	return marks, nil
}

// Root is that over the lines of a log's branch.
func (o *Office) Root(log string, branch int) tlog.Hash {
	return office.Edge{}.Add(o.Lines(log, branch)...).Root()
}

func (o *Office) may(who office.Reader) error {
	if o.Token == "" || who.Token != o.Token {
		return fmt.Errorf("%w: the token is not known", office.ErrRefused)
	}
	return nil
}

// Site is a Holder's.
func (o *Office) Site(_ context.Context, who office.Reader, ask office.SiteAsk) (s office.SiteLines, err error) {
	if err := o.may(who); err != nil {
		return s, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	found := 0
	for id, h := range o.logs {
		if ask.Log != "" && ask.Log != id && ask.Log != h.tag {
			continue
		}
		got := h.site(ask)
		if got.Site == "" {
			continue
		}
		got.ID, got.Tag, got.Upto = id, h.tag, h.heard
		s, found = got, found+1
	}
	switch found {
	case 0:
		return s, fmt.Errorf("%w: no site %q", office.ErrNotHeld, ask.Site)
	case 1:
		return s, nil
	}
	return s, fmt.Errorf("%w as one site; name one with --log", office.ErrNotHeld)
}

func (h *held) site(ask office.SiteAsk) (s office.SiteLines) {
	upto := len(h.lines[0])
	for ; upto > 0; upto-- {
		e, _ := logbook.ReadHead(h.lines[0][upto-1])
		if s.Last = e.At; ask.AsOf.IsZero() || !e.At.Wall.After(ask.AsOf) {
			break
		}
	}
	s.Entries = int64(upto)
	newest := map[string]int{}
	for _, line := range h.lines[0][:upto] {
		e, err := logbook.ReadEntry(line)
		if err != nil {
			continue
		}
		switch b := e.Open().(type) {
		case logbook.SiteOpened:
			newest[e.Site] = len(s.Sites)
			s.Sites = append(s.Sites, office.SiteHead{Opened: string(line)})
			if site := (logbook.Site{}).After(&e); ask.Site == "" || ask.Site == e.Site || ask.Site == site.Name || ask.Site == b.UID {
				s.Site = e.Site
			}
		case logbook.Sealed:
			s.Sealed = string(line)
		}
		if i, is := newest[e.Site]; is && ask.AsOf.IsZero() && e.N > 0 {
			s.Sites[i].Newest = e.At
		}
	}
	for _, line := range h.lines[0][:upto] {
		if e, err := logbook.ReadHead(line); err == nil && e.Site == s.Site && e.N > 0 {
			s.Lines = append(s.Lines, string(line))
		}
	}
	return s
}

// Recall is a Holder's.
func (o *Office) Recall(_ context.Context, who office.Reader, q office.RecallAsk) (r office.Recalled, err error) {
	if err := o.may(who); err != nil {
		return r, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, name := range q.Logs {
		known := false
		for id, h := range o.logs {
			known = known || name == id || name == h.tag
		}
		if !known {
			return r, fmt.Errorf("%w: no log %q", office.ErrNotHeld, name)
		}
	}
	for id, h := range o.logs {
		if len(q.Logs) > 0 && !slices.Contains(q.Logs, id) && !slices.Contains(q.Logs, h.tag) {
			continue
		}
		if o.Now().Sub(h.heard) > office.SilentDays*24*time.Hour {
			r.Silent = append(r.Silent, office.Unheard{Log: id, Tag: h.tag, Heard: h.heard})
		}
		s := recall.New(q.Query)
		for _, line := range h.lines[0] {
			s.Look(line)
		}
		for _, line := range h.lines[0] {
			s.Keep(line)
		}
		hits := s.Hits(h.tag)
		r.Logs = append(r.Logs, office.RecalledFrom{ID: id, Tag: h.tag, Hits: len(hits)})
		r.Hits = append(r.Hits, hits...)
	}
	r.Waiting = min(1, len(o.waiting))
	return r, nil
}

package acts_test

import (
	"errors"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/fault"
)

// Both kits are invented.
const (
	firstKit  = "[[unit]]\nserial = \"CU-1\"\n"
	secondKit = "[generator]\nkva = 6\n"
)

// The newest kit counts, also one that counted before; what was taken stays.
func TestTakeKit(t *testing.T) {
	c := crew.OnSite(t)
	s, _ := c.Book.Site(c.H.Site)
	if _, ok := logbook.KitOf(s); ok {
		t.Fatal("a kit before one was taken")
	}
	for _, text := range []string{firstKit, secondKit, firstKit} {
		c.Do(acts.TakeKit(c.H, acts.File{"kit.toml", text}))
		s, _ = c.Book.Site(c.H.Site)
		e := c.Entries[len(c.Entries)-1]
		if got, ok := e.Open().(logbook.KitTaken); !ok || got.Text != text || got.Hash != logbook.Hash(text) || got.File != "kit.toml" || s.Kit.By != crew.Ada || s.Kit.Seq != e.Seq {
			t.Errorf("the newest kit is %+v, kept as %+v", e, s.Kit)
		}
		if k, ok := logbook.KitOf(s); !ok || (len(k.Units) == 1) != (text == firstKit) {
			t.Errorf("read as %+v, %t", k, ok)
		}
	}
	loaded, _ := logbook.Load(c.Book, c.H.Site).Site(c.H.Site)
	if k, ok := logbook.KitOf(loaded); !ok || len(k.Units) != 1 {
		t.Errorf("the book of the site lost its kit: %+v, %t", k, ok)
	}
}

func TestTakeKitRefuses(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.TakeKit(c.H, acts.File{"kit.toml", firstKit}))
	nobody, elsewhere := c.H, c.H
	nobody.By, elsewhere.Site = " ", "elsewhere"
	var faults fault.List
	for name, tc := range map[string]struct {
		h    acts.Head
		text string
		is   func(error) bool
	}{
		"without a name": {nobody, secondKit, func(err error) bool { return errors.Is(err, logbook.ErrRule) }},
		"no such site":   {elsewhere, secondKit, func(err error) bool { return errors.Is(err, logbook.ErrUnknown) }},
		"the same again": {c.H, firstKit, func(err error) bool { return errors.Is(err, logbook.ErrExists) }},
		"faulty":         {c.H, "[[unit]]\n", func(err error) bool { return errors.As(err, &faults) }},
	} {
		if drafts, err := acts.TakeKit(tc.h, acts.File{"kit.toml", tc.text})(c.Book); !tc.is(err) || drafts != nil {
			t.Errorf("%s: got %v, %v", name, drafts, err)
		}
	}
}

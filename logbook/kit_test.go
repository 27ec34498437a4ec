package logbook

import (
	"errors"
	"testing"

	"coolhold/logbook/fault"
)

// Both kits are invented.
const (
	firstKit  = "[[unit]]\nserial = \"CU-1\"\n"
	secondKit = "[generator]\nkva = 6\n"
)

// The newest kit counts, also one that counted before; what was taken stays.
func TestTakeKit(t *testing.T) {
	c := onSite(t)
	s, _ := c.book.Site(c.h.Site)
	if _, ok := KitOf(s); ok {
		t.Fatal("a kit before one was taken")
	}
	for _, text := range []string{firstKit, secondKit, firstKit} {
		c.do(TakeKit(c.h, File{"kit.toml", text}))
		s, _ = c.book.Site(c.h.Site)
		e := c.entries[len(c.entries)-1]
		if got, ok := e.Open().(KitTaken); !ok || got.Text != text || got.Hash != Hash(text) || got.File != "kit.toml" || s.Kit.By != ada || s.Kit.Seq != e.Seq {
			t.Errorf("the newest kit is %+v, kept as %+v", e, s.Kit)
		}
		if k, ok := KitOf(s); !ok || (len(k.Units) == 1) != (text == firstKit) {
			t.Errorf("read as %+v, %t", k, ok)
		}
	}
	loaded, _ := Load(c.book, c.h.Site).Site(c.h.Site)
	if k, ok := KitOf(loaded); !ok || len(k.Units) != 1 {
		t.Errorf("the book of the site lost its kit: %+v, %t", k, ok)
	}
}

func TestTakeKitRefuses(t *testing.T) {
	c := onSite(t)
	c.do(TakeKit(c.h, File{"kit.toml", firstKit}))
	nobody, elsewhere := c.h, c.h
	nobody.By, elsewhere.Site = " ", "elsewhere"
	var faults fault.List
	for name, tc := range map[string]struct {
		h    Head
		text string
		is   func(error) bool
	}{
		"without a name": {nobody, secondKit, func(err error) bool { return errors.Is(err, ErrRule) }},
		"no such site":   {elsewhere, secondKit, func(err error) bool { return errors.Is(err, ErrUnknown) }},
		"the same again": {c.h, firstKit, func(err error) bool { return errors.Is(err, ErrExists) }},
		"faulty":         {c.h, "[[unit]]\n", func(err error) bool { return errors.As(err, &faults) }},
	} {
		if drafts, err := TakeKit(tc.h, File{"kit.toml", tc.text})(c.book); !tc.is(err) || drafts != nil {
			t.Errorf("%s: got %v, %v", name, drafts, err)
		}
	}
}

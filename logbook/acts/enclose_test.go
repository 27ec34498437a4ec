package acts_test

import (
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// A file is named for one thing: the same content twice for it changes nothing, for
// another thing it is named once more, and what is not there cannot be shown.
func TestAFileIsNamedForOneThing(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Done("1A")
	test := c.Begins(crew.Pressing(crew.Circuit1))
	file := func(change func(*logbook.Enclosed)) logbook.Enclosed {
		b := logbook.Enclosed{File: "p.jpg", Hash: "aa", Bytes: 3, What: "photo"}
		change(&b)
		return b
	}
	plain := file(func(*logbook.Enclosed) {})
	part := file(func(b *logbook.Enclosed) { b.Part = "run A/1" })
	section := file(func(b *logbook.Enclosed) { b.Section = &logbook.SectionID{Chamber: "A", Circuit: 1} })
	all := file(func(b *logbook.Enclosed) { b.Section = &logbook.SectionID{} })
	tested := file(func(b *logbook.Enclosed) { b.Test = test })
	for _, b := range []logbook.Enclosed{plain, part, section, all, tested} {
		c.Do(acts.Enclose(c.H, "", "", b))
		b.File = "renamed.jpg"
		c.Refused(acts.Enclose(c.H, "", "", b), logbook.ErrExists, "renamed.jpg")
	}
	c.Do(acts.Enclose(c.H, id, "", plain), acts.Enclose(c.H, "", "1A", plain))
	c.Refused(acts.Enclose(c.H, id, "", plain), logbook.ErrExists, "p.jpg")
	var of []string
	for _, e := range c.Site().Enclosed {
		of = append(of, e.Of())
	}
	want := []string{"the site", "run A/1", "circuit 1 of chamber A", "the whole site", "pressure test " + test, id + " in 1A", "joint 1A"}
	if len(of) != len(want) {
		t.Fatalf("%q", of)
	}
	for i, o := range of {
		if o != want[i] {
			t.Errorf("%q, want %q", o, want[i])
		}
	}
	c.Refused(acts.Enclose(c.H, "", "", file(func(b *logbook.Enclosed) { b.Part = "chamber Z" })), logbook.ErrUnknown, "chamber Z")
	c.Refused(acts.Enclose(c.H, "", "", file(func(b *logbook.Enclosed) { b.Section = &logbook.SectionID{Chamber: "A", Circuit: 9} })), logbook.ErrUnknown, "circuit 9")
	c.Refused(acts.Enclose(c.H, "", "", file(func(b *logbook.Enclosed) { b.Test = "KM-P9" })), logbook.ErrUnknown, "KM-P9")
	c.Refused(acts.Enclose(c.H, id, "", part), logbook.ErrRule, "one thing at a time")
	c.Refused(acts.Enclose(c.H, "", "", file(func(b *logbook.Enclosed) { b.Part, b.Test = "run A/1", test })), logbook.ErrRule, "one thing at a time")
	c.WantRebuilt()
}

// Several files go to one thing at once; what is there already is left out, and one
// content twice is one.
func TestSeveralFilesAtOnce(t *testing.T) {
	c := crew.OnSite(t)
	one, two := logbook.Enclosed{File: "1.jpg", Hash: "aa", What: "photo"}, logbook.Enclosed{File: "2.jpg", Hash: "bb", What: "photo"}
	c.Do(acts.Enclose(c.H, "", "1A", one))
	copied := two
	copied.File = "2-copy.jpg"
	c.Do(acts.Enclose(c.H, "", "1A", one, two, copied))
	if all := c.Site().Enclosed; len(all) != 2 || all[1].File != "2.jpg" {
		t.Errorf("%+v", all)
	}
	c.Refused(acts.Enclose(c.H, "", "1A", one, two), logbook.ErrExists, "1.jpg")
	gone := logbook.Enclosed{File: "3.jpg", Hash: "cc", Part: "chamber Z"}
	c.Refused(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "4.jpg", Hash: "dd"}, gone), logbook.ErrUnknown, "chamber Z")
	if all := c.Site().Enclosed; len(all) != 2 {
		t.Errorf("a refusal stored %+v", all)
	}
}

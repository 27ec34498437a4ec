package acts_test

import (
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// What stood before a figure is stored as a figure or a code, and worded where it is
// shown: a word that is changed later changes no stored byte.
func TestWhatStoodBeforeIsStoredWithoutWords(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Prepared("1A")
	wants := func(stored, is string, body logbook.Body, says string) {
		t.Helper()
		if line := body.Line(); stored != is || !strings.HasSuffix(line, says) {
			t.Errorf("stored %q, says %q; want %q and %q at its end", stored, line, is, says)
		}
	}
	c.Do(acts.KeySettings(c.H, id, logbook.ModeCode, 40, nil))
	s := crew.Last[logbook.SettingsKeyed](c)
	wants(s.Was, "40 keyed", s, "(before: 40 s, keyed by hand)")
	c.Do(acts.ReadOhms(c.H, id, nil))
	o := crew.Last[logbook.ResistanceRead](c)
	wants(o.Was, "2.4", o, "(before: 2.4 Ω)")
	c.Do(acts.ReadOhms(c.H, id, new(2.5)))
	o = crew.Last[logbook.ResistanceRead](c)
	wants(o.Was, logbook.None, o, "(before: not shown)")
	c.Do(acts.ReadAmbient(c.H, id, 8_00, logbook.Typed, nil))
	a := crew.Last[logbook.AmbientRead](c)
	wants(a.Was, "9", a, "(before: 9 °C)")
}

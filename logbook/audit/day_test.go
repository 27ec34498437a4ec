package audit_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// failing is a weld with its wire seen.
func failing() manner {
	m := well()
	m.hot.Wire = "seen"
	return m
}

// A weld that is cut out is counted as that and not as a fail too.
func TestTallyOfADay(t *testing.T) {
	c := onSite(t)
	if got := c.run().Tally(nil); got != "no weld" {
		t.Errorf("%q", got)
	}
	c.made("1A", failing())
	if got := c.run().Tally(c.run().WeldsOn("2026-03-09", "2026-03-09")); got != "1 weld: 1 fail" {
		t.Errorf("%q", got)
	}
	c.Do(acts.Cut(c.H, c.made("1B", failing()), "wire"))
	c.made("1B", well())
	if got := c.run().Tally(c.run().WeldsOn("2026-03-09", "2026-03-09")); got != "3 welds: 1 clear, 1 fail, 1 cut out" {
		t.Errorf("%q", got)
	}
}

// A day speaks of itself and of what still stands from before; what a person
// sees at once is the fail with its joint's.
func TestClosingOfADay(t *testing.T) {
	c := onSite(t)
	c.made("1A", failing())
	c.Wait(24 * time.Hour)
	m := failing()
	m.felt.Felt = "moves"
	c.made("1B", m)
	res := c.run()
	for day, want := range map[string]string{
		"2026-03-08": "", "2026-03-09": "wire-seen:KM-0001 fail-not-cut-out:1A",
		"2026-03-10": "wire-seen:KM-0001 fail-not-cut-out:1A, wire-seen:KM-0002 fail-not-cut-out:1B, moves:KM-0002",
	} {
		var got []string
		for _, f := range res.OpenFails(day) {
			var keys []string
			for _, a := range f.Acks() {
				keys = append(keys, a.Key)
			}
			got = append(got, strings.Join(keys, " "))
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%s: %q, want %q", day, got, want)
		}
		b := res.Closing(day)
		if n := len(strings.Fields(strings.ReplaceAll(want, ",", " "))); len(b.Acks) != n || b.Day != day || b.Open != len(res.OpenOn(day))-n {
			t.Errorf("%s: %+v", day, b)
		}
	}
}

// What no name can settle is refused with what to do instead.
func TestWhatIsNotAccepted(t *testing.T) {
	c := onSite(t)
	m := failing()
	m.ran, m.answers[logbook.ItemPipeBatch] = 39, logbook.NotKnown
	c.made("1A", m)
	for key, want := range map[string]string{
		"wire-seen:KM-0001": "a fail is never accepted: cut it out", "batch-missing:KM-0001": "a note asks for no answer",
		"missing-weld:1B": "what is not done is not accepted: ",
	} {
		f := only(t, c.run(), strings.Split(key, ":")[0])
		_, err := acts.Accept(c.H, none, f.Judged(), "seen")(c.Book)
		if f.Key != key || !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %s, %v", key, f.Key, err)
		}
	}
	c.Do(acts.Accept(c.H, none, only(t, c.run(), "run-unlike-set").Judged(), " read twice "))
	f := only(t, c.run(), "run-unlike-set")
	if f.Accepted == nil || f.Accepted.Why != "read twice" || !strings.HasPrefix(f.Unanswerable(), "accepted by "+crew.Ada) {
		t.Errorf("%+v", f)
	}
}

// That the welder of a weld which came to a signed day signs the day again is no second
// look; that another does is one. What he alone ever signed is as before.
func TestItsWelderSigningAgainIsNoSecondLook(t *testing.T) {
	const day, rule = "2026-03-09", "day-changed-after-signing"
	signs := func(c *team, name string) {
		c.Do(acts.SignDay(c.by(name), none, day, c.seen(day)))
	}
	c := onSite(t)
	c.made("1A", well())
	signs(c, hedda)
	signs(c, crew.Ada)
	c.made("1B", well())
	c.says(rule, "KM-0002 came to 2026-03-09 after "+crew.Ada)
	signs(c, "Invented, Ada")
	c.says(rule, "KM-0002 came to 2026-03-09 after "+hedda)
	signs(c, crew.Ada)
	c.says(rule, "KM-0002 came to 2026-03-09 after "+hedda)
	signs(c, hedda)
	c.says(rule, "")

	c = onSite(t)
	c.made("1A", well())
	signs(c, crew.Ada)
	c.made("1B", well())
	signs(c, crew.Ada)
	c.says(rule, "")

	c = onSite(t)
	c.made("1A", well())
	signs(c, hedda)
	c.made("1B", well())
	c.Do(acts.WorksAlone(c.H, true))
	signs(c, crew.Ada)
	c.says(rule, "")
}

// A test that is not within is a fail: it is listed with the fails, before every query, no
// name accepts it, and who signs its day must have seen it. The day before has none of it.
func TestATestNotWithinIsAFail(t *testing.T) {
	c := onSite(t)
	c.made("1A", well())
	day := c.H.At.Local().Format(time.DateOnly)
	c.made("1B", well())
	c.Wait(24 * time.Hour)
	id := c.Presses(crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) { b.Gauge.AboveM = nil }), 6.1, 5.1)
	res := c.run()
	open := audit.Groups(res.Open())
	if f := open[0].First(); f.Key != audit.PressureFailed+":"+id || f.Word() != "fail" || f.Unanswerable() != "a fail is never accepted: "+f.Do {
		t.Errorf("first is %s, %q, %q", f.Key, f.Word(), f.Unanswerable())
	}
	if len(res.OpenFails(day)) > 0 {
		t.Error("a test of the next day is a fail of the day before")
	}
	next := c.H.At.Local().Format(time.DateOnly)
	if fails := res.OpenFails(next); len(fails) != 1 || !fails[0].Has(audit.PressureFailed+":"+id) {
		t.Errorf("on its day: %v", fails)
	}
	c.Refused(acts.SignDay(c.foreman(), none, next, nil), logbook.ErrRule, "1 open fail to be seen first")
}

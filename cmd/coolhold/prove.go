package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/proof"
	"coolhold/logbook/register"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
	"coolhold/logbook/whole"
)

// proved writes the register with its proof: of one log, which is sealed to its
// end.
func (q registering) proved(e edges, w io.Writer, o register.Query) error {
	if len(q.logs) > 1 {
		return usage("--prove is for one log: each has a seal of its own")
	}
	path := logPath(e, strings.Join(q.logs, ""))
	var lines [][]byte
	r, err := store.VerifyLines(context.Background(), path, false, func(line []byte, _ logbook.Entry) { lines = append(lines, line) })
	if err != nil {
		return exitWith(exitLog, err)
	}
	if len(r.Faults) > 0 {
		return exitWith(exitLog, fmt.Errorf("%s: %s; coolhold verify lists what does not hold", path, logbook.Clean(r.Faults[0].What)))
	}
	k, err := laptopKey(e)
	if err != nil {
		return err
	}
	last, err := sealedToItsEnd(r, k)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	asked, err := q.asked(e, path, last, o)
	if err != nil {
		return err
	}
	if s, err := seal.Parse([]byte(last.Note)); err == nil && s.Site != r.Place(asked.Site).UID {
		return exitWith(exitFindings, fmt.Errorf("%s: its last seal does not name site %s; coolhold seal --site %s first", path, asked.Site, asked.Site))
	}
	var buf bytes.Buffer
	if err := proof.Make(&buf, version(), asked, lines[:last.Entries], last.Note, k); err != nil {
		return exitWith(exitFindings, err)
	}
	return q.out.deliver(w, buf.Bytes())
}

// sealedToItsEnd is the last seal, if nothing but seals came after it and the
// laptop's own key made it.
func sealedToItsEnd(r store.Checkup, k seal.Key) (logbook.Sealed, error) {
	if len(r.Seals) == 0 {
		return logbook.Sealed{}, exitWith(exitFindings, errors.New("it is not sealed; coolhold seal first"))
	}
	last := r.Seals[len(r.Seals)-1].Sealed
	if rest := r.Entries - int64(r.Seals[len(r.Seals)-1].Seq); rest > 0 {
		return last, exitWith(exitFindings, fmt.Errorf("%s after its last seal; coolhold seal first", entries(rest)))
	}
	v, err := seal.ReadPublic(k.Public())
	if err == nil {
		_, err = seal.Verify([]byte(last.Note), v)
	}
	if err != nil {
		return last, exitWith(exitFindings, fmt.Errorf("its last seal is not of this laptop's key (%w); coolhold seal first", err))
	}
	return last, nil
}

// asked is what the register is asked for, on the entries that are sealed.
func (q registering) asked(e edges, path string, last logbook.Sealed, o register.Query) (proof.Request, error) {
	r, s, err := readSite(e, path, q.site, "")
	if err != nil {
		return proof.Request{}, err
	}
	a := proof.Request{Site: s.ID, Entries: int(last.Entries), AsOf: r.asOf, Beat: r.beat, Day: o.Day, Since: o.Since, Verdicts: o.Verdicts}
	if q.asOf == "" {
		return a, nil
	}
	t, err := parseAsOf(q.asOf, r.asOf)
	if err != nil {
		return a, err
	}
	snap, err := store.ReadAll(context.Background(), logPath(e, path))
	if err != nil {
		return a, exitWith(exitLog, err)
	}
	entries := until(snap.Entries[:last.Entries], t)
	a.Entries, a.AsOf, a.Beat = len(entries), stampAt(lastMade(entries), t), fusion.Stamp{}
	if s, ok := logbook.Fold(snap.Tag, entries).Site(a.Site); !ok || s.ID == "" {
		return a, exitWith(exitFindings, fmt.Errorf("site %q was not open then", a.Site))
	}
	return a, nil
}

// verifyRegister checks a register with its proof and says what follows.
func verifyRegister(e edges, w io.Writer, path string, given []string, asJSON bool) error {
	keys, err := knownKeys(e, given)
	if err != nil {
		return err
	}
	data, err := whole.Read(path)
	if err != nil {
		return unreadable(path, err)
	}
	c, err := proof.Check(data, version(), keys...)
	switch {
	case errors.Is(err, proof.ErrNoProof):
		return exitWith(exitInput, fmt.Errorf("%s: %w", path, err))
	case errors.Is(err, seal.ErrUnsigned):
		return exitWith(exitFindings, fmt.Errorf("%s: %w; give the key with --key", path, err))
	case err != nil:
		return exitWith(exitFindings, fmt.Errorf("%s: does not hold: %w", path, err))
	}
	if asJSON {
		return printJSON(w, checkedJSON(path, c))
	}
	printChecked(w, c)
	return nil
}

// registerJSON is the answer of verify on a register, for other programs.
type registerJSON struct {
	File      string   `json:"file"`
	Holds     bool     `json:"holds"`
	Log       string   `json:"log"`
	Tag       string   `json:"tag"`
	Entries   int64    `json:"entries"`
	Shown     int      `json:"entries_shown"`
	Site      string   `json:"site"`
	Claimed   string   `json:"claimed"`
	Signed    []string `json:"signed"`
	AsOf      string   `json:"as_of"`
	Listed    string   `json:"listed"`    // the filters in words; "" is everything
	MadeAnew  bool     `json:"made_anew"` // the rows were made anew from the entries
	WrittenBy string   `json:"written_by"`
}

func checkedJSON(path string, c proof.Checked) registerJSON {
	return registerJSON{
		File: path, Holds: true, Log: c.Seal.Log, Tag: c.Seal.Tag, Entries: c.Seal.Entries, Shown: c.Asked.Entries, Site: c.Asked.Site,
		Claimed: c.Seal.At.Format("2006-01-02T15:04:05-07:00"), Signed: c.Signed,
		AsOf: c.Asked.AsOf.Local().Format("2006-01-02T15:04:05-07:00"), Listed: register.Query{Day: c.Asked.Day, Since: c.Asked.Since, Verdicts: c.Asked.Verdicts}.FilterLine(), MadeAnew: c.MadeNew, WrittenBy: c.Program,
	}
}

func printChecked(w io.Writer, c proof.Checked) {
	fmt.Fprintf(w, "holds  the register of site %s, from the first %d of %s of log %s\n", logbook.Clean(c.Asked.Site), c.Asked.Entries, entries(c.Seal.Entries), c.Seal.Tag)
	fmt.Fprintf(w, "holds  %s\n", askedLine(c.Asked))
	fmt.Fprintf(w, "PROVED      the file is as %s signed it, and its entries are those that were sealed, all of them and in that order.\n", strings.Join(c.Signed, " and "))
	if c.MadeNew {
		fmt.Fprintln(w, "PROVED      its rows, findings and counts follow from these entries: they were made anew and are the same.")
	} else {
		fmt.Fprintf(w, "NOT PROVED  that its rows follow from its entries: another version wrote it (%s), and this one lists them otherwise. The signature stands for them.\n", logbook.Clean(c.Program))
	}
	for _, line := range []string{
		fmt.Sprintf("the date: the laptop's clock showed %s. Only a copy handed over that day dates it.", c.Seal.At.Format("2006-01-02 15:04 -0700")),
		"the truth: that what was entered is so.",
		"anything against the laptop's owner, who has the key: only a seal that left the laptop earlier counts.",
		"what was entered after the seal.",
	} {
		fmt.Fprintln(w, "NOT PROVED  "+line)
	}
}

// askedLine says what the register lists, and as of when: a part proves nothing of what
// it leaves out.
func askedLine(q proof.Request) string {
	f := register.Query{Day: q.Day, Since: q.Since, Verdicts: q.Verdicts}
	line := "as of " + q.AsOf.Local().Format("2006-01-02 15:04:05 -07:00") + ", "
	if !f.Filtered() {
		return line + "everything on the site listed"
	}
	return line + "ONLY A PART listed: " + logbook.Clean(f.FilterLine())
}

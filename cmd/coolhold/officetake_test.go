package main

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"coolhold/logbook/office/pg/cluster"
)

// An inBase is a firm whose office keeps what it takes in a database, from a stick.
type inBase struct {
	*firm
	t     *testing.T
	stick string
}

func newInBase(t *testing.T) *inBase {
	t.Helper()
	return &inBase{firmIn(t), t, t.TempDir()}
}

// firmIn is a firm whose office keeps what it takes in a new database.
func firmIn(t *testing.T) *firm {
	t.Helper()
	at, err := server.database("")
	if errors.Is(err, cluster.ErrNone) {
		t.Skip(err)
	} else if err != nil {
		t.Fatal(err)
	}
	f := newFirm(t)
	f.env["COOLHOLD_OFFICE_KEY"] = filepath.Join(t.TempDir(), "office.key")
	f.env["COOLHOLD_OFFICE_DB"] = at
	return f
}

// does runs a verb of the office, and wants a code and a line of what it says.
func (b *inBase) does(code int, line string, args ...string) {
	b.t.Helper()
	got := b.run(append([]string{"office"}, args...)...)
	if got.code != code || !regexp.MustCompile(`(?m)`+line).MatchString(got.out+got.err) {
		b.t.Errorf("%v: exit code %d, want %d; want a line %q in\n%s%s", args, got.code, code, line, got.out, got.err)
	}
}

const (
	aTime = `\d{4}-\d\d-\d\d \d\d:\d\d`
	aKey  = `coolhold\+[0-9a-f]{8}`
)

// What a withdrawn key sends waits and is said to, with when and by whom; what was taken of
// it before is not counted as waiting; admitted anew it is said what waited.
func TestTakeOfAWithdrawnKey(t *testing.T) {
	b := newInBase(t)
	b.send(exitDone, "put there", "--to", b.stick)
	b.does(exitFindings, `^0 of 1 parcel taken; no receipt is left$`, "take", b.stick)
	b.does(exitDone, `is admitted for crew north; 1 parcel with \d+ new entries that waited since `+aTime+` taken$`, "admit", b.public(), "--crew", "crew north", "--by", "Ida Invented")
	b.does(exitDone, `^1 of 1 parcel taken; 1 receipt is in `, "take", b.stick)
	b.does(exitDone, ` is withdrawn$`, "withdraw", publicID(b.public()), "--by", "Ida Invented")
	if err := os.Remove(filepath.Join(b.stick, b.run1(1).ID+receiptEnding)); err != nil {
		t.Fatal(err)
	}
	b.does(exitDone, `^1 of 1 parcel taken; no receipt is left$`, "take", b.stick)
	b.note("after it was withdrawn")
	b.stick = t.TempDir()
	b.send(exitDone, "put there", "--to", b.stick)
	b.does(exitFindings, ` log XM waits: its key `+aKey+` was WITHDRAWN `+aTime+` by Ida Invented; coolhold office admit lets it be taken anew$`, "take", b.stick)
	b.does(exitDone, `^key `+aKey+` +WITHDRAWN +1 parcel of log XM waits since `+aTime+` +since `+aTime+` by Ida Invented nothing of it is taken$`, "known")
	b.does(exitDone, `is admitted for crew south; 1 parcel with 1 new entry that waited since `+aTime+` taken$`, "admit", b.public(), "--crew", "crew south", "--by", "Ida Invented")
	b.does(exitDone, `^key `+aKey+` +crew north +admitted `+aTime+` by Ida Invented +withdrawn `+aTime+` by Ida Invented$`, "known")
	b.does(exitDone, `^key `+aKey+` +crew south +admitted `+aTime+` by Ida Invented +log XM$`, "known")
	b.does(exitDone, ` is withdrawn$`, "withdraw", publicID(b.public()), "--by", "Ida Invented")
	b.does(exitDone, `is admitted for crew east; nothing of it waited$`, "admit", b.public(), "--crew", "crew east", "--by", "Ida Invented")
}

// Where something before a parcel is missing the office leaves a receipt over what it has,
// and the laptop sends from there.
func TestTakeWithAGap(t *testing.T) {
	b := newInBase(t)
	b.does(exitDone, `nothing of it waited$`, "admit", b.public(), "--crew", "crew north", "--by", "Ida Invented")
	b.does(exitFindings, `^key `+aKey+` +crew north +admitted `+aTime+`, and never sent anything$`, "silent")
	b.send(exitDone, "put there", "--to", b.stick)
	b.does(exitDone, `^1 of 1 parcel taken; 1 receipt is in `, "take", b.stick)
	b.does(exitDone, `^every laptop was heard of within 7 days$`, "silent")
	b.send(exitDone, "the office has all", "--to", b.stick)
	stick := b.stick
	b.stick = t.TempDir() // what is put there has no lines
	b.send(exitDone, "the office has all", "--to", b.stick)
	b.does(exitDone, `^1 report read; 1 receipt is in `, "take", b.stick)
	b.stick = stick
	k, err := readOffice(b.log, b.run1(1).ID)
	if err != nil {
		t.Fatal(err)
	}
	n := k.receipt().Entries
	// The laptop believes that the office has one more, as of one that was restored since.
	b.note("lost at the office")
	b.send(exitDone, "put there", "--to", t.TempDir())
	k.Waiting = n + 1
	if err := k.write(b.log); err != nil {
		t.Fatal(err)
	}
	b.note("and one more")
	b.stick = t.TempDir()
	b.send(exitDone, "put there", "--to", b.stick)
	b.does(exitFindings, `not taken: something before it is missing, from entry `+strings.TrimSuffix(entries(n+1), " entries")+` on; the receipt says so`, "take", b.stick)
	b.does(exitFindings, `^0 of 1 parcel taken; 1 receipt is in `, "take", b.stick)
	b.send(exitDone, "put there", "--to", b.stick)
	b.does(exitDone, `^2 of 2 parcels taken`, "take", b.stick)
}

// Where a receipt cannot be put into the folder the rest is taken all the same, and it is
// said what to do.
func TestTakeWhereNoReceiptCanBePut(t *testing.T) {
	b := newInBase(t)
	b.does(exitDone, `nothing of it waited$`, "admit", b.public(), "--crew", "crew north", "--by", "Ida Invented")
	b.send(exitDone, "put there", "--to", b.stick)
	first := b.log
	b.log = filepath.Join(filepath.Dir(first), "second.coolhold")
	if got := b.run("demo", "--keep", b.log, "--no-screen", "--tag", "QT"); got.code != exitDone {
		t.Fatalf("%+v", got)
	}
	b.send(exitDone, "put there", "--to", b.stick)
	for _, log := range []string{first, b.log} {
		b.log = log
		if err := os.MkdirAll(filepath.Join(b.stick, b.run1(1).ID+receiptEnding, "in the way"), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	b.does(exitInput, `^2 of 2 parcels taken; no receipt is left$`, "take", b.stick)
	b.does(exitInput, `^coolhold: what is taken is kept, but its laptop learns it from a receipt alone, and that cannot be put there: .* is not written: .*; let the user who runs this write in that folder, and take it again$`, "take", b.stick)
	b.does(exitDone, `^log QT/0 +1 parcel `, "check")
	b.does(exitDone, `^log XM/0 +1 parcel `, "check")
}

// What an office is asked that it cannot do is said with the code for that.
func TestTheOfficeRefuses(t *testing.T) {
	b := newInBase(t)
	b.does(exitUsage, `this is the key with which an office signs its receipts, and no laptop's`, "admit", newOfficeKey(t).Public(), "--crew", "crew north", "--by", "Ida Invented")
	b.does(exitUsage, `the address of the database cannot be read`, "known", "--db", "nonsense")
	b.does(exitDone, `nothing of it waited$`, "admit", b.public(), "--crew", "crew north", "--by", "Ida Invented")
	b.send(exitDone, "put there", "--to", b.stick)
	b.does(exitDone, `^1 of 1 parcel taken`, "take", b.stick)
	b.does(exitInput, `is not written: no such file or directory$`, "hand-back", "XM", "--out", filepath.Join(b.stick, "nowhere", "x"))
}

// What waits at the office is not put on a stick once more: a report is, and that is said.
func TestAReportOnAStick(t *testing.T) {
	f := newFirm(t)
	f.send(exitFindings, "does not know this laptop's key yet", "--to", f.url)
	f.send(exitDone, ": a report put there, that log XM has 157 entries; what waits at the office need not be sent again: the office keeps it and does not know this laptop's key yet: let it admit ", "--to", f.stick())
}

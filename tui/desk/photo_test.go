package desk

import (
	"errors"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/shell"
)

// onStick is a bench with a stick that holds one photo.
func onStick(t *testing.T) *bench {
	b := onBench(t)
	b.outside.ReadInput = func(what, name string) (shell.Input, error) {
		if what != "photo" || !strings.HasSuffix(name, "p1.jpg") {
			return shell.Input{}, errors.New("cannot read " + name + "; check the name")
		}
		return shell.Input{Says: "JPEG, time in the file 2026-03-09 10:14:02", Photo: &logbook.Enclosed{File: "p1.jpg", Hash: "0123456789abcdef", Bytes: 582, Taken: &logbook.Taken{Local: "2026:03:09 10:14:02"}}}, nil
	}
	b.outside.Folder = func(what, _ string) (shell.Folder, error) {
		return shell.Folder{Path: "/stick", Names: []string{what + "s/", "p1.jpg"}}, nil
	}
	return b
}

// givesPhoto chooses the photo on the stick, says what it shows and who says so.
func (b *bench) givesPhoto(of string) {
	b.t.Helper()
	b.keys("0")
	b.sees("A photo of "+of, "photo file")
	b.keys("down")
	b.sees("photo file: /stick", "photos/")
	b.keys("down", "enter")
	b.sees("p1.jpg of "+of, "JPEG, time in the file 2026-03-09 10:14:02, 582 bytes. Here it is 2026-03-09", "the camera's clock is not ours", "what it shows")
	b.keys("enter") // no default
	b.sees("what it shows")
	b.keys("1", "enter")
	b.text("Hedda Roan")
	b.sees("p1.jpg is enclosed for " + of)
}

// A photo is bound to a weld from its page, which says so from then on with the time in
// the file beside ours; the same photo once more is refused.
func TestAPhotoOfAWeld(t *testing.T) {
	b := onStick(t)
	b.show(80, 24, func(shell.Env) shell.Screen { return Weld{id: "KM-0010"} })
	joint := b.env().Weld("KM-0010").Joint
	b.sees("0 photo")
	b.keys("0")
	b.text("none.jpg")
	b.sees("cannot read none.jpg; check the name")
	b.keys("esc")
	b.givesPhoto("KM-0010 in " + joint)
	if got := b.last().(logbook.Enclosed); got.What != "the indicators" || got.Hash != "0123456789abcdef" || got.Taken.Local != "2026:03:09 10:14:02" || got.Shows() != "" {
		t.Errorf("stored as %+v", got)
	}
	if e := b.log.Newest(); e.Weld != "KM-0010" || e.Joint != joint || e.By != "Hedda Roan" {
		t.Errorf("stored on %q at %q by %q", e.Weld, e.Joint, e.By)
	}
	whole := strings.Join(strings.Fields(b.whole(func(shell.Env) shell.Screen { return Weld{id: "KM-0010"} })), " ")
	if want := "p1.jpg: the indicators (Hedda Roan, 9 Mar 09:00; 0123456789ab); time in the file 2026-03-09 10:14:02"; !strings.Contains(whole, want) {
		t.Errorf("the page lacks %q:\n%s", want, whole)
	}
	b.keys("0", "down", "down", "enter", "1", "enter")
	b.text("Hedda Roan")
	b.sees("p1.jpg with this content")
	b.lacks("is enclosed for")
}

// A joint without a weld, what is covered, what is tested and a test take photos too, and
// each page names its own.
func TestPhotosOfWhatIsNoWeld(t *testing.T) {
	for _, c := range []struct {
		open  func(shell.Env) shell.Screen
		of    string
		shows string
		joint string
		says  string
	}{
		{func(shell.Env) shell.Screen { return Weld{label: "4B"} }, "joint 4B", "", "4B", "p1.jpg: the indicators"},
		{func(shell.Env) shell.Screen { return coverPart{name: "chamber A"} }, "chamber A", "chamber A", "", "enclosed p1.jpg: the indicators"},
		{func(shell.Env) shell.Screen { return pressureOf{id: logbook.SectionID{Chamber: "A", Circuit: 1}} }, "circuit 1", "circuit 1 of chamber A", "", "enclosed: 1 file: the indicators"},
	} {
		b := onStick(t)
		b.does(acts.Enclose(b.head("Bo Invented"), "", "", logbook.Enclosed{File: "site.pdf", Hash: "ff", What: "of the site alone"}))
		b.show(80, 24, c.open)
		b.givesPhoto(c.of)
		if got := b.last().(logbook.Enclosed); got.Shows() != c.shows || b.log.Newest().Joint != c.joint || b.log.Newest().Weld != "" {
			t.Errorf("%s: stored as %+v at %q", c.of, got, b.log.Newest().Joint)
		}
		if whole := strings.Join(strings.Fields(b.whole(c.open)), " "); !strings.Contains(whole, c.says) {
			t.Errorf("the page of %s lacks %q:\n%s", c.of, c.says, whole)
		} else if strings.Contains(whole, "site.pdf") || strings.Contains(whole, "2 files") {
			t.Errorf("the page of %s names a file of the site:\n%s", c.of, whole)
		}
	}
}

func TestAPhotoOfATest(t *testing.T) {
	b := onStick(t)
	b.show(80, 24, newPressures)
	b.keys("enter", "1")
	b.giveTest("0.05")
	b.keys("enter")
	b.sees("Pressure test KM-P1 of circuit 1", "0 photo")
	b.givesPhoto("pressure test KM-P1")
	if got := b.last().(logbook.Enclosed); got.Test != "KM-P1" {
		t.Errorf("stored as %+v", got)
	}
	if whole := b.whole(func(shell.Env) shell.Screen { return pressureTest{id: "KM-P1"} }); !strings.Contains(whole, "enclosed: p1.jpg: the indicators (Hedda Roan") {
		t.Errorf("the test says\n%s", whole)
	}
	if whole := b.whole(func(shell.Env) shell.Screen { return pressureOf{id: logbook.SectionID{Chamber: "A", Circuit: 1}} }); !strings.Contains(whole, "enclosed: 1 file: the indicators") {
		t.Errorf("its section says\n%s", whole)
	}
}

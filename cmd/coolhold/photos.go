package main

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/photo"
	"coolhold/logbook/whole"
)

// A photoFound is a photo in a folder with what lies near it in time.
type photoFound struct {
	File     string        `json:"file"` // where it lies
	Hash     string        `json:"hash"`
	Bytes    int64         `json:"bytes"`
	Kind     string        `json:"kind,omitempty"` // of the file, by its first bytes; not there: none that is known
	Taken    logbook.Taken `json:"taken"`          // as its EXIF has it
	Says     string        `json:"says"`
	Enclosed []string      `json:"enclosed,omitempty"` // what it is named for already
	Near     []ahead.Near  `json:"near,omitempty"`     // what of the record lies near that time
}

// nearMost is how many things are named for one photo.
const nearMost = 4

func newPhotos(e edges) *cobra.Command {
	var log, site string
	var within int
	var all, asJSON bool
	cmd := &cobra.Command{
		Use:   "photos FOLDER|FILE...",
		Short: "List the photos on a stick with what of the record lies near them in time",
		Long: `photos lists each photo in a folder and below it that is not enclosed yet: the time in
its file, its size, and the welds, tests and sections whose times lie around it. It
binds nothing and changes nothing: coolhold enclose does, for what a person says.

The time is that of the phone's clock, which is not ours and may be wrong by any
amount. It is written as it stands in the file; where that gives no offset it is taken
as local time here.

Read are JPEG, PNG and HEIC; of TIFF, WebP, GIF and BMP the time is not read. Other
files are not looked at.`,
		Example: `  coolhold photos /media/stick/DCIM
  coolhold photos p1.jpg p2.jpg --within 15
  coolhold photos photos --all --json`,
		Args: wants(1, "which folder?"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if within < 1 || within > 24*60 {
				return usage("--within %d is out of range: it goes from 1 to 1440 minutes", within)
			}
			r, s, err := readSite(e, log, site, "")
			if err != nil {
				return err
			}
			e.bar.enters("reading the photos")
			l := photoSearch{within: time.Duration(within) * time.Minute, r: r, s: s, zone: e.now().Local().Location(), found: []photoFound{}}
			for _, arg := range expanded(args) {
				if err := l.at(arg); err != nil {
					return err
				}
			}
			if !all {
				l.drop()
			}
			if asJSON {
				return printJSON(cmd.OutOrStdout(), l.found)
			}
			return l.print(cmd.OutOrStdout())
		},
	}
	logFlag(cmd, &log)
	f := cmd.Flags()
	f.StringVar(&site, "site", "", "the `site`, where the log has several")
	f.IntVar(&within, "within", 60, "how many `minutes` away something may lie to be named")
	f.BoolVar(&all, "all", false, "those too that are enclosed already")
	f.BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

// A photoSearch goes through folders for photos.
type photoSearch struct {
	within time.Duration
	r      reading
	s      logbook.Site
	zone   *time.Location
	found  []photoFound
	had    int // enclosed already and not listed
	others int // files that are none
}

// at looks at one file, whatever it is, or at the photos of a folder.
func (l *photoSearch) at(name string) error {
	info, err := os.Stat(name)
	if err != nil {
		return unreadable(name, err)
	}
	if !info.IsDir() {
		return l.file(name, true)
	}
	return filesIn(name, func(path string, _ fs.FileInfo) error { return l.file(path, false) })
}

func (l *photoSearch) file(path string, named bool) error {
	if is, err := isPhoto(path); err != nil {
		return err
	} else if !is && !named {
		l.others++
		return nil
	}
	b, said, is, err := readPhoto(path)
	if err != nil {
		return err
	}
	p := photoFound{File: path, Hash: b.Hash, Bytes: b.Bytes, Kind: string(said.Kind), Taken: said.Taken, Says: photoSays(said)}
	if !is {
		p.Says = "not a photo"
	}
	for _, e := range l.s.Enclosed {
		if e.Hash == b.Hash {
			p.Enclosed = append(p.Enclosed, e.Of())
		}
	}
	if at, exact := said.Taken.Time(l.zone); !at.IsZero() {
		if p.Near = ahead.Around(l.r.book, l.s, at, l.within); !exact {
			p.Says += " (no offset: taken as local time)"
		}
	}
	l.found = append(l.found, p)
	return nil
}

// isPhoto tells whether a file is one by its first bytes or its name.
func isPhoto(path string) (bool, error) {
	if namedAsPhoto(path) {
		return true, nil
	}
	f, err := whole.Open(path)
	if err != nil {
		return false, unreadable(path, err)
	}
	defer f.Close()
	return photo.Is(f), nil
}

// drop leaves out what is enclosed already.
func (l *photoSearch) drop() {
	n := len(l.found)
	l.found = slices.DeleteFunc(l.found, func(p photoFound) bool { return len(p.Enclosed) > 0 })
	l.had = n - len(l.found)
}

func (l *photoSearch) print(w io.Writer) error {
	var b strings.Builder
	say := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	for _, p := range l.found {
		say("%s  %s, %d bytes, %.12s", logbook.Clean(p.File), p.Says, p.Bytes, p.Hash)
		for _, of := range p.Enclosed {
			say("    enclosed already for %s", logbook.Clean(of))
		}
		for _, n := range p.Near[:min(len(p.Near), nearMost)] {
			say("    %s", logbook.Clean(n.Line()))
		}
		switch more := len(p.Near) - nearMost; {
		case more > 0:
			say("    and %d more within %d min", more, int(l.within.Minutes()))
		case len(p.Near) == 0 && p.Taken.Local != "":
			say("    nothing of the record lies within %d min", int(l.within.Minutes()))
		}
	}
	if len(l.found) == 0 {
		say("no photo that is not enclosed already")
	}
	if l.had > 0 {
		say("%s enclosed already: --all lists them too", logbook.Count(l.had, "photo"))
	}
	if l.others > 0 {
		say("%s not looked at: no photos", logbook.Count(l.others, "other file"))
	}
	if slices.ContainsFunc(l.found, func(p photoFound) bool { return len(p.Near) > 0 }) {
		say("These times are of the phone's clock, which is not ours. They bind nothing: coolhold enclose FILE --weld NUMBER --what TEXT --by NAME")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

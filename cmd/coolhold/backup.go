package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
	"coolhold/logbook/whole"
	"coolhold/tui/shell"
)

const backupLong = `backup DIR names the folder of a stick for a site, and puts a copy of the log and the
seal of the day on it. From then on that is done by itself at the end of each shift, as
it is closed on the board, and when a day is signed. It is done beside the work and
stops nothing; one line says what came of it.

The copy is consistent, and was read through before it got its name:
SITE-LETTERS-DAY.coolhold, beside it SITE-LETTERS-DAY.seal. Nothing that lies there is
ever replaced: a further copy of that day has -2, -3 … in its name, and one that is there
already is not made again. The stick is known by a small file that is put on it: the
folder of a stick that is not in is not taken for it, and under another drive letter or
mount point it is found again. One stick serves several sites and
laptops.

Without DIR it is done now, on the stick that is named for the site. Exit code 1 where
none is named, or it is not in, full, or cannot be written.`

// backupFlagged is what the verb was asked for.
type backupFlagged struct {
	log, site, day, by string
	none               bool
}

func newBackup(e edges) *cobra.Command {
	var f backupFlagged
	cmd := &cobra.Command{
		Use:   "backup [DIR]",
		Short: "Name a stick for a site: a copy and the seal go onto it at the end of each shift",
		Long:  backupLong,
		Example: `  coolhold backup /media/stick
  coolhold backup --by "Ada Invented"
  coolhold backup --none`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && f.none {
				return usage("a folder, or --none; write coolhold %s", cmd.Use)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(e, cmd.OutOrStdout(), args) },
	}
	logFlag(cmd, &f.log)
	cmd.Flags().StringVar(&f.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&f.day, "day", "", "the `day` that is sealed: 2026-03-09, yesterday or today (else today)")
	cmd.Flags().StringVar(&f.by, "by", "", "the `name` of who does it, which stands in the seal")
	cmd.Flags().BoolVar(&f.none, "none", false, "name no stick for the site any more; what lies on it stays")
	return cmd
}

func (f backupFlagged) run(e edges, w io.Writer, args []string) error {
	path := logPath(e, f.log)
	_, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	if f.none {
		return forgetStick(w, path, s.ID)
	}
	day, err := parseDay("--day", orToday(f.day), e.now().Local())
	if err != nil {
		return err
	}
	l, err := openLog(path)
	if err != nil {
		return err
	}
	if len(args) == 1 {
		if err := nameStick(e, l, s.ID, args[0]); err != nil {
			return err
		}
	}
	h := head(e, f.by)
	h.Site = s.ID
	line, err := backup(e, l, h, day)
	switch {
	case err != nil:
		return exitWith(exitFindings, err)
	case line == "":
		return exitWith(exitFindings, fmt.Errorf("no stick is named for %s on this machine; coolhold backup DIR names one", s.ID))
	}
	_, err = fmt.Fprintln(w, logbook.Clean(line))
	return err
}

func orToday(day string) string {
	if day == "" {
		return "today"
	}
	return day
}

// A keptStick is the folder that is named for a site of a log on this machine.
type keptStick struct {
	File string    `json:"file"` // the log's, from the root
	Log  string    `json:"log"`  // its id
	Site string    `json:"site"`
	Dir  string    `json:"stick"`
	At   time.Time `json:"at"` // when it was named
}

func (k keptStick) of(file, site string) bool { return k.File == absolute(file) && k.Site == site }

func sticksFile() string { return fileOfKept("sticks") }

func keptSticks() []keptStick {
	return readKept(sticksFile(), func(k keptStick) bool { return k.File != "" && k.Dir != "" })
}

// stickOf is the folder that is named for a site of a log.
func stickOf(l *store.Log, site string) (keptStick, bool) {
	for _, k := range keptSticks() {
		if k.of(l.Path(), site) && k.Log == l.ID() {
			return k, true
		}
	}
	return keptStick{}, false
}

// keepStick keeps it; without a folder none is named any more.
func keepStick(k keptStick) error {
	k.File = absolute(k.File)
	kept := slices.DeleteFunc(keptSticks(), func(o keptStick) bool { return o.of(k.File, k.Site) })
	if k.Dir != "" {
		kept = append(kept, k)
	}
	if err := writeKept(sticksFile(), kept); err != nil {
		return exitWith(exitFindings, fmt.Errorf("the stick is not named: %w", err))
	}
	return nil
}

// nameStick names a folder for a site, and puts the mark there by which it is known.
func nameStick(e edges, l *store.Log, site, dir string) error {
	info, err := os.Stat(dir)
	if err == nil && !info.IsDir() {
		err = errors.New("it is no folder")
	}
	if err != nil {
		return usage("%s is not named: %w; put the stick in, or name a folder that is there", dir, unpathed(err))
	}
	k := keptStick{File: l.Path(), Log: l.ID(), Site: site, Dir: absolute(dir), At: e.now().Wall}
	mark := k.mark(l)
	err = whole.New(mark, whole.Bytes([]byte(markText(l, site)), 0o644))
	if errors.Is(err, fs.ErrExist) {
		if !k.isIn(l) {
			return usage("%s is not named: its %s is of another log; name another folder, or move that file away", dir, filepath.Base(mark))
		}
		err = nil
	}
	if err != nil && !errors.Is(err, whole.ErrUnsynced) {
		return exitWith(exitFindings, fmt.Errorf("%s is not named: %w", dir, unpathed(err)))
	}
	if sameDisk(dir, l.Path()) {
		fmt.Fprintf(e.err, "coolhold: %s is on the disk of the log: what takes one takes both; is the stick in?\n", logbook.Clean(dir))
	}
	return keepStick(k)
}

// forgetStick names no stick for a site any more.
func forgetStick(w io.Writer, path, site string) error {
	for _, k := range keptSticks() {
		if k.of(path, site) {
			if err := keepStick(keptStick{File: path, Site: site}); err != nil {
				return err
			}
			_, err := fmt.Fprintf(w, "no stick is named for %s any more; what lies in %s stays\n", site, logbook.Clean(k.Dir))
			return err
		}
	}
	return exitWith(exitFindings, fmt.Errorf("no stick is named for %s on this machine", site))
}

// stem is how the names of a site's files on a stick begin: one stick serves several
// sites, and laptops with logs of the same site.
func stem(l *store.Log, site string) string { return fileName(site) + "-" + l.Tag() }

// mark is the file on the stick by which it is known.
func (k keptStick) mark(l *store.Log) string { return filepath.Join(k.Dir, stem(l, k.Site)+".stick") }

// markText says what the file is for, and of which log.
func markText(l *store.Log, site string) string {
	return fmt.Sprintf("A copy of the log and the seal of the day are put here at the end of each shift.\nsite %s\nlog %s\n", site, l.ID())
}

// isIn tells whether the stick is there: the folder of one that is not in may be.
func (k keptStick) isIn(l *store.Log) bool {
	text, err := whole.Read(k.mark(l))
	return err == nil && string(text) == markText(l, k.Site)
}

// elsewhere is the stick under another letter or mount point, known by its mark. A folder
// on the disk of the log is no stick, only a copy of one; of two with the mark neither is
// taken.
func (k keptStick) elsewhere(l *store.Log) (keptStick, bool) {
	found, ok := inTime(mostForASearch, func() (found []keptStick) {
		for _, dir := range neighbours(k.Dir) {
			o := k
			if o.Dir = dir; o.isIn(l) && !sameDisk(dir, l.Path()) {
				found = append(found, o)
			}
		}
		return found
	})
	if !ok || len(found) != 1 {
		return k, false
	}
	return found[0], true
}

// neighbours are folders that differ from one in its letter, or in one part of its name below
// the first.
func neighbours(dir string) (out []string) {
	if vol := filepath.VolumeName(dir); len(vol) == 2 {
		for letter := 'A'; letter <= 'Z'; letter++ {
			if !strings.EqualFold(string(letter), vol[:1]) {
				out = append(out, string(letter)+dir[1:])
			}
		}
		return out
	}
	rest := ""
	for at := filepath.Clean(dir); filepath.Dir(filepath.Dir(at)) != filepath.Dir(at); at = filepath.Dir(at) {
		found, _ := os.ReadDir(filepath.Dir(at)) // what cannot be listed is not searched
		for _, f := range found {
			if f.Name() != filepath.Base(at) {
				out = append(out, filepath.Join(filepath.Dir(at), f.Name(), rest))
			}
		}
		rest = filepath.Join(filepath.Base(at), rest)
	}
	return out
}

// backup puts a copy of the log and the seal of a day onto the stick that is named for
// the head's site, and says so in one line; "" where none is named. What goes wrong is
// said in plain words: the work goes on without it.
func backup(e edges, l *store.Log, h acts.Head, day string) (line string, err error) {
	k, is := stickOf(l, h.Site)
	if !is {
		return "", nil
	}
	refuse := func(format string, args ...any) error {
		return fmt.Errorf("NO COPY ON THE STICK: %w: coolhold backup", fmt.Errorf(format, args...))
	}
	moved := ""
	if !k.isIn(l) {
		if k, is = k.elsewhere(l); !is {
			return "", refuse("that of %s is not in (%s); put it in, then", h.Site, k.Dir)
		}
		if err := keepStick(k); err != nil {
			return "", err
		}
		moved = "; the stick is at " + k.Dir + " now"
	}
	sealed, notSealed := sealedDay(e, l, h, day)
	b := copied{log: l, dir: k.Dir, base: stem(l, h.Site) + "-" + day, sealed: sealed}
	name, err := b.put()
	switch {
	case isFull(err):
		return "", refuse("that of %s is full (%s are needed); make room, then", h.Site, megabytes(b.bytes))
	case errors.Is(err, syscall.EROFS), errors.Is(err, os.ErrPermission):
		return "", refuse("that of %s cannot be written; see to its switch or its rights, then", h.Site)
	case err != nil:
		return "", refuse("%w; see to it, then", unpathed(err))
	}
	said := "with the seal of " + day
	if notSealed != nil {
		said = "NOT SEALED: " + notSealed.Error()
	}
	said += moved
	if b.there {
		return "on the stick already: " + name + ", " + said, nil
	}
	return "copy on the stick: " + name + ", " + said, nil
}

func megabytes(n int64) string { return fmt.Sprintf("%.1f MB", float64(n)/1e6) }

// unpathed is why, without the name that a part of a file had.
func unpathed(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}

// sealedDay is the seal of a day that ends the log: the one that stands there, else it
// is made.
func sealedDay(e edges, l *store.Log, h acts.Head, day string) (logbook.Sealed, error) {
	shot, err := store.ReadSite(context.Background(), l.Path(), h.Site, time.Time{})
	if err == nil && shot.Sealed != nil && shot.Sealed.Seq == uint64(shot.Entries) {
		if b, is := shot.Sealed.Open().(logbook.Sealed); is && b.Day == day {
			return b, nil
		}
	}
	quiet := e
	quiet.err = io.Discard // that a key was made is shown by coolhold seal --show-key
	h.By = seal.Fitting(h.By)
	return sealNow(quiet, l.Path(), h, day)
}

// A copied is a copy of a log on its way to a stick.
type copied struct {
	log       *store.Log
	dir, base string
	sealed    logbook.Sealed // its newest seal; without a note there is none
	bytes     int64
	there     bool // the stick had it
}

// put puts the copy and its seal under a name that nothing has yet, and gives that. The
// copy is made in the folder for temporary files first, so that the log is not held for as long as a
// stick takes.
func (c *copied) put() (name string, err error) {
	if name = c.newest(); name != "" && c.same(filepath.Join(c.dir, name)) {
		c.there = true
		return name, nil
	}
	c.sweep()
	here, remove, err := store.TemporaryCopy()
	if err != nil {
		return "", err
	}
	defer remove()
	if err := c.log.Copy(context.Background(), here); err != nil {
		return "", err
	}
	info, err := os.Stat(here)
	if err != nil {
		return "", err
	}
	c.bytes = info.Size()
	if free, err := roomOn(c.dir); err == nil && free < uint64(c.bytes) {
		return "", syscall.ENOSPC
	}
	for n := 1; ; n++ {
		name := c.named(n)
		err := c.deliver(here, filepath.Join(c.dir, name))
		if !errors.Is(err, fs.ErrExist) {
			return name, err
		}
	}
}

// named is the n-th name of a day.
func (c *copied) named(n int) string {
	if n == 1 {
		return c.base + ".coolhold"
	}
	return fmt.Sprintf("%s-%d.coolhold", c.base, n)
}

// deliver writes seal and copy, whole or not at all. The seal goes first: a copy stands
// for both.
func (c *copied) deliver(from, to string) error {
	if _, err := os.Lstat(to); err == nil {
		return fs.ErrExist
	}
	note := strings.TrimSuffix(to, ".coolhold") + ".seal"
	if c.sealed.Note != "" {
		if err := whole.New(note, whole.Bytes([]byte(c.sealed.Note), 0o600)); err != nil && !errors.Is(err, whole.ErrUnsynced) {
			return err
		}
	}
	err := whole.New(to, whole.CopyOf(from, 0o600))
	if errors.Is(err, whole.ErrUnsynced) {
		return nil // some sticks cannot: both stand there whole
	}
	if err != nil && c.sealed.Note != "" {
		_ = os.Remove(note) // it was made just now
	}
	return err
}

// newest is the copy of the day that was made last, "" where there is none.
func (c *copied) newest() (name string) {
	for n := 1; ; n++ {
		if _, err := os.Lstat(filepath.Join(c.dir, c.named(n))); err != nil {
			return name
		}
		name = c.named(n)
	}
}

// same tells whether a copy holds what the log does now: it is whole, and the newest
// seal is its last entry.
func (c *copied) same(file string) bool {
	if c.sealed.Note == "" {
		return false
	}
	r, err := store.Verify(context.Background(), file, false)
	if err != nil || len(r.Faults) > 0 || len(r.Seals) == 0 || r.ID != c.log.ID() {
		return false
	}
	last := r.Seals[len(r.Seals)-1]
	return last.Sealed.Note == c.sealed.Note && int64(last.Seq) == r.Entries
}

// sweep removes what a stick that was pulled in the middle of a copy still has of it.
func (c *copied) sweep() {
	found, _ := os.ReadDir(c.dir) // what cannot be listed stays
	for _, f := range found {
		name, is := strings.CutPrefix(f.Name(), c.base)
		if is && f.Type().IsRegular() && strings.Contains(name, ".part-") {
			_ = os.Remove(filepath.Join(c.dir, f.Name()))
		}
	}
}

// A stick that does not answer for so long is said, and waited for no more; nor is one
// looked for any longer beside its place.
const (
	mostForAStick  = 2 * time.Minute
	mostForASearch = 10 * time.Second
)

// backupBeside is backup for the board, which must be able to go on and to end whatever
// the stick does.
func backupBeside(e edges, log shell.Log, h acts.Head, day string) (string, error) {
	l, is := log.(*store.Log)
	if !is {
		return "", nil
	}
	type came struct {
		line string
		err  error
	}
	c, ok := inTime(mostForAStick, func() came { line, err := backup(e, l, h, day); return came{line, err} })
	if !ok {
		return "", fmt.Errorf("NO COPY ON THE STICK: that of %s does not answer; see to it, then: coolhold backup", h.Site)
	}
	return c.line, c.err
}

// sealAndBackup seals a log after a day was signed, as the screens say it, and has the
// stick follow. The day is sealed whatever the stick says.
func sealAndBackup(e edges, h acts.Head, log shell.Log, day string) (string, error) {
	line, err := sealShort(e, log.Path(), h, day)
	if err != nil {
		return line, err
	}
	copied, err := backupBeside(e, log, h, day)
	if err != nil {
		copied = err.Error()
	}
	return logbook.Joined("; ", line, copied), nil
}

// stickNamed names a stick on the board, where a folder is typed, or the word that ends it.
func stickNamed(e edges, log shell.Log, site, dir string) (string, error) {
	l, is := log.(*store.Log)
	if !is {
		return "", errors.New("this log has no file")
	}
	var said strings.Builder
	e.err = &said
	if dir == noTwin {
		err := forgetStick(&said, l.Path(), site)
		return strings.TrimSpace(said.String()), err
	}
	if err := nameStick(e, l, site, namedFile(e, dir)); err != nil {
		return "", err
	}
	line := "the stick of " + site + " is named: a copy and the seal go onto it at the end of each shift"
	return logbook.Joined("; ", line, strings.TrimPrefix(strings.TrimSpace(said.String()), "coolhold: ")), nil
}

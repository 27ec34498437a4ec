package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
)

// sealFlags are what the verb seal was asked for.
type sealFlags struct {
	log, by          string
	out              outlet
	site             string
	countersign, key string
	signedBy         []string
	newKey, name     string
	showKey          bool
}

func newSeal(e edges) *cobra.Command {
	var f sealFlags
	cmd := &cobra.Command{
		Use:   "seal",
		Short: "Sign what the log holds, so that a later change can be found",
		Long: `seal checks the log and signs a statement of its entries: how many there are and
the root of the tree of hashes over them. What the last seal of the same key covers is
not checked again; coolhold verify --deep does that. The log keeps the seal, and the
same text goes to stdout or to --out FILE. Give a copy away: on the laptop alone
it proves nothing against the laptop's owner, and only a copy that was handed over
dates it. coolhold verify says what a seal proves and what not.

The laptop's key is made on first use, kept outside the log in a file that only
its owner can read (the data folder, or COOLHOLD_KEY), and shown with --show-key.
Whoever takes a seal can sign it too, with a key of his own kept elsewhere. The
signature that stands there is checked first, with the key given with --signed-by,
and with --log that the log holds what was sealed: nobody signs what was altered.`,
		Example: `  coolhold seal --by "Ada Invented" --out monday.seal
  coolhold seal --show-key
  coolhold seal --new-key foreman.key --name f-invented
  coolhold seal --countersign monday.seal --key foreman.key --out monday-both.seal`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			mode, err := f.mode()
			if err != nil {
				return err
			}
			return mode(e, cmd, f)
		},
	}
	logFlag(cmd, &f.log)
	cmd.Flags().StringVar(&f.by, "by", "", "the `name` of who seals, which stands in the seal")
	cmd.Flags().StringVar(&f.site, "site", "", "the `site` that the seal names, where the log has several: a register with --prove needs one that names its own")
	f.out.flags(cmd, "the seal")
	cmd.Flags().StringVar(&f.countersign, "countersign", "", "sign the seal in this `file` too; needs --key")
	cmd.Flags().StringVar(&f.key, "key", "", "the `file` of the key to sign with, or to show")
	cmd.Flags().StringArrayVar(&f.signedBy, "signed-by", nil, "with --countersign: the public `key` of who signed first, or a file that holds it (else the laptop's own)")
	cmd.Flags().StringVar(&f.newKey, "new-key", "", "make a key in this `file`; needs --name")
	cmd.Flags().StringVar(&f.name, "name", "", "the `word` that stands at the signatures of the new key")
	cmd.Flags().BoolVar(&f.showKey, "show-key", false, "print the public half of the laptop's key, or of --key")
	return cmd
}

// mode is what is to be done; flags that do not go together are refused.
func (f sealFlags) mode() (func(edges, *cobra.Command, sealFlags) error, error) {
	type flags map[string]bool
	given := flags{
		"--log": f.log != "", "--by": f.by != "", "--out": f.out.file != "", "--force": f.out.force, "--countersign": f.countersign != "",
		"--signed-by": len(f.signedBy) > 0, "--site": f.site != "", "--key": f.key != "", "--new-key": f.newKey != "", "--name": f.name != "", "--show-key": f.showKey,
	}
	run, takes, needs := sealByHand, []string{"--log", "--by", "--out", "--force", "--site"}, ""
	switch {
	case f.countersign != "":
		run, takes, needs = countersign, []string{"--countersign", "--key", "--signed-by", "--log", "--out", "--force"}, "--key"
	case f.newKey != "":
		run, takes, needs = makeKey, []string{"--new-key", "--name"}, "--name"
	case f.showKey:
		run, takes = showKey, []string{"--show-key", "--key"}
	}
	if needs != "" && !given[needs] {
		return nil, usage("%s is missing; see coolhold seal --help", needs)
	}
	for flag, is := range given {
		if is && !slices.Contains(takes, flag) {
			return nil, usage("%s does not go with the other flags; see coolhold seal --help", flag)
		}
	}
	return run, nil
}

func makeKey(e edges, cmd *cobra.Command, f sealFlags) error {
	k, err := newKey(e, f.newKey, f.name)
	if err == nil {
		fmt.Fprintf(cmd.OutOrStdout(), "%s: keep this file to yourself; its public half, for whoever will check:\n%s\n", logbook.Clean(f.newKey), k.Public())
	}
	return err
}

func showKey(e edges, cmd *cobra.Command, f sealFlags) (err error) {
	var k seal.Key
	if f.key != "" {
		k, err = readKey(e, f.key)
	} else {
		k, err = laptopKey(e)
	}
	if err == nil {
		fmt.Fprintln(cmd.OutOrStdout(), k.Public())
	}
	return err
}

// countersign adds a signature to a seal that was handed over.
func countersign(e edges, cmd *cobra.Command, f sealFlags) error {
	data, err := readSmall(f.countersign)
	if err != nil {
		return err
	}
	k, err := readKey(e, f.key)
	if err != nil {
		return err
	}
	own, err := seal.ReadPublic(k.Public())
	if err != nil {
		return err
	}
	switch _, err := seal.Verify(data, own); {
	case err == nil:
		return exitWith(exitRefused, fmt.Errorf("%s: the key %s has signed it already; sign with another", f.countersign, seal.KeyID(own)))
	case !errors.Is(err, seal.ErrUnsigned):
		return exitWith(exitInput, fmt.Errorf("%s: %w", f.countersign, err))
	}
	s, err := f.first(e, data)
	if err != nil {
		return err
	}
	both, err := seal.Countersign(data, k)
	if err != nil {
		return exitWith(exitInput, fmt.Errorf("%s: %w", f.countersign, err))
	}
	return handOut(cmd, f.out, both, s.Statement)
}

// first checks the signature that stands on a seal, and against the log where one is
// given that it holds what was sealed: who signs stands for it.
func (f sealFlags) first(e edges, data []byte) (seal.Seal, error) {
	keys, err := knownKeys(e, f.signedBy)
	if err != nil {
		return seal.Seal{}, err
	}
	s, err := seal.Verify(data, keys...)
	switch {
	case errors.Is(err, seal.ErrUnsigned):
		return s, exitWith(exitFindings, fmt.Errorf("%s: not signed: the key of the signature that stands there (%s) is not known here; give it with --signed-by", f.countersign, strings.Join(s.Unknown, ", ")))
	case err != nil:
		return s, exitWith(exitFindings, fmt.Errorf("%s: not signed: it was altered, or is another's: %w", f.countersign, err))
	case f.log == "":
		return s, nil
	}
	v, err := checkLog(f.log, false, keys)
	if err != nil {
		return s, err
	}
	if err := s.ExtendedBy(v.ID, v.Tag, v.Entries, v.Checkup); err != nil {
		return s, exitWith(exitFindings, fmt.Errorf("%s: not signed: %s is not what was sealed: %w", f.countersign, f.log, err))
	}
	return s, nil
}

// handOut gives a seal to whoever asked for it; beside a file it says what the
// seal is about.
func handOut(cmd *cobra.Command, out outlet, data []byte, s seal.Statement) error {
	if err := out.deliver(cmd.OutOrStdout(), data); err != nil || out.file == "" {
		return err
	}
	_, err := fmt.Fprintf(cmd.OutOrStdout(), "%s: %s\n%s\n", logbook.Clean(out.file), sealLine(s), giveAway)
	return err
}

const giveAway = "Give a copy away today, on paper or in a message: only that dates it, and only that holds against the laptop's owner."

// sealLine is a seal in one line for a person.
func sealLine(s seal.Statement) string {
	line := fmt.Sprintf("%s of log %s, root %s, claimed %s", entries(s.Entries), s.Tag, s.Root, s.At.Format("2006-01-02 15:04 -07:00"))
	if s.Day != "" {
		line += ", day " + s.Day
	}
	if s.By != "" {
		line += ", by " + logbook.Clean(s.By)
	}
	return line
}

func sealByHand(e edges, cmd *cobra.Command, f sealFlags) error {
	h, err := f.head(e)
	if err != nil {
		return err
	}
	b, err := sealNow(e, logPath(e, f.log), h, "")
	if err != nil {
		return err
	}
	s, err := seal.Parse([]byte(b.Note))
	if err != nil {
		return err
	}
	return handOut(cmd, f.out, []byte(b.Note), s.Statement)
}

// head names the site that the seal is to name: the one asked for, or the only
// one.
func (f sealFlags) head(e edges) (acts.Head, error) {
	h := head(e, f.by)
	r, err := readLog(e, f.log, f.site, "")
	if err != nil {
		return h, nil // the check before the seal says what is wrong
	}
	if f.site == "" && len(r.book.Sites()) != 1 {
		return h, nil
	}
	s, err := pickSite(r.book, f.site)
	h.Site = s.ID
	return h, err
}

// sealDay seals a log after a day was signed, and says so in one line for a
// screen, where stderr must stay silent. The head names who signed and the site.
func sealDay(e edges, path string, h acts.Head, day string) (line string, err error) {
	var said bytes.Buffer
	e.err = &said
	h.By = seal.Fitting(h.By) // in full it stands in the day's signature
	b, err := sealNow(e, path, h, day)
	if err != nil {
		return "", err
	}
	line = b.Line()
	for notice := range strings.Lines(said.String()) {
		line += "; " + strings.TrimPrefix(strings.TrimSpace(notice), "coolhold: ")
	}
	return line, nil
}

// errMoved: entries were stored between the check and the seal.
var errMoved = errors.New("the log was written to while it was checked")

// sealTries is how often a check is made anew because another program wrote.
const sealTries = 5

// sealNow checks a log and seals just what was checked.
func sealNow(e edges, path string, h acts.Head, day string) (b logbook.Sealed, err error) {
	l, err := openLog(path)
	if err != nil {
		return b, err // before a key is made for it
	}
	k, err := laptopKey(e)
	if err != nil {
		return b, err
	}
	d := deed{path: path, whole: true, head: h, open: func(string) (*store.Log, error) { return l, nil }}
	for range sealTries {
		var r store.Checkup
		if r, err = sound(path, k); err != nil {
			return b, err
		}
		if b, err = sealed(r, h, day, k); err != nil {
			return b, err
		}
		if _, err = d.write(func(s scene) (acts.Act, error) { return onTree(r, acts.SealLog(s.head, b)), nil }); !errors.Is(err, errMoved) {
			return b, whyNot(err, path, k)
		}
	}
	return b, exitWith(exitLog, fmt.Errorf("%s: not sealed: %w; try again when the other program rests", path, err))
}

// whyNot says more where damage was met that no check since the last seal looks at.
func whyNot(err error, path string, k seal.Key) error {
	own, unread := seal.ReadPublic(k.Public())
	if !errors.Is(err, store.ErrDamaged) || unread != nil {
		return err
	}
	if _, all := soundWhole(path, own); all != nil {
		return all
	}
	return err
}

// sound is the report on a log that may be sealed. What a seal of this laptop's key
// covers already is not checked again: else the end of each day would cost the whole log.
func sound(path string, k seal.Key) (store.Checkup, error) {
	own, err := seal.ReadPublic(k.Public())
	if err != nil {
		return store.Checkup{}, err
	}
	r, since, err := store.CheckSince(context.Background(), path, func(b logbook.Sealed) error {
		_, err := seal.Verify([]byte(b.Note), own)
		return err
	})
	if err != nil || since == 0 { // a check of the whole says more of what cannot be read
		return soundWhole(path, own)
	}
	return r, notSealed(&verification{Checkup: r, path: path, faults: r.Faults})
}

// soundWhole is that of a check of the whole log.
func soundWhole(path string, own note.Verifier) (store.Checkup, error) {
	v, err := checkLog(path, true, []note.Verifier{own})
	if err != nil {
		return store.Checkup{}, err
	}
	return v.Checkup, notSealed(v)
}

// notSealed says why a log is not sealed, nil where nothing is wrong with it.
func notSealed(v *verification) error {
	if n := len(v.faults); n > 0 {
		return exitWith(v.code(), fmt.Errorf("%s: not sealed: %s (%s); coolhold verify lists what does not hold", v.path, v.faults[0].What, logbook.Count(n, "fault")))
	}
	return nil
}

// sealed is the seal over all entries of a report.
func sealed(r store.Checkup, h acts.Head, day string, k seal.Key) (b logbook.Sealed, err error) {
	s := seal.Statement{Log: r.ID, Tag: r.Tag, Entries: r.Entries, Root: r.Root, At: h.At.Local(), Day: day, By: h.By}
	if p := r.Place(h.Site); p != nil {
		s.Site, s.OfSite = p.UID, int64(p.Entries)
	}
	data, err := seal.Sign(s, k)
	switch {
	case errors.Is(err, seal.ErrStatement) && r.Entries > 0:
		err = exitWith(exitUsage, err) // the name
	case err != nil:
		err = exitWith(exitFindings, err)
	}
	return logbook.Sealed{Entries: r.Entries, Root: r.Root.String(), Note: string(data), Day: day}, err
}

// onTree lets an act pass only while the log holds just what was checked. It is
// asked inside the transaction: nobody writes between this and the entry.
func onTree(r store.Checkup, act acts.Act) acts.Act {
	return func(records logbook.Reader) ([]logbook.Draft, error) {
		n, root, ok := store.Tree(records)
		if !ok || n != r.Entries || root != r.Root {
			return nil, errMoved
		}
		return act(records)
	}
}

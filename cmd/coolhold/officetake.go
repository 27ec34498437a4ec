package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/office/pg"
	"coolhold/logbook/seal"
	"coolhold/logbook/whole"
)

func newOfficeTake(e edges) *cobra.Command {
	var db string
	var anew bool
	cmd := &cobra.Command{
		Use:   "take DIR",
		Short: "Take the parcels that laptops put into a folder, and leave receipts there",
		Long: `take takes what coolhold send --to DIR put there, on a stick or a share, as serve
takes it over the network. It leaves a receipt for each log, which the laptop reads
when it next sends to that folder, and changes nothing else: parcels may be taken as
often as one likes, and stay until somebody removes them. Files with other names than send
gives are left, and counted.

It ends with exit code 1 where a parcel is not whole, waits for its key to be admitted,
something before it is missing, or the laptop went on by itself and is kept as a branch;
the others are taken. Where something is missing the receipt is over what the office has
of that log, also where it was restored to an older day: the laptop sends from there.`,
		Example: `  coolhold office take /media/stick`,
		Args:    cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage("which folder? write coolhold office take DIR")
			}
			o, err := officeToWorkUp(e, db)
			if err != nil {
				return err
			}
			defer o.Close()
			return takeFolder(e, cmd.OutOrStdout(), o, args[0], anew)
		},
	}
	officeDBFlag(cmd, &db)
	newKeyFlag(cmd, &anew)
	return cmd
}

// takeFolder takes all parcels of a folder, those of one log in their order.
func takeFolder(e edges, w io.Writer, o *pg.Office, dir string, anew bool) error {
	key, err := officeKeyOf(e, o, anew)
	if err != nil {
		return err
	}
	names, others, err := parcelsIn(dir)
	if err != nil {
		return err
	}
	if others > 0 {
		fmt.Fprintf(e.err, "coolhold: %s: %s left alone: no parcel or receipt by the name; a parcel that was renamed must have the name again that coolhold send gave it\n", logbook.Clean(dir), logbook.Count(others, "file"))
	}
	if len(names) == 0 {
		return exitWith(exitFindings, fmt.Errorf("%s: there is no parcel; coolhold send --to %s puts some there", dir, dir))
	}
	var unwritten error
	desk, parcels, taken, amiss, left := office.Signing(o, key), 0, 0, 0, map[string]bool{}
	for _, name := range names {
		t, err := takeParcel(desk, filepath.Join(dir, name), filepath.Join(dir, name[:32]+receiptEnding))
		if err != nil {
			return err
		}
		if _, first, last, _ := parcelNamed(name); first <= last { // else it is a report
			parcels++
			if t.taken {
				taken++
			}
		}
		if t.receipt {
			left[name[:32]] = true
		}
		unwritten = cmp.Or(unwritten, t.unwritten)
		if t.says != "" {
			amiss++
			fmt.Fprintf(e.err, "coolhold: %s: %s\n", logbook.Clean(name), logbook.Clean(t.says))
		}
	}
	public := filepath.Join(dir, officeKeyFile)
	unwritten = cmp.Or(unwritten, saved(public, whole.Replace(public, whole.Bytes([]byte(key.Public()+"\n"), 0o644))))
	receipts := "no receipt is left"
	if n := len(left); n > 0 {
		receipts = fmt.Sprintf("%s in %s", are(n, "receipt"), logbook.Clean(dir))
	}
	var became []string
	if parcels > 0 {
		became = append(became, fmt.Sprintf("%d of %s taken", taken, logbook.Count(parcels, "parcel")))
	}
	if n := len(names) - parcels; n > 0 {
		became = append(became, logbook.Count(n, "report")+" read")
	}
	fmt.Fprintf(w, "%s; %s\n", strings.Join(became, ", "), receipts)
	if err := workedUp(context.Background(), e, o); err != nil {
		return exitWith(exitFindings, err)
	}
	switch {
	case unwritten != nil:
		return exitWith(exitInput, fmt.Errorf("what is taken is kept, but its laptop learns it from a receipt alone, and that cannot be put there: %w; let the user who runs this write in that folder, and take it again", unwritten))
	case amiss > 0:
		return &exitError{code: exitFindings}
	}
	return nil
}

// parcelsIn are the names of parcels, those of a log in the order of their first entry;
// others counts the files that are neither a parcel nor the office's own, by their names.
func parcelsIn(dir string) (names []string, others int, err error) {
	all, err := os.ReadDir(dir)
	if err != nil {
		return nil, 0, unreadable(dir, err)
	}
	first := map[string]int64{}
	for _, d := range all {
		id, from, last, ok := parcelNamed(d.Name())
		switch {
		case ok && parcelName(id, from, last) == d.Name():
			names, first[d.Name()] = append(names, d.Name()), from
		case !d.IsDir() && d.Name() != officeKeyFile && !strings.HasSuffix(d.Name(), receiptEnding):
			others++
		}
	}
	slices.SortFunc(names, func(a, b string) int {
		return cmp.Or(cmp.Compare(a[:32], b[:32]), cmp.Compare(first[a], first[b]), cmp.Compare(a, b))
	})
	return names, others, nil
}

// parcelNamed reads the name of a parcel.
func parcelNamed(name string) (id string, first, last int64, ok bool) {
	id, rest, _ := strings.Cut(name, "-")
	n, _ := fmt.Sscanf(rest, "%d-%d"+parcelEnding, &first, &last)
	return id, first, last, n == 2 && len(id) == 32
}

// are counts things that are somewhere.
func are(n int, what string) string {
	return logbook.Count(n, what) + map[bool]string{true: " is", false: " are"}[n == 1]
}

// A tookOne is what became of a parcel.
type tookOne struct {
	taken, receipt bool   // receipt: one was left
	says           string // what somebody must see to
	unwritten      error  // why the receipt is not there
}

// takeParcel takes one parcel and leaves its receipt.
func takeParcel(desk office.Desk, name, receipt string) (t tookOne, err error) {
	data, err := readAtMost(name, office.MostParcel)
	if err != nil {
		return t, err
	}
	a, err := desk.Take(context.Background(), data)
	switch {
	case errors.Is(err, office.ErrParcel), errors.Is(err, office.ErrFull):
		return tookOne{says: fmt.Sprintf("not taken: %v", err)}, nil
	case err != nil:
		return t, exitWith(exitLog, fmt.Errorf("%s: not taken: %w", name, err))
	case a.Held:
		return tookOne{taken: true}, nil // it was before its key was withdrawn
	case a.Waiting:
		tag, key, err := office.Claims(data)
		if err != nil {
			return t, exitWith(exitFindings, err)
		}
		why := "is not admitted; coolhold office admit lets it be taken"
		if w := a.Withdrawn; w != nil {
			why = fmt.Sprintf("was WITHDRAWN %s by %s; coolhold office admit lets it be taken anew", w.At.Local().Format(officeTime), w.By)
		}
		return tookOne{says: fmt.Sprintf("log %s waits: its key %s %s", tag, key, why)}, nil
	}
	err = whole.Replace(receipt, whole.Bytes([]byte(a.Receipt), 0o644))
	t = tookOne{taken: true, receipt: err == nil, unwritten: saved(receipt, err)}
	switch a.Standing {
	case office.Ahead:
		t.taken = false
		t.says = fmt.Sprintf("not taken: something before it is missing, from entry %d on; the receipt says so: on the laptop coolhold send --to this folder puts it here, then take it again", a.From)
	case office.Parted:
		t.says = fmt.Sprintf("kept as branch %d: this laptop went on by itself from entry %d; see coolhold office parted", a.Branch, a.Parted)
	}
	return t, nil
}

func newOfficeAdmit(e edges) *cobra.Command {
	var db, crew, by string
	cmd := &cobra.Command{
		Use:   "admit KEY --crew NAME --by NAME",
		Short: "Let a laptop's parcels be taken",
		Long: `admit lets what a laptop signs with its key be taken; what it sent already and waits is
taken then. KEY is the public half, as coolhold seal --show-key prints it on the laptop,
or a file that holds it. Compare it with the laptop's: whoever is admitted in its stead
can send in its name.`,
		Example: `  coolhold office admit coolhold+1a2b3c4d+AaBb… --crew "crew north" --by "Ida Invented"`,
		Args:    cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 || crew == "" || by == "" {
				return usage("a key, --crew and --by are needed; see coolhold office admit --help")
			}
			key, text, err := keyToAdmit(args[0])
			if err != nil {
				return err
			}
			if key.Name() == officeName {
				return usage("this is the key with which an office signs its receipts, and no laptop's; admit the line that coolhold send, or coolhold seal --show-key, prints on the laptop")
			}
			o, err := officeToWorkUp(e, db)
			if err != nil {
				return err
			}
			defer o.Close()
			n, err := o.Admit(context.Background(), key, text, crew, by)
			if err != nil {
				return exitWith(exitRefused, err)
			}
			fmt.Fprintf(cmd.OutOrStdout(), "the key %s is admitted for %s; %s\n", seal.KeyID(key), logbook.Clean(crew), waited(n))
			return workedUp(context.Background(), e, o)
		},
	}
	officeDBFlag(cmd, &db)
	cmd.Flags().StringVar(&crew, "crew", "", "the `name` of the crew that has the laptop")
	cmd.Flags().StringVar(&by, "by", "", "the `name` of who admits it")
	return cmd
}

// readsOf says what a token reads, and what it will.
func readsOf(s pg.Scope) string {
	switch text := "reads " + s.Site + " in log " + strings.Join(s.Logs, ", "); {
	case s.Site == "":
		return "reads all"
	case len(s.Logs) == 0:
		return "reads " + s.Site + ", which is not worked up"
	case s.Every:
		return text + ", and in each log and branch that will have it"
	default:
		return text + ", and in no other"
	}
}

// waited says what waited of a key and is taken.
func waited(a pg.Admitted) string {
	if a.Parcels == 0 {
		return "nothing of it waited"
	}
	return fmt.Sprintf("%s with %s that waited since %s taken", logbook.Count(a.Parcels, "parcel"), logbook.Count(a.Entries, "new entry"), a.Since.Local().Format(officeTime))
}

// keyToAdmit reads the public half of a laptop's key. The other half is refused: that it
// is here is worth more of a warning than it is of use.
func keyToAdmit(arg string) (note.Verifier, string, error) {
	secret := arg
	if data, err := readSmall(arg); err == nil {
		secret = string(data)
	}
	if k, err := seal.ReadKey(secret); err == nil {
		return nil, "", usage("this is a laptop's PRIVATE key, which should not have left it: whoever has it can send and seal in its name. Nothing is admitted. Remove it here; if somebody else may have it, move seal.key away on the laptop, which then makes another. Admit the line that coolhold seal --show-key prints on the laptop, now %s", k.Public())
	}
	return publicWithText("", arg)
}

func newOfficeGrant(e edges) *cobra.Command {
	var db, site, until, by string
	var logs []string
	cmd := &cobra.Command{
		Use:   "grant --by NAME [--site SITE] [--until DAY]",
		Short: "Give somebody a token to read with",
		Long: `grant prints a token with which register, audit, history and recall read from the
office (--office). With --site it reads of that site alone, in each log that has or will
have it: for the client whose it is. With --log it reads the site only in the logs that
are named; they must be where several laptops opened it, each for itself. What it reads
is said on stderr. The office keeps no copy of the token, only what it can be checked by.`,
		Example: `  coolhold office grant --by "Ida Invented"
  coolhold office grant --site invented-meadow --log KM --log QT --by "Ida Invented"
  coolhold office grant --site invented-meadow --until 2027-12-31 --by "Ida Invented"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if by == "" {
				return usage("--by is missing; see coolhold office grant --help")
			}
			if len(logs) > 0 && site == "" {
				return usage("--log goes with --site")
			}
			if until != "" {
				var err error
				if until, err = parseDay("--until", until, e.now().Local()); err != nil {
					return err
				}
				if until < e.now().Local().Format(time.DateOnly) {
					return usage("--until %s is past: nobody could read with it", until)
				}
			}
			o, err := officeDB(e, db)
			if err != nil {
				return err
			}
			defer o.Close()
			var asks []office.SiteAsk
			for _, log := range logs {
				asks = append(asks, office.SiteAsk{Site: site, Log: log})
			}
			if site != "" && len(logs) == 0 {
				asks = []office.SiteAsk{{Site: site}}
			}
			g, err := o.Grant(context.Background(), e.rand, until, by, asks...)
			if err != nil {
				return acted(err)
			}
			fmt.Fprintf(e.err, "coolhold: the token is called %s and %s; coolhold office withdraw %s ends it\n", g.ID, logbook.Clean(readsOf(g.Scope)), g.ID)
			_, err = fmt.Fprintln(cmd.OutOrStdout(), g.Token)
			return err
		},
	}
	officeDBFlag(cmd, &db)
	cmd.Flags().StringVar(&site, "site", "", "only this `site`: its name, short name or own id")
	cmd.Flags().StringArrayVar(&logs, "log", nil, "with --site: only in the `log` of these letters or id; again for each")
	cmd.Flags().StringVar(&until, "until", "", "the last `day` on which it reads: 2027-12-31")
	cmd.Flags().StringVar(&by, "by", "", "the `name` of who gives it")
	return cmd
}

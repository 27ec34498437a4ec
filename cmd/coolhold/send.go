package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/seal"
)

// sendLong is what the verb says of itself.
const sendLong = `send brings what was recorded since the last time to the firm's office, in parcels
that are signed with this laptop's key and prove themselves. What the office gives
back is a receipt; it is kept beside the log, in FILE.office, with the office's address
and key. From then on the board sends by itself when there is a link, and says up to
when the office has all. Nobody and nothing waits for it. --none ends that.

--to names the office (https://…) once: from then on it is that one without --to. Where
its certificate is not known to this machine, COOLHOLD_OFFICE_CA names a file (PEM) to
know it by. Or --to names a folder, on a stick say, each time anew: parcels are put
there for coolhold office take, and the receipts that it left there are read.

A link that breaks costs at most the parcel that was on its way. What is sent twice is
kept once. An office that signs with another key than the first time is refused; --trust
takes the new one.

Exit code 1 where the office has not all of it, or has something else.`

// A sendFlagged is what the verb was asked for.
type sendFlagged struct {
	log, to, trust string
	none           bool
}

func newSend(e edges) *cobra.Command {
	var f sendFlagged
	cmd := &cobra.Command{
		Use:   "send [--to https://OFFICE | --to DIR]",
		Short: "Send what was recorded to the firm's office, over a link or on a stick",
		Long:  sendLong,
		Example: `  coolhold send --to https://office.example:7667
  coolhold send
  coolhold send --to /media/stick
  coolhold send --none`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return f.run(e, cmd.OutOrStdout()) },
	}
	logFlag(cmd, &f.log)
	cmd.Flags().StringVar(&f.to, "to", "", "`address` of the office, or a folder")
	cmd.Flags().StringVar(&f.trust, "trust", "", "believe an office with this public `key`, though it had another before")
	cmd.Flags().BoolVar(&f.none, "none", false, "the board sends no more; what is kept of the office stays")
	return cmd
}

func (f sendFlagged) run(e edges, w io.Writer) error {
	path := logPath(e, f.log)
	if f.none && f.to+f.trust != "" {
		return usage("--none goes alone")
	}
	if f.to != "" && !isAddress(f.to) {
		if info, err := os.Stat(f.to); err != nil || !info.IsDir() {
			return usage("--to %q is neither an address such as https://office.example:7667 nor a folder that is there", f.to)
		}
	}
	if f.trust != "" {
		if _, err := seal.ReadPublic(f.trust); err != nil {
			return usage("--trust %q: %w; write the line that the office prints as it begins", f.trust, err)
		}
	}
	l, err := openLog(path)
	if err != nil {
		return err // before a key is made for it
	}
	if f.none {
		return endSending(w, path, l.ID())
	}
	key, err := laptopKey(e)
	if err != nil {
		return err
	}
	ctx := context.Background()
	s, err := newSending(ctx, path, key, wall(e))
	if err != nil {
		return err
	}
	s.trust = f.trust
	switch to := f.to; {
	case to == "" && s.kept.Office == "":
		return usage("to which office? name its address once with --to, or a folder each time")
	case to == "" || isAddress(to):
		return s.toOffice(ctx, e, w, to)
	default:
		return s.toFolder(ctx, e, w, to)
	}
}

// isAddress tells an address from a folder.
func isAddress(to string) bool { return strings.Contains(to, "://") }

// endSending lets the board send no more.
func endSending(w io.Writer, path, id string) error {
	k, err := readOffice(path, id)
	if err != nil {
		return err
	}
	if k.Office == "" {
		return exitWith(exitFindings, fmt.Errorf("%s: no office is named for it", path))
	}
	at := k.Office
	k.Office = ""
	if err := k.write(path); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "%s: nothing more is sent to %s by itself\n", logbook.Clean(path), logbook.Clean(at))
	return err
}

// toOffice sends over the network. An office that answered is the log's from then on.
func (s *sending) toOffice(ctx context.Context, e edges, w io.Writer, to string) error {
	if to != "" {
		s.kept.Office = to
	}
	c, err := officeClient(e, s.kept.Office, "")
	if err != nil {
		return err
	}
	defer c.Close()
	err = s.bring(ctx, c.Take)
	if errors.Is(err, office.ErrFull) {
		err = fmt.Errorf("%w: let it admit %s", err, s.key.Public())
	}
	if err != nil {
		return atOffice(s.kept.Office, err)
	}
	return s.say(w)
}

// say says how laptop and office stand, in one line.
func (s *sending) say(w io.Writer) error {
	says, level := s.standing()
	fmt.Fprintln(w, logbook.Clean(says))
	if !level {
		return &exitError{code: exitFindings}
	}
	return nil
}

// standing is that line; level: the office has all.
func (s *sending) standing() (says string, level bool) {
	switch k := s.kept; {
	case k.Standing == office.Level:
		return fmt.Sprintf("the office has all up to %s, entry %d", clockOrDay(k.Upto, s.now()), k.receipt().Entries), true
	case k.Standing == office.Parted:
		from := ""
		if k.Parted > 0 {
			from = fmt.Sprintf(" from entry %d", k.Parted)
		}
		return "this log and the office's went on in two ways" + from + ": both are kept there and never mixed, and weld numbers may mean two pipes: at the office, coolhold office parted lists them", false
	case k.Standing == office.Behind:
		return fmt.Sprintf("the office has more of this log than this laptop, %s to %d: it was set up anew, or its log put back; write no weld before coolhold office hand-back %s gave it back", entries(k.Holds), s.entries, k.Log), false
	case k.Withdrawn != nil:
		return fmt.Sprintf("the office WITHDREW this laptop's key %s (%s): what was recorded since waits there and is not taken. If that is not meant, let it admit anew %s", clockOrDay(k.Withdrawn.At, s.now()), k.Withdrawn.By, s.key.Public()), false
	default:
		return fmt.Sprintf("the office keeps it and does not know this laptop's key yet: let it admit %s", s.key.Public()), false
	}
}

// clockOrDay is a time of today by the clock, of another day with it.
func clockOrDay(t, now time.Time) string {
	t = t.In(now.Location())
	if t.Format(time.DateOnly) == now.Format(time.DateOnly) {
		return t.Format("15:04")
	}
	return t.Format("2 Jan 15:04")
}

package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/office/pg"
	"coolhold/logbook/office/wire"
	"coolhold/logbook/seal"
)

// A serving is how an office is to be reached.
type serving struct {
	db, listen, cert, key string
	anew                  bool // the office's own key
}

// nightLook is how often it is looked whether a night has begun.
const nightLook = 10 * time.Minute

func newOfficeServe(e edges) *cobra.Command {
	var s serving
	cmd := &cobra.Command{
		Use:   "serve [--listen ADDRESS] [--cert FILE --key-file FILE]",
		Short: "Take what laptops send over the network, and answer who reads there",
		Long: `serve takes parcels from coolhold send and answers register, audit, history and
recall with --office, until Ctrl-C. What it says it has is on the database's disk.

With a certificate and its key it speaks TLS; without it listens to this machine
alone. Its receipts are signed with the office's key, made at first use (the data
folder, or COOLHOLD_OFFICE_KEY): keep a copy of it, laptops know the office by it.

Parcels of a laptop whose key is not admitted are kept and wait. After each parcel,
and once a night, the rows to search by are brought up.

With COOLHOLD_OFFICE_READ, the address of a copy of the database that follows it, who
reads is answered from there, and from the database itself where the copy does not have
it yet or does not answer.

Each request is one line on stderr: when, from where, what, the code that it was
answered with, of a question the name of the token, and of a parcel the log's letters and
the key that it names. A fault of the office stands there at length once.`,
		Example: `  coolhold office serve --db "host=/run/postgresql dbname=welds"
  coolhold office serve --listen :7667 --cert office.crt --key-file office.pem`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return s.run(e, cmd.OutOrStdout()) },
	}
	officeDBFlag(cmd, &s.db)
	cmd.Flags().StringVar(&s.listen, "listen", "127.0.0.1:7667", "`address` to listen on")
	cmd.Flags().StringVar(&s.cert, "cert", "", "`file` of the certificate (PEM)")
	cmd.Flags().StringVar(&s.key, "key-file", "", "`file` of the certificate's key (PEM)")
	newKeyFlag(cmd, &s.anew)
	return cmd
}

func (s serving) run(e edges, w io.Writer) error {
	if (s.cert == "") != (s.key == "") {
		return usage("--cert and --key-file go together")
	}
	o, err := officeToWorkUp(e, s.db)
	if err != nil {
		return err
	}
	defer o.Close()
	if err := o.Warm(context.Background()); err != nil {
		return exitWith(exitLog, fmt.Errorf("the office's database: %w", err))
	}
	e.err = timed{e.err, wall(e)}
	h, done, err := s.readers(e, o)
	if err != nil {
		return err
	}
	defer done()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	told := signalsToEnd()
	go func() { <-told; cancel() }()
	own := func() (seal.Key, error) { return officeKeyOf(e, o, s.anew) }
	return s.serve(ctx, e, w, h, own, func(ctx context.Context) error { return workedUp(ctx, e, o) })
}

// readers sends who reads to a copy of the database that follows it, where one is named:
// then they cost the office nothing, and see what it had a moment ago.
func (s serving) readers(e edges, o *pg.Office) (h office.Holder, done func(), err error) {
	at := e.getenv("COOLHOLD_OFFICE_READ")
	if at == "" {
		return o, func() {}, nil
	}
	if _, err := pgx.ParseConfig(at); err != nil {
		return nil, nil, usage("COOLHOLD_OFFICE_READ: the address of the database cannot be read: %w", err)
	}
	a := &apart{Holder: o, e: e, open: func() (office.Holder, func(), error) {
		r, err := pg.Open(context.Background(), at, program(), wall(e))
		if err != nil {
			return nil, nil, err
		}
		return r, r.Close, nil
	}}
	return a, a.close, nil
}

// serve answers for a holder until the context ends; own gives the key for its receipts.
func (s serving) serve(ctx context.Context, e edges, w io.Writer, h office.Holder, own func() (seal.Key, error), workUp func(context.Context) error) error {
	var cert, secret []byte
	var err error
	if s.cert != "" {
		if cert, err = readSmall(s.cert); err == nil {
			secret, err = readSmall(s.key)
		}
		if err != nil {
			return err
		}
	}
	l, err := wire.Listen(s.listen, cert, secret)
	if err != nil {
		return s.notListened(err)
	}
	defer l.Close()
	key, err := own()
	if err != nil {
		return err
	}
	var faults faulty
	due := make(chan struct{}, 1)
	due <- struct{}{} // what came while nobody served
	told := wire.Told{
		Taken: func() {
			select {
			case due <- struct{}{}:
			default: // it is due already
			}
		},
		Asked: func(r *wire.Request) { fmt.Fprintln(e.err, requestLine(r, faults.of(r))) },
	}
	night := time.NewTicker(nightLook)
	defer night.Stop()
	go keepsUp(ctx, e, due, night.C, workUp)
	scheme := map[bool]string{true: "http", false: "https"}[cert == nil]
	where := fmt.Sprintf("%s://%s", scheme, l.Addr())
	if port, all := wire.Everywhere(l); all {
		where = fmt.Sprintf("port %d on all addresses of this machine, for laptops %s://NAME-OF-THIS-MACHINE:%d", port, scheme, port)
	}
	fmt.Fprintf(w, "the office is at %s; its key: %s; Ctrl-C ends it\n", where, key.Public())
	if err := wire.Serve(ctx, l, wire.Handler(office.Signing(h, key), told)); err != nil {
		return exitWith(exitFindings, fmt.Errorf("the office no longer listens: %w", err))
	}
	fmt.Fprintln(w, "ended; what was taken is kept")
	return nil
}

// notListened says what to do about an address, or a certificate, that cannot be used.
func (s serving) notListened(err error) error {
	switch {
	case errors.Is(err, wire.ErrOpen):
		return usage("%w; name a certificate with --cert and --key-file, or an address of this machine with --listen, such as 127.0.0.1:7667", err)
	case errors.Is(err, wire.ErrCertificate):
		return usage("--cert %s, --key-file %s: %w", s.cert, s.key, err)
	case errors.Is(err, wire.ErrTaken):
		return usage("%w; does another program, or another office serve, listen there? --listen names an address or a port", err)
	}
	return usage("--listen: %w", err)
}

// A timed writes the time before each line.
type timed struct {
	w   io.Writer
	now func() time.Time
}

func (t timed) Write(line []byte) (int, error) {
	_, err := fmt.Fprintf(t.w, "%s %s", t.now().Format(time.DateTime), line) // at once: several write here
	return len(line), err
}

// A faulty says one fault of the office at length once, however many requests meet it.
type faulty struct {
	mu   sync.Mutex
	last string
}

func (f *faulty) of(r *wire.Request) (says string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if r.Fault != nil {
		says = r.Fault.Error()
	}
	if says != "" && says == f.last {
		return "the same fault as before"
	}
	f.last = says
	return says
}

// requestLine is the line on a request.
func requestLine(r *wire.Request, fault string) string {
	line := fmt.Sprintf("%s %s %s %d", r.From, r.Method, r.Path, r.Code)
	if r.Token != "" {
		line += " token " + r.Token
	}
	if r.Key != "" {
		line += fmt.Sprintf(" log %s, key %s", r.Tag, r.Key)
	}
	if r.Says != "" {
		line += ": " + r.Says
	}
	if fault != "" {
		line += ": " + fault
	}
	return logbook.Clean(strings.Join(strings.Fields(line), " "))
}

// keepsUp works up what is due: after a parcel, and as a day begins.
func keepsUp(ctx context.Context, e edges, due <-chan struct{}, look <-chan time.Time, workUp func(context.Context) error) {
	for day := ""; ; {
		select {
		case <-ctx.Done():
			return
		case <-due:
		case <-look:
			if e.now().Local().Format(time.DateOnly) == day {
				continue
			}
		}
		day = e.now().Local().Format(time.DateOnly)
		if err := workUp(ctx); err != nil && ctx.Err() == nil {
			report(e.err, err)
		}
	}
}

// workedUp brings the rows of an office up. A site that cannot be is said and left: its
// entries are held all the same.
func workedUp(ctx context.Context, e edges, o *pg.Office) error {
	faults, err := o.WorkUp(ctx)
	notWorkedUp(e, faults)
	if err != nil {
		err = fmt.Errorf("not worked up, the next parcel tries it again: %w", err)
	}
	return err
}

// notWorkedUp names sites that could not be worked up.
func notWorkedUp(e edges, faults []pg.Fault) {
	for _, f := range faults {
		if f.Site == "" {
			fmt.Fprintf(e.err, "coolhold: log %s: not gone through, its entries are kept: %s\n", f.Log, logbook.Clean(f.Why))
			continue
		}
		fmt.Fprintf(e.err, "coolhold: log %s, site %s: not worked up, its entries are kept: %s\n", f.Log, logbook.Clean(f.Site), logbook.Clean(f.Why))
	}
}

// atOffice gives an error of the way to an office its exit code and what to do.
func atOffice(at string, err error) error {
	var has *exitError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &has):
		return err
	case errors.Is(err, wire.ErrAddress):
		return exitWith(exitUsage, err)
	case errors.Is(err, wire.ErrUnknown):
		return exitWith(exitUsage, fmt.Errorf("%s: %w; COOLHOLD_OFFICE_CA names the file of the certificates to know it by", at, err))
	case errors.Is(err, wire.ErrCertificate), errors.Is(err, wire.ErrScheme):
		return exitWith(exitUsage, fmt.Errorf("%s: %w", at, err))
	case errors.Is(err, office.ErrRefused):
		return exitWith(exitRefused, fmt.Errorf("%s: %w; the office gives a token with coolhold office grant, COOLHOLD_OFFICE_TOKEN or --token-file names it", at, err))
	case errors.Is(err, office.ErrNotHeld):
		return exitWith(exitFindings, fmt.Errorf("%s: %w", at, err))
	case errors.Is(err, wire.ErrLink):
		return exitWith(exitFindings, fmt.Errorf("%s: %w; try again when there is a link", at, err))
	}
	return exitWith(exitFindings, fmt.Errorf("%s: %w", at, err))
}

// officeClient is the way to an office at an address.
func officeClient(e edges, at, token string) (*wire.Client, error) {
	var authority []byte
	file := e.getenv("COOLHOLD_OFFICE_CA")
	if file != "" {
		var err error
		if authority, err = readSmall(file); err != nil {
			return nil, err
		}
	}
	log.SetOutput(io.Discard) // the library tells there of strays on a link: the screens own that place
	c, err := wire.NewClient(at, token, authority)
	if errors.Is(err, wire.ErrCertificate) {
		return nil, exitWith(exitInput, fmt.Errorf("COOLHOLD_OFFICE_CA, %s: %w", file, err))
	}
	return c, atOffice(cmp.Or(at, "the office"), err)
}

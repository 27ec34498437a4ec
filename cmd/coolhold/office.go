package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/office/pg"
	"coolhold/logbook/seal"
)

// newOffice holds the verbs of a firm's office. None of them writes into a log.
func newOffice(e edges) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "office",
		Short: "A firm's office: what its laptops sent, in one PostgreSQL",
		Long: `office keeps in a database what laptops send with coolhold send. Each laptop's log
stays its truth; without an office all works as it does.

The database is named with --db or COOLHOLD_OFFICE_DB, in PostgreSQL's own words: a
URL, or host=/run/postgresql dbname=welds. An empty one is laid out at first use; for
that the login must be allowed to make roles.

What its verbs, and who sends or reads there, find in the environment:
  COOLHOLD_OFFICE_DB     the database, where --db does not name it
  COOLHOLD_OFFICE_KEY    file of the key that signs receipts, made at first use
  COOLHOLD_OFFICE_READ   serve: a copy of the database, for who reads
  COOLHOLD_OFFICE_CA     send, and --office: file (PEM) of the certificates to know the
                         office by, where this machine does not know its own
  COOLHOLD_OFFICE_TOKEN  --office: the token that office grant printed`,
	}
	for _, verb := range []func(edges) *cobra.Command{
		newOfficeServe, newOfficeTake, newOfficeAdmit, newOfficeGrant, newOfficeKnown, newOfficeWithdraw, newOfficeSilent, newOfficeParted, newOfficeSettle, newOfficeRates,
		newOfficeCheck, newOfficeRebuild, newOfficeHandBack,
	} {
		cmd.AddCommand(verb(e))
	}
	return cmd
}

// ofOffice tells of a verb that it works on the office's database, and on no log.
func ofOffice(cmd *cobra.Command) bool { return cmd.HasParent() && cmd.Parent().Name() == "office" }

// officeDBFlag adds --db to a verb of the office.
func officeDBFlag(cmd *cobra.Command, db *string) {
	cmd.Flags().StringVar(db, "db", "", "`address` of the office's database, in PostgreSQL's words (else COOLHOLD_OFFICE_DB)")
}

// officeDB opens the office's database. It is for the caller to close.
func officeDB(e edges, flag string) (*pg.Office, error) { return openOffice(e, flag, pg.Open) }

// officeToWorkUp is officeDB for a verb that works up what is due: it makes anew what is
// gone of that, which others say.
func officeToWorkUp(e edges, flag string) (*pg.Office, error) {
	return openOffice(e, flag, pg.OpenToWorkUp)
}

func openOffice(e edges, flag string, open func(context.Context, string, string, func() time.Time) (*pg.Office, error)) (*pg.Office, error) {
	at := cmp.Or(flag, e.getenv("COOLHOLD_OFFICE_DB"))
	if at == "" {
		return nil, usage("which database? name it with --db or COOLHOLD_OFFICE_DB, such as \"host=/run/postgresql dbname=welds\"")
	}
	o, err := open(context.Background(), at, program(), wall(e))
	if errors.Is(err, pg.ErrAddress) {
		return nil, usage("--db, COOLHOLD_OFFICE_DB: %w", err)
	} else if err != nil {
		return nil, exitWith(exitLog, fmt.Errorf("the office's database: %w", err))
	}
	return o, nil
}

// officeName stands at the signatures of every office's key.
const officeName = "coolhold-office"

// newKeyFlag adds --new-key to a verb that signs receipts.
func newKeyFlag(cmd *cobra.Command, anew *bool) {
	cmd.Flags().BoolVar(anew, "new-key", false, "sign with the key that is here from now on, though the office had another: where that is lost. Each laptop must be told once: coolhold send --trust")
}

// officeKeyOf is the key with which an office signs receipts, made on first use. One that
// another login or machine has is not made up for: laptops know the office by it.
func officeKeyOf(e edges, o *pg.Office, anew bool) (k seal.Key, err error) {
	ctx := context.Background()
	signs, err := o.Signs(ctx)
	if err != nil {
		return k, exitWith(exitLog, err)
	}
	path := officeKeyPath(e)
	other := func() error {
		return exitWith(exitRefused, fmt.Errorf("this office signs with the key %s, and that is not in %s: name its file with COOLHOLD_OFFICE_KEY; where it is lost --new-key takes another, of which each laptop must be told once", publicID(signs), path))
	}
	if k, err = readKey(e, path); errors.Is(err, fs.ErrNotExist) {
		if signs != "" && !anew {
			return k, other()
		}
		k, err = officeKey(e)
	}
	if err != nil {
		return k, err
	}
	switch err := o.SignWith(ctx, k.Public(), anew); {
	case errors.Is(err, pg.ErrOtherKey):
		return k, other()
	case err != nil:
		return k, exitWith(exitLog, err)
	}
	return k, nil
}

// publicID names a public key in short.
func publicID(public string) string {
	v, err := seal.ReadPublic(public)
	if err != nil {
		return public
	}
	return seal.KeyID(v)
}

func officeKeyPath(e edges) string {
	return cmp.Or(e.getenv("COOLHOLD_OFFICE_KEY"), filepath.Join(xdg.DataHome, "coolhold", "office.key"))
}

// officeKey is the key with which the office signs receipts, made on first use.
func officeKey(e edges) (seal.Key, error) {
	path := officeKeyPath(e)
	k, err := readKey(e, path)
	if !errors.Is(err, fs.ErrNotExist) {
		return k, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return seal.Key{}, exitWith(exitInput, fmt.Errorf("no key can be made: %w", err))
	}
	if k, err = newKey(e, path, officeName); errors.Is(err, fs.ErrExist) {
		return readKey(e, path) // another program was quicker
	}
	if err == nil {
		fmt.Fprintf(e.err, "coolhold: %s: a key was made for the receipts of this office; keep a copy of it, laptops will know the office by it: %s\n", logbook.Clean(path), k.Public())
	}
	return k, err
}

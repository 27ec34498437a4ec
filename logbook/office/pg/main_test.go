package pg

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/mod/sumdb/note"

	"coolhold/logbook/office"
	"coolhold/logbook/office/pg/cluster"
	"coolhold/logbook/seal"
)

// server is one PostgreSQL for all tests of the package, nil where there is none.
var server *cluster.Cluster

var none error // why there is none

func TestMain(m *testing.M) {
	code := func() int {
		bin, err := cluster.Find(os.Getenv("COOLHOLD_PG_BIN"))
		if none = err; err == nil {
			server, err = started(bin)
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
				return 1
			}
			defer os.RemoveAll(server.Dir())
			defer server.Stop()
		}
		return m.Run()
	}()
	os.Exit(code)
}

// started is a server in a folder with a short name.
func started(bin string) (*cluster.Cluster, error) {
	dir, err := cluster.Folder()
	if err != nil {
		return nil, err
	}
	c, err := cluster.New(context.Background(), bin, dir)
	if err == nil {
		err = c.Start(context.Background(), "fsync=off")
	}
	return c, err
}

// needServer skips aloud where there is no server; .ci/run sees to it that there is one.
func needServer(t testing.TB) {
	t.Helper()
	if errors.Is(none, cluster.ErrNone) {
		t.Skip(none)
	}
}

var databases atomic.Int64

// newDatabase is the address of a database of its own, laid out; the layout is made once
// and copied.
func newDatabase(t testing.TB, c *cluster.Cluster) string {
	t.Helper()
	ctx := context.Background()
	admin, err := pgx.Connect(ctx, c.Address("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close(ctx)
	if _, err := admin.Exec(ctx, "create database laid"); err == nil {
		open(t, c.Address("laid")).Close()
	} else if !isCode(err, "42P04") {
		t.Fatal(err)
	}
	return copyOf(t, c, "laid")
}

// copyOf is the address of a new database that is a copy of another, which nobody uses.
func copyOf(t testing.TB, c *cluster.Cluster, of string) string {
	t.Helper()
	ctx := context.Background()
	admin, err := pgx.Connect(ctx, c.Address("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer admin.Close(ctx)
	name := fmt.Sprintf("t%d", databases.Add(1))
	if _, err := admin.Exec(ctx, "create database "+name+" template "+of); err != nil {
		t.Fatal(err)
	}
	return c.Address(name)
}

// now is what the office's clock shows in tests.
var now = time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)

func open(t testing.TB, at string) *Office {
	t.Helper()
	o, err := Open(context.Background(), at, "test", func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(o.Close)
	return o
}

// newOffice is an office of its own, with nothing in it.
func newOffice(t testing.TB) *Office {
	t.Helper()
	needServer(t)
	return open(t, newDatabase(t, server))
}

// A laptop has lines and sends parcels of them, without a log: what the lines say does
// not matter to the taking.
type laptop struct {
	t     testing.TB
	id    string
	tag   string
	key   seal.Key
	lines [][]byte
}

// newLaptop draws a key from a seed.
func newLaptop(t testing.TB, seed int) *laptop {
	t.Helper()
	k, err := seal.NewKey(bytes.NewReader(bytes.Repeat([]byte{byte(seed)}, 64)), "coolhold")
	if err != nil {
		t.Fatal(err)
	}
	return &laptop{t: t, tag: "KM", id: fmt.Sprintf("%032x", seed), key: k}
}

func (l *laptop) public() note.Verifier {
	v, err := seal.ReadPublic(l.key.Public())
	if err != nil {
		l.t.Fatal(err)
	}
	return v
}

// writes adds n lines; word tells them from those of a copy that went on by itself.
func (l *laptop) writes(n int, word string) *laptop {
	for range n {
		l.lines = append(l.lines, fmt.Appendf(nil, `{"seq":%d,"id":"%s","kind":"note","v":1,"body":{}}`, len(l.lines)+1, word))
	}
	return l
}

// copy is the laptop set up anew from a copy of its first n lines.
func (l *laptop) copy(n int) *laptop {
	c := *l
	c.lines = append([][]byte{}, l.lines[:n]...)
	return &c
}

// parcel has the lines first to last; first is last+1 for one that only says what there is.
func (l *laptop) parcel(first, last int) []byte {
	l.t.Helper()
	data, err := office.Pack(office.Edge{}.Add(l.lines[:first-1]...), l.lines[first-1:last], l.note(last))
	if err != nil {
		l.t.Fatal(err)
	}
	return data
}

// note is the seal over the first n lines.
func (l *laptop) note(n int) []byte {
	l.t.Helper()
	s, err := seal.Sign(seal.Statement{Log: l.id, Tag: l.tag, Entries: int64(n), Root: office.Edge{}.Add(l.lines[:n]...).Root(), At: now}, l.key)
	if err != nil {
		l.t.Fatal(err)
	}
	return s
}

// root is that over all of its lines.
func (l *laptop) root() string { return office.Edge{}.Add(l.lines...).Root().String() }

// admitted lets the office take a laptop's parcels.
func admitted(t testing.TB, o *Office, ls ...*laptop) {
	t.Helper()
	for i, l := range ls {
		if _, err := o.Admit(context.Background(), l.public(), l.key.Public(), fmt.Sprintf("crew %d, invented", i+1), "Ada Invented"); err != nil {
			t.Fatal(err)
		}
	}
}

// take takes a parcel and gives the answer in one line.
func take(t testing.TB, o *Office, data []byte) string {
	t.Helper()
	a, r, err := o.Take(context.Background(), data)
	switch {
	case err != nil:
		return "refused: " + err.Error()
	case a.Withdrawn != nil:
		return fmt.Sprintf("waiting, withdrawn %s by %s, held %t", a.Withdrawn.At.UTC().Format(time.DateTime), a.Withdrawn.By, a.Held)
	case a.Waiting:
		return "waiting"
	case a.Standing == office.Ahead:
		return fmt.Sprintf("send from %d", a.From)
	}
	line := fmt.Sprintf("%s, %d held", a.Standing, r.Entries)
	if a.Standing == office.Parted {
		line += fmt.Sprintf(", branch %d from entry %d", a.Branch, a.Parted)
	}
	return line
}

// want compares a line.
func want(t testing.TB, what, has, should string) {
	t.Helper()
	if has != should {
		t.Errorf("%s: %s; should be: %s", what, has, should)
	}
}

// holds are the lines that the office has of a branch.
func holds(t testing.TB, o *Office, l *laptop, branch int) [][]byte {
	t.Helper()
	_, _, lines, err := o.HandBack(context.Background(), fmt.Sprintf("%s/%d", l.id, branch))
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

// sameLines tells whether the office has just those of the laptop.
func sameLines(t testing.TB, o *Office, l *laptop, branch int) {
	t.Helper()
	if has := holds(t, o, l, branch); !bytes.Equal(bytes.Join(has, []byte("\n")), bytes.Join(l.lines, []byte("\n"))) {
		t.Errorf("branch %d has %d lines, which are not the laptop's %d", branch, len(has), len(l.lines))
	}
}

// sound is what the office's own check finds.
func sound(t testing.TB, o *Office) {
	t.Helper()
	all, err := o.Check(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range all {
		if c.Fault != "" {
			t.Errorf("log %s/%d: %s", c.Log, c.Branch, c.Fault)
		}
	}
}

func random() *rand.Rand { return rand.New(rand.NewPCG(1, 2)) }

func one(t testing.TB, o *Office, sql string, args ...any) (out string) {
	t.Helper()
	if err := o.pool.QueryRow(context.Background(), sql, args...).Scan(&out); err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(out)
}

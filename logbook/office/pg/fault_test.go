package pg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"coolhold/logbook/office"
	"coolhold/logbook/office/pg/cluster"
	"coolhold/logbook/store/soaktest"
)

// ownServer is a server of its own, which syncs what it was told.
func ownServer(t *testing.T, settings ...string) *cluster.Cluster {
	t.Helper()
	needServer(t)
	c, err := cluster.New(context.Background(), bin(t), shortDir(t))
	if err != nil {
		t.Fatal(err)
	}
	begin(t, c, settings...)
	return c
}

func bin(t *testing.T) string {
	t.Helper()
	bin, err := cluster.Find(os.Getenv("COOLHOLD_PG_BIN"))
	if err != nil {
		t.Fatal(err)
	}
	return bin
}

// shortDir is a folder whose name is short enough for a socket.
func shortDir(t *testing.T) string {
	t.Helper()
	dir, err := cluster.Folder()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

func begin(t *testing.T, c *cluster.Cluster, settings ...string) {
	t.Helper()
	settings = append(settings, "dynamic_shared_memory_type=mmap") // else one that is killed leaves it to the system
	if err := c.Start(context.Background(), settings...); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Stop() })
}

// The server is killed in the middle of its work, again and again, while laptops send.
// What was acknowledged is there, once, and in the bytes that were sent.
func TestSoakKilledServer(t *testing.T) {
	ownServerTest(t)
	soak := soaktest.New(t, "the office's server killed", "all of its processes (SIGKILL) while three laptops send")
	c := ownServer(t)
	at := newDatabase(t, c)
	var laptops []*laptop
	for i := range 3 {
		laptops = append(laptops, newLaptop(t, i+1))
	}
	admitted(t, open(t, at), laptops...)
	acknowledged, rnd := make([]int, len(laptops)), random()
	for range soaktest.Rounds(t, 3, 25, 200) {
		o := open(t, at)
		stop := make(chan struct{})
		var sending sync.WaitGroup
		for i, l := range laptops {
			sending.Go(func() { acknowledged[i] = l.sendUntil(o, acknowledged[i], stop) })
		}
		time.Sleep(time.Duration(50+rnd.IntN(250)) * time.Millisecond) // the moment of the kill
		if err := c.Kill(); err != nil {
			t.Fatal(err)
		}
		close(stop)
		sending.Wait()
		o.Close()
		begin(t, c)
		soak.Ran()
		o = open(t, at)
		for i, l := range laptops {
			if has := held(t, o, l); has < acknowledged[i] {
				soak.Loses("%d entries were acknowledged before the kill, %d are there after it", acknowledged[i], has)
			}
		}
		o.Close()
	}
	o := open(t, at)
	all := 0
	for i, l := range laptops {
		l.lines = l.lines[:min(held(t, o, l), len(l.lines))]
		sameLines(t, o, l, 0)
		all += acknowledged[i]
	}
	sound(t, o)
	if one(t, o, `select ((select sum(last - first + 1) from parcel) = (select sum(entries) from log))::text`) != "true" {
		soak.Lies("entries are there twice")
	}
	if soak.Counts("%d entries acknowledged", all); all == 0 {
		t.Error("nothing was acknowledged between the kills")
	}
}

// ownServerTest is one that starts a server of its own, beside others of the kind.
func ownServerTest(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("it starts a server of its own")
	}
	t.Parallel()
}

// held is how many entries of a laptop there are.
func held(t *testing.T, o *Office, l *laptop) int {
	t.Helper()
	n, err := strconv.Atoi(one(t, o, `select coalesce(max(entries), 0)::text from log where id = $1`, l.id))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// sendUntil sends new lines, five at a time, until it is stopped or the server is gone,
// and gives how many were acknowledged. What was sent before and not acknowledged is
// sent again first.
func (l *laptop) sendUntil(o *Office, upto int, stop chan struct{}) int {
	for {
		select {
		case <-stop:
			return upto
		default:
		}
		if len(l.lines) < upto+5 {
			l.writes(upto+5-len(l.lines), "a")
		}
		a, r, err := o.Take(context.Background(), l.parcel(upto+1, upto+5))
		if err != nil {
			return upto
		}
		if a.Standing == office.Level && int(r.Entries) == upto+5 {
			upto += 5
		}
	}
}

// The office is lost and set up from its base backup and the log of its writes, as of a
// moment; the laptops send what it lacks, and it is whole again.
func TestRestoredToAMoment(t *testing.T) {
	ownServerTest(t)
	archive := shortDir(t)
	if err := os.Chmod(archive, 0o777); err != nil {
		t.Fatal(err)
	}
	c := ownServer(t, "archive_mode=on", "archive_command=cp %p "+archive+"/%f", "wal_level=replica")
	at := newDatabase(t, c)
	o := open(t, at)
	l := newLaptop(t, 1).writes(30, "a")
	admitted(t, o, l)
	want(t, "before the backup", take(t, o, l.parcel(1, 10)), "level, 10 held")
	backup, err := c.Copy(context.Background(), shortDir(t))
	if err != nil {
		t.Fatal(err)
	}
	want(t, "after the backup", take(t, o, l.parcel(11, 20)), "level, 20 held")
	moment := one(t, o, `select clock_timestamp()::text`)
	want(t, "after the moment", take(t, o, l.parcel(21, 30)), "level, 30 held")
	archived(t, o, one(t, o, `select pg_walfile_name(pg_switch_wal())`))
	o.Close()
	if err := c.Kill(); err != nil {
		t.Fatal(err)
	}

	if err := os.WriteFile(filepath.Join(backup.Data(), "recovery.signal"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	begin(t, backup, "restore_command=cp "+archive+"/%f %p", "recovery_target_time="+moment, "recovery_target_action=promote")
	o = open(t, strings.Replace(at, c.Dir(), backup.Dir(), 1))
	promoted(t, o)
	want(t, "a laptop that has all receipts", take(t, o, l.parcel(31, 30)), "send from 21")
	want(t, "and sends again", take(t, o, l.parcel(21, 30)), "level, 30 held")
	sameLines(t, o, l, 0)
	sound(t, o)
}

// archived waits until a file of what was written is in the archive, and with it all before.
func archived(t *testing.T, o *Office, file string) {
	t.Helper()
	until(t, "the archive", func() bool {
		return one(t, o, `select coalesce(left(last_archived_wal, 24) >= '`+file+`', false)::text from pg_stat_archiver`) == "true"
	})
}

// promoted waits until a restored server can be written to.
func promoted(t *testing.T, o *Office) {
	t.Helper()
	until(t, "the restored server", func() bool { return one(t, o, `select pg_is_in_recovery()::text`) == "false" })
}

func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	for !is() {
		select {
		case <-ctx.Done():
			t.Fatalf("%s: it takes more than a minute", what)
		case <-time.After(10 * time.Millisecond):
		}
	}
}

// Readers and the check can be sent to a copy that follows the server.
func TestCheckOverAReplica(t *testing.T) {
	ownServerTest(t)
	c := ownServer(t, "wal_level=replica", "max_wal_senders=4")
	at := newDatabase(t, c)
	o := open(t, at)
	l := of(t, 1, welded(t, "KM"))
	admitted(t, o, l)
	sendAll(t, o, l)
	workUp(t, o)
	who := granted(t, o, "")
	copied, err := c.Copy(context.Background(), shortDir(t), "-R")
	if err != nil {
		t.Fatal(err)
	}
	begin(t, copied, "hot_standby=on")
	r := open(t, strings.Replace(at, c.Dir(), copied.Dir(), 1))
	l.writes(4, "b")
	want(t, "more, to the server", take(t, o, l.parcel(len(l.lines)-3, len(l.lines))), fmt.Sprintf("level, %d held", len(l.lines)))
	until(t, "the copy", func() bool {
		return one(t, r, `select entries::text from log`) == strconv.Itoa(len(l.lines))
	})
	sound(t, r)
	sameLines(t, r, l, 0)
	if _, err := r.Site(context.Background(), who, office.SiteAsk{}); err != nil {
		t.Errorf("a reader of the copy: %v", err)
	}
	if _, _, err := r.Take(context.Background(), l.parcel(1, 1)); err == nil {
		t.Error("the copy takes parcels")
	}
}

// Where there is no server, that is said, and how to come by one.
func TestNoServer(t *testing.T) {
	if _, err := cluster.Find(t.TempDir()); !errors.Is(err, cluster.ErrNone) {
		t.Errorf("an empty folder is taken for a server's: %v", err)
	}
	t.Setenv("PATH", t.TempDir())
	if _, err := exec.LookPath("initdb"); err == nil {
		t.Fatal("the path is not empty")
	}
}

// A database of another layout is left alone.
func TestAnotherLayout(t *testing.T) {
	needServer(t)
	at := newDatabase(t, server)
	o := open(t, at)
	if _, err := o.pool.Exec(context.Background(), `update version set schema = 99`); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(context.Background(), at, "test", time.Now); !errors.Is(err, ErrSchema) {
		t.Errorf("layout 99 is taken: %v", err)
	}
}

//go:build linux

package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/sync/errgroup"

	"coolhold/fusion"
	"coolhold/logbook/audit"
	"coolhold/logbook/office"
	"coolhold/logbook/office/pg"
	"coolhold/logbook/office/pg/cluster"
	"coolhold/logbook/recall"
	"coolhold/logbook/register"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
)

// anOffice fills an office with as many welds, of one laptop-year after the other, and
// prints what that takes and what questions cost then.
//
// A laptop's year is the season of the other benchmarks without its last site: 50 sites
// of 50 welds. Each laptop has its own log, sites and batches; the lines are else the same.
type anOffice struct {
	bench
	server *cluster.Cluster
	desk   *pg.Office
	key    seal.Key
	year   [][]byte // the lines of a laptop
	welds  int      // of a year
}

func (b bench) office(welds int) (err error) {
	bin, err := cluster.Find(os.Getenv("COOLHOLD_PG_BIN"))
	if err != nil {
		return err
	}
	dir, err := cluster.Folder()
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	o := anOffice{bench: b}
	if o.server, err = cluster.New(context.Background(), bin, dir); err != nil {
		return err
	}
	if err = o.start(); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, o.server.Stop()) }()
	if err = o.oneYear(); err != nil {
		return err
	}
	return o.measure(max(1, welds/o.welds))
}

// settings are those of a server that is looked after: memory and the writes of a large
// load.
var settings = []string{"shared_buffers=2GB", "max_wal_size=8GB", "maintenance_work_mem=512MB"}

func (o *anOffice) start() error {
	if err := o.server.Start(context.Background(), settings...); err != nil {
		return err
	}
	var err error
	o.desk, err = pg.Open(context.Background(), o.server.Address("postgres"), "bench", time.Now)
	return err
}

// oneYear reads the lines of a laptop.
func (o *anOffice) oneYear() error {
	log, err := kept(o.dir, "season")
	if err != nil {
		return err
	}
	last := fmt.Sprintf(`"site":"invented-meadow-%d"`, sizeOf("season").sites+1)
	begun, more := map[string]bool{}, true
	err = store.ReadLines(context.Background(), log, func(lines store.Lines) error {
		return lines.Each(func(line []byte) {
			if more = more && !bytes.Contains(line, []byte(last)); !more {
				return
			}
			o.year = append(o.year, bytes.Clone(line))
			if m := aWeld.FindSubmatch(line); m != nil {
				begun[string(m[1])] = true
			}
		})
	})
	if o.welds = len(begun); err == nil && o.welds == 0 {
		err = errors.New("the season has no welds")
	}
	if err == nil {
		o.key, err = key()
	}
	return err
}

var (
	aWeld  = regexp.MustCompile(`"weld":"([^"]*)"`)
	anUID  = regexp.MustCompile(`"uid":"[0-9a-f]{16}"`)
	aBatch = regexp.MustCompile(`"v":"(W-|coil |stub )`)
)

// ofLaptop is a line as that laptop has it. Hyphens do not count in a batch, so numbers are
// as long in all: else one batch would be another's too.
func ofLaptop(no int, line []byte) []byte {
	line = aBatch.ReplaceAll(line, fmt.Appendf(nil, `"v":"${1}%04d-`, no))
	return anUID.ReplaceAllFunc(line, func(was []byte) []byte {
		sum := sha256.Sum256(fmt.Appendf(nil, "%d %s", no, was))
		return fmt.Appendf(nil, `"uid":"%x"`, sum[:8])
	})
}

// parcels are a laptop's, of as many entries as it sends at once.
func (o *anOffice) parcels(no int) (out [][]byte, entries int, err error) {
	id := sha256.Sum256(fmt.Appendf(nil, "laptop %d", no))
	before := office.Edge{}
	for rest := o.year; len(rest) > 0; {
		n := min(office.ParcelEntries, len(rest))
		lines := make([][]byte, n)
		for i, line := range rest[:n] {
			lines[i] = ofLaptop(no, line)
		}
		rest = rest[n:]
		after := before.Add(lines...)
		sealed, err := seal.Sign(seal.Statement{Log: hex.EncodeToString(id[:16]), Tag: tag, Entries: after.N, Root: after.Root(), At: time.Now()}, o.key)
		if err != nil {
			return nil, 0, err
		}
		data, err := office.Pack(before, lines, sealed)
		if err != nil {
			return nil, 0, err
		}
		out, before = append(out, data), after
	}
	return out, len(o.year), nil
}

// What is wanted of an office and hangs on no clock: a fault where it is missed.
const (
	takenShare  = 10    // taking has at least this part of what COPY does
	mostOfAWeld = 1_500 // bytes on the disk
	worthCold   = 20    // laptops: what fewer have is in memory at once
)

func (o *anOffice) measure(laptops int) error {
	ctx := context.Background()
	k, err := seal.ReadPublic(o.key.Public())
	if err != nil {
		return err
	}
	if _, err = o.desk.Admit(ctx, k, o.key.Public(), "crew, invented", "Ada Invented"); err != nil {
		return err
	}
	fmt.Printf("%d laptops, %d welds, %d entries each; parcels of %d entries\n\n| what | measured | reach |\n|---|---|---|\n", laptops, o.welds, len(o.year), office.ParcelEntries)
	taking, entries, sent, err := o.take(laptops)
	if err != nil {
		return err
	}
	copying, err := o.copying()
	if err != nil {
		return err
	}
	rate := float64(entries) / taking.Seconds()
	fmt.Printf("| taking, verified, on %d processors | %.0f entries a second (%.0f s), parcels of %.0f bytes an entry | ≥ 1/%d of the next |\n", runtime.GOMAXPROCS(0), rate, taking.Seconds(), float64(sent)/float64(entries), takenShare)
	fmt.Printf("| COPY with a row an entry, nothing checked | %.0f entries a second: %.1f × | |\n", copying, copying/rate)
	if rate < copying/takenShare {
		return fmt.Errorf("it takes %.0f entries a second, less than a part in %d of what COPY does", rate, takenShare)
	}
	began := time.Now()
	faults, err := o.desk.WorkUp(ctx)
	if err != nil {
		return err
	}
	if len(faults) > 0 {
		return fmt.Errorf("%d sites were not worked up, the first since %v", len(faults), faults[0])
	}
	worked := time.Since(began)
	welds := laptops * o.welds
	fmt.Printf("| working up all | %.0f s, %.0f welds a second | |\n", worked.Seconds(), float64(welds)/worked.Seconds())
	if err := o.sizes(welds); err != nil {
		return err
	}
	return o.questions(laptops)
}

// take sends what the laptops have, as many at once as there are processors. Making the
// parcels is not counted.
func (o *anOffice) take(laptops int) (took time.Duration, entries, sent int, err error) {
	const atOnce = 20 // laptops whose parcels are held in memory
	for first := 0; first < laptops; first += atOnce {
		all := make([][][]byte, min(atOnce, laptops-first))
		var making errgroup.Group
		making.SetLimit(runtime.GOMAXPROCS(0))
		for i := range all {
			making.Go(func() (err error) { all[i], _, err = o.parcels(first + i); return err })
		}
		if err := making.Wait(); err != nil {
			return 0, 0, 0, err
		}
		began := time.Now()
		var taking errgroup.Group
		taking.SetLimit(runtime.GOMAXPROCS(0))
		for _, parcels := range all {
			for _, p := range parcels {
				sent += len(p)
			}
			taking.Go(func() error {
				for _, p := range parcels {
					if a, _, err := o.desk.Take(context.Background(), p); err != nil || a.Standing != office.Level {
						return fmt.Errorf("a parcel was not taken: %v %w", a.Standing, err)
					}
				}
				return nil
			})
		}
		if err := taking.Wait(); err != nil {
			return 0, 0, 0, err
		}
		took += time.Since(began)
	}
	return took, laptops * len(o.year), sent, nil
}

// copying is what the same server takes by COPY, a row an entry, with nothing checked.
func (o *anOffice) copying() (rate float64, err error) {
	ctx := context.Background()
	c, err := pgx.Connect(ctx, o.server.Address("postgres"))
	if err != nil {
		return 0, err
	}
	defer c.Close(ctx)
	if _, err := c.Exec(ctx, `create table plain (log text, seq bigint, line text, primary key (log, seq))`); err != nil {
		return 0, err
	}
	n := 0
	began := time.Now()
	for no := range 5 {
		at := 0
		_, err := c.CopyFrom(ctx, pgx.Identifier{"plain"}, []string{"log", "seq", "line"}, pgx.CopyFromFunc(func() ([]any, error) {
			if at == len(o.year) {
				return nil, nil
			}
			at++
			n++
			return []any{fmt.Sprint("laptop ", no), at, string(o.year[at-1])}, nil
		}))
		if err != nil {
			return 0, err
		}
	}
	rate = float64(n) / time.Since(began).Seconds()
	_, err = c.Exec(ctx, `drop table plain`)
	return rate, err
}

// sizes says what a weld takes, table by table with its indexes.
func (o *anOffice) sizes(welds int) error {
	ctx := context.Background()
	c, err := pgx.Connect(ctx, o.server.Address("postgres"))
	if err != nil {
		return err
	}
	defer c.Close(ctx)
	if _, err := c.Exec(ctx, "vacuum analyze"); err != nil {
		return err
	}
	rows, err := c.Query(ctx, `select relname, pg_total_relation_size(oid) from pg_class where relnamespace = 'coolhold'::regnamespace and relkind = 'r' order by 2 desc`)
	if err != nil {
		return err
	}
	var total int64
	var parts []string
	for rows.Next() {
		var name string
		var size int64
		if err := rows.Scan(&name, &size); err != nil {
			return err
		}
		if total += size; size > int64(welds) {
			parts = append(parts, fmt.Sprintf("%s %d", name, size/int64(welds)))
		}
	}
	fmt.Printf("| bytes a weld | %d: %s | ≤ %d |\n", total/int64(welds), strings.Join(parts, ", "), mostOfAWeld)
	if err := rows.Err(); err != nil {
		return err
	}
	if total > mostOfAWeld*int64(welds) {
		return fmt.Errorf("a weld takes more than %d bytes", mostOfAWeld)
	}
	return nil
}

// questions asks what an office is asked, warm and after a start with nothing in memory.
func (o *anOffice) questions(laptops int) error {
	ctx := context.Background()
	granted, err := o.desk.Grant(ctx, strings.NewReader(strings.Repeat("invented", 4)), "", "Ada Invented")
	if err != nil {
		return err
	}
	who, rnd := office.Reader{Token: granted.Token}, rand.New(rand.NewPCG(1, 2))
	batch := func() recall.Query {
		return recall.Query{Batch: fmt.Sprintf("W-%04d-%d-%d", rnd.IntN(laptops), 1+rnd.IntN(49), rnd.IntN(2))}
	}
	recalled := func() error {
		q := batch()
		got, err := o.desk.Recall(ctx, who, office.RecallAsk{Query: q})
		if err == nil && len(got.Hits) == 0 {
			err = fmt.Errorf("no weld has %v", q)
		}
		return err
	}
	coil := func() error {
		got, err := o.desk.Recall(ctx, who, office.RecallAsk{Query: recall.Query{Batch: fmt.Sprintf("coil %04d-7", rnd.IntN(laptops))}})
		if err == nil && len(got.Hits) < o.welds/2 {
			err = fmt.Errorf("%d welds have the coil", len(got.Hits))
		}
		return err
	}
	registered := func() error {
		id := sha256.Sum256(fmt.Appendf(nil, "laptop %d", rnd.IntN(laptops)))
		ask := office.SiteAsk{Log: hex.EncodeToString(id[:16]), Site: fmt.Sprintf("invented-meadow-%d", 1+rnd.IntN(50))}
		return o.register(ctx, who, ask)
	}
	for _, m := range []struct {
		what, reach string
		n           int
		f           func() error
	}{
		{"recall of a batch (25 welds of a site)", "p99 ≤ 10 ms", 500, recalled},
		{"recall of a coil (2,500 welds of 50 sites)", "", 5, coil},
		{"register of a site as CSV (50 welds)", "≤ 50 ms", 100, registered},
	} {
		times := make([]float64, m.n)
		for i := range m.n + 20 { // some to warm up
			began := time.Now()
			if err := m.f(); err != nil {
				return err
			}
			times[max(0, i-20)] = ms(time.Since(began))
		}
		fmt.Printf("| %s, warm | p50 %s, p99 %s ms | %s |\n", m.what, figure(median(times)), figure(quantile(times, 0.99)), m.reach)
	}
	if laptops < worthCold {
		return nil
	}
	var own, cold []float64
	for range 100 {
		o.desk.Close()
		if err := o.server.Stop(); err != nil {
			return err
		}
		if err := forgetFiles(); err != nil {
			fmt.Printf("| recall of a batch, cold | %v | ≤ 50 ms |\n", err)
			return o.start()
		}
		if err := o.start(); err != nil {
			return err
		}
		began := time.Now()
		if err := o.desk.Warm(ctx); err != nil { // as office serve does before it listens
			return err
		}
		own = append(own, ms(time.Since(began)))
		began = time.Now()
		if err := recalled(); err != nil {
			return err
		}
		cold = append(cold, ms(time.Since(began)))
	}
	for _, m := range []struct {
		what, reach string
		times       []float64
	}{
		{"the office's own question as it starts, nothing in memory", "", own},
		{"recall of a batch, the first one's after that", "p99 ≤ 50 ms", cold},
	} {
		fmt.Printf("| %s, %d starts | p50 %s, p99 %s, longest %s ms | %s |\n", m.what, len(m.times), figure(median(m.times)), figure(quantile(m.times, 0.99)), figure(slices.Max(m.times)), m.reach)
	}
	return nil
}

func (o *anOffice) register(ctx context.Context, who office.Reader, ask office.SiteAsk) error {
	lines, err := o.desk.Site(ctx, who, ask)
	if err != nil {
		return err
	}
	book, err := lines.Book()
	if err != nil {
		return err
	}
	rep := register.New(book, lines.Site, audit.Run(book, lines.Site, lines.Last, fusion.Stamp{}), register.Query{})
	var out bytes.Buffer
	if err := register.CSV(&out, rep); err != nil || out.Len() < 1000 {
		return fmt.Errorf("a register of %d bytes: %w", out.Len(), err)
	}
	return nil
}

// forgetFiles makes the system forget what it has read of files.
func forgetFiles() error {
	if err := exec.Command("sync").Run(); err != nil {
		return err
	}
	return os.WriteFile("/proc/sys/vm/drop_caches", []byte("3\n"), 0o200)
}

package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/cmd/coolhold/example"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/office/pg"
	"coolhold/logbook/office/pg/cluster"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
)

// A demoFirm is the example of an office: three crews for a week, in a PostgreSQL of its
// own. On Wednesday a copy of the third crew's log is set up on another laptop, and both
// go on; from Thursday on the second crew says nothing.
type demoFirm struct {
	e      edges
	dir    string
	server *cluster.Cluster
	desk   *pg.Office
	key    seal.Key  // of the office
	now    time.Time // of the office
}

// demoOffice plays it, says what to ask, and waits for Ctrl-C; with asks alone it asks by
// itself and ends.
func demoOffice(e edges, w io.Writer, wait bool) error {
	bin, err := cluster.Find(e.getenv("COOLHOLD_PG_BIN"))
	if err != nil {
		return exitWith(exitInput, err)
	}
	dir, err := cluster.Folder()
	if err != nil {
		return exitWith(exitInput, err)
	}
	defer os.RemoveAll(dir)
	told := signalsToEnd()
	d := demoFirm{e: e, dir: dir}
	fmt.Fprintln(w, "An office with three invented crews is set up; that takes some seconds.")
	if d.server, err = cluster.New(context.Background(), bin, dir); err == nil {
		err = d.server.Start(context.Background(), "fsync=off")
	}
	if err != nil {
		return exitWith(exitLog, err)
	}
	defer d.server.Stop()
	if err := d.play(); err != nil {
		return acted(err)
	}
	defer d.desk.Close()
	if !wait {
		return d.answers(w)
	}
	fmt.Fprint(w, d.hints())
	<-told
	return nil
}

// hints are what to ask in another terminal.
func (d *demoFirm) hints() string {
	return fmt.Sprintf(`Three crews worked for a week. In another terminal:
  export COOLHOLD_OFFICE_DB=%q COOLHOLD_OFFICE_KEY=%q
  coolhold office parted      # a log that went on in two ways, and what its weld numbers mean
  coolhold office silent --days %d
  coolhold office rates --by batch
  coolhold office check
Where the bad batch went, as somebody asks who may read:
  coolhold office serve --listen 127.0.0.1:7667 &
  export COOLHOLD_OFFICE_TOKEN=$(coolhold office grant --by "Ida Invented")
  coolhold recall --batch %s --office http://127.0.0.1:7667
Ctrl-C ends it, and takes all of it away.
`, d.address(), filepath.Join(d.dir, "office.key"), example.SilentDays, example.BadBatch)
}

const demoDatabase = "welds"

func (d *demoFirm) address() string { return d.server.Address(demoDatabase) }

// play is the week.
func (d *demoFirm) play() error {
	ctx := context.Background()
	admin, err := pgx.Connect(ctx, d.server.Address("postgres"))
	if err != nil {
		return err
	}
	_, err = admin.Exec(ctx, "create database "+demoDatabase)
	if err != nil {
		return err
	}
	if err := admin.Close(ctx); err != nil {
		return err
	}
	if d.desk, err = pg.Open(ctx, d.address(), program(), func() time.Time { return d.now }); err != nil {
		return err
	}
	if d.key, err = seal.NewKey(d.e.rand, officeName); err != nil {
		return err
	}
	monday := d.e.now()
	local := monday.Local()
	at := time.Date(local.Year(), local.Month(), local.Day()-example.WorkDays, 8, 0, 0, 0, local.Location())
	monday.Wall, monday.Boot, monday.BootID = at.UTC(), time.Hour, "demo"
	var laptops []*demoLaptop
	for _, c := range example.Crews {
		l, err := d.laptop(c, monday)
		if err != nil {
			return err
		}
		laptops = append(laptops, l)
	}
	for day := range example.WorkDays {
		d.now = at.AddDate(0, 0, day).Add(10 * time.Hour)
		for no, l := range laptops {
			if err := l.Day(); err != nil {
				return err
			}
			if no == 1 && day > 2 {
				continue // nobody hears of it
			}
			if err := l.send(ctx, d); err != nil {
				return err
			}
		}
		if day == 2 {
			other, err := laptops[2].anew(d)
			if err != nil {
				return err
			}
			laptops = append(laptops, other)
		}
		if day == 3 {
			laptops = laptops[:3] // the other one made two welds, and is found out
		}
	}
	d.now = d.e.now().Wall
	_, err = d.desk.WorkUp(ctx)
	return err
}

// A demoLaptop is a crew's, with its log and its key.
type demoLaptop struct {
	*example.Laptop
	log *store.Log
	key seal.Key
}

func (d *demoFirm) laptop(c example.Crew, monday fusion.Stamp) (*demoLaptop, error) {
	log, err := store.Create(filepath.Join(d.dir, c.Tag+".coolhold"), store.NewLog{Tag: c.Tag, Rand: d.e.rand})
	if err != nil {
		return nil, err
	}
	key, err := seal.NewKey(d.e.rand, laptopName)
	if err != nil {
		return nil, err
	}
	public, err := seal.ReadPublic(key.Public())
	if err != nil {
		return nil, err
	}
	d.now = monday.Wall
	if _, err := d.desk.Admit(context.Background(), public, key.Public(), c.Name, "Hedda Roan"); err != nil {
		return nil, err
	}
	l, err := example.NewLaptop(log, c, monday)
	return &demoLaptop{l, log, key}, err
}

// anew is another laptop with a copy of the log.
func (l *demoLaptop) anew(d *demoFirm) (*demoLaptop, error) {
	path := filepath.Join(d.dir, l.Tag+"-copy.coolhold")
	if err := l.log.Copy(context.Background(), path); err != nil {
		return nil, err
	}
	log, err := store.Open(path)
	if err != nil {
		return nil, err
	}
	return &demoLaptop{l.Laptop.Anew(log), log, l.key}, nil
}

// send brings to the office what it lacks, as coolhold send does.
func (l *demoLaptop) send(ctx context.Context, d *demoFirm) error {
	s, err := newSending(ctx, l.log.Path(), l.key, func() time.Time { return d.now })
	if err != nil {
		return err
	}
	return s.bring(ctx, office.Signing(d.desk, d.key).Take)
}

// answers asks what there is to find, and prints it.
func (d *demoFirm) answers(w io.Writer) error {
	ctx := context.Background()
	forks, err := d.desk.Forks(ctx)
	for _, f := range forks {
		printFork(w, f)
	}
	if err != nil {
		return err
	}
	silent, _, err := d.desk.Silent(ctx, d.now.Add(-example.SilentDays*24*time.Hour))
	for _, q := range silent {
		fmt.Fprintf(w, "%s is silent since %s\n", logbook.Clean(q.Crew), q.Heard.Local().Format(officeTime))
	}
	if err != nil {
		return err
	}
	rates, _, err := d.desk.Rates(ctx, "batch")
	for _, r := range rates {
		fmt.Fprintf(w, "batch %s: %d welds, %d with a fail, at least %.0f %%\n", logbook.Clean(r.Of), r.Welds, r.Fails, 100*r.AtLeast)
	}
	return err
}

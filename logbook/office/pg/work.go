package pg

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/sync/errgroup"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/office"
)

// A course names one branch of a log.
type course struct {
	log    string
	branch int
	tag    string
}

// A Fault is a site that could not be worked up, or a log that could not be gone through
// ("" for the site). Its entries are held all the same.
type Fault struct {
	Log  string
	Site string
	Why  string
}

// WorkUp brings all rows up to the parcels: of each site that has new lines, or that
// another program worked up, or whose findings change with time and were worked up on
// another day. It can be called at any time and by several at once. One site's fault is
// not another's. A table of these rows that is gone is laid anew first.
func (o *Office) WorkUp(ctx context.Context) (faults []Fault, err error) {
	if err := o.layOut(ctx, true); err != nil {
		return nil, err
	}
	var late []course
	err = o.as(ctx, reader, "", func(tx pgx.Tx) (err error) {
		late, err = all(ctx, tx, pgxCourse, `select l.id, l.branch, l.tag from log l left join sifted s on s.log = l.id and s.branch = l.branch
			where l.entries > coalesce(s.upto, 0) order by l.id, l.branch`)
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, c := range late {
		for more := true; more; {
			if more, err = o.sift(ctx, c); ctx.Err() != nil {
				return faults, ctx.Err()
			} else if err != nil {
				faults = append(faults, Fault{c.log, "", err.Error()}) // of this log alone
				break
			}
		}
	}
	sites, err := o.due(ctx)
	if err != nil {
		return faults, err
	}
	more, err := o.workUpAll(ctx, sites)
	return append(faults, more...), err
}

// workUpAll works up sites, those of one log in turn and as many logs at once as there
// are processors.
func (o *Office) workUpAll(ctx context.Context, sites []siteAt) (faults []Fault, err error) {
	var work errgroup.Group
	work.SetLimit(runtime.GOMAXPROCS(0))
	var mu sync.Mutex
	for len(sites) > 0 {
		n := 1
		for n < len(sites) && sites[n].log == sites[0].log {
			n++
		}
		ofLog := sites[:n]
		sites = sites[n:]
		work.Go(func() error {
			for _, s := range ofLog {
				if err := o.workUp(ctx, s); ctx.Err() != nil {
					return ctx.Err()
				} else if err != nil {
					mu.Lock()
					faults = append(faults, Fault{s.log, s.site, err.Error()})
					mu.Unlock()
				}
			}
			return nil
		})
	}
	err = work.Wait()
	slices.SortFunc(faults, func(a, b Fault) int { return cmp.Or(cmp.Compare(a.Log, b.Log), cmp.Compare(a.Site, b.Site)) })
	return faults, err
}

func pgxCourse(row pgx.CollectableRow) (c course, err error) {
	return c, row.Scan(&c.log, &c.branch, &c.tag)
}

// siftAtOnce is how many parcels are gone through in one transaction.
const siftAtOnce = 64

var uidForm = regexp.MustCompile(`^[0-9a-f]{16}$`)

// A sifting is what is learnt of the sites of a course from some of its parcels.
type sifting struct {
	course
	sites  map[string]*siteRow
	order  []string
	holds  map[[2]any]bool
	sealed [][2]any // seq and line
}

type siteRow struct {
	opened          *logbook.Entry // new with these lines
	line            string
	entries, newest int64
	made            fusion.Stamp
}

// sift goes through the next parcels of a course for the sites in them.
func (o *Office) sift(ctx context.Context, c course) (more bool, err error) {
	err = o.as(ctx, taker, c.log, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `select pg_advisory_xact_lock(hashtextextended($1, 1))`, c.log); err != nil {
			return err
		}
		type parcel struct {
			first  int64
			packed []byte
		}
		parcels, err := all(ctx, tx, func(row pgx.CollectableRow) (p parcel, err error) {
			return p, row.Scan(&p.first, &p.packed)
		}, `select first, lines from parcel where log = $1 and branch = $2 and first > coalesce((select upto from sifted where log = $1 and branch = $2), 0) order by first limit $3`, c.log, c.branch, siftAtOnce)
		if err != nil || len(parcels) == 0 {
			return err
		}
		s := sifting{course: c, sites: map[string]*siteRow{}, holds: map[[2]any]bool{}}
		var upto int64
		for _, p := range parcels {
			lines, err := shelf{ctx, tx, c.log}.expand(c.branch, p.first, p.packed)
			if err != nil {
				return err
			}
			for i, line := range lines {
				upto = p.first + int64(i)
				s.take(p.first, upto, line)
			}
		}
		more = len(parcels) == siftAtOnce
		return s.write(ctx, tx, upto)
	})
	return more, err
}

// take learns from one line. One that cannot be read is of no site.
func (s *sifting) take(first, seq int64, line []byte) {
	e, err := logbook.ReadHead(line)
	if err != nil {
		return
	}
	if e.Kind == (logbook.Sealed{}).Kind() {
		s.sealed = append(s.sealed, [2]any{seq, string(line)})
	}
	if e.N == 0 {
		return
	}
	row := s.sites[e.Site]
	if row == nil {
		row = &siteRow{}
		s.sites[e.Site], s.order = row, append(s.order, e.Site)
	}
	if e.N == 1 {
		if opened, err := logbook.ReadEntry(line); err == nil {
			row.opened, row.line = &opened, string(line)
		}
	}
	row.entries, row.newest, row.made = int64(e.N), seq, e.At
	s.holds[[2]any{e.Site, first}] = true
}

// write keeps what was learnt.
func (s *sifting) write(ctx context.Context, tx pgx.Tx, upto int64) error {
	var b pgx.Batch
	for _, name := range s.order {
		row := s.sites[name]
		made, _ := json.Marshal(row.made) // a stamp always can be
		if row.opened != nil {
			uid, title, address := fmt.Sprintf("%s.%d", s.log, row.opened.Seq), name, "" // no other log's
			if o, ok := row.opened.Open().(logbook.SiteOpened); ok {
				if uidForm.MatchString(o.UID) {
					uid = o.UID
				}
				site := logbook.Site{}.After(row.opened)
				title, address = site.Name, site.Address
			}
			b.Queue(`insert into site values (default, $1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)
				on conflict (log, branch, site) do update set entries = excluded.entries, newest = excluded.newest, made = excluded.made`,
				s.log, s.branch, uid, s.tag, name, title, address, int64(row.opened.Seq), row.line, row.entries, row.newest, string(made))
			continue
		}
		// Of a site that was opened before the course left its parent a row is made from the parent's.
		b.Queue(`insert into site (log, branch, uid, tag, site, name, address, seq, opened, entries, newest, made) select $1, $2::int, uid, tag, site, name, address, seq, opened, $4::bigint, $5::bigint, $6::jsonb from site
			where log = $1 and site = $3 and branch <= $2 order by branch desc limit 1
			on conflict (log, branch, site) do update set entries = excluded.entries, newest = excluded.newest, made = excluded.made`,
			s.log, s.branch, name, row.entries, row.newest, string(made))
	}
	for at := range s.holds {
		b.Queue(`insert into holds select no, $4 from site where log = $1 and branch = $2 and site = $3 on conflict do nothing`, s.log, s.branch, at[0], at[1])
	}
	for _, at := range s.sealed {
		b.Queue(`insert into sealed values ($1, $2, $3, $4) on conflict do nothing`, s.log, s.branch, at[0], at[1])
	}
	b.Queue(`insert into sifted values ($1, $2, $3) on conflict (log, branch) do update set upto = excluded.upto`, s.log, s.branch, upto)
	return tx.SendBatch(ctx, &b).Close()
}

// A siteAt is a site of one course.
type siteAt struct {
	course
	no        int
	site, uid string
	newest    int64
}

func pgxSite(row pgx.CollectableRow) (s siteAt, err error) {
	return s, row.Scan(&s.log, &s.branch, &s.tag, &s.no, &s.site, &s.uid, &s.newest)
}

// due are the sites that are to be worked up.
func (o *Office) due(ctx context.Context) (sites []siteAt, err error) {
	today := o.now().UTC().Truncate(day)
	err = o.as(ctx, reader, "", func(tx pgx.Tx) (err error) {
		sites, err = all(ctx, tx, pgxSite, `select s.log, s.branch, s.tag, s.no, s.site, s.uid, s.newest from site s
			where s.late
			union select s.log, s.branch, s.tag, s.no, s.site, s.uid, s.newest from site s join worked w on w.site = s.no
			where w.program <> $1 or w.timed and w.as_of < $2
			order by 1, 2, 4`, o.program, today)
		return err
	})
	return sites, err
}

const day = 24 * 60 * 60 * 1e9

// workUp makes the rows of one site anew.
func (o *Office) workUp(ctx context.Context, s siteAt) error {
	return o.as(ctx, taker, s.log, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `select pg_advisory_xact_lock(hashtextextended($1, 1))`, s.log); err != nil {
			return err
		}
		lines, err := shelf{ctx, tx, s.log}.ofSite(s.branch, s.site, s.newest)
		if err != nil {
			return err
		}
		w, err := worked(s.tag, lines, o)
		if err != nil {
			return err
		}
		return s.write(ctx, tx, w, o.program)
	})
}

// worked works up the lines of a site. What goes wrong in it is an error like any other:
// the entries are held, and the other sites are none the worse.
func worked(tag string, lines []numbered, o *Office) (w office.Worked, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("it cannot be folded: %v", r)
		}
	}()
	var entries []logbook.Entry
	for _, l := range lines {
		e, err := logbook.ReadEntry(l.line)
		if err != nil {
			return w, fmt.Errorf("entry %d cannot be read: %w", l.seq, err)
		}
		if want := uint64(len(entries) + 1); e.N != want {
			return w, fmt.Errorf("entry %d is its entry %d; its entry %d cannot be read", l.seq, e.N, want)
		}
		entries = append(entries, e)
	}
	if len(entries) == 0 {
		return w, errors.New("it has no entries")
	}
	last := entries[len(entries)-1].At
	return office.WorkUp(tag, entries, last.Add(o.now().Sub(last.Wall))), nil
}

// A numbered is a line with its place in the log.
type numbered struct {
	seq  int64
	line []byte
}

// ofSite are the lines of a site in a branch, up to an entry.
func (s shelf) ofSite(branch int, site string, upto int64) (out []numbered, err error) {
	branches, ends, err := s.courses(branch, upto+1)
	for i := range branches {
		own, err := s.ownOfSite(int(branches[i]), site, ends[i])
		if err != nil {
			return nil, err
		}
		out = append(own, out...)
	}
	return out, err
}

// ownOfSite are those in the parcels of a branch itself, before an entry.
func (s shelf) ownOfSite(branch int, site string, end int64) (out []numbered, err error) {
	rows, err := s.tx.Query(s.ctx, `select p.first, p.lines from site s join holds h on h.site = s.no join parcel p on p.log = s.log and p.branch = s.branch and p.first = h.first
		where s.log = $1 and s.branch = $2 and s.site = $3 and h.first < $4 order by p.first`, s.log, branch, site, end)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var first int64
		var packed []byte
		if err := rows.Scan(&first, &packed); err != nil {
			return nil, err
		}
		lines, err := s.expand(branch, first, packed)
		if err != nil {
			return nil, err
		}
		for i, line := range lines {
			seq := first + int64(i)
			if seq >= end {
				break
			}
			if e, err := logbook.ReadHead(line); err == nil && e.Site == site && e.N > 0 {
				out = append(out, numbered{seq, line})
			}
		}
	}
	return out, rows.Err()
}

// write puts rows in the stead of those that were there. They are handed over as
// arrays: COPY is not for tables with row policies.
func (s siteAt) write(ctx context.Context, tx pgx.Tx, w office.Worked, program string) error {
	var b pgx.Batch
	for _, table := range []string{"weld", "joint", "finding"} {
		b.Queue("delete from "+table+" where site = $1", s.no)
	}
	b.Queue(`insert into weld select $1, weld, joint, chamber, day, verdict, state, fitting, batch, coil, stub, operator, unit, begun, failed, array(select jsonb_array_elements_text(ever::jsonb)), said, made
		from unnest($2::text[], $3::text[], $4::text[], $5::text[], $6::text[], $7::text[], $8::text[], $9::text[], $10::text[], $11::text[], $12::text[], $13::text[], $14::bigint[], $15::bool[], $16::text[], $17::text[], $18::timestamptz[])
		as u(weld, joint, chamber, day, verdict, state, fitting, batch, coil, stub, operator, unit, begun, failed, ever, said, made)`, s.no,
		column(w.Welds, func(r office.WeldRow) string { return r.Weld }), column(w.Welds, func(r office.WeldRow) string { return r.Joint }),
		column(w.Welds, func(r office.WeldRow) string { return r.Chamber }), column(w.Welds, func(r office.WeldRow) string { return r.Day }),
		column(w.Welds, func(r office.WeldRow) string { return r.Verdict }), column(w.Welds, func(r office.WeldRow) string { return r.State }),
		column(w.Welds, func(r office.WeldRow) string { return r.Fitting }), column(w.Welds, func(r office.WeldRow) string { return r.Batch }),
		column(w.Welds, func(r office.WeldRow) string { return r.Coil }), column(w.Welds, func(r office.WeldRow) string { return r.Stub }),
		column(w.Welds, func(r office.WeldRow) string { return r.Operator }), column(w.Welds, func(r office.WeldRow) string { return r.Unit }),
		column(w.Welds, func(r office.WeldRow) int64 { return int64(r.Begun) }), column(w.Welds, func(r office.WeldRow) bool { return r.Failed }),
		column(w.Welds, func(r office.WeldRow) string { return inJSON(r.Ever) }), column(w.Welds, func(r office.WeldRow) string { return r.Said }),
		column(w.Welds, func(r office.WeldRow) time.Time { return r.Made }))
	b.Queue(`insert into joint select $1, u.* from unnest($2::text[], $3::text[], $4::text[], $5::text[]) as u`, s.no,
		column(w.Joints, func(r office.JointRow) string { return r.Joint }), column(w.Joints, func(r office.JointRow) string { return r.Chamber }),
		column(w.Joints, func(r office.JointRow) string { return r.State }), column(w.Joints, func(r office.JointRow) string { return r.Weld }))
	b.Queue(`insert into finding select $1, no, key, word, weld, joint, says
		from unnest($2::text[], $3::text[], $4::text[], $5::text[], $6::text[]) with ordinality as u(key, word, weld, joint, says, no)`, s.no,
		column(w.Open, func(r office.FindingRow) string { return r.Key }), column(w.Open, func(r office.FindingRow) string { return r.Word }),
		column(w.Open, func(r office.FindingRow) string { return r.Weld }), column(w.Open, func(r office.FindingRow) string { return r.Joint }),
		column(w.Open, func(r office.FindingRow) string { return r.Says }))
	b.Queue(`update site set worked = $2 where no = $1`, s.no, s.newest)
	b.Queue(`insert into worked values ($1, $2, $3, $4) on conflict (site)
		do update set as_of = excluded.as_of, timed = excluded.timed, program = excluded.program`,
		s.no, w.AsOf, w.Timed, program)
	return tx.SendBatch(ctx, &b).Close()
}

// column is one column of rows. What a text cannot hold in the database is left out: the
// entry has it.
func column[R, V any](rows []R, of func(R) V) []V {
	out := make([]V, len(rows))
	for i, r := range rows {
		out[i] = of(r)
		if text, is := any(out[i]).(string); is {
			out[i] = any(strings.ReplaceAll(text, "\x00", "")).(V)
		}
	}
	return out
}

// inJSON is a list as the database takes it.
func inJSON[T any](list []T) string {
	out, _ := json.Marshal(append([]T{}, list...)) // texts always can be
	return strings.ReplaceAll(string(out), `\u0000`, "")
}

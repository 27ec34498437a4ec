package pg

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/recall"
)

// findSite is the one site that is asked for.
func findSite(ctx context.Context, tx pgx.Tx, ask office.SiteAsk) (siteAt, error) {
	found, err := findSites(ctx, tx, ask)
	if err == nil && len(found) > 1 {
		err = isSeveral(found, ask)
	}
	if err != nil {
		return siteAt{}, err
	}
	return found[0], nil
}

// errSeveral: it is held, but not as one.
var errSeveral = fmt.Errorf("%w as one site", office.ErrNotHeld)

// isSeveral says which several sites could be meant by what was asked for.
func isSeveral(found []siteAt, ask office.SiteAsk) error {
	var names, logs []string
	ofBranch := strings.Contains(ask.Log, "/")
	for _, f := range found {
		name := f.tag
		if slices.ContainsFunc(found, func(o siteAt) bool { return o.tag == f.tag && o.log != f.log }) { // two logs have the same letters
			name = f.log
		}
		if ofBranch || f.branch > 0 || slices.ContainsFunc(found, func(o siteAt) bool { return o.log == f.log && o.branch != f.branch }) {
			name += fmt.Sprintf("/%d", f.branch)
		}
		names, logs = append(names, fmt.Sprintf("--log %s --site %s", name, f.site)), append(logs, "--log "+name)
	}
	text := strings.Join(names, ", or ")
	apart := func(o siteAt) bool { return ofBranch || o.branch > 0 || o.site != found[0].site }
	if oneSite(found) && !slices.ContainsFunc(found, apart) {
		text += fmt.Sprintf("; or all of it, since it is one site by its own id: %s --site %s", strings.Join(logs, " "), found[0].site)
	}
	return fmt.Errorf("%w; name one: %s", errSeveral, text)
}

// findSites are the sites that can be meant, as far as the role of the transaction sees:
// by the name in entries, else by short name or own id. A site's name can be left out
// where there is one.
func findSites(ctx context.Context, tx pgx.Tx, ask office.SiteAsk) ([]siteAt, error) {
	ref, branch, err := logRef(ask.Log)
	if err != nil {
		return nil, err
	}
	sql, args := findSQL(ask.Site, ref, branch)
	found, err := all(ctx, tx, pgxSite, sql, args...)
	if err != nil {
		return nil, err
	}
	if len(found) > 0 && found[0].site == ask.Site {
		found = slices.DeleteFunc(found, func(s siteAt) bool { return s.site != ask.Site })
	}
	if len(found) > 0 {
		return found, nil
	}
	switch what := fmt.Sprintf("no site %q", ask.Site); {
	case ask.Log == "" && ask.Site == "":
		return nil, fmt.Errorf("%w: no site yet", office.ErrNotHeld)
	case ask.Log == "":
		return nil, fmt.Errorf("%w: %s", office.ErrNotHeld, what)
	case ask.Site == "":
		return nil, fmt.Errorf("%w: no log %q", office.ErrNotHeld, ask.Log)
	default:
		return nil, fmt.Errorf("%w: %s in a log %q", office.ErrNotHeld, what, ask.Log)
	}
}

// findSQL finds sites by what is given of them: each way that it can be meant has an
// index, and what is not given is not asked.
func findSQL(site, ref string, branch int) (sql string, args []any) {
	sql, order := `select log, branch, tag, no, site, uid, newest from site where true`, "tag, log, branch"
	given := func(yes bool, value any, condition string) {
		if yes {
			args = append(args, value)
			sql += fmt.Sprintf(" and "+condition, len(args))
		}
	}
	given(branch >= 0, branch, "branch = $%d")
	given(ref != "", ref, "(log = $%[1]d or tag = upper($%[1]d))")
	if given(site != "", site, "(site = $%[1]d or name = $%[1]d or uid = $%[1]d)"); site != "" {
		order = fmt.Sprintf("site <> $%d, %s", len(args), order)
	}
	return sql + " order by " + order + " limit 20", args
}

// logRef reads how a log is named: its id or its letters, with /N a branch of it.
func logRef(text string) (ref string, branch int, err error) {
	ref, number, given := strings.Cut(text, "/")
	if !given {
		return ref, -1, nil
	}
	if branch, err = strconv.Atoi(number); err != nil || branch < 0 {
		return ref, 0, fmt.Errorf("%w: %q is no branch of a log, such as KM/1", office.ErrNotHeld, text)
	}
	return ref, branch, nil
}

// within is asked in the role of somebody's token, f then reads with all rights of a
// reader: what it reads of is what the role saw.
func (o *Office) within(ctx context.Context, who office.Reader, sees func(tx pgx.Tx, r right) error, f func(tx pgx.Tx) error) error {
	r, err := o.rightOf(ctx, who)
	if err != nil {
		return err
	}
	err = o.asReader(ctx, r, func(tx pgx.Tx, behind []lateAt) error {
		err := sees(tx, r)
		if errors.Is(err, office.ErrNotHeld) && !errors.Is(err, errSeveral) && len(behind) > 0 {
			err = fmt.Errorf("%w; what was sent last is not worked up yet, try again in a minute", err)
		}
		return err
	})
	if err != nil {
		return o.besides(ctx, r, err)
	}
	return o.as(ctx, reader, "", f)
}

// Site gives what a verb on one site reads.
func (o *Office) Site(ctx context.Context, who office.Reader, ask office.SiteAsk) (out office.SiteLines, err error) {
	var s siteAt
	var only []string // a client's site
	err = o.within(ctx, who, func(tx pgx.Tx, r right) error {
		s, err = findSite(ctx, tx, ask)
		only = r.in(s.course)
		return err
	}, func(tx pgx.Tx) error {
		out, err = o.lines(ctx, tx, s, only, ask.AsOf)
		return err
	})
	if err != nil {
		return out, err
	}
	out.Waiting, err = o.waiting(ctx, s.log)
	return out, err
}

// waiting are the parcels of a log that wait to be admitted.
func (o *Office) waiting(ctx context.Context, log string) (n int, err error) {
	err = o.as(ctx, "", "", func(tx pgx.Tx) error {
		return tx.QueryRow(ctx, `select count(*)::int from waiting where log = $1 and last >= first`, log).Scan(&n)
	})
	return n, err
}

// besides adds to the error that something is not held what there may be of it: more than
// a token reads, and what waits to be admitted.
func (o *Office) besides(ctx context.Context, r right, err error) error {
	if !errors.Is(err, office.ErrNotHeld) || errors.Is(err, errSeveral) {
		return err
	}
	if r.role == client {
		err = fmt.Errorf("%w, or this token does not read it", err)
	}
	n := 0
	e := o.as(ctx, "", "", func(tx pgx.Tx) error {
		return tx.QueryRow(ctx, `select count(distinct key)::int from waiting`).Scan(&n)
	})
	if e != nil || n == 0 {
		return err
	}
	return fmt.Errorf("%w; what %s sent waits to be admitted, coolhold office known names the key", err, logbook.Count(n, "laptop"))
}

// lines is what is held of a site and of its log, as it was at a time or as it is.
func (o *Office) lines(ctx context.Context, tx pgx.Tx, s siteAt, only []string, asOf time.Time) (out office.SiteLines, err error) {
	h := shelf{ctx, tx, s.log}
	out = office.SiteLines{ID: s.log, Site: s.site}
	var parted *int64
	if err = tx.QueryRow(ctx, `select tag, entries, heard, case when branch > 0 then parted else (select min(parted) from log b where b.id = l.id and b.branch > 0) end
			from log l where id = $1 and branch = $2`, s.log, s.branch).Scan(&out.Tag, &out.Entries, &out.Upto, &parted); err != nil {
		return out, err
	}
	if parted != nil {
		out.Course = &office.Course{Branch: s.branch, Parted: *parted}
	}
	// What was taken and not gone through yet is of sites that nobody knows: the answer
	// ends before it, and says so.
	known, err := h.sifted(s.branch, out.Entries)
	if err != nil {
		return out, err
	}
	if known < out.Entries {
		_, at, err := h.upto(s.branch, known, time.Time{})
		if err != nil {
			return out, err
		}
		if at.Wall.Before(out.Upto) {
			out.Upto = at.Wall
		}
	}
	if out.Entries, out.Last, err = h.upto(s.branch, known, asOf); err != nil {
		return out, err
	}
	lines, err := h.ofSite(s.branch, s.site, out.Entries)
	if err != nil {
		return out, err
	}
	for _, l := range lines {
		out.Lines = append(out.Lines, string(l.line))
	}
	if out.Sites, err = h.heads(s.branch, out.Entries, only, asOf.IsZero()); err != nil {
		return out, err
	}
	out.Sealed, err = h.sealed(s.branch, out.Entries)
	return out, err
}

// upto is the last entry of a branch that was made at a time or before, with no time the
// last of all, and when it was made. Mostly it is among the last.
func (s shelf) upto(branch int, n int64, asOf time.Time) (int64, fusion.Stamp, error) {
	for n > 0 {
		first, _, lines, err := s.held(branch, n)
		if err != nil {
			return 0, fusion.Stamp{}, err
		}
		for ; n >= first; n-- {
			e, err := logbook.ReadHead(lines[n-first])
			if err == nil && (asOf.IsZero() || !e.At.Wall.After(asOf)) {
				return n, e.At, nil
			}
		}
	}
	return 0, fusion.Stamp{}, nil
}

// sifted is the entry up to which all of a branch, and of those that it left, was gone
// through for its sites.
func (s shelf) sifted(branch int, n int64) (int64, error) {
	branches, ends, err := s.courses(branch, n+1)
	if err != nil {
		return 0, err
	}
	known := n
	for i, b := range branches {
		first := int64(1)
		if i+1 < len(ends) {
			first = ends[i+1]
		}
		var upto int64
		err := s.tx.QueryRow(s.ctx, `select upto from sifted where log = $1 and branch = $2`, s.log, b).Scan(&upto)
		if err != nil && !errors.Is(err, pgx.ErrNoRows) {
			return 0, err
		}
		if upto < ends[i]-1 {
			known = max(upto, first-1)
		}
	}
	return known, nil
}

// courses are a branch and those that it left, with the entry before which each counts.
func (s shelf) courses(branch int, end int64) (branches []int32, ends []int64, err error) {
	for end > 1 {
		branches, ends = append(branches, int32(branch)), append(ends, end)
		var parted int64
		if err := s.tx.QueryRow(s.ctx, `select parent, parted from log where id = $1 and branch = $2`, s.log, branch).Scan(&branch, &parted); err != nil {
			return nil, nil, err
		}
		end = min(end, parted)
	}
	return branches, ends, nil
}

// heads are the sites that were opened in a branch up to an entry; of a client his own
// alone.
func (s shelf) heads(branch int, upto int64, only []string, now bool) ([]office.SiteHead, error) {
	branches, ends, err := s.courses(branch, upto+1)
	if err != nil {
		return nil, err
	}
	return all(s.ctx, s.tx, func(row pgx.CollectableRow) (h office.SiteHead, err error) {
		var made []byte
		if err = row.Scan(&h.Opened, &made); err == nil && now {
			err = json.Unmarshal(made, &h.Newest)
		}
		return h, err
	}, `select opened, made from (
			select distinct on (s.site) s.seq, s.opened, s.made, s.uid from site s join unnest($2::int[], $3::bigint[]) as c(branch, before) using (branch)
			where s.log = $1 and s.seq < c.before order by s.site, s.branch desc) as them
		where $4::text[] is null or uid = any($4) order by seq`, s.log, branches, ends, only)
}

// sealed is the line of the newest seal up to an entry, "" for none.
func (s shelf) sealed(branch int, upto int64) (line string, err error) {
	branches, ends, err := s.courses(branch, upto+1)
	if err != nil {
		return "", err
	}
	err = s.tx.QueryRow(s.ctx, `select line from sealed s join unnest($2::int[], $3::bigint[]) as c(branch, before) using (branch)
		where log = $1 and seq < before order by seq desc limit 1`, s.log, branches, ends).Scan(&line)
	if errors.Is(err, pgx.ErrNoRows) {
		err = nil
	}
	return line, err
}

// recallSQL finds the welds first and their sites then, which "offset 0" keeps the planner
// from turning round: it takes any array for one that many welds have, and would read
// all sites for each question. A client's names his site: under a row policy the index by
// terms is not used.
const recallSQL = `select s.log, s.branch, s.tag, s.name, s.address, w.weld, w.joint, w.chamber, w.day, w.state, w.fitting, w.operator, w.unit, w.said, w.begun
	from (select * from weld where ever && $1%s offset 0) w cross join lateral (select * from site where no = w.site offset 0) s`

func recallFor(role string) string {
	return fmt.Sprintf(recallSQL, map[string]string{client: " and site = any(array(select no from site))"}[role])
}

// Recall finds the welds that ever had a batch, a unit or an operator, with the same
// words as a look through the laptops' logs.
func (o *Office) Recall(ctx context.Context, who office.Reader, ask office.RecallAsk) (out office.Recalled, err error) {
	r, err := o.rightOf(ctx, who)
	if err != nil {
		return out, err
	}
	out, err = o.recall(ctx, r, ask)
	return out, o.besides(ctx, r, err)
}

// Warm asks of a batch that no weld has. After a start of the database its catalogue, the
// tops of its indexes and its program are on the disk alone, and who asks first waits for
// all of that: so the office does, before it listens.
func (o *Office) Warm(ctx context.Context) error {
	if _, err := o.rightOf(ctx, office.Reader{}); err != nil && !errors.Is(err, office.ErrRefused) {
		return err
	}
	_, err := o.recall(ctx, right{role: reader}, office.RecallAsk{Query: recall.Query{Batch: "of no weld"}})
	return err
}

func (o *Office) recall(ctx context.Context, r right, ask office.RecallAsk) (out office.Recalled, err error) {
	var found []recalled
	var behind []lateAt
	var logs []ending // that are meant, all that a client sees; a reader sees all
	err = o.asReader(ctx, r, func(tx pgx.Tx, now []lateAt) (err error) {
		behind = now
		if r.role == client || len(ask.Logs) > 0 {
			if logs, err = meant(ctx, tx, r.role, ask.Logs); err != nil {
				return err
			}
		}
		found, err = all(ctx, tx, func(row pgx.CollectableRow) (recalled, error) { return ofRow(row, ask.Query) },
			recallFor(r.role), ask.Terms())
		return err
	})
	if err == nil {
		logs, err = o.unknown(ctx, r, logs, len(ask.Logs) == 0, &out)
	}
	if err != nil {
		return out, err
	}
	if len(ask.Logs) > 0 {
		found = slices.DeleteFunc(found, func(r recalled) bool {
			return !slices.ContainsFunc(logs, func(c ending) bool { return c.same(r.course) && r.begun < c.before })
		})
		behind = slices.DeleteFunc(behind, func(b lateAt) bool {
			return !slices.ContainsFunc(logs, func(c ending) bool { return c.same(b.course) })
		})
	}
	out.Late = told(behind)
	found = slices.DeleteFunc(found, func(r recalled) bool { return len(r.hit.Matches) == 0 })
	slices.SortFunc(found, func(a, b recalled) int {
		return cmp.Or(cmp.Compare(a.log, b.log), cmp.Compare(a.branch, b.branch), cmp.Compare(a.first, b.first))
	})
	found = once(found)
	for i, r := range found {
		if i == 0 || r.course != found[i-1].course {
			out.Logs = append(out.Logs, office.RecalledFrom{ID: r.log, Branch: r.branch, Tag: r.tag})
		}
		out.Logs[len(out.Logs)-1].Hits++
		out.Hits = append(out.Hits, r.hit)
	}
	return out, nil
}

func (c course) same(o course) bool { return c.log == o.log && c.branch == o.branch }

// An ending is a course as far as it is another's too: before an entry.
type ending struct {
	course
	before int64
}

// meant are the courses that are named, all that a role sees where none is.
func meant(ctx context.Context, tx pgx.Tx, role string, names []string) (out []ending, err error) {
	sql := `select id, branch, tag from log`
	if role == client {
		sql = `select distinct log, branch, tag from site`
	}
	seen, err := all(ctx, tx, pgxCourse, sql+" order by 1, 2")
	if err != nil {
		return nil, err
	}
	if len(names) == 0 {
		for _, c := range seen {
			out = append(out, ending{c, math.MaxInt64})
		}
	}
	for _, name := range names {
		ref, branch, err := logRef(name)
		if err != nil {
			return nil, err
		}
		n := len(out)
		for _, c := range seen {
			if (c.log == ref || c.tag == strings.ToUpper(ref)) && (branch < 0 || c.branch == branch) {
				out = append(out, ending{c, math.MaxInt64})
			}
		}
		if len(out) == n {
			return nil, fmt.Errorf("%w: no log %q", office.ErrNotHeld, name)
		}
	}
	return out, nil
}

// withParents adds to courses those that they left, as far as they go on from them.
func withParents(ctx context.Context, tx pgx.Tx, logs []ending) ([]ending, error) {
	for i := 0; i < len(logs); i++ {
		c := logs[i]
		if c.branch == 0 {
			continue
		}
		before := c.before
		var parted int64
		if err := tx.QueryRow(ctx, `select parent, parted from log where id = $1 and branch = $2`, c.log, c.branch).Scan(&c.branch, &parted); err != nil {
			return nil, err
		}
		c.before = min(before, parted)
		logs = append(logs, c)
	}
	return logs, nil
}

// unknown tells of what the office may not have of logs: those that are silent, and what
// waits to be admitted; of laptops of which nothing is known where all is asked. A client
// is told of his own logs, and that something waits. Given back are the logs
// with those that they left.
func (o *Office) unknown(ctx context.Context, r right, logs []ending, everything bool, out *office.Recalled) ([]ending, error) {
	ids := []string{}
	for _, c := range logs {
		ids = append(ids, c.log)
	}
	since := o.now().Add(-office.SilentDays * day)
	err := o.as(ctx, "", "", func(tx pgx.Tx) (err error) {
		if logs, err = withParents(ctx, tx, logs); err != nil {
			return err
		}
		silent := `select id, min(tag), max(heard) from log where $3 or id = any($1) group by id having max(heard) < $2`
		whole := everything && r.role == reader
		if whole {
			silent += ` union all select '', '', admitted from (` + neverSQL + `) as n(what, log, tag, crew, id, entries, admitted) where admitted < $2`
		}
		if out.Silent, err = all(ctx, tx, pgx.RowToStructByPos[office.Unheard], silent+" order by 3, 1", ids, since, whole); err != nil {
			return err
		}
		return tx.QueryRow(ctx, `select count(distinct key)::int from waiting where $2 or log = any($1)`, ids, everything).Scan(&out.Waiting)
	})
	return logs, err
}

// once leaves out welds that a course has from its parent and tells the same of.
func once(found []recalled) []recalled {
	told := map[string]bool{}
	return slices.DeleteFunc(found, func(r recalled) bool {
		text, _ := json.Marshal(r.hit) // texts always can be
		key := fmt.Sprint(r.log, r.first, string(text))
		was := told[key]
		told[key] = true
		return was && r.branch > 0
	})
}

// A recalled is a weld that an index gave, with what of it matches: perhaps nothing.
type recalled struct {
	course
	hit   recall.Hit
	first uint64 // the entry that has the first match
	begun int64  // the weld's first
}

func ofRow(row pgx.CollectableRow, q recall.Query) (r recalled, err error) {
	var said []byte
	h := &r.hit
	err = row.Scan(&r.log, &r.branch, &r.tag, &h.Site, &h.Address, &h.Weld, &h.Joint, &h.Chamber, &h.Day, &h.State, &h.Fitting, &h.Operator, &h.Unit, &said, &r.begun)
	if err != nil {
		return r, err
	}
	values, err := recall.ReadValues(said)
	if err != nil {
		return r, fmt.Errorf("what was said of weld %s cannot be read: %w", h.Weld, err)
	}
	h.Matches, r.first = q.Among(values, h.Day)
	return r, nil
}

// A lateAt is a site that is not worked up to its end, or a log of which it is not known
// yet which sites it has more of.
type lateAt struct {
	course
	uid  string // of a site
	what string
}

// told names them by the letters of their logs.
func told(late []lateAt) (out []string) {
	for _, l := range late {
		text := l.what
		if l.tag != "" {
			text = "log " + named(l.course) + " " + l.what
		}
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

// named is a course by the letters of its log, as it is asked for.
func named(c course) string {
	if c.branch == 0 {
		return c.tag
	}
	return fmt.Sprintf("%s/%d", c.tag, c.branch)
}

// fromFirst is what is said of a log of which nothing is known yet.
const fromFirst = "from entry 1"

// lateSQL looks at the tables in the order in which a rebuild empties them, so that the two
// wait for each other: what is late and what is found belong to one moment.
const lateSQL = `select id, l.branch, tag, '', 'from entry ' || coalesce(upto, 0) + 1 from sifted s right join log l on s.log = l.id and s.branch = l.branch
		where l.entries > coalesce(upto, 0)
	union all select log, branch, tag, uid, 'site ' || site from site where late
	order by 3, 1, 2, 5`

// late are all that concern what somebody may read, asked in the role of a reader. Of a log
// that may or may not have more of his site a client learns that there is one.
func late(ctx context.Context, tx pgx.Tx, r right) ([]lateAt, error) {
	out, err := all(ctx, tx, func(row pgx.CollectableRow) (l lateAt, err error) {
		return l, row.Scan(&l.log, &l.branch, &l.tag, &l.uid, &l.what)
	}, lateSQL)
	if r.role != client {
		return out, err
	}
	out = slices.DeleteFunc(out, func(l lateAt) bool {
		uids := r.in(l.course)
		return len(uids) == 0 || l.uid != "" && !slices.Contains(uids, l.uid)
	})
	for i, l := range out {
		if l.uid == "" && !r.names(l.log) {
			text := "what was sent last"
			if l.what == fromFirst {
				text = "all of a log that may have your site, of which nothing is gone through yet"
			}
			out[i].tag, out[i].what = "", text
		}
	}
	return out, err
}

// asReader runs f in the role of a reader with what is late, and then in that of somebody's
// right, in one transaction.
func (o *Office) asReader(ctx context.Context, r right, f func(tx pgx.Tx, behind []lateAt) error) error {
	return o.as(ctx, reader, "", func(tx pgx.Tx) error {
		behind, err := late(ctx, tx, r)
		if err == nil && r.role != reader {
			err = be(ctx, tx, r.role, r.of())
		}
		if err != nil {
			return err
		}
		return f(tx, behind)
	})
}

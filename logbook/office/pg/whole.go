package pg

import (
	"context"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"

	"coolhold/logbook/office"
	"coolhold/logbook/seal"
)

// Rebuild drops all that was worked up and makes it anew from the parcels, also where a
// table of it is gone, and gives the roles their rights again. Nothing that was sent is
// touched.
func (o *Office) Rebuild(ctx context.Context) ([]Fault, error) {
	err := o.as(ctx, "", "", func(tx pgx.Tx) error {
		if err := alone(ctx, tx); err != nil {
			return err
		}
		tables, _, err := present(ctx, tx)
		switch {
		case err != nil:
			return err
		case len(gone(workedSchema, tables)) > 0:
			return layWorked(ctx, tx)
		}
		if err := be(ctx, tx, owner, ""); err != nil {
			return err
		}
		_, err = tx.Exec(ctx, rights+"truncate "+strings.Join(gone(workedSchema, nil), ", ")+" restart identity")
		return err
	})
	if err != nil {
		return nil, err
	}
	return o.WorkUp(ctx)
}

// A Checked is a course whose parcels were held against their seals.
type Checked struct {
	Log     string `json:"log"`
	Tag     string `json:"tag"`
	Branch  int    `json:"branch"`
	Parcels int    `json:"parcels"`
	Entries int64  `json:"entries"`
	Fault   string `json:"fault,omitempty"` // "" for none
}

// Check makes the root of every course anew from its lines and holds each parcel against
// the seal that came with it, and that against the key that is admitted. It reads only,
// so it can be asked of a copy of the database too.
func (o *Office) Check(ctx context.Context) (out []Checked, err error) {
	err = o.as(ctx, reader, "", func(tx pgx.Tx) error {
		courses, err := all(ctx, tx, pgxCourse, `select id, branch, tag from log order by tag, id, branch`)
		for _, c := range courses {
			if err == nil {
				var one Checked
				one, err = check(ctx, tx, c)
				out = append(out, one)
			}
		}
		return err
	})
	return out, err
}

func check(ctx context.Context, tx pgx.Tx, c course) (out Checked, err error) {
	out = Checked{Log: c.log, Tag: c.tag, Branch: c.branch}
	h := shelf{ctx, tx, c.log}
	branches, err := h.Branches()
	if err != nil {
		return out, err
	}
	var b office.Branch
	for _, one := range branches {
		if one.No == c.branch {
			b = one
		}
	}
	e, err := h.before(b)
	if err != nil {
		out.Fault = err.Error()
		return out, nil
	}
	keys, err := laptops(ctx, tx, `select key from laptop`)
	if err != nil {
		return out, err
	}
	rows, err := tx.Query(ctx, `select first, last, root, note, lines from parcel where log = $1 and branch = $2 order by first`, c.log, c.branch)
	if err != nil {
		return out, err
	}
	defer rows.Close()
	for rows.Next() {
		var first, last int64
		var root, packed []byte
		var note string
		if err := rows.Scan(&first, &last, &root, &note, &packed); err != nil {
			return out, err
		}
		out.Parcels++
		lines, err := office.Expand(packed)
		e = e.Add(lines...)
		s, sealed := seal.Verify([]byte(note), keys...)
		switch {
		case err != nil:
			out.Fault = fmt.Sprintf("the parcel from entry %d: %v", first, err)
		case first+int64(len(lines)) != e.N+1 || last != e.N:
			out.Fault = fmt.Sprintf("the parcel from entry %d to %d does not follow on entry %d", first, last, e.N-int64(len(lines)))
		case sealed != nil:
			out.Fault = fmt.Sprintf("the seal of the parcel from entry %d: %v", first, sealed)
		case s.Log != c.log || s.Entries != last || s.Root != e.Root() || string(root) != string(s.Root[:]):
			out.Fault = fmt.Sprintf("the parcel from entry %d to %d is not what was sealed", first, last)
		}
		if out.Fault != "" {
			return out, nil
		}
	}
	if out.Entries = e.N; e.N != b.Entries() || e.Root() != b.After.Root() {
		out.Fault = fmt.Sprintf("its parcels end with entry %d, and the log with %d", e.N, b.Entries())
	}
	return out, rows.Err()
}

// before is the edge before the first entry of a branch's own.
func (s shelf) before(b office.Branch) (office.Edge, error) {
	if b.Parted <= 1 {
		return office.Edge{}, nil
	}
	return s.EdgeAt(b.Parent, b.Parted-1)
}

// HandBack gives all lines of a branch of a log, for a laptop that lost them.
func (o *Office) HandBack(ctx context.Context, ref string) (id, tag string, lines [][]byte, err error) {
	name, branch, err := logRef(ref)
	if err != nil {
		return "", "", nil, err
	}
	err = o.as(ctx, reader, "", func(tx pgx.Tx) error {
		found, err := all(ctx, tx, func(row pgx.CollectableRow) (c course, err error) {
			return c, row.Scan(&c.log, &c.branch, &c.tag)
		}, `select id, branch, tag from log where $1 in (id, tag) and ($2 < 0 or branch = $2) order by id, branch`, name, branch)
		if err != nil {
			return err
		}
		if len(found) != 1 {
			text := ""
			for _, f := range found {
				text += fmt.Sprintf(" %s/%d", f.log, f.branch)
			}
			if text == "" {
				return fmt.Errorf("%w: no log has the letters or the id %q", office.ErrNotHeld, ref)
			}
			return fmt.Errorf("%w as one log: %q can be%s; write one of them", office.ErrNotHeld, ref, text)
		}
		h := shelf{ctx, tx, found[0].log}
		var n int64
		if err := tx.QueryRow(ctx, `select entries from log where id = $1 and branch = $2`, found[0].log, found[0].branch).Scan(&n); err != nil {
			return err
		}
		id, tag = found[0].log, found[0].tag
		lines, err = h.Lines(found[0].branch, 1, n)
		return err
	})
	return id, tag, lines, err
}

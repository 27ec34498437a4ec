package pg

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"
)

// What is not as it was laid out. Each comes wrapped in the names of what is gone.
var (
	// ErrGone: something is gone that nothing can be made anew from.
	ErrGone = errors.New("gone from what the office keeps: restore the newest backup of the database (README, Move or restore); over a link laptops send again what came since")
	// ErrWorkedGone: something is gone that was worked up.
	ErrWorkedGone = errors.New("gone from what was worked up: coolhold office rebuild makes it anew")
)

// laid finds what a schema lays out.
var laid = regexp.MustCompile(`(?m)^create (?:table|view) (\w+)`)

// gone are the tables of a schema that are not there.
func gone(schema string, there []string) (names []string) {
	for _, m := range laid.FindAllStringSubmatch(schema, -1) {
		if !slices.Contains(there, m[1]) {
			names = append(names, m[1])
		}
	}
	return names
}

// present are the tables that the database has; begun: something was laid out once.
func present(ctx context.Context, tx pgx.Tx) (tables []string, begun bool, err error) {
	err = tx.QueryRow(ctx, `select to_regnamespace('coolhold') is not null, array(select relname::text from pg_class where relnamespace = to_regnamespace('coolhold') and relkind in ('r', 'p', 'v'))`).Scan(&begun, &tables)
	return tables, begun, err
}

// missing is the error on tables that are not there.
func missing(there []string) error {
	if names := gone(schema, there); len(names) > 0 {
		return fmt.Errorf("%s: %w", strings.Join(names, ", "), ErrGone)
	}
	if names := gone(workedSchema, there); len(names) > 0 {
		return fmt.Errorf("%s: %w", strings.Join(names, ", "), ErrWorkedGone)
	}
	return nil
}

// blind is the error on roles that may not see the schema.
func blind(ctx context.Context, tx pgx.Tx) error {
	roles, err := all(ctx, tx, pgx.RowTo[string], `select rolname::text from pg_roles where rolname = any($1) and not has_schema_privilege(oid, 'coolhold', 'usage') order by 1`, []string{taker, reader, client, owner})
	if err == nil && len(roles) > 0 {
		err = fmt.Errorf("%s may not see what the office keeps; %w", strings.Join(roles, ", "), ErrRights)
	}
	return err
}

// lacks is the error on what of the layout is gone, or may not be seen.
func lacks(ctx context.Context, tx pgx.Tx) error {
	tables, _, err := present(ctx, tx)
	if err == nil {
		err = missing(tables)
	}
	if err != nil {
		return err
	}
	return blind(ctx, tx)
}

// layOut applies the schema to an empty database, once, whoever comes first, and says what
// is gone of it; anew: what is worked up is laid anew where something of it is gone.
func (o *Office) layOut(ctx context.Context, anew bool) error {
	return o.as(ctx, "", "", func(tx pgx.Tx) error {
		if err := alone(ctx, tx); err != nil {
			return err
		}
		tables, begun, err := present(ctx, tx)
		if err != nil {
			return err
		}
		if !begun {
			_, err := tx.Exec(ctx, schema+workedSchema+rights)
			return err
		}
		if slices.Contains(tables, "version") {
			v := 0
			if err := tx.QueryRow(ctx, `select coalesce(max(schema), 0) from coolhold.version`).Scan(&v); err != nil {
				return err
			}
			if v != schemaVersion {
				return fmt.Errorf("%w: layout %d, this one knows %d; go on with the coolhold that laid it out, or name another database: laptops send theirs again once they are admitted there", ErrSchema, v, schemaVersion)
			}
		}
		switch err := missing(tables); {
		case anew && errors.Is(err, ErrWorkedGone):
			return layWorked(ctx, tx)
		case err != nil:
			return err
		case !anew:
			return blind(ctx, tx)
		}
		return nil
	})
}

// alone waits until nobody else lays out.
func alone(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, `select pg_advisory_xact_lock(20261127)`)
	return err
}

// layWorked lays out anew what is worked up, empty.
func layWorked(ctx context.Context, tx pgx.Tx) error {
	if err := be(ctx, tx, owner, ""); err != nil {
		return err
	}
	var drop strings.Builder
	all := gone(workedSchema, nil)
	slices.Reverse(all) // the rights to the later look at the earlier
	for _, name := range all {
		fmt.Fprintf(&drop, "drop table if exists coolhold.%s;\n", name)
	}
	_, err := tx.Exec(ctx, drop.String()+workedSchema+rights)
	return err
}

// A grant is one line of rights.sql.
var grantLine = regexp.MustCompile(`(?m)^grant (.+) on (schema )?(.+) to (.+);$`)

// columns are those that a right is for.
var columns = regexp.MustCompile(` \(.*`)

// Rights says which right of rights.sql a role of the office has not. The error is
// ErrRights.
func (o *Office) Rights(ctx context.Context) error {
	var has []string
	for _, m := range grantLine.FindAllStringSubmatch(rights, -1) {
		what := strings.Split(columns.ReplaceAllString(m[1], ""), ", ")
		for _, on := range strings.Split(m[3], ", ") {
			for _, role := range strings.Split(m[4], ", ") {
				for _, may := range what {
					has = append(has, strings.Join([]string{role, may, strings.TrimSpace(m[2] + on)}, " "))
				}
			}
		}
	}
	return o.as(ctx, "", "", func(tx pgx.Tx) error {
		lost, err := all(ctx, tx, pgx.RowTo[string], `with r as (select r, split_part(r, ' ', 1) as role, split_part(r, ' ', 2) as may, split_part(r, ' ', 3) as what from unnest($1::text[]) r)
			select role || case may when 'usage' then ' may not see the schema' when 'create' then ' may not create in the schema' else ' may not ' || may || ' ' || what end from r
			where not case when what = 'schema' then has_schema_privilege(role, 'coolhold', may)
				when may = 'delete' then has_table_privilege(role, 'coolhold.' || what, may) else has_any_column_privilege(role, 'coolhold.' || what, may) end order by 1`, has)
		if err == nil && len(lost) > 0 {
			err = fmt.Errorf("%s: %w", strings.Join(lost, ", "), ErrRights)
		}
		return err
	})
}

package postgres

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"budcall/internal/archive"
)

// What the migrations make, as they write it.
var (
	makesTable    = regexp.MustCompile(`(?m)^create table (\w+)`)
	makesFunction = regexp.MustCompile(`(?m)^create function (\w+)\(\)`)
)

// steps gives every migration of this program, in order.
func steps() (list []archive.Step, err error) {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	for _, name := range names {
		body, err := migrations.ReadFile(name)
		if err != nil {
			return nil, err
		}
		sum := sha256.Sum256(body)
		list = append(list, archive.Step{Name: name, SHA256: hex.EncodeToString(sum[:])})
	}
	return list, nil
}

// made lists what the migrations make, in their order: a table comes after
// those that it refers to.
func made(what *regexp.Regexp) (names []string, err error) {
	list, err := steps()
	if err != nil {
		return nil, err
	}
	for _, s := range list {
		body, err := migrations.ReadFile(s.Name)
		if err != nil {
			return nil, err
		}
		for _, m := range what.FindAllSubmatch(body, -1) {
			names = append(names, string(m[1]))
		}
	}
	return names, nil
}

// column is one column of a table of ours, as the catalogue has it.
type column struct {
	Table, Name, Type string
	Numbers           bool // it numbers the rows
}

// columns gives the columns of our tables that are there, in order.
func columns(ctx context.Context, q querier) (list []column, err error) {
	tables, err := made(makesTable)
	if err != nil {
		return nil, err
	}
	rows, err := q.Query(ctx, `
		select c.relname, a.attname, format_type(a.atttypid, null), a.attidentity <> ''
		from pg_class c join pg_attribute a on a.attrelid = c.oid
		where c.relnamespace = current_schema()::regnamespace and c.relkind = 'r' and c.relname = any($1)
		and a.attnum > 0 and not a.attisdropped and a.attgenerated = ''
		order by array_position($1, c.relname::text), a.attnum`, tables)
	if err != nil {
		return nil, fmt.Errorf("listing the tables: %w", err)
	}
	list, err = pgx.CollectRows(rows, pgx.RowToStructByPos[column])
	if err != nil {
		return nil, fmt.Errorf("listing the tables: %w", err)
	}
	return list, nil
}

// byTable puts columns together: the tables in order, each with its columns.
func byTable(list []column) (tables []archive.Table, numbers map[string]string) {
	numbers = map[string]string{}
	for _, c := range list {
		if n := len(tables); n == 0 || tables[n-1].Name != c.Table {
			tables = append(tables, archive.Table{Name: c.Table})
		}
		t := &tables[len(tables)-1]
		t.Columns = append(t.Columns, c.Name)
		if c.Numbers {
			numbers[c.Table] = c.Name
		}
	}
	return tables, numbers
}

// quoted gives names as SQL wants them, with commas between.
func quoted(names []string) string {
	var q []string
	for _, n := range names {
		q = append(q, pgx.Identifier{n}.Sanitize())
	}
	return strings.Join(q, ", ")
}

// short is a migration's name as people know it.
func short(step string) string { return strings.TrimSuffix(path.Base(step), ".sql") }

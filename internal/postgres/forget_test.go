package postgres

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"budcall/internal/civil"
	"budcall/internal/pseudonym"
	"budcall/internal/trail"
)

// A new column with text or bytes makes this fail until somebody has said what
// of a person it may hold.
func TestOfEveryColumnItIsSaidWhatOfAPersonItHolds(t *testing.T) {
	db := memory(t)
	list, err := columns(t.Context(), db.pool)
	if err != nil {
		t.Fatal(err)
	}
	var there []string
	for _, c := range list {
		name := c.Table + "." + c.Name
		there = append(there, name)
		spoken := slices.Contains([]string{"text", "jsonb", "bytea", "text[]", "json", "character varying"}, c.Type)
		if _, said := holds[name]; spoken && !said {
			t.Errorf("%s (%s): say in holds what of a person it may hold", name, c.Type)
		} else if said && !spoken {
			t.Errorf("%s is %s, which holds no text", name, c.Type)
		}
	}
	for name := range holds {
		if !slices.Contains(there, name) {
			t.Errorf("there is no column %s", name)
		}
	}
}

func TestAForgottenPersonIsReplacedInEveryRowAndLookingChangesNothing(t *testing.T) {
	db := lived(t)
	ctx := t.Context()
	// The person in every kind of column.
	for _, sql := range []string{
		`update accepted_config set files = jsonb_build_object('people.yml', translate(encode(convert_to(E'people:\n  - {code: otso, name: Otso Mälli, email: otso@birches.example, phone: "+358 457 000 0002"}\n', 'utf8'), 'base64'), E'\n', ''))`,
		`insert into letter (id, channel, target, kind, content, written_at, expires_at, next_try, state) values
			('m1', 'mail', 'otso', 'calls', '{"to": "otso@birches.example", "to_name": "Otso Mälli"}', now(), now(), now(), 'sent'),
			('m2', 'mail', 'maia', 'passed', '{"items": [{"passed": {"from": [{"name": "Otso Mälli", "phone": "+358 457 000 0002"}]}}]}', now(), now(), now(), 'sent'),
			('HOME-2031-bag_on-1-otso-hook', 'webhook', 'hook', 'x', '{"data": {"person_code": "otso"}}', now(), now(), now(), 'sent')`,
		`insert into owed (site, season, task, serial, person, standing, reason, passed, item, at, state) values ('HOME', 2031, 'bag on', 1, 'otso', 'go', '', false, '{}', now(), '{"asked": [{"person": "otso"}]}')`,
		`insert into site_call (site, season, task, standing, state) values ('HOME', 2031, 'bag on', 'done', '{"asked": [{"person": "otso"}]}')`,
		`insert into trouble (subject, since, text) values ('mail to otso', now(), 'Mail to Otso Mälli comes back'), ('mail to maia', now(), 'x')`,
		`insert into trouble (subject, since, text) values ('x', now(), 'it is for "otso", whom nobody names')`,
		`insert into trail_entry (key, season, kind, subject, person, day, at, why, way, data) values ('k3', 2031, 'received', '', 'maia', '2031-05-01', now(), 'Otso says so', 'command', '{"receipt": {"written": "A-001 Mälli"}}')`,
	} {
		if _, err := db.pool.Exec(ctx, sql); err != nil {
			t.Fatalf("%s: %v", sql, err)
		}
	}
	for i, raw := range []string{"From: otso@birches.example\r\n\r\nT1 2+1\r\n", "From: a@b.example\r\n\r\nAsk Otso M=C3=A4lli\r\n", "From: eero@birches.example\r\nContent-Transfer-Encoding: quoted-printable\r\n\r\nOtso M=C3=A4lli\r\n", "From: eero@birches.example\r\n\r\nT2 2+1\r\n"} {
		if _, err := db.Arrive(ctx, Arrival{Key: []byte{byte(i)}, Raw: []byte(raw), Way: "lmtp", At: may2}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := db.pool.Exec(ctx, `update arrived set state = 'read', person = case when id = 1 then 'otso' else 'eero' end, reports = '[{"person": "otso", "note": "Mälli"}]'`); err != nil {
		t.Fatal(err)
	}
	if _, err := db.pool.Exec(ctx, `insert into photo (arrived_id, seq, report_key, person, type, bytes, sha256, at) values (1, 1, '', 'otso', 'image/jpeg', '', '', now())`); err != nil {
		t.Fatal(err)
	}
	change := SiteChange{Key: "page-1", Site: "HOME", File: "sites/home.yml", Base: []byte("lead: otso # Otso Mälli\n"), Body: []byte("lead: eero # not Otso\n"), Person: "otso", Way: "page", At: may2, Preview: []byte(`{"changed": [{"path": "lead", "was": "otso", "becomes": "eero"}]}`)}
	if id, err := db.ProposeChange(ctx, change); err != nil {
		t.Fatal(err)
	} else if done, err := db.DecideChange(ctx, ChangeDecision{ID: id, To: ChangeWaiting, By: "otso", At: may2}); err != nil || !done {
		t.Fatal(done, err)
	} else if done, err := db.DecideChange(ctx, ChangeDecision{ID: id, To: ChangeRefused, By: "maia", At: may2, Why: "Ask Otso first"}); err != nil || !done {
		t.Fatal(done, err)
	}
	report(t, db, "k9", trail.Report{Person: "maia", Site: "HOME", Kind: trail.Problem, Day: civil.Of(2031, 5, 2), At: may2, Way: "form", Note: "Otso fell; ring 0457-000 0002"})
	// Messages to a webhook in the queue: one waits, one failed, one is done.
	const hooked = `HOME-2031-bag_on-1-otso-hook`
	if err := db.tx(ctx, func(tx pgx.Tx) error { return db.insertLetters(ctx, tx, []string{hooked, hooked, hooked, "waiting"}) }); err != nil {
		t.Fatal(err)
	}
	for _, sql := range []string{
		`update river.river_job set errors = array['{"at": "2031-05-02T00:00:00Z", "attempt": 1, "error": "taking letter HOME-2031-bag_on-1-otso-hook: gone", "trace": ""}'::jsonb], attempt = 1, state = 'retryable' where id = (select min(id) + 1 from river.river_job where args->>'id' = $1)`,
		`update river.river_job set finalized_at = now(), state = 'completed' where id = (select max(id) from river.river_job where args->>'id' = $1)`,
	} {
		if tag, err := db.pool.Exec(ctx, sql, hooked); err != nil || tag.RowsAffected() != 1 {
			t.Fatalf("%s: %v, %v", sql, tag, err)
		}
	}
	names, addresses, err := db.Traces(ctx, "otso")
	if err != nil || !slices.Contains(names, "Otso Mälli") || !slices.Contains(addresses, "otso@birches.example") {
		t.Fatalf("%q, %q, %v", names, addresses, err)
	}
	r := pseudonym.New(pseudonym.Person{Code: "otso", As: "gone-1a2b", Names: names, Addresses: addresses, Phones: []string{"+358 457 000 0002"}})

	before := dump(t, db)
	looked, err := db.Forget(ctx, "otso", r, may2, false)
	if err != nil || looked.Mails != 3 || looked.Rows["letter"] < 4 || looked.Rows["trail_entry"] != 2 {
		t.Errorf("a look gives %+v, %v", looked, err)
	}
	if dump(t, db) != before {
		t.Error("a look changed something")
	}
	done, err := db.Forget(ctx, "otso", r, may2, true)
	if err != nil || done.Mails != 3 {
		t.Fatalf("%+v, %v", done, err)
	}
	after := dump(t, db)
	for _, trace := range []string{"otso", "Otso", "Mälli", "M=C3=A4lli", "otso@", "000 0002", "0000002"} {
		for line := range strings.Lines(after) {
			if strings.Contains(line, trace) {
				t.Errorf("%q is left: %.200s", trace, line)
			}
		}
	}
	for _, kept := range []string{"gone-1a2b", "T2 2+1", "HOME-2031-bag_on-1-gone-1a2b-hook", "fell; ring 000"} {
		if !strings.Contains(after, kept) {
			t.Errorf("%q is lost", kept)
		}
	}
	jobs := one[string](t, db, `select string_agg(concat_ws(' ', state, args->>'id', coalesce(errors::text, 'no error')), E'\n' order by j.id) from river.river_job j where args->>'id' like 'HOME%'`)
	if want := "available HOME-2031-bag_on-1-gone-1a2b-hook no error\nretryable HOME-2031-bag_on-1-gone-1a2b-hook no error"; jobs != want || one[int](t, db, `select count(*) from river.river_job where args->>'id' = 'waiting'`) != 1 {
		t.Errorf("jobs are\n%s, not\n%s", jobs, want)
	}
	if n := one[int](t, db, `select count(*) from photo`); n != 0 || done.Photos != 1 {
		t.Errorf("%d photos are left, %d dropped", n, done.Photos)
	}
	if text := one[string](t, db, `select string_agg(subject || ' ' || (over_at is null), ', ' order by subject) from trouble where subject like 'mail%'`); text != "mail to gone-1a2b false, mail to maia true" {
		t.Errorf("troubles are %s", text)
	}
	if s := one[string](t, db, `select state from letter where id = 'waiting'`); s != "dropped" {
		t.Errorf("a letter that waited to be sent to them is %s", s)
	}
	if _, err := db.pool.Exec(ctx, `update trail_entry set day = '2031-06-01'`); err == nil {
		t.Error("the trail's book can be rewritten from now on")
	}
	if again, err := db.Forget(ctx, "otso", r, may2, true); err != nil || len(again.Rows) != 0 {
		t.Errorf("a second time it replaces %+v, %v", again, err)
	}
}

// dump is every row of every table as text, with files and mails unpacked.
func dump(t *testing.T, db *DB) string {
	t.Helper()
	var b strings.Builder
	all := everything(t, db.pool.Config().ConnString())
	for _, table := range slices.Sorted(maps.Keys(all)) {
		b.WriteString(table + ": " + all[table] + "\n")
	}
	for _, sql := range []string{
		`select coalesce(string_agg(l::text, E'\n' order by l::text), '') from letter l`,
		`select coalesce(string_agg(convert_from(decode(f.value, 'base64'), 'utf8'), E'\n' order by f.key), '') from accepted_config, jsonb_each_text(files) f`,
	} {
		b.WriteString(one[string](t, db, sql) + "\n")
	}
	for id := int64(1); ; id++ {
		raw, kept, err := db.RawMail(t.Context(), id)
		if err != nil || id > 9 {
			break
		}
		if kept {
			b.Write(raw)
		}
	}
	return b.String()
}

package replay_test

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/replay"
)

// A season that was lived through by the running program, with forms filled
// in, is replayed from its files and reports: every mail is the same to the
// byte, and so is everything that was decided and forecast.
func TestAReplayIsTheLiveSeasonByteByByte(t *testing.T) {
	first, last := civil.MustParse("2016-04-01"), civil.MustParse("2016-09-20")
	files := programme(t, 3, 2004, last+60)
	hook := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) {}))
	t.Cleanup(hook.Close)
	files["programme.yml"] += "webhooks:\n  - name: lab\n    url: " + hook.URL + "/season\n    secret_files: [hook-key]\n    allow: [127.0.0.1/32]\n"
	files["hook-key"] = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw\n"
	l := start(t, files, first)
	at := func(day string, hour, minute int) time.Time { return civil.MustParse(day).In(time.UTC, hour, minute) }
	l.playTo(t, at("2016-04-05", 6, 30))
	l.form(t, "SITE01", call.SendKit, url.Values{"kit": {"yes"}})
	l.playTo(t, at("2016-04-23", 9, 13))
	l.form(t, "SITE02", call.BagOn, url.Values{"answer": {"cannot"}})
	l.playTo(t, at("2016-04-24", 16, 5))
	l.form(t, "SITE01", call.BagOn, url.Values{"selfing.T1": {"2"}, "control.T1": {"1"}, "selfing.T2": {"3"}, "control.T2": {"1"}, "seen.01": {"yes"}, "seen.07": {"no"}})
	l.playTo(t, at("2016-04-28", 14, 0))
	l.form(t, "SITE02", call.BagOn, url.Values{"selfing.T1": {"2"}, "control.T1": {"1"}, "seen.07": {"yes"}})
	l.playTo(t, (last+1).In(time.UTC, 0, 0))

	s := replayOf(t, l, first, nil)
	for _, said := range replay.Grouped(l.reports(t, 2016)) {
		if err := s.Report(t.Context(), said[0].At, said...); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.PlayTo(t.Context(), (last+1).In(time.UTC, 0, 0)); err != nil {
		t.Fatal(err)
	}
	lines := sameAsLive(t, l, s, 2016)
	for _, part := range []string{`"call" "SITE02" "bag on"`, `"change" "SITE01" "take off"`, `"message" "SITE0`, `"forecast" "SITE00" 89`, "score SITE01 {Code:01", "score SITE02 {Code:07", `"told" "SITE01" "pick seed"`} {
		if !slices.ContainsFunc(lines, func(l string) bool { return strings.HasPrefix(l, part) }) {
			t.Errorf("there is no line %s…: the season isn't worth comparing", part)
		}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.mail) < 12 {
		t.Errorf("only %d mails were sent: the season isn't worth comparing", len(l.mail))
	}
	got := map[string]string{}
	for _, p := range s.Kept().Letters {
		if p.Channel != notice.ByMail {
			continue
		}
		var letter notice.Letter
		if err := json.Unmarshal(p.Content, &letter); err != nil {
			t.Fatal(err)
		}
		raw, err := notice.Mail(letter)
		if err != nil {
			t.Fatal(err)
		}
		got["<"+letter.ID+"@"+letter.Domain+">"] = string(raw)
	}
	for id, raw := range l.mail {
		if got[id] != string(raw) {
			t.Errorf("mail %s\nlive:\n%s\nreplay:\n%s", id, raw, got[id])
			return
		}
		delete(got, id)
	}
	if len(got) > 0 {
		t.Errorf("the replay has %d mails that were never sent", len(got))
	}
}

// replayOf gives a replay of a live program from its files.
func replayOf(t *testing.T, l *live, first civil.Date, change func(*replay.Options)) *replay.Season {
	t.Helper()
	return seasonOf(t, l.dir, first, func(o *replay.Options) {
		o.Base = l.Address()
		if change != nil {
			change(o)
		}
	})
}

// seasonOf gives a season of a folder in which nothing has happened yet.
func seasonOf(t *testing.T, dir string, first civil.Date, change func(*replay.Options)) *replay.Season {
	t.Helper()
	p, problems, err := app.Load(dir)
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	o := replay.Options{Programme: p, Dir: dir, From: first.In(time.UTC, 0, 0), Key: key, Keep: true}
	if change != nil {
		change(&o)
	}
	s, err := replay.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// sameAsLive compares what the database holds with what the replay kept, and
// gives it, a line each.
func sameAsLive(t *testing.T, l *live, s *replay.Season, year int) []string {
	t.Helper()
	want, got := l.decided(t, year), decided(t, l, s, year)
	if len(want) < 250 {
		t.Errorf("only %d lines were decided: the season isn't worth comparing", len(want))
	}
	for i := range max(len(want), len(got)) {
		var a, b string
		if i < len(want) {
			a = want[i]
		}
		if i < len(got) {
			b = got[i]
		}
		if a != b {
			t.Fatalf("line %d of %d and %d\nlive   %s\nreplay %s", i+1, len(want), len(got), a, b)
		}
	}
	return want
}

// decided is what the database holds of a season, as sorted lines.
func (l *live) decided(t *testing.T, year int) (out []string) {
	t.Helper()
	err := l.DB().Read(t.Context(), func(b *postgres.Book) error {
		for _, site := range l.Programme().Sites {
			calls, err := b.Calls(t.Context(), site.Code, year)
			if err != nil {
				return err
			}
			for _, task := range call.Tasks {
				out = append(out, line("call", site.Code, task, calls[task]))
			}
			issued, err := b.Issued(t.Context(), site.Code, year)
			if err != nil {
				return err
			}
			for _, i := range issued {
				first, live := postgres.EncodeDays(i.Days)
				out = append(out, line("forecast", site.Code, i.Code, i.On, i.P10, i.P50, i.P90, first, hex.EncodeToString(live)))
			}
			told, err := b.Told(t.Context(), site.Code, year, 1e6)
			if err != nil {
				return err
			}
			for _, t := range told {
				out = append(out, line("told", site.Code, t.Task, t.Person, t.Standing, t.Reason))
			}
			scores, err := b.Scores(t.Context(), site.Code, year)
			if err != nil {
				return err
			}
			for _, s := range scores {
				out = append(out, fmt.Sprintf("score %s %+v", site.Code, s))
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	out = append(out, l.changes(t, year)...)
	slices.Sort(out)
	return out
}

// changes is every change of a call's standing and every message to a webhook
// in the database.
func (l *live) changes(t *testing.T, year int) (out []string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), l.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	rows, err := conn.Query(t.Context(), `
		select 'change', site, task, to_char(at at time zone 'UTC', 'YYYY-MM-DD HH24:MI:SS.US'), standing, reason, coalesce(first_day::text, ''), coalesce(last_day::text, '')
		from standing_change where season = $1
		union all select 'message', id, target, to_char(written_at at time zone 'UTC', 'YYYY-MM-DD HH24:MI:SS.US'), kind, content->>'id', channel, content->'data'->>'site'
		from letter where channel = 'webhook'`, year)
	if err != nil {
		t.Fatal(err)
	}
	for rows.Next() {
		values, err := rows.Values()
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, line(values...))
	}
	if rows.Err() != nil {
		t.Fatal(rows.Err())
	}
	return out
}

// decided is what a replay kept of a season, as sorted lines.
func decided(t *testing.T, l *live, s *replay.Season, year int) (out []string) {
	t.Helper()
	for _, site := range l.Programme().Sites {
		for _, task := range call.Tasks {
			out = append(out, line("call", site.Code, task, s.Calls(site.Code, year)[task]))
		}
	}
	for _, i := range s.Kept().Issued {
		if i.Season == year {
			out = append(out, line("forecast", i.Site, i.Code, i.On, i.P10, i.P50, i.P90, i.First, hex.EncodeToString(i.Live)))
		}
	}
	for site, scores := range s.Kept().Scores {
		for _, s := range scores {
			out = append(out, fmt.Sprintf("score %s %+v", site, s))
		}
	}
	const moment = "2006-01-02 15:04:05.000000"
	for _, c := range s.Kept().Changes {
		if c.Season == year {
			out = append(out, line("change", c.Site, c.Task, c.At.Format(moment), c.Standing, c.Reason, c.Days.First, c.Days.Last))
		}
	}
	for _, p := range s.Kept().Letters {
		var body struct {
			ID   any `json:"id"`
			Data struct {
				Site any `json:"site"`
			} `json:"data"`
		}
		if p.Channel != notice.ByWebhook {
			continue
		}
		if err := json.Unmarshal(p.Content, &body); err != nil {
			t.Fatal(err)
		}
		out = append(out, line("message", p.ID, p.Target, p.WrittenAt.Format(moment), p.Kind, body.ID, p.Channel, body.Data.Site))
	}
	for _, t := range s.Kept().Tellings {
		if t.Season == year {
			out = append(out, line("told", t.Site, t.Item.Task, t.Person, t.Item.Standing, t.Item.Reason))
		}
	}
	slices.Sort(out)
	return out
}

// line writes values in a row, as JSON.
func line(values ...any) string {
	var out []string
	for _, v := range values {
		b, err := json.Marshal(v)
		if err != nil {
			panic(fmt.Sprint(v, err))
		}
		out = append(out, string(b))
	}
	return strings.Join(out, " ")
}

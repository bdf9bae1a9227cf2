package demo

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/config"
)

func TestTheOverlayReplacesTheWorldAndNothingElse(t *testing.T) {
	p := programme(t)
	body, err := os.ReadFile(filepath.Join(example, "programme.yml"))
	if err != nil {
		t.Fatal(err)
	}
	// What a programme of one's own may say: all that the demo must replace.
	own := strings.Replace(string(body), "  tls: none", "  tls: starttls\n  user: x@birches.example\n  password_file: nowhere", 1) +
		"\nlisten: 0.0.0.0:8484\npublic_url: https://buds.birches.example\ndatabase:\n  dsn_file: nowhere\nwebhooks:\n- name: a\n  url: https://a.example/x\n  secret_files: [nowhere]\ncalls:\n  min_days: 6\n"
	from, into := t.TempDir(), t.TempDir()
	files, err := app.ReadDir(example)
	if err != nil {
		t.Fatal(err)
	}
	files["programme.yml"] = []byte(own)
	for name, b := range files {
		if err := os.MkdirAll(filepath.Join(from, filepath.Dir(name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(from, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	o := ours{relay: "127.0.0.1:2526", hook: "http://127.0.0.1:1/events", secret: "whsec_x", outlook: "http://127.0.0.1:2/f", weather: "/nowhere"}
	if err := overlay(from, into, p, o); err != nil {
		t.Fatal(err)
	}
	got, problems, err := app.Load(into)
	if err != nil || len(problems) > 0 {
		t.Fatal(err, app.Problems(into, problems))
	}
	if got.Mail.Relay != o.relay || got.Mail.TLS != "none" || got.Mail.User != "" || got.Mail.From != p.Mail.From {
		t.Errorf("mail: %+v", got.Mail)
	}
	if len(got.Webhooks) != 1 || got.Webhooks[0].URL != o.hook || got.Listen != "127.0.0.1:0" || got.Database.DSNFile != "" {
		t.Errorf("webhooks %+v, listen %s, database %+v", got.Webhooks, got.Listen, got.Database)
	}
	if got.Settings.MinDays != 6 || len(got.Sites) != len(p.Sites) || got.Sites[0].Settings.PlanAheadDays != p.Sites[0].Settings.PlanAheadDays {
		t.Error("settings or sites have changed")
	}
	for i, st := range got.Stations {
		if st.Path != filepath.Join("/nowhere", st.Code+".csv") || st.Code != p.Stations[i].Code || st.AltitudeM != p.Stations[i].AltitudeM {
			t.Errorf("station %+v", st)
		}
	}
	if len(got.Forecasts) != 1 || got.Sites[0].Forecast != got.Forecasts[0].Code || got.Forecasts[0].Format != config.FormatMETNo {
		t.Errorf("forecasts: %+v", got.Forecasts)
	}
}

func TestAFormIsReadAsABrowserDoes(t *testing.T) {
	f, err := readForm(`<!doctype html><html><head><title>x</title><style>.a > b { c: "d" }</style></head><body>
		<h1>Bag on at Kolmi&nbsp;ridge</h1><p class="standing"><svg viewBox="0 0 1 1"><path d="M1 1"/></svg>go <span>Days: 3 May</span></p>
		<form method="post" novalidate><input type="hidden" name="key" value="k&amp;1"><br>
		<input type="radio" id="a" name="answer" value="2031-05-03" checked><label for="a">Yes, on Sat 3 May (best)</label>
		<input type="date" name="day" value="2031-05-02"></form></body></html>`)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(f.standing, "go") || f.title != "Bag on at Kolmi\u00a0ridge" || len(f.inputs) != 3 ||
		f.inputs[0].value != "k&1" || !f.inputs[1].checked || f.labels["a"] != "Yes, on Sat 3 May (best)" {
		t.Errorf("%+v", f)
	}
	if _, err := readForm("<html><body><h1>Gone</h1><p>This link has expired.</p></body></html>"); err == nil || !strings.Contains(err.Error(), "has expired") {
		t.Errorf("a page without a form: %v", err)
	}
}

func TestMailsHaveNamesThatSayWhatTheyAre(t *testing.T) {
	p := programme(t)
	at := time.Date(2031, 5, 2, 17, 0, 0, 0, time.UTC)
	l := letter{to: p.People[0].Email, at: at, subject: "Bag on at Kolmi ridge: Sat 3 – Sun 4 May, and 2 more"}
	if got, want := letterName(p, l), "2031-05-02T1700_"+p.People[0].Code+"_bag-on-at-kolmi-ridge-sat-3-sun-4-may-and-2-more"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	dir := t.TempDir()
	if err := keepLetters(dir, p, []letter{l, l}); err != nil {
		t.Fatal(err)
	}
	if all, err := os.ReadDir(dir); err != nil || len(all) != 4 {
		t.Errorf("two mails of one name became %d files (%v)", len(all), err)
	}
}

func TestRunsOfDaysInFewWords(t *testing.T) {
	d := civil.MustParse
	for _, row := range []struct {
		days civil.Range
		want string
	}{
		{civil.Range{}, "-"},
		{civil.Range{First: d("2031-05-03"), Last: d("2031-05-03")}, "3 May"},
		{civil.Range{First: d("2031-05-03"), Last: d("2031-05-07")}, "3-7 May"},
		{civil.Range{First: d("2031-04-29"), Last: d("2031-05-07")}, "29 Apr-7 May"},
	} {
		if got := span(row.days); got != row.want {
			t.Errorf("%v is %q, want %q", row.days, got, row.want)
		}
	}
}

func TestAResultFolderMustBeEmpty(t *testing.T) {
	out := t.TempDir()
	if err := os.WriteFile(filepath.Join(out, "mine"), []byte("x"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := Play(t.Context(), Options{Dir: example, Out: out, Stdout: &bytes.Buffer{}})
	if err == nil || !strings.Contains(err.Error(), "isn't empty: name a new or empty folder with --out DIR") {
		t.Errorf("%v", err)
	}
}

func TestABadProgrammeIsNotPlayed(t *testing.T) {
	_, err := Play(t.Context(), Options{Dir: t.TempDir(), Stdout: &bytes.Buffer{}})
	if err == nil || !strings.Contains(err.Error(), "holds no programme.yml") {
		t.Errorf("%v", err)
	}
}

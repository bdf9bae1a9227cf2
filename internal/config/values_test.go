package config_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/config"
)

// problemsWith sets something otherwise in the good programme.yml, in its mail
// section where it is indented, and gives what is then wrong.
func problemsWith(t testing.TB, setting string) []config.Problem {
	t.Helper()
	files := folder(t, "testdata/good", false)
	good := string(files["programme.yml"])
	key, _, _ := strings.Cut(setting, ":")
	var kept []string
	for _, l := range strings.Split(good, "\n") {
		if !strings.HasPrefix(l, key+":") {
			kept = append(kept, l)
		}
	}
	setting, indented := strings.CutPrefix(setting, "  ")
	text := strings.Join(kept, "\n") + setting + "\n"
	if indented {
		text = strings.Replace(good, "mail:\n", "mail:\n  "+setting+"\n", 1)
		inner, _, _ := strings.Cut(setting, ":")
		head, rest, _ := strings.Cut(text, setting+"\n")
		var lines []string
		for _, l := range strings.Split(rest, "\n") {
			if !strings.HasPrefix(l, "  "+inner+":") {
				lines = append(lines, l)
			}
		}
		text = head + setting + "\n" + strings.Join(lines, "\n")
	}
	_, problems := config.Parse(with(files, "programme.yml", text), time.LoadLocation)
	return problems
}

func TestWhatIsTakenAndWhatIsNot(t *testing.T) {
	for _, c := range []struct {
		about  string
		taken  []string
		refuse []string
	}{
		{"addresses to listen at",
			[]string{`listen: 127.0.0.1:0`, `listen: "[::1]:8484"`, `listen: localhost:80`, `metrics: 127.0.0.2:8485`, `metrics: "0.0.0.0:9100"`},
			[]string{`listen: 8484`, `listen: ":8484"`, `listen: 127.0.0.1:65536`, `listen: 127.0.0.1:-1`, `listen: "::1:8484"`, `listen: "[127.0.0.1]:80"`, `listen: "[::1:80"`, `listen: a b:80`, `listen: -a:80`, `listen: 0.0.0.0:8484`, `metrics: 127.0.0.1:8484`}},
		{"mail addresses",
			[]string{`  from: a@b.example`, `  from: first.last+north@mail.birches.example`, `  from: calls@localhost`, `  envelope_from: bounce@b.example`},
			[]string{`  from: a@b`, `  from: "@b.example"`, `  from: a@`, `  from: a b@c.example`, `  from: "a@b@c.example"`, `  from: .a@b.example`, `  from: a..b@c.example`, `  from: å@b.example`, `  from: a@b.example>`, `  from: "a@b.example\r\nTo: x@y.example"`, `  from: a@-b.example`}},
		{"the relay",
			[]string{`  relay: mail.b.example:465`, `  relay: 10.0.0.1:25`, `  tls: implicit`, `  tls: starttls`},
			[]string{`  relay: mail.b.example`, `  relay: https://mail.b.example:25`, `  tls: None`, `  tls: none`, `  password: x`, `  user: x`, `  password_file: x`}},
		{"the public address",
			[]string{`public_url: https://buds.b.example`, `public_url: https://b.example/buds/`, `public_url: http://127.0.0.1:8484`},
			[]string{`public_url: buds.b.example`, `public_url: ftp://b.example`, `public_url: https://`, `public_url: https://b.example/?a=b`, `public_url: https://b.example/#a`, `public_url: https://u:p@b.example`, `public_url: "https://b example"`}},
		{"zones",
			[]string{`zone: UTC`, `zone: Europe/Oslo`},
			[]string{`zone: Local`, `zone: ""`, `zone: ../../etc/passwd`, `zone: GMT+2`}},
		{"codes",
			[]string{`code: N1`, `code: NORTH-EAST-2`},
			[]string{`code: N`, `code: north`, `code: 1NORTH`, `code: NORTH EAST`, `code: ABCDEFGHIJKLMNOPQ`}},
		{"names",
			[]string{`name: Björkar & birches, "quoted"`, `name: 2031`},
			[]string{`name: "two\nlines"`, `name: "bell\a"`, `name: ` + strings.Repeat("x", 201), `name: " "`, `name: [a]`}},
		{"slots",
			[]string{`slots: {pull: ["*/30 6-20 * * 1-5"]}`, `slots: {evening: "30 18 * * *"}`, `slots: {}`},
			[]string{`slots: {pull: []}`, `slots: {pull: "10 6 * * *"}`, `slots: {evening: "0 24 * * *"}`, `slots: {evening: "0 17 30 2 *"}`, `slots: {evening: "0 17 * *"}`, `slots: {evening: "CRON_TZ=UTC 0 17 * *"}`, `slots: {evening: "@daily"}`}},
	} {
		for _, s := range c.taken {
			if problems := problemsWith(t, s); len(problems) > 0 {
				t.Errorf("%s: %s is refused:\n%s", c.about, s, lines(problems))
			}
		}
		for _, s := range c.refuse {
			if problems := problemsWith(t, s); len(problems) == 0 {
				t.Errorf("%s: %s is taken", c.about, s)
			}
		}
	}
}

// The bounds of the settings (our assumptions), whole where days or bags are
// counted.
var limits = []struct {
	key       string
	low, high float64
	whole     bool
}{
	{"transit_days", 0, 60, true}, {"plan_ahead_days", 1, 60, true}, {"max_lead_days", 1, 90, true},
	{"early_per_lost", 0.1, 100, false}, {"slack_loss", 0, 0.5, false}, {"min_days", 1, 21, true},
	{"hurry_days", 1, 14, true}, {"tell_again_after_days", 1, 30, true}, {"tell_moves_within_days", 1, 60, true}, {"last_day_chance", 0.01, 0.5, false},
	{"too_late_chance", 0.5, 0.999, false}, {"second_trip_early", 0, 1, false}, {"second_trip_late", 0, 1, false},
	{"min_selfing", 1, 20, true}, {"min_control", 1, 20, true}, {"take_off_chance", 0.5, 0.999, false},
	{"max_on_days", 1, 60, true}, {"pick_early_per_lost", 0.1, 100, false}, {"shed_after_cd", 10, 500, false},
	{"short_chance", 0.05, 0.95, false}, {"answer_hours", 0.5, 168, false},
}

func TestASettingIsTakenExactlyWithinItsBounds(t *testing.T) {
	files := folder(t, "testdata/good", false)
	site := string(files["sites/kolmi.yml"])
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.SampledFrom(limits).Draw(t, "setting")
		v := rapid.OneOf(
			rapid.Float64Range(l.low-5, l.high+5),
			rapid.Map(rapid.IntRange(int(l.low)-2, int(l.high)+2), func(n int) float64 { return float64(n) }),
			rapid.SampledFrom([]float64{l.low, l.high}),
		).Draw(t, "value")
		changed := config.Files{}
		for name, content := range files {
			changed[name] = content
		}
		changed["sites/kolmi.yml"] = []byte(fmt.Sprintf("%scalls: {%s: %v}\n", site, l.key, v))
		_, problems := config.Parse(changed, time.LoadLocation)
		within := v >= l.low && v <= l.high && (!l.whole || v == float64(int(v)))
		refused := false
		for _, p := range problems {
			outside := strings.Contains(p.What, fmt.Sprintf("outside %v to %v", l.low, l.high))
			refused = refused || outside || strings.Contains(p.What, "not a whole number")
			if outside && v >= l.low && v <= l.high {
				t.Fatalf("%s: %v: %s", l.key, v, p)
			}
		}
		if refused == within {
			t.Fatalf("%s: %v within its bounds: %v, refused: %v\n%s", l.key, v, within, refused, lines(problems))
		}
	})
}

func TestDidYouMean(t *testing.T) {
	for written, want := range map[string]string{
		"nmae": "did you mean name?", "latdeg": "did you mean lat_deg?", "lat": "did you mean lat_deg?", "long_deg": "did you mean lon_deg?",
		"altitude": "did you mean altitude_m?", "tree": "did you mean trees?", "Stations": "did you mean stations?", "zome": "did you mean zone?",
		"slack_loss": "it belongs under calls:", "volunteers": "known here: code, ",
	} {
		files := folder(t, "testdata/good", false)
		files["sites/kolmi.yml"] = append(files["sites/kolmi.yml"], written+": 1\n"...)
		_, problems := config.Parse(files, time.LoadLocation)
		if len(problems) != 1 || !strings.HasPrefix(problems[0].Cure, want) || problems[0].What != "unknown setting" || problems[0].Path != written {
			t.Errorf("%s: want %q, got %s", written, want, lines(problems))
		}
	}
}

func TestTheSameFilesGiveTheSameProblems(t *testing.T) {
	files := with(folder(t, "testdata/good", false), "a.yaml", "x")
	for n := range 8 {
		files[fmt.Sprintf("sites/s%d.yml", n)] = []byte("code: KOLMI\nlead: bob\n")
	}
	_, first := config.Parse(files, time.LoadLocation)
	for range 20 {
		if _, again := config.Parse(files, time.LoadLocation); lines(again) != lines(first) {
			t.Fatalf("first\n%s\nthen\n%s", lines(first), lines(again))
		}
	}
}

func FuzzParse(f *testing.F) {
	good := folder(f, "testdata/good", false)
	for name, content := range folder(f, example, true) {
		f.Add(name, content)
	}
	for _, s := range []string{"", "a: &x [*x]", "<<: {a: 1}", "? [a]\n: b", "code: !!binary =", "[[[[", "a: 'b", "\xff\xfe", "calls: {<<: *a}", "stages: [{code: 1e400}]", "- - -\n", "x: !<tag:yaml.org,2002:merge> y"} {
		for name := range good {
			f.Add(name, []byte(s))
		}
	}
	f.Fuzz(func(t *testing.T, name string, content []byte) {
		p, problems := config.Parse(with(good, name, string(content)), time.LoadLocation)
		if (p == nil) == (len(problems) == 0) {
			t.Fatalf("%v and %d problems", p, len(problems))
		}
		for _, q := range problems {
			if q.What == "" || q.Cure == "" || q.File == "" {
				t.Fatalf("incomplete: %#v", q)
			}
		}
		if p != nil && config.Understood(p) == "" {
			t.Fatal("nothing was understood")
		}
	})
}

package metrics_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
)

// deploy is where the files for operators are.
const deploy = "../../deploy/"

// rule is one rule of the rules file.
type rule struct {
	Alert       string
	Expr        string
	For         string
	Labels      map[string]string
	Annotations map[string]string
}

// read gives a file of the repository.
func read(t *testing.T, path string) string {
	t.Helper()
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// decode reads a YAML file into a value that knows every key of it.
func decode(t *testing.T, path string, into any) {
	t.Helper()
	d := yaml.NewDecoder(strings.NewReader(read(t, path)))
	d.KnownFields(true)
	if err := d.Decode(into); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}

func rules(t *testing.T) []rule {
	t.Helper()
	var file struct {
		Groups []struct {
			Name  string
			Rules []rule
		}
	}
	decode(t, deploy+"prometheus.rules.yml", &file)
	var out []rule
	for _, g := range file.Groups {
		out = append(out, g.Rules...)
	}
	if len(out) < 10 {
		t.Fatalf("%d rules, want at least 10", len(out))
	}
	return out
}

func TestPromtoolUnderstandsTheRules(t *testing.T) {
	run(t, nil, "promtool", "check", "rules", deploy+"prometheus.rules.yml")
	run(t, nil, "promtool", "check", "config", deploy+"prometheus.yml")
}

func TestRulesSpeakUpWhenTheyShould(t *testing.T) {
	out := run(t, nil, "promtool", "test", "rules", deploy+"prometheus.rules.test.yml")
	if !strings.Contains(out, "SUCCESS") {
		t.Errorf("promtool says:\n%s", out)
	}
}

func TestEveryRuleIsSeenToSpeakUp(t *testing.T) {
	tests := read(t, deploy+"prometheus.rules.test.yml")
	for _, r := range rules(t) {
		loud := regexp.MustCompile(`labels: 'ALERTS\{alertname="` + r.Alert + `",[a-z]+="[a-z]+",urgency="` + r.Labels["urgency"] + `"`)
		if !loud.MatchString(tests) {
			t.Errorf("%s has no test in which it speaks up: add one to prometheus.rules.test.yml", r.Alert)
		}
	}
}

func TestEveryRuleSaysWhatToDo(t *testing.T) {
	// Something to do begins with one of these words.
	doing := regexp.MustCompile(`\b([Ll]ook|[Rr]un|[Rr]ead|[Aa]sk|[Ss]ee|[Oo]pen|[Mm]end|[Cc]orrect|[Ss]tart|[Rr]ing|[Tt]ell|[Bb]ring|[Kk]eep)\b`)
	for _, r := range rules(t) {
		summary, text := r.Annotations["summary"], r.Annotations["description"]
		if summary == "" || len(summary) > 80 || strings.HasSuffix(summary, ".") {
			t.Errorf("%s: its summary %q is no line of at most 80 characters without a full stop", r.Alert, summary)
		}
		if len(r.Annotations) != 2 || len(r.Labels) != 1 || r.Labels["urgency"] != "now" && r.Labels["urgency"] != "soon" {
			t.Errorf("%s: want summary, description and an urgency of now or soon", r.Alert)
		}
		sentences := strings.Split(strings.TrimSuffix(text, "."), ". ")
		if last := sentences[len(sentences)-1]; len(sentences) < 2 || !strings.HasSuffix(text, ".") || !doing.MatchString(strings.Join(sentences[1:], ". ")) {
			t.Errorf("%s: its description ends in %q, which says nothing to do", r.Alert, last)
		}
	}
}

func TestRulesKnowOnlyNumbersThatExist(t *testing.T) {
	m, _ := set("engine")
	everything(m)
	_, scrape := get(t, m, "/metrics")
	name := regexp.MustCompile(`budcall_[a-z_]+`)
	for _, file := range []string{"prometheus.rules.yml", "prometheus.rules.test.yml"} {
		for _, n := range name.FindAllString(read(t, deploy+file), -1) {
			if !strings.Contains(scrape, "\n"+n+"{") && !strings.Contains(scrape, "\n"+n+" ") {
				t.Errorf("%s asks for %s, which no scrape has", file, n)
			}
		}
	}
	label := regexp.MustCompile(`([a-z]+)="([^"]+)"`)
	for _, r := range rules(t) {
		for _, l := range label.FindAllString(r.Expr, -1) {
			if !strings.Contains(scrape, l) {
				t.Errorf("%s asks for %s, which no scrape has", r.Alert, l)
			}
		}
	}
}

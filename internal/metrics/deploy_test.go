package metrics_test

import (
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/config"
)

// root is the repository.
const root = "../../"

// compose is docker-compose.yml, as far as ours goes: any other key is an
// error, and so is a misspelt one.
type compose struct {
	Name     string
	Services map[string]service
	Volumes  map[string]struct{}
	Secrets  map[string]struct{ File string }
}

type service struct {
	Image       string
	Build       struct{ Context, Dockerfile string }
	Restart     string
	DependsOn   any `yaml:"depends_on"`
	Environment map[string]string
	Secrets     []string
	Volumes     []string
	ReadOnly    bool `yaml:"read_only"`
	Tmpfs       []string
	CapDrop     []string `yaml:"cap_drop"`
	SecurityOpt []string `yaml:"security_opt"`
	ShmSize     string   `yaml:"shm_size"`
	StopGrace   string   `yaml:"stop_grace_period"`
	NetworkMode string   `yaml:"network_mode"`
	Ports       []string
	Healthcheck struct {
		Test              []string
		Interval, Timeout string
		Retries           int
		StartPeriod       string `yaml:"start_period"`
	}
}

func composed(t *testing.T) compose {
	t.Helper()
	var c compose
	decode(t, root+"docker-compose.yml", &c)
	for _, name := range []string{"postgres", "budcall", "prometheus", "mail"} {
		if _, ok := c.Services[name]; !ok {
			t.Fatalf("docker-compose.yml lacks the service %s", name)
		}
	}
	return c
}

func TestEveryServiceIsAskedForItsHealth(t *testing.T) {
	for name, s := range composed(t).Services {
		h := s.Healthcheck
		if len(h.Test) < 2 || h.Test[0] != "CMD" || h.Retries < 1 {
			t.Errorf("%s: health check %v, %d retries: want a command, without a shell", name, h.Test, h.Retries)
		}
		for _, text := range []string{h.Interval, h.Timeout, h.StartPeriod} {
			if d, err := time.ParseDuration(text); err != nil || d <= 0 {
				t.Errorf("%s: %q is no duration", name, text)
			}
		}
	}
}

// tagged is an image whose version is said.
var tagged = regexp.MustCompile(`^[a-z0-9./-]+:v?[0-9][0-9a-z.-]*$`)

func TestEveryImageHasItsVersion(t *testing.T) {
	for name, s := range composed(t).Services {
		if s.Build.Context == "" && !tagged.MatchString(s.Image) {
			t.Errorf("%s: %q: want name:version", name, s.Image)
		}
	}
	for _, m := range regexp.MustCompile(`(?m)^FROM (\S+)`).FindAllStringSubmatch(read(t, deploy+"Dockerfile"), -1) {
		if m[1] != "scratch" && !tagged.MatchString(m[1]) {
			t.Errorf("Dockerfile: %q: want name:version", m[1])
		}
	}
	for image, want := range map[string]bool{"postgres:17": true, "a/b:v1.2.3": true, "postgres": false, "postgres:latest": false, "a/b:edge": false} {
		if tagged.MatchString(image) != want {
			t.Errorf("%q taken for tagged: %v", image, !want)
		}
	}
}

func TestEverythingMountedIsThere(t *testing.T) {
	c := composed(t)
	for name, s := range c.Services {
		for _, v := range s.Volumes {
			from, to, _ := strings.Cut(v, ":")
			if !strings.HasPrefix(from, "./") {
				if _, ok := c.Volumes[from]; !ok {
					t.Errorf("%s: volume %s isn't among the volumes", name, from)
				}
				continue
			}
			if _, err := os.Stat(root + from); err != nil {
				t.Errorf("%s: mounts what isn't there: %v", name, err)
			}
			if !strings.HasSuffix(to, ":ro") {
				t.Errorf("%s: %s can be written to: add :ro", name, v)
			}
		}
	}
}

func TestSecretsAreFilesThatStayOnTheMachine(t *testing.T) {
	c := composed(t)
	ignored := strings.Split(read(t, deploy+".gitignore"), "\n")
	head := read(t, root+"docker-compose.yml")
	for name, s := range c.Secrets {
		dir, file := path.Split(s.File)
		if dir != "deploy/secrets/" || !slices.Contains(ignored, "secrets/") || !strings.Contains(head, "> deploy/secrets/"+file) {
			t.Errorf("secret %s: %s: want it in deploy/secrets, left out of git, and made by the commands at the top", name, s.File)
		}
	}
	for name, s := range c.Services {
		for _, secret := range s.Secrets {
			if _, ok := c.Secrets[secret]; !ok {
				t.Errorf("%s: unknown secret %s", name, secret)
			}
		}
		for key := range s.Environment {
			if strings.Contains(key, "PASSWORD") && !strings.HasSuffix(key, "_FILE") {
				t.Errorf("%s: %s puts a secret into the environment", name, key)
			}
		}
	}
}

func TestContainersAreShutIn(t *testing.T) {
	c := composed(t)
	for name, s := range c.Services {
		if !slices.Contains(s.SecurityOpt, "no-new-privileges:true") {
			t.Errorf("%s may gain privileges", name)
		}
		if name != "postgres" && (!s.ReadOnly || !slices.Equal(s.CapDrop, []string{"ALL"})) {
			t.Errorf("%s: want it read-only and without capabilities", name)
		}
		for _, p := range s.Ports {
			if !strings.HasPrefix(p, "127.0.0.1:") {
				t.Errorf("%s: port %s is open to everybody", name, p)
			}
		}
	}
	image := read(t, deploy+"Dockerfile")
	if !strings.Contains(image, "\nUSER 65532:65532\n") || !strings.Contains(image, `CMD ["/budcall", "version", "--alive", "http://127.0.0.1:8485/healthz"]`) {
		t.Error("Dockerfile: want a user that isn't root, and the program's own health check")
	}
}

func TestImageIsBuiltFromWhatIsThere(t *testing.T) {
	ignore := read(t, deploy+"Dockerfile.dockerignore")
	for _, m := range regexp.MustCompile(`(?m)^COPY ([^-\n].*)$`).FindAllStringSubmatch(read(t, deploy+"Dockerfile"), -1) {
		words := strings.Fields(m[1])
		for _, from := range words[:len(words)-1] {
			if _, err := os.Stat(root + from); err != nil || !strings.Contains(ignore, "\n!"+from+"\n") {
				t.Errorf("Dockerfile copies %s, which isn't there or doesn't reach the builder (%v)", from, err)
			}
		}
	}
	s := composed(t).Services["budcall"]
	if s.Build.Context != "." || root+s.Build.Dockerfile != root+"deploy/Dockerfile" {
		t.Errorf("budcall is built from %+v", s.Build)
	}
}

func TestProgrammeOfTheContainerFitsTheOtherFiles(t *testing.T) {
	files := config.Files{}
	for _, dir := range []string{"", "sites/", "profiles/"} {
		entries, err := os.ReadDir(root + "config/" + dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if path.Ext(e.Name()) == ".yml" {
				files[dir+e.Name()] = []byte(read(t, root+"config/"+dir+e.Name()))
			}
		}
	}
	files["programme.yml"] = []byte(read(t, deploy+"compose.programme.yml"))
	p, problems := config.Parse(files, time.LoadLocation)
	for _, problem := range problems {
		t.Errorf("compose.programme.yml in place of programme.yml: %v", problem)
	}
	if p == nil {
		return
	}
	c := composed(t)
	s := c.Services["budcall"]
	_, port, _ := strings.Cut(p.Listen, ":")
	if !slices.Contains(s.Ports, "127.0.0.1:"+port+":"+port) || p.PublicURL != "http://127.0.0.1:"+port {
		t.Errorf("pages are at %s in the container, told as %s, published as %v", p.Listen, p.PublicURL, s.Ports)
	}
	if secret, ok := strings.CutPrefix(p.Database.DSNFile, "/run/secrets/"); !ok || !slices.Contains(s.Secrets, secret) {
		t.Errorf("the database's address is in %s, the secrets are %v", p.Database.DSNFile, s.Secrets)
	}
	_, port, _ = strings.Cut(p.Metrics, ":")
	if !strings.Contains(read(t, deploy+"prometheus.yml"), "[budcall:"+port+"]") || !slices.Contains(s.Healthcheck.Test, "http://127.0.0.1:"+port+"/healthz") {
		t.Errorf("metrics are at %s, which Prometheus or the health check doesn't ask", p.Metrics)
	}
	if mail := c.Services["mail"]; mail.Environment["MP_SMTP_BIND_ADDR"] != p.Mail.Relay || mail.NetworkMode != "service:budcall" {
		t.Errorf("mails go to %s, the catcher listens at %s of %s", p.Mail.Relay, mail.Environment["MP_SMTP_BIND_ADDR"], mail.NetworkMode)
	}
}

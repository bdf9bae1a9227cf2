package archtest_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"budcall/internal/archtest"
)

const root = "../.."

// source is one file that isn't a test.
type source struct {
	pkg  string // below internal/, or "cmd/budcall"
	path string
	file *ast.File
	fset *token.FileSet
}

func sources(t *testing.T) (all []source) {
	t.Helper()
	for _, dir := range []string{"internal", "cmd"} {
		err := filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "testdata") {
				return err
			}
			fset := token.NewFileSet()
			f, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			rel, err := filepath.Rel(root, path)
			all = append(all, source{pkg: strings.TrimPrefix(filepath.Dir(rel), "internal/"), path: rel, file: f, fset: fset})
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return all
}

func place(name string) (archtest.Package, bool) {
	i := slices.IndexFunc(archtest.Table, func(p archtest.Package) bool { return p.Name == name })
	if i < 0 {
		return archtest.Package{}, false
	}
	return archtest.Table[i], true
}

func imports(s source) (paths []string) {
	for _, i := range s.file.Imports {
		p, err := strconv.Unquote(i.Path.Value)
		if err == nil {
			paths = append(paths, p)
		}
	}
	return paths
}

func TestEveryPackageIsInTheTableAndImportsOnlyRowsAbove(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range sources(t) {
		if s.pkg == "cmd/budcall" {
			continue
		}
		seen[s.pkg] = true
		p, ok := place(s.pkg)
		if !ok {
			t.Errorf("%s: internal/%s isn't in the table of internal/archtest: give it a row", s.path, s.pkg)
			continue
		}
		for _, path := range imports(s) {
			name, ours := strings.CutPrefix(path, "budcall/internal/")
			if !ours || p.Kind == archtest.Tests {
				continue
			}
			if q, ok := place(name); !ok || q.Row >= p.Row || q.Kind == archtest.Tests {
				t.Errorf("%s: internal/%s (row %d) may not import internal/%s (row %d)", s.path, s.pkg, p.Row, name, q.Row)
			}
		}
	}
	for _, p := range archtest.Table {
		if !seen[p.Name] {
			t.Errorf("the table names internal/%s, which isn't there", p.Name)
		}
	}
}

// owners are the modules that only one package may know.
var owners = map[string][]string{
	"github.com/jackc/pgx":            {"postgres", "localpg", "testpg"}, // localpg: to ask a new server whether it is up
	"github.com/riverqueue/river":     {"postgres"},
	"github.com/prometheus/":          {"metrics"},
	"github.com/emersion/go-smtp":     {"mail", "inbox"},
	"github.com/emersion/go-imap":     {"inbox"},
	"github.com/xuri/excelize":        {"sheet"},
	"github.com/arran4/golang-ical":   {},
	"github.com/emersion/go-sasl":     {"mail"},
	"github.com/robfig/cron":          {"schedule"},
	"go.yaml.in/yaml":                 {"config", "sheet"},
	"code.dny.dev/ssrf":               {"fetch", "webhook"},
	"gonum.org/v1/gonum":              {"ensemble", "stage", "degreeday", "hindcast", "advance", "trail"},
	"golang.org/x/text":               {"feed", "words", "notice", "report"},
	"github.com/emersion/go-message":  {"notice", "demo"},
	"github.com/rogpeppe/go-internal": {},
	"pgregory.net/rapid":              {},
}

func TestEachModuleHasItsPlace(t *testing.T) {
	for _, s := range sources(t) {
		for _, path := range imports(s) {
			if !strings.Contains(strings.Split(path, "/")[0], ".") {
				continue
			}
			found := false
			for prefix, who := range owners {
				if strings.HasPrefix(path, prefix) {
					found = true
					if !slices.Contains(who, s.pkg) {
						t.Errorf("%s: %s belongs to %v, not to %s", s.path, path, who, s.pkg)
					}
				}
			}
			if !found {
				t.Errorf("%s: the module of %s has no place in the table of owners", s.path, path)
			}
		}
	}
}

// impure are the standard packages that a pure package keeps away from.
var impure = []string{"os", "os/exec", "net", "net/http", "log", "log/slog", "database/sql", "syscall", "io/fs", "math/rand", "embed", "testing"}

// pureButEmbeds may carry templates in their binary.
var pureButEmbeds = []string{"notice", "sheet"}

// calls that a pure package may not make: a clock, zones, chance without a seed.
var impureCalls = map[string][]string{
	"time": {"Now", "Since", "Until", "Sleep", "After", "Tick", "NewTimer", "NewTicker", "AfterFunc", "LoadLocation"},
	"rand": {"Int", "IntN", "Float64", "Uint64", "Perm", "Shuffle", "N"},
}

func TestPurePackagesArePure(t *testing.T) {
	for _, s := range sources(t) {
		p, ok := place(s.pkg)
		if !ok || p.Kind != archtest.Pure && p.Kind != archtest.Bytes {
			continue
		}
		for _, path := range imports(s) {
			if slices.Contains(impure, path) && !(path == "embed" && slices.Contains(pureButEmbeds, s.pkg)) {
				t.Errorf("%s: internal/%s is pure and may not import %s", s.path, s.pkg, path)
			}
		}
		forbid(t, s, impureCalls, "is pure and may not call %s: take it as an argument")
	}
}

// forbid reports calls of pkg.Func for the pairs given.
func forbid(t *testing.T, s source, pairs map[string][]string, why string) {
	t.Helper()
	ast.Inspect(s.file, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		if id, ok := sel.X.(*ast.Ident); ok && id.Obj == nil && slices.Contains(pairs[id.Name], sel.Sel.Name) {
			t.Errorf("%s: internal/%s "+why, s.fset.Position(n.Pos()), s.pkg, id.Name+"."+sel.Sel.Name)
		}
		return true
	})
}

func TestOnlyMainEndsTheProcess(t *testing.T) {
	for _, s := range sources(t) {
		if s.pkg == "cmd/budcall" || s.pkg == "testpg" {
			continue
		}
		forbid(t, s, map[string][]string{"os": {"Exit"}, "log": {"Fatal", "Fatalf", "Fatalln"}}, "may not call %s: return an error")
	}
}

func TestTestingStaysInTests(t *testing.T) {
	for _, s := range sources(t) {
		if s.pkg != "testpg" && slices.Contains(imports(s), "testing") {
			t.Errorf("%s: a file of the program imports testing", s.path)
		}
	}
}

func TestEveryPackageSaysWhatItIs(t *testing.T) {
	docs := map[string]string{}
	for _, s := range sources(t) {
		if s.file.Doc != nil {
			docs[s.pkg] = s.file.Doc.Text()
		}
	}
	for _, p := range archtest.Table {
		if !strings.HasPrefix(docs[p.Name], "Package "+p.Name+" ") {
			t.Errorf("internal/%s has no package comment", p.Name)
		}
	}
}

func TestMainIsShort(t *testing.T) {
	body, err := os.ReadFile(filepath.Join(root, "cmd/budcall/main.go"))
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(body), "\n"); n > 30 {
		t.Errorf("cmd/budcall/main.go has %d lines; 30 are enough for calling cli", n)
	}
}

func TestTheTopLevelIsAsAgreed(t *testing.T) {
	agreed := []string{"cmd", "internal", "deploy", "config", "testdata", "README.md", "DEVELOPERS.md", "go.mod", "go.sum", "docker-compose.yml"}
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && e.Name() != "budcall" && !slices.Contains(agreed, e.Name()) {
			t.Errorf("%s doesn't belong at the top level", e.Name())
		}
	}
	for _, name := range agreed {
		if _, err := os.Stat(filepath.Join(root, name)); err != nil {
			t.Errorf("%s is missing at the top level", name)
		}
	}
}

func developers(t *testing.T) string {
	t.Helper()
	body, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

func TestDevelopersShowsThisTable(t *testing.T) {
	text := developers(t)
	for _, p := range archtest.Table {
		row := strconv.Itoa(p.Row)
		if p.Row == 0 {
			row = "–"
		}
		line := fmt.Sprintf("| %s | `%s` | %s | %s |", row, p.Name, p.What, p.Kind)
		if !strings.Contains(text, line) {
			t.Errorf("DEVELOPERS.md lacks the row\n%s", line)
		}
	}
	rows := regexp.MustCompile("(?m)^\\| (\\d+|–) \\| `").FindAllString(text, -1)
	if len(rows) != len(archtest.Table) {
		t.Errorf("DEVELOPERS.md has %d rows of packages, the table %d", len(rows), len(archtest.Table))
	}
}

func TestPathsInDevelopersExist(t *testing.T) {
	for _, m := range regexp.MustCompile("`((?:internal|deploy|config|cmd|testdata|\\.ci)/[A-Za-z0-9_./-]*)`").FindAllStringSubmatch(developers(t), -1) {
		if _, err := os.Stat(filepath.Join(root, m[1])); err != nil {
			t.Errorf("DEVELOPERS.md names %s, which isn't there", m[1])
		}
	}
}

// sortedRows guards the table itself.
func TestTheTableIsInOrder(t *testing.T) {
	last := 1
	for _, p := range archtest.Table {
		if p.Row != 0 && p.Row < last {
			t.Errorf("%s stands below row %d", p.Name, last)
		}
		if p.Row != 0 {
			last = p.Row
		}
	}
}

package notice_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// notForPeople is what string literals in this package may be without being a
// text that somebody reads: names of header fields and their values, media
// types, placeholders and shapes (one lower-case word), properties of RFC 5545
// (capitals), and layouts.
var notForPeople = regexp.MustCompile(`^([a-z_0-9]+|[a-z]+/[a-z]+|[A-Z][A-Za-z]*(-[A-Z][A-Za-z]*)+|MIME-Version|From|To|Subject|References|All|auto-generated|quoted-printable|utf-8|page\.html|tel:|can_go,omitempty|[A-Z-]+(;VALUE=[A-Z]+)?|PT6H|-//Budcall//Calls//EN|20060102T150405Z|19700101T000000|\\n)?$`)

func TestNoTextForPeopleStandsOutsideTheCatalogue(t *testing.T) {
	paths, err := filepath.Glob("*.go")
	if err != nil || len(paths) < 5 {
		t.Fatalf("found %d files: %v", len(paths), err)
	}
	for _, path := range paths {
		if !strings.HasSuffix(path, "_test.go") {
			for _, s := range strays(t, path, nil) {
				t.Errorf("%s: a text that may reach people: move it to words", s)
			}
		}
	}
}

func TestAStrayTextIsFound(t *testing.T) {
	source := "package p\nfunc f() string { return \"Please go\" }\nfunc g() error { return fmt.Errorf(\"Please stay\") }"
	if got := strays(t, "p.go", source); len(got) != 1 || !strings.Contains(got[0], "Please go") {
		t.Errorf("found %q, want the one text that isn't an error", got)
	}
}

// strays gives the string literals of a file that people might read. Tags of
// fields, import paths and what errors say, which operators
// read, and typed constants, the values of closed lists, don't count.
func strays(t *testing.T, path string, source any) []string {
	t.Helper()
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, path, source, 0)
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec, *ast.Field:
			return false
		case *ast.ValueSpec:
			if n.Type != nil { // a value of a closed list
				return false
			}
		case *ast.CallExpr:
			if f, ok := n.Fun.(*ast.SelectorExpr); ok && f.Sel.Name == "Errorf" {
				return false
			}
		case *ast.BasicLit:
			s, err := strconv.Unquote(n.Value)
			if n.Kind == token.STRING && err == nil && regexp.MustCompile(`\pL`).MatchString(s) && !notForPeople.MatchString(s) {
				found = append(found, files.Position(n.Pos()).String()+": "+n.Value)
			}
		}
		return true
	})
	return found
}

func TestThePageItselfHoldsNoText(t *testing.T) {
	b, err := os.ReadFile("page.html")
	if err != nil {
		t.Fatal(err)
	}
	page := regexp.MustCompile(`(?s)<style>.*?</style>|\{\{.*?\}\}|<[^>]*>`).ReplaceAllString(string(b), "")
	if rest := strings.TrimSpace(page); rest != "" {
		t.Errorf("page.html holds %q: move it to words", rest)
	}
	for _, bad := range []string{"src=", "url(", "<link", "<script", "@import"} {
		if strings.Contains(string(b), bad) {
			t.Errorf("page.html holds %q: nothing in a mail may have to be fetched", bad)
		}
	}
}

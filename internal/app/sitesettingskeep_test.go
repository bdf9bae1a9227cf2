package app_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/testpg"
)

// Sixty sites, one broken and another changed at the same time: the change is
// taken, the broken one stays as it was accepted, and it is told once, also
// after a restart.
func TestOneBadFileOfSixtySites(t *testing.T) {
	t.Parallel()
	box, dsn := &letterbox{}, testpg.New(t)
	p := newProgramme(t, relayAt(t, "", box, nil).Addr())
	if err := os.Remove(filepath.Join(p.dir, "sites/home.yml")); err != nil {
		t.Fatal(err)
	}
	for i := range 60 {
		p.site(t, fmt.Sprintf("S%02d", i+1), "otso")
	}
	a := open(t, p.dir, "2016-01-10", dsn)
	until(t, a, "2016-01-10")
	lead := func(code string) string {
		s, ok := a.Programme().Site(code)
		if !ok {
			return "no site"
		}
		return s.Lead
	}

	p.file(t, "sites/s07.yml", "code: S07\nlead: [")
	p.site(t, "S08", "ilmi")
	if err := a.Look(t.Context()); err == nil || !strings.Contains(err.Error(), "sites/s07.yml") {
		t.Errorf("the broken file isn't told: %v", err)
	}
	if got := len(a.Programme().Sites); got != 60 || lead("S07") != "otso" || lead("S08") != "ilmi" {
		t.Errorf("%d sites, the broken one is led by %s, the changed one by %s", got, lead("S07"), lead("S08"))
	}
	for _, day := range []string{"2016-01-11", "2016-01-12"} {
		if err := a.Look(t.Context()); err != nil {
			t.Fatal(err)
		}
		until(t, a, day)
	}
	says(t, troubles(t, a), "sites/s07.yml:2", "the one accepted before stays in force", "All other files count")
	if n := told(box, "to look after"); n != 1 {
		t.Errorf("the ops person was told %d times", n)
	}

	if err := a.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	p.file(t, "sites/new.yml", "code: NEW\n") // bad and never accepted: left out
	a = open(t, p.dir, "2016-01-10", dsn)
	until(t, a, "2016-01-13")
	if got := len(a.Programme().Sites); got != 60 || lead("S07") != "otso" || lead("S08") != "ilmi" {
		t.Errorf("after a restart %d sites, led by %s and %s", got, lead("S07"), lead("S08"))
	}
	says(t, troubles(t, a), "sites/s07.yml:2", "sites/new.yml", "its site is left out")
	if n := told(box, "to look after"); n != 2 {
		t.Errorf("the ops person was told %d times, want once of each file", n)
	}

	p.site(t, "S07", "ilmi")
	p.site(t, "NEW", "otso")
	if err := a.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := troubles(t, a); got != "" || len(a.Programme().Sites) != 61 || lead("S07") != "ilmi" {
		t.Errorf("mended: %d sites, %s leads, still told: %s", len(a.Programme().Sites), lead("S07"), got)
	}
}

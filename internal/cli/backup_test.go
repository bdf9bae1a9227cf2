package cli_test

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"budcall/internal/archive"
	"budcall/internal/testpg"
)

// damage copies a file with a byte changed in a part of it: damage FROM TO PART.
func damage(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: damage FROM TO PART")
	}
	file := []byte(ts.ReadFile(args[0]))
	at := bytes.Index(file, append([]byte(args[2]), 0))
	if at < 0 || at+512+100 > len(file) {
		ts.Fatalf("%s has no part %s", args[0], args[2])
	}
	file[at+512+40] ^= 0xff // within its content, which follows a tar header of 512 bytes
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), file, 0o600))
}

// looked waits until a program that was restored has looked at the weather:
// looked STATE [FILE], the latter with the address of its database.
func looked(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 || len(args) > 2 {
		ts.Fatalf("usage: looked STATE [FILE]")
	}
	for late := time.Now().Add(patience); ; time.Sleep(100 * time.Millisecond) {
		owed, out, err := owedIn(ts, args)
		if err == nil && owed.Ready {
			return
		}
		if time.Now().After(late) {
			ts.Fatalf("it hasn't looked at the weather within %s: %s, %v", patience, out, err)
		}
	}
}

// owedIn asks what is owed: of STATE, or of the database whose address is in a file.
func owedIn(ts *testscript.TestScript, args []string) (owed struct {
	Ready bool
	Lines []struct{ ID, State, Verdict string }
}, out []byte, err error) {
	path, err := binary()
	ts.Check(err)
	asked := []string{"owed", "--json", "--state", ts.MkAbs(args[0])}
	if len(args) > 1 {
		asked = append(asked, "--database-file", ts.MkAbs(args[1]))
	}
	if out, err = exec.Command(path, asked...).Output(); err == nil {
		err = json.Unmarshal(out, &owed)
	}
	return owed, out, err
}

// owes waits until two lines at least are held, and puts the ID of one that is
// to be told into $TELL and that of another into $OTHER: owes STATE FILE.
func owes(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: owes STATE FILE")
	}
	for late := time.Now().Add(patience); ; time.Sleep(100 * time.Millisecond) {
		owed, out, err := owedIn(ts, args)
		tell, other := "", ""
		for _, l := range owed.Lines {
			switch {
			case l.State != "held":
			case tell == "" && l.Verdict == "to tell":
				tell = l.ID
			default:
				other = l.ID
			}
		}
		if err == nil && tell != "" && other != "" {
			ts.Setenv("TELL", tell)
			ts.Setenv("OTHER", other)
			return
		}
		if time.Now().After(late) {
			ts.Fatalf("too little is owed within %s: %s, %v", patience, out, err)
		}
	}
}

// outside makes a database on another PostgreSQL than the program's own, and
// writes its address into a file: outside FILE.
func outside(t *testing.T) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, neg bool, args []string) {
		if neg || len(args) != 1 {
			ts.Fatalf("usage: outside FILE")
		}
		ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(testpg.New(t)), 0o600))
	}
}

// replace puts one text in the place of another in a file: replace FILE OLD NEW.
func replace(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: replace FILE OLD NEW")
	}
	was := ts.ReadFile(args[0])
	if !strings.Contains(was, args[1]) {
		ts.Fatalf("%s has no %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.ReplaceAll(was, args[1], args[2])), 0o644))
}

// lives waits until a simulated program has lived up to a day, and for some
// time since it was called, for an earlier run may have got further: lives
// STATE DAY [DATABASE].
func lives(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 || len(args) > 3 {
		ts.Fatalf("usage: lives STATE DAY [DATABASE]")
	}
	database := append(args, "budcall")[2]
	end, err := time.Parse(time.DateOnly, args[1])
	ts.Check(err)
	dsn := "postgres:///" + database + "?host=" + filepath.Join(ts.MkAbs(args[0]), "pg", "socket") + "&user=budcall"
	var began time.Time
	for late := time.Now().Add(patience); ; time.Sleep(50 * time.Millisecond) {
		at, over := passed(dsn, end)
		if over && !began.IsZero() && at.After(began) {
			return
		}
		if began.IsZero() {
			began = at
		}
		if time.Now().After(late) {
			ts.Fatalf("it lives at %s", at)
		}
	}
}

// inBase64 is what may be a text in base64, as files are in a stored
// configuration.
var inBase64 = regexp.MustCompile(`[A-Za-z0-9+/]{16,}={0,2}`)

// traces tells whether each text stands in a backup, its tables unpacked, or in
// a state folder beside the database: traces BACKUP STATE TEXT... With ! none may.
func traces(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 3 {
		ts.Fatalf("usage: traces BACKUP STATE TEXT...")
	}
	all := dump(ts, args[0])
	ts.Check(filepath.WalkDir(ts.MkAbs(args[1]), func(path string, d fs.DirEntry, err error) error {
		if d.IsDir() && d.Name() == "pg" {
			return fs.SkipDir
		}
		if err != nil || d.IsDir() {
			return err
		}
		body, err := os.ReadFile(path)
		all += string(body)
		return err
	}))
	for _, text := range args[2:] {
		if at := strings.Index(all, text); at >= 0 == neg {
			near := all[max(0, at-100):min(len(all), max(0, at)+100)]
			ts.Fatalf("%q is there: %t, near %q", text, at >= 0, near)
		}
	}
}

// dump is every table of a backup as text, and what is base64 in it.
func dump(ts *testscript.TestScript, file string) string {
	f, err := os.Open(ts.MkAbs(file))
	ts.Check(err)
	defer f.Close()
	a, err := archive.Open(f)
	ts.Check(err)
	var b strings.Builder
	for _, t := range a.Tables {
		text, err := io.ReadAll(a.Text(t.Name))
		ts.Check(err)
		b.Write(text)
		for _, m := range inBase64.FindAll(text, -1) {
			if plain, err := base64.StdEncoding.DecodeString(string(m)); err == nil {
				b.Write(plain)
			}
		}
	}
	return b.String()
}

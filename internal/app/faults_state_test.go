package app

import (
	"bytes"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"budcall/internal/mail"
)

// Two processes that start on one folder at once must sign with one key, or
// each would refuse the other's links.
func TestALinkKeyIsMadeOnce(t *testing.T) {
	dir := t.TempDir()
	keys := make([][]byte, 12)
	var all sync.WaitGroup
	for i := range keys {
		all.Go(func() {
			var err error
			if keys[i], err = linkKey(dir); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	for _, k := range keys {
		if len(k) != 32 || !bytes.Equal(k, keys[0]) {
			t.Fatal("different keys were made")
		}
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("the folder holds %v: %v", left, err)
	}
	info, err := os.Stat(filepath.Join(dir, "link.key"))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the key's file: %v %v", info.Mode(), err)
	}
}

// What is stored, logged and shown of a failed attempt never holds the
// recipient's address.
func TestFailuresAreSaidWithoutTheAddress(t *testing.T) {
	const to = "otso@birches.example"
	rows := []struct {
		name string
		out  mail.Outcome
		want string
	}{
		{"the recipient is refused", mail.Outcome{Result: mail.Refused, Code: 550, Stage: mail.StageRcpt, Text: "the relay r:25 answered 550 <" + to + ">: no such user; check the person's address"},
			"the relay answered 550 to the recipient's address; check the person's address"},
		{"try later, in words with a semicolon", mail.Outcome{Result: mail.TryLater, Code: 450, Stage: mail.StageRcpt, Text: "the relay r:25 answered 450 greylisted; " + to + " is new"},
			"the relay answered 450 to the recipient's address"},
		{"the mail is refused after its end", mail.Outcome{Result: mail.Refused, Code: 554, Stage: mail.StageDot, Text: "the relay r:25 answered 554 no; ask whoever runs the relay why it won't take this mail"},
			"the relay answered 554 to the mail; ask whoever runs the relay why it won't take this mail"},
		{"the address is none", mail.Outcome{Result: mail.Refused, Stage: mail.StageDial, Text: `the recipient "` + to + `" isn't a mail address: correct it where the person is listed`},
			"the recipient given isn't a mail address: correct it where the person is listed"},
		{"the relay is away", mail.Outcome{Result: mail.TryLater, Stage: mail.StageDial, Text: "cannot reach the relay r:25: refused; check"},
			"cannot reach the relay r:25: refused; check"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			if got := unaddressed(row.out, to); got != row.want {
				t.Errorf("got  %s\nwant %s", got, row.want)
			}
		})
	}
}

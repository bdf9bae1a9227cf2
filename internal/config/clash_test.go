package config_test

import (
	"strings"
	"testing"
	"time"

	"budcall/internal/config"
)

// programmeOf gives the example's programme with a few lines of its own: the
// settings of more take the place of those below.
func programmeOf(t *testing.T, more string) (config.Files, *config.Programme) {
	t.Helper()
	files := folder(t, "../../config", false)
	lines := "zone: Europe/Helsinki\ncoordinator: maia\nops: ops\n"
	for _, usual := range []string{"code: NORTH\n", "name: Invented\n", "mail: {relay: 127.0.0.1:2525, tls: none, from: north@birches.example}\n"} {
		key, _, _ := strings.Cut(usual, ":")
		if !strings.HasPrefix(more, key+":") && !strings.Contains(more, "\n"+key+":") {
			lines += usual
		}
	}
	files["programme.yml"] = []byte(lines + more)
	p, problems := config.Parse(files, time.LoadLocation)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return files, p
}

func TestWhatTwoProgrammesOfOneInstallationCantShare(t *testing.T) {
	const (
		south  = "code: SOUTH\nname: South\nmail: {relay: 127.0.0.1:2525, tls: none, from: south@birches.example}\n"
		apart  = "listen: 127.0.0.1:9000\nmetrics: 127.0.0.1:9001\n"
		inbox  = "inbox:\n  lmtp: 127.0.0.1:2424\n"
		imap   = "inbox:\n  imap: {server: imap.birches.example:993, user: calls, password_file: box}\n"
		pathed = "public_url: https://buds.example/"
	)
	for _, row := range []struct {
		what         string
		north, south string
		want         []string // each in one of the problems, in order; none: they go together
	}{
		{"addresses of their own", "", south + apart, nil},
		{"the same metrics", "", south + "listen: 127.0.0.1:9000\n", nil},
		{"the same listen with paths of their own", pathed + "north\n", south + pathed + "south\n", nil},
		{"one of them at the root", "public_url: https://buds.example\n", south + pathed + "south\n", nil},
		{"free ports", "listen: 127.0.0.1:0\nmetrics: 127.0.0.1:0\n", south + "listen: 127.0.0.1:0\nmetrics: 127.0.0.1:0\n", nil},
		{"inboxes of their own", inbox, south + apart + "inbox:\n  lmtp: 127.0.0.1:2425\n", nil},
		{"one server's mailboxes", imap, south + apart + strings.Replace(imap, "user: calls", "user: south", 1), nil},
		{"one mailbox's folders", imap, south + apart + strings.Replace(imap, "user: calls", "user: calls, mailbox: South", 1), nil},
		{"databases of their own", "database: {dsn_file: /secrets/a}\n", south + apart + "database: {dsn_file: /secrets/b}\n", nil},
		{"paths alike in two folders are two files", "database: {dsn_file: secrets/dsn}\n", south + apart + "database: {dsn_file: secrets/dsn}\n", nil},
		{"one mail address that nobody answers to", "", "code: SOUTH\n" + apart, nil},

		{"the same code", "", apart, []string{"programme.yml:4: code: is the code of another programme here too (give each its own: Invented is called NORTH)"}},
		{"the same listen without paths", "", south, []string{"programme.yml:1: listen: 127.0.0.1:8484 is where the pages of NORTH are, and nothing tells them apart (give public_url a path of its own, such as https://buds.example/south, or choose another listen)"}},
		{"with the same path", pathed + "trees\n", south + pathed + "trees/\n", []string{"listen: 127.0.0.1:8484 is where"}},
		{"on two hosts but without paths", "public_url: https://north.example\n", south + "public_url: https://south.example\n", []string{"nothing tells them apart"}},
		{"pages where the other's metrics are", "", south + "listen: 127.0.0.1:8485\nmetrics: 127.0.0.1:9001\n", []string{"programme.yml:7: listen: 127.0.0.1:8485 takes the place of 127.0.0.1:8485, where the metrics of NORTH are (choose another port)"}},
		{"metrics where the other's pages are", "", south + "listen: 127.0.0.1:9000\nmetrics: 127.0.0.1:8484\n", []string{"metrics: 127.0.0.1:8484 takes the place of 127.0.0.1:8484, where the pages of NORTH are"}},
		{"a listen for all beside one for this machine", pathed + "north\n", south + pathed + "south\nlisten: 0.0.0.0:8484\n", []string{"listen: 0.0.0.0:8484 takes the place of 127.0.0.1:8484, where the pages of NORTH are (write the same address in both, or choose another port)"}},
		{"metrics for all beside metrics for this machine", "", south + "listen: 127.0.0.1:9000\nmetrics: '[::]:8485'\n", []string{"metrics: [::]:8485 takes the place of 127.0.0.1:8485"}},
		{"the same place for answers", inbox, south + apart + inbox, []string{"programme.yml:10: inbox.lmtp: is where answers to NORTH come in (give each programme a place of its own)"}},
		{"by another protocol", inbox, south + apart + "inbox:\n  smtp: 127.0.0.1:2424\n", []string{"inbox.smtp: is where answers"}},
		{"the same socket", "inbox: {lmtp: /run/x.sock}\n", south + apart + "inbox: {lmtp: /run/x.sock}\n", []string{"inbox.lmtp: is where answers"}},
		{"the same mailbox", imap, south + apart + imap, []string{"inbox.imap: is the mailbox that NORTH reads"}},
		{"the same mailbox written otherwise", imap, south + apart + strings.Replace(imap, "imap.birches", "IMAP.Birches", 1), []string{"inbox.imap: is the mailbox"}},
		{"the same address for answers", inbox, "code: SOUTH\n" + apart + "inbox:\n  lmtp: 127.0.0.1:2425\n", []string{"inbox: answers to NORTH come to the same address, north@birches.example"}},
		{"the same, set", inbox, south + apart + "inbox:\n  lmtp: 127.0.0.1:2425\n  address: North@birches.example\n", []string{"inbox.address: answers to NORTH come to the same address, North@birches.example (give each programme an address of its own)"}},
		{"a sender whose answers the other reads", inbox, "code: SOUTH\n" + apart, []string{"mail.from: answers to NORTH come to this address, and so would those to these mails"}},
		{"an inbox at the other's sender", "", "code: SOUTH\n" + apart + inbox, []string{"inbox: north@birches.example is what the mails of NORTH come from"}},
		{"the same database by one file", "database: {dsn_file: /secrets/dsn}\n", south + apart + "database: {dsn_file: /secrets/dsn}\n", []string{"programme.yml:9: database.dsn_file: is the database of NORTH"}},
		{"all of it at once", inbox, south + inbox + "database: {dsn_file: /secrets/dsn}\n", []string{"listen: ", "inbox.lmtp: "}},
	} {
		_, north := programmeOf(t, row.north)
		files, south := programmeOf(t, row.south)
		problems := config.Clashes(files, south, []*config.Programme{north})
		if len(problems) != len(row.want) {
			t.Errorf("%s: %v, want %q", row.what, problems, row.want)
			continue
		}
		for i, want := range row.want {
			if !strings.Contains(problems[i].String(), want) {
				t.Errorf("%s: %s, want %s", row.what, problems[i], want)
			}
			if problems[i].Cure == "" {
				t.Errorf("%s: nothing is said to do", row.what)
			}
		}
		// Nobody is refused over a file that can't be read just now.
		if again := config.Clashes(nil, south, []*config.Programme{north}); len(again) != len(problems) {
			t.Errorf("%s: %v without the file, %v with it", row.what, again, problems)
		}
	}
}

func TestTheCodeOfFilesThatMayBeWrong(t *testing.T) {
	for _, row := range []struct{ what, programme, want string }{
		{"a good one", "code: NORTH\nname: x\n", "NORTH"},
		{"settings that nobody knows", "cod: x\ncode: SOUTH-2\n", "SOUTH-2"},
		{"no code", "name: x\n", ""},
		{"a code that leads out of a folder", "code: ../NORTH\n", ""},
		{"a code in small letters", "code: north\n", ""},
		{"a number", "code: 12\n", ""},
		{"a list", "code: [NORTH]\n", ""},
		{"no YAML", "code: NORTH\n\tname: x", ""},
		{"nothing", "", ""},
	} {
		if got := config.CodeIn(map[string][]byte{"programme.yml": []byte(row.programme)}); got != row.want {
			t.Errorf("%s: %q, want %q", row.what, got, row.want)
		}
	}
}

package config_test

import (
	"strings"
	"testing"
	"time"

	"budcall/internal/config"
)

func TestHowAnswersComeIn(t *testing.T) {
	none := config.Inbox{MaxBytes: 25 << 20, KeepDays: 800, MaxAnswer: 20}
	handed := none
	handed.Address, handed.Listen = "calls@birches.example", "127.0.0.1:2424"
	socket := handed
	socket.Address, socket.Listen, socket.SMTP, socket.KeepDays = "answers@birches.example", "/run/budcall/inbox.sock", true, 400
	box := none
	box.Address = "calls@birches.example"
	box.IMAP = config.Mailbox{Server: "imap.birches.example:993", TLS: "implicit", User: "u", PasswordFile: "secrets/box", Name: "INBOX", After: "seen", Every: time.Minute}
	moved := box
	moved.IMAP.Name, moved.IMAP.After, moved.IMAP.Folder, moved.IMAP.Every = "Replies", "move", "Read", 5*time.Minute
	for name, c := range map[string]struct {
		lines string
		want  config.Inbox
		said  string // by budcall check
	}{
		"left out, none do":                      {"", none, "answers by mail  none come in"},
		"by a mail server, to the usual address": {"inbox:\n  lmtp: 127.0.0.1:2424\n", handed, "to calls@birches.example, up to 25 MB, at most 20 receipts a day to one person\n                 handed over by the mail server at 127.0.0.1:2424 (LMTP)\n                 mails and photos are kept as they came for 800 days"},
		"through a socket, in SMTP":              {"inbox:\n  smtp: /run/budcall/inbox.sock\n  address: answers@birches.example\n  keep_days: 400\n", socket, "at /run/budcall/inbox.sock (SMTP)\n                 mails and photos are kept as they came for 400 days"},
		"from a mailbox":                         {"inbox:\n  imap: {server: imap.birches.example:993, user: u, password_file: secrets/box}\n", box, "read from INBOX of u at imap.birches.example:993 (IMAP, TLS: implicit) every minute; what was kept is then marked as seen"},
		"from a mailbox, and moved away":         {"inbox:\n  imap: {server: imap.birches.example:993, user: u, password_file: secrets/box, mailbox: Replies, after: move, folder: Read, every_minutes: 5}\n", moved, "read from Replies of u at imap.birches.example:993 (IMAP, TLS: implicit) every 5 minutes; what was kept is then moved to Read"},
	} {
		files := folder(t, "testdata/good", false)
		files["programme.yml"] = []byte(strings.TrimRight(string(files["programme.yml"]), "\n") + "\n" + c.lines)
		p := parsed(t, files)
		if p.Inbox != c.want {
			t.Errorf("%s: %+v\nwant %+v", name, p.Inbox, c.want)
		}
		if p.Inbox.On() != (c.lines != "") {
			t.Errorf("%s: on is %v", name, p.Inbox.On())
		}
		if said := config.Understood(p); !strings.Contains(said, c.said) {
			t.Errorf("%s: it isn't said %q by\n%s", name, c.said, said)
		}
	}
}

package config

import (
	"net/netip"
	"path/filepath"
	"time"
)

// Inbox is how answers by mail come in; without a way none do.
type Inbox struct {
	Address   string // people answer to it; empty where no way is set
	Listen    string // host:port on loopback or the full path of a socket, where a mail server hands mails over; empty: none does
	SMTP      bool   // it does so by SMTP, not LMTP
	IMAP      Mailbox
	MaxBytes  int64 // of a mail
	KeepDays  int   // how long mails and photos are kept as they came
	MaxAnswer int   // receipts to one person a day
}

// Mailbox is a mailbox that is read by IMAP; Server is empty where none is.
type Mailbox struct {
	Server       string // host:port
	TLS          string // implicit, starttls or none
	User         string
	PasswordFile string
	Name         string
	After        string // what becomes of a mail that was kept: leave, seen or move
	Folder       string // of move
	Every        time.Duration
}

// On reports whether mails come in at all.
func (i Inbox) On() bool { return i.Listen != "" || i.IMAP.Server != "" }

// readInbox reads how answers come in; from is the address that mails come
// from, to which people answer where nothing else is said.
func readInbox(e entry, from string) Inbox {
	s := e.section()
	in := Inbox{
		MaxBytes: 25 << 20, KeepDays: 800, MaxAnswer: 20, // our assumptions
		Address: orElse(s.get("address").email(), from),
	}
	lmtp, smtp := s.get("lmtp"), s.get("smtp")
	in.Listen = lmtp.nearby()
	if address := smtp.nearby(); smtp.set() {
		in.Listen, in.SMTP = address, true
	}
	if lmtp.set() && smtp.set() {
		smtp.problem("stands beside lmtp", "keep the one that the mail server speaks to us; lmtp is the better")
	}
	in.IMAP = readMailbox(s.get("imap"))
	megabytes := 25
	s.get("max_megabytes").into(&megabytes, bounds{1, 100, "megabytes of a mail with its photos"})
	in.MaxBytes = int64(megabytes) << 20
	s.get("keep_days").into(&in.KeepDays, bounds{30, 36500, "days for which mails are kept as they came"})
	s.get("receipts_a_day").into(&in.MaxAnswer, bounds{1, 1000, "receipts to one person a day"})
	s.done()
	if e.set() && !lmtp.set() && !smtp.set() && !s.get("imap").set() {
		e.problem("names no way in", "set lmtp, where a mail server hands mails over, or imap, a mailbox to read")
	}
	if !e.set() {
		return Inbox{MaxBytes: in.MaxBytes, KeepDays: in.KeepDays, MaxAnswer: in.MaxAnswer}
	}
	return in
}

// nearby gives an address on this machine: host:port on loopback, or the full
// path of a socket.
func (e entry) nearby() string {
	value := e.text()
	if value == "" || filepath.IsAbs(value) {
		return value
	}
	at, err := netip.ParseAddrPort(value)
	if err != nil || !at.Addr().IsLoopback() {
		e.problem("is neither an address on loopback nor the full path of a socket", "127.0.0.1:2424 or /run/budcall/inbox.sock; what comes in there isn't checked any more, so it must come from this machine's mail server")
		return ""
	}
	return value
}

func readMailbox(e entry) Mailbox {
	s := e.section()
	server := s.get("server")
	if e.set() {
		server = s.need("server", "host:port of the mailbox's server, such as imap.birches.example:993")
	}
	after, folder := s.get("after"), s.get("folder")
	m := Mailbox{
		Server: server.hostPort(), TLS: orElse(s.get("tls").choice("implicit", "starttls", "none"), "implicit"),
		User: s.get("user").text(), PasswordFile: s.secret("password_file", "password", "pass", "secret").filePath(),
		Name: orElse(s.get("mailbox").text(), "INBOX"), After: orElse(after.choice("leave", "seen", "move"), "seen"), Folder: folder.text(),
	}
	minutes := 1
	s.get("every_minutes").into(&minutes, bounds{1, 1440, "minutes between two looks into the mailbox"})
	m.Every = time.Duration(minutes) * time.Minute
	switch {
	case !e.set():
		return Mailbox{}
	case m.TLS == "none" && m.Server != "" && !IsLoopback(hostOf(m.Server)):
		s.get("tls").problem("none would send the password in the open to "+m.Server, "implicit or starttls; none is for a server on this machine")
	case m.User == "" || m.PasswordFile == "":
		e.problem("needs user and password_file", "put the mailbox's password alone into a file and name it as password_file")
	case m.After == "move" && (m.Folder == "" || m.Folder == m.Name):
		after.problem("move needs another folder", "name it as folder, or choose seen")
	case m.After != "move" && folder.set():
		folder.problem("is of no use without after: move", "add that, or remove the line")
	}
	s.done()
	return m
}

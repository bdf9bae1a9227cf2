package app_test

import (
	"encoding/base64"
	"net/url"
	"strings"
	"testing"
)

// attached is a mail with a file, and text beside it.
func attached(from, id, text, name, body string) []byte {
	return []byte("From: " + from + "\r\nTo: calls@birches.example\r\nSubject: our file\r\nMessage-ID: <" + id + "@phone.example>\r\nDate: Sun, 10 Apr 2016 12:00:00 +0300\r\n" +
		"MIME-Version: 1.0\r\nContent-Type: multipart/mixed; boundary=x\r\n\r\n--x\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n" + text +
		"\r\n--x\r\nContent-Type: application/yaml; name=\"" + name + "\"\r\nContent-Disposition: attachment; filename=\"" + name + "\"\r\nContent-Transfer-Encoding: base64\r\n\r\n" +
		base64.StdEncoding.EncodeToString([]byte(body)) + "\r\n--x--\r\n")
}

// A mail with the site's file: what becomes of it, and what its sender reads. A
// mail alone never changes anything.
func TestASitesFileComesByMail(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "inbox:\n  lmtp: 127.0.0.1:0\nsites_by_page:\n  approval: none\n")
	before := r.file()
	n := 0
	send := func(from, text, name, body string) {
		t.Helper()
		n++
		r.deliver(attached(from, strings.Repeat("m", n), text, name, body))
	}
	proposals := func() string { return ask(t, r.dsn, `select count(*)::text from site_change`) }
	last := func(subject string) string {
		t.Helper()
		m, ok := r.mail(subject)
		if !ok {
			t.Fatalf("no mail about %q; there are %v", subject, r.box.all())
		}
		return m.to + " " + strings.Join(strings.Fields(m.text), " ")
	}

	send("otso@birches.example", "", "HOME.yml", before+"calls:\n  max_lead_days: 50\n  min_days: x\n")
	says(t, last("To be mended: settings of HOME"), "otso@birches.example", "max_lead_days: 50 is outside 14 to 35", "Line 13:", `"x" is not a number`, "/settings/")
	if proposals() != "0" {
		t.Error("a file with problems was kept")
	}

	after := before + "calls:\n  max_lead_days: 21\n"
	send("otso@birches.example", "", "home.YML", strings.ReplaceAll(after, "\n", "\r\n"))
	said := last("Look what it does: settings of HOME")
	says(t, said, "otso@birches.example", "Nothing changes before you take it", "max_lead_days: 21, was not set", "?change=")
	if r.file() != before || r.lead() != 28 || proposals() != "1" {
		t.Errorf("the mail alone changed something: %d, %s proposals", r.lead(), proposals())
	}
	if got := ask(t, r.dsn, `select outcome from arrived order by id desc limit 1`); got != "settings" {
		t.Errorf("the mail came to %q", got)
	}
	at, _, _ := strings.Cut(said[strings.Index(said, "http://"):], " ")
	u, err := url.Parse(at)
	if err != nil {
		t.Fatal(err)
	}
	link := r.Address() + u.Path
	says(t, r.get(link+"?"+u.RawQuery).said(), "max_lead_days: 21", "It counts as soon as you take it")
	says(t, r.post(link, "do", "take", "change", u.Query().Get("change")).said(), "Accepted: it is in force")
	if r.file() != after || r.lead() != 21 || ask(t, r.dsn, `select way from site_change`) != "mail" {
		t.Errorf("taken: %d\n%s", r.lead(), r.file())
	}

	send("otso@birches.example", "", "HOME.yml", strings.Replace(before, "lead: otso", "lead: otso\ndeputy: ilmi", 1)) // from the file before
	says(t, last("To be mended: settings of HOME"), "The file was changed meanwhile", "+ max_lead_days: 21", "?edit=")
	if r.lead() != 21 {
		t.Error("a stale file counts")
	}
	send("otso@birches.example", "", "HOME.yml", after)
	says(t, last("To be mended: settings of HOME"), "nothing is changed")

	receipts := told(r.box, "settings of HOME")
	send("stranger@elsewhere.example", "", "HOME.yml", before)
	send("otso@birches.example", "", "photo.yml", before)
	if got := told(r.box, "settings of HOME"); got != receipts {
		t.Errorf("a stranger, or a file of another name, was answered %d times", got-receipts)
	}
	send("otso@birches.example", "T1 2+1\r\n", "HOME.yml", after+"  min_days: 4\n")
	says(t, last("Look what it does"), "min_days: 4")
	if got := ask(t, r.dsn, `select outcome || ' ' || jsonb_array_length(reports) from arrived order by id desc limit 1`); !strings.HasSuffix(got, " 1") {
		t.Errorf("a report beside the file came to %q", got)
	}
}

// The page is asked for by a mail of one word, so that nobody needs a shell for
// the link.
func TestThePageOfSettingsIsAskedForByMail(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "inbox:\n  lmtp: 127.0.0.1:0\n")
	r.p.site(t, "AWAY", "ilmi")
	if err := r.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	for i, row := range []struct {
		sentence, from, text string
		site                 string // of whose page a link comes; empty: none
	}{
		{"the lead of one site", "otso@birches.example", "Settings", "HOME"},
		{"with its code, in Finnish", "otso@birches.example", "asetukset home", "HOME"},
		{"in Swedish, with a signature", "otso@birches.example", "inställningar\r\n-- \r\nOtso", "HOME"},
		{"a site that isn't theirs", "otso@birches.example", "settings AWAY", ""},
		{"the coordinator, who has several, without a code", "maia@birches.example", "settings", ""},
		{"the coordinator with one", "maia@birches.example", "settings AWAY", "AWAY"},
		{"somebody unknown", "eve@elsewhere.example", "settings HOME", ""},
		{"more than that", "otso@birches.example", "settings are hard to find", ""},
	} {
		before := told(r.box, "Settings of ")
		raw := "From: " + row.from + "\r\nTo: calls@birches.example\r\nSubject: hello\r\nMessage-ID: <ask" + string(rune('a'+i)) + "@phone.example>\r\nDate: Sun, 10 Apr 2016 12:00:00 +0300\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n" + row.text + "\r\n"
		r.deliver([]byte(raw))
		if got := told(r.box, "Settings of ") - before; got != min(1, len(row.site)) {
			t.Errorf("%s: %d links came", row.sentence, got)
			continue
		}
		if m, ok := r.mail("Settings of " + row.site); row.site != "" && (!ok || m.to != row.from) {
			t.Errorf("%s: no link to %s: %+v", row.sentence, row.site, m)
		}
	}
	m, _ := r.mail("Settings of HOME")
	text := strings.Join(strings.Fields(m.text), " ")
	at, _, _ := strings.Cut(text[strings.Index(text, "http://"):], " ")
	u, err := url.Parse(at)
	if err != nil {
		t.Fatal(err)
	}
	says(t, r.get(r.Address()+u.Path).said(), "Settings of HOME", "See what it does")
}

// The file of a site that the sender has nothing to do with is told to be so.
func TestTheFileOfAnotherSiteComesByMail(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "inbox:\n  lmtp: 127.0.0.1:0\n")
	r.p.site(t, "AWAY", "ilmi")
	if err := r.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	body := readFile(t, r.p.dir+"/sites/away.yml")
	if code := handOver(t, r.InboxAddr(), attached("otso@birches.example", "one", "", "AWAY.yml", body+"calls:\n  min_days: 4\n")); code != 250 {
		t.Fatalf("refused with %d", code)
	}
	readAll(t, r.App)
	r.mails("2016-04-11")
	m, ok := r.mail("settings of AWAY")
	if !ok || m.to != "otso@birches.example" {
		t.Fatalf("told %+v", m)
	}
	says(t, strings.Join(strings.Fields(m.text), " "), "You aren't named for this site")
	silent(t, m.text, "/settings/")
}

// Words beside the file are for a person: they go to the coordinator, and the
// answer about the file says so, in one letter. Files of several sites are not
// guessed at.
func TestWhatStandsBesideASitesFile(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "inbox:\n  lmtp: 127.0.0.1:0\n")
	r.p.site(t, "AWAY", "ilmi")
	if err := r.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	after := r.file() + "calls:\n  max_lead_days: 21\n"
	r.deliver(attached("otso@birches.example", "one", "Dear all, here is our file for this year.\r\n", "HOME.yml", after))
	m, ok := r.mail("Look what it does: settings of HOME")
	said := strings.Join(strings.Fields(m.text), " ")
	if !ok || m.to != "otso@birches.example" || told(r.box, "Your answer arrived") != 0 {
		t.Errorf("told %+v", r.box.all())
	}
	says(t, said, "max_lead_days: 21, was not set", "What you wrote beside the file went to the coordinator", "?change=")
	m, ok = r.mail("A mail that a person must read")
	says(t, strings.Join(strings.Fields(m.text), " "), "Dear all, here is our file for this year.")
	if !ok || m.to != "maia@birches.example" {
		t.Errorf("the coordinator isn't told: %+v", m)
	}

	r.deliver(attached("maia@birches.example", "two", "My own words.\r\n", "HOME.yml", after))
	m, _ = r.mail("Look what it does: settings of HOME")
	silent(t, m.text, "beside the file")
	if m.to != "maia@birches.example" || told(r.box, "A mail that a person must read") != 1 {
		t.Error("the coordinator's words went to the coordinator")
	}

	both := strings.Replace(string(attached("otso@birches.example", "three", "", "HOME.yml", after)), "\r\n--x--", "\r\n--x\r\nContent-Type: application/yaml\r\nContent-Disposition: attachment; filename=\"AWAY.yml\"\r\n\r\ncode: AWAY\r\n--x--", 1)
	r.deliver([]byte(both))
	m, _ = r.mail("To be mended: settings of HOME (invented), AWAY (invented)")
	says(t, m.text, "The mail brought the files of several sites. Send each in a mail of its own.")
	silent(t, m.text, "/settings/")
}

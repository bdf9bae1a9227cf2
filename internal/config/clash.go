package config

import (
	"fmt"
	"net/netip"
	"net/url"
	"strings"

	"go.yaml.in/yaml/v3"
)

// CodeIn gives the code of the programme whose files these are, which may be
// ones that can't be in force; empty where it can't be read.
func CodeIn(files map[string][]byte) string {
	var top struct{ Code string }
	if yaml.Unmarshal(files[programmeFile], &top) != nil || !placeForm.pattern.MatchString(top.Code) {
		return ""
	}
	return top.Code
}

// PublicPath gives the path of the programme's public address, "/north"; empty
// where that has none.
func (p *Programme) PublicPath() string {
	u, err := url.Parse(p.PublicURL)
	if err != nil {
		return ""
	}
	return strings.TrimRight(u.Path, "/")
}

// Clashes says what keeps a programme from being run in one installation with
// others: what must be a programme's own and is another's too. files are its
// own, so that it can be said where it stands; they may be missing.
func Clashes(files Files, p *Programme, others []*Programme) []Problem {
	c := &clashing{p: p}
	c.top = document(&c.found, programmeFile, files[programmeFile]).section()
	c.found = findings{} // of the file itself others have spoken
	for _, o := range others {
		c.with(o)
	}
	return inOrder(c.found.problems)
}

// clashing is what one programme's file has in common with those of others.
type clashing struct {
	found findings
	top   *section
	p     *Programme
}

// say tells of a setting, which may be one of a group: "inbox", "lmtp".
func (c *clashing) say(what, cure string, path ...string) {
	s := c.top
	e := s.get(path[0])
	for _, key := range path[1:] {
		s = e.section()
		if inner := s.get(key); inner.set() {
			e = inner
		}
	}
	e.problem(what, cure)
}

func (c *clashing) with(o *Programme) {
	p := c.p
	if p.Code == o.Code {
		c.say("is the code of another programme here too", "give each its own: "+o.Name+" is called "+o.Code, "code")
		return // the same folder twice, or a copy: the rest is the same as well
	}
	c.addresses(o)
	c.inbox(o)
	if a, b := p.Database.DSNFile, o.Database.DSNFile; a != "" && a == b && strings.HasPrefix(a, "/") {
		c.say("is the database of "+o.Code, "each programme has a database of its own: make another and name the file with its address, or leave it out in both, and the program makes one for each", "database", "dsn_file")
	}
}

// addresses compares where pages and metrics are. Pages of several programmes
// may be at one address, told apart by the paths of their public addresses.
func (c *clashing) addresses(o *Programme) {
	p := c.p
	if p.Listen == o.Listen && !portZero(p.Listen) && p.PublicPath() == o.PublicPath() {
		example := "https://buds.example/" + strings.ToLower(p.Code)
		c.say(fmt.Sprintf("%s is where the pages of %s are, and nothing tells them apart", p.Listen, o.Code),
			"give public_url a path of its own, such as "+example+", or choose another listen", "listen")
	}
	for _, at := range []struct{ setting, mine, theirs, what string }{
		{"listen", p.Listen, o.Listen, "pages"}, {"listen", p.Listen, o.Metrics, "metrics"},
		{"metrics", p.Metrics, o.Listen, "pages"}, {"metrics", p.Metrics, o.Metrics, "metrics"},
	} {
		same := at.mine == at.theirs
		if same && at.setting == "listen" == (at.what == "pages") || !overlap(at.mine, at.theirs) {
			continue
		}
		cure := "choose another port"
		if !same {
			cure = "write the same address in both, or choose another port"
		}
		c.say(fmt.Sprintf("%s takes the place of %s, where the %s of %s are", at.mine, at.theirs, at.what, o.Code), cure, at.setting)
	}
}

// overlap reports whether nobody can listen at two addresses at once: the same
// port, and the same host or one that stands for all.
func overlap(a, b string) bool {
	return portOf(a) == portOf(b) && !portZero(a) && (hostOf(a) == hostOf(b) || forAll(hostOf(a)) || forAll(hostOf(b)))
}

func forAll(host string) bool {
	a, err := netip.ParseAddr(host)
	return err == nil && a.IsUnspecified()
}

// inbox compares where answers come in: an answer that reaches another
// programme than the one that asked is of no use to either.
func (c *clashing) inbox(o *Programme) {
	mine, theirs := c.p.Inbox, o.Inbox
	if mine.Listen != "" && mine.Listen == theirs.Listen && !portZero(mine.Listen) {
		c.say("is where answers to "+o.Code+" come in", "give each programme a place of its own", "inbox", map[bool]string{true: "smtp", false: "lmtp"}[mine.SMTP])
	}
	if a, b := mine.IMAP, theirs.IMAP; a.Server != "" && strings.EqualFold(a.Server, b.Server) && a.User == b.User && a.Name == b.Name {
		c.say("is the mailbox that "+o.Code+" reads", "give each programme a mailbox of its own, or a folder (mailbox:) into which the mail server sorts what comes for its address", "inbox", "imap")
	}
	const cure = "give each programme an address of its own"
	switch {
	case mine.On() && theirs.On() && strings.EqualFold(mine.Address, theirs.Address):
		c.say("answers to "+o.Code+" come to the same address, "+mine.Address, cure, "inbox", "address")
	case mine.On() && !theirs.On() && strings.EqualFold(mine.Address, o.Mail.From):
		c.say(mine.Address+" is what the mails of "+o.Code+" come from, and people would answer them here", cure+" (mail.from or inbox.address)", "inbox", "address")
	case !mine.On() && theirs.On() && strings.EqualFold(c.p.Mail.From, theirs.Address):
		c.say("answers to "+o.Code+" come to this address, and so would those to these mails", cure+" (mail.from or inbox.address)", "mail", "from")
	}
}

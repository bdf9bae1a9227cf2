package notice

import (
	"net/url"
	"strings"

	"budcall/internal/call"
	"budcall/internal/report"
	"budcall/internal/words"
)

// mailLink is a link that opens a mail, filled in, in the reader's own
// program: it needs no coverage, since the phone sends the mail when it can.
type mailLink struct{ Said, URL string }

// byMail gives the ways to answer an item by mail; none where no address reads
// answers or nothing is asked. The letter's ID is in the subject, so that the
// answer is known by it even where the program drops what it answers.
func (i item) byMail() []block {
	if i.ReplyTo == "" || i.Standing.Ended() {
		return nil
	}
	var trees []string
	for _, t := range i.Trees {
		name := t.Short
		if i.severalSites() {
			name = i.Site + " " + name
		}
		trees = append(trees, name)
	}
	said := words.MailtoTrees
	if i.Task == call.SendKit || i.Task == call.ShortSeason {
		said = words.MailtoWord
	}
	var links []mailLink
	if body := report.Prefill(i.Task, trees, i.Lang); body != "" {
		links = append(links, mailLink{i.c.Text(said), i.mailto(body)})
	}
	if i.outdoors() && i.single() {
		day := i.Best
		if len(i.CanGo) > 0 {
			day = i.CanGo[0]
		}
		if day != 0 {
			links = append(links, mailLink{i.c.Text(words.MailtoGoing, words.Args{"day": i.c.Day(day)}), i.mailto(report.PrefillGoing(day, i.Lang))})
		}
		links = append(links, mailLink{i.c.Text(words.MailtoCannot), i.mailto(report.PrefillCannot(i.Lang))})
	}
	if len(links) == 0 {
		return nil
	}
	b := block{Shape: mails, Head: i.c.Text(words.MailtoHead), Links: links}
	if len(i.Trees) > 0 {
		b.Lines = report.Examples(i.Task, trees[0], i.Lang)
	}
	return []block{b}
}

// single tells whether the letter is about one thing, so that a bare "going"
// can mean nothing else.
func (i item) single() bool { return len(i.Items) == 1 }

func (i item) severalSites() bool {
	for _, other := range i.Items {
		if other.Site != i.Site {
			return true
		}
	}
	return false
}

// The parts of a mailto link.
const (
	mailtoScheme  string = "mailto:"
	mailtoSubject string = "?subject="
	mailtoBody    string = "&body="
)

// mailto gives the link of RFC 6068: everything but the plainest characters
// percent-encoded, and lines ended by CRLF.
func (i item) mailto(body string) string {
	subject := report.Subject(i.c.TaskAt(i.Task, i.site()), i.ID)
	return mailtoScheme + escaped(i.ReplyTo) + mailtoSubject + escaped(subject) + mailtoBody + escaped(strings.ReplaceAll(body, "\n", "\r\n"))
}

// escaped encodes as RFC 6068 wants it: a blank as %20, since a plus is a plus.
func escaped(s string) string { return strings.ReplaceAll(url.QueryEscape(s), "+", "%20") }

// mails writes the links as text; most programs make mailto links of them.
func (t *texter) mails(b block) {
	t.head(b.Head)
	for _, l := range b.Links {
		t.wrapped(l.Said+":", "  - ", "    ")
		t.WriteString("    " + l.URL + "\n")
	}
	if len(b.Lines) > 0 {
		t.gap()
		t.lines(b.Lines, "")
	}
}

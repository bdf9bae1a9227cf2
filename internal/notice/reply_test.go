package notice_test

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/report"
	"budcall/internal/trail"
)

// asking is a letter that asks Aino for something at Kolmivaara.
func asking(task call.Task) notice.Letter {
	first := civil.MustParse("2031-05-03")
	at := time.Date(2031, 5, 2, 17, 0, 0, 0, time.FixedZone("", 3*3600))
	return notice.Letter{
		ID: "20310502T140000-abcdefghijklm", Kind: notice.Calls, Programme: "Invented Birches", Domain: "mail.birch.example",
		From: "calls@birch.example", FromName: "Invented Birches", ReplyTo: "answers+x@birch.example", To: "aino@kolmivaara.example", ToName: "Aino",
		Lang: "en", At: at, Today: civil.At(at),
		Items: []notice.Item{{
			Site: "KOL", SiteName: "Kolmivaara", Task: task, Standing: call.Go, Reason: call.BestDaysBegin,
			Days: civil.Range{First: first, Last: first + 4}, Best: first, CanGo: []civil.Date{first, first + 1},
			Trees: []notice.TreeNeed{{Code: "KOL-101", Short: "T1", Selfing: 2, Control: 1}, {Code: "KOL-107", Short: "T3", Selfing: 2, Control: 1}},
		}},
	}
}

// parts gives the bodies of a mail by media type.
func parts(t *testing.T, raw []byte) map[string]string {
	t.Helper()
	m, err := mail.ReadMessage(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	var walk func(contentType string, body io.Reader)
	walk = func(contentType string, body io.Reader) {
		kind, params, err := mime.ParseMediaType(contentType)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(kind, "multipart/") {
			b, err := io.ReadAll(body)
			if err != nil {
				t.Fatal(err)
			}
			out[kind] = string(b)
			return
		}
		r := multipart.NewReader(body, params["boundary"])
		for {
			p, err := r.NextRawPart()
			if err == io.EOF {
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			var content io.Reader = p
			if p.Header.Get("Content-Transfer-Encoding") == "quoted-printable" {
				content = quotedprintable.NewReader(p)
			}
			walk(p.Header.Get("Content-Type"), content)
		}
	}
	walk(m.Header.Get("Content-Type"), m.Body)
	return out
}

// reading reads what somebody sends who opens a mailto link, changes the body
// and sends it: a new mail, not an answer.
func reading(t *testing.T, l notice.Letter, link string, change func(string) string) report.Reading {
	t.Helper()
	u, err := url.Parse(link)
	if err != nil || u.Scheme != "mailto" {
		t.Fatalf("%q: %v", link, err)
	}
	to, err := url.PathUnescape(u.Opaque)
	if err != nil || to != l.ReplyTo {
		t.Errorf("the mail goes to %q (%v)", to, err)
	}
	query, err := url.ParseQuery(u.RawQuery)
	if err != nil {
		t.Fatal(err)
	}
	raw := fmt.Sprintf("From: Aino <aino@kolmivaara.example>\r\nTo: %s\r\nSubject: %s\r\nDate: Sat, 03 May 2031 15:00:00 +0300\r\nMessage-ID: <x@y.example>\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n%s",
		to, mime.QEncoding.Encode("utf-8", query.Get("subject")), change(query.Get("body")))
	aino := report.Person{Code: "aino", Name: "Aino", Language: l.Lang, Zone: time.FixedZone("", 3*3600), Sites: []string{"KOL"}}
	return report.Read([]byte(raw), report.Known{
		Mail: func(token string) (report.Mail, bool) {
			return report.Mail{To: aino, Sent: l.At, Calls: []report.Call{{Site: "KOL", Task: l.Items[0].Task}}}, token == l.ID
		},
		Person: func(a string) (report.Person, bool) { return aino, a == "aino@kolmivaara.example" },
		Site: func(string) (report.Site, bool) {
			return report.Site{Code: "KOL", Trees: []trail.Tree{{Code: "KOL-101", Short: "T1"}, {Code: "KOL-107", Short: "T3"}}}, true
		},
	}, report.Options{Received: time.Date(2031, 5, 4, 9, 0, 0, 0, time.UTC)}) // the phone had no coverage until the next day
}

var mailtoLink = regexp.MustCompile(`mailto:[^\s"<>]+`)

func TestTheLinksOfTheRealMailWriteAnswersThatAreUnderstood(t *testing.T) {
	l := asking(call.BagOn)
	raw, err := notice.Mail(l)
	if err != nil {
		t.Fatal(err)
	}
	body := parts(t, raw)
	links := mailtoLink.FindAllString(body["text/plain"], -1)
	inHTML := mailtoLink.FindAllString(strings.ReplaceAll(body["text/html"], "&amp;", "&"), -1)
	if len(links) != 3 || !slices.Equal(links, inHTML) {
		t.Fatalf("links in the text %q, in the HTML %q", links, inHTML)
	}
	same := func(s string) string { return s }
	fill := func(s string) string {
		return strings.NewReplacer("T1 \r\n", "T1 2+1\r\n", "T3 \r\n", "T3 1+0\r\n").Replace(s)
	}
	for _, c := range []struct {
		name, link string
		change     func(string) string
		want       []trail.Report
		outcome    report.Outcome
	}{
		{"the trees filled in", links[0], fill, []trail.Report{{Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1}, {Kind: trail.BagsOn, Tree: "T3", Selfing: 1}}, report.Stored},
		{"the trees left as they are say nothing", links[0], same, nil, report.ToCoordinator},
		{"going, sent as it is", links[1], same, []trail.Report{{Kind: trail.Going, On: civil.MustParse("2031-05-03")}}, report.Stored},
		{"can't, sent as it is", links[2], same, []trail.Report{{Kind: trail.CannotGo}}, report.Stored},
	} {
		r := reading(t, l, c.link, c.change)
		if r.Outcome != c.outcome || r.Token != l.ID || r.TokenIn != "subject" || len(r.Reports) != len(c.want) {
			t.Errorf("%s: %s, token %q in %q, %d reports, unread %v", c.name, r.Outcome, r.Token, r.TokenIn, len(r.Reports), r.Unread)
			continue
		}
		for i, got := range r.Reports {
			w := c.want[i]
			if got.Kind != w.Kind || got.Tree != w.Tree || got.Selfing != w.Selfing || got.Control != w.Control || got.On != w.On {
				t.Errorf("%s: %+v, want %+v", c.name, got, w)
			}
		}
	}
}

func TestTheWholeMailQuotedUnderAnAnswerSaysNothingByItself(t *testing.T) {
	l := asking(call.BagOn)
	raw, err := notice.Mail(l)
	if err != nil {
		t.Fatal(err)
	}
	sent := parts(t, raw)["text/plain"]
	link := "mailto:" + url.PathEscape(l.ReplyTo) + "?subject=" + url.PathEscape(report.Subject("Re: Bag on", l.ID)) + "&body=x"
	r := reading(t, l, link, func(string) string {
		return "T3 2+1\r\n\r\nOn Fri 2 May 2031 at 17:00, Invented Birches wrote:\r\n\r\n> " + strings.ReplaceAll(sent, "\n", "\n> ")
	})
	if r.Outcome != report.Stored || len(r.Reports) != 1 {
		t.Errorf("%s, %+v, unread %v", r.Outcome, r.Reports, r.Unread)
	}
}

func TestWithoutAnAddressThatReadsAnswersNoLinkWritesMail(t *testing.T) {
	l := asking(call.BagOn)
	l.ReplyTo = ""
	raw, err := notice.Mail(l)
	if err != nil || bytes.Contains(raw, []byte("mailto:")) {
		t.Errorf("%v", err)
	}
}

func receipt(kind notice.Kind) notice.Letter {
	l := asking(call.BagOn)
	l.Kind, l.Items = kind, nil
	l.Reply = &notice.Reply{
		Arrived: 7, For: kind, Outcome: "part stored", Sender: "Aino", Day: civil.MustParse("2031-05-03"),
		Reports: []trail.Report{{Site: "KOL", Kind: trail.BagsOn, Tree: "T3", Selfing: 2, Control: 1, Day: civil.MustParse("2031-05-03")}},
		Unread:  []notice.UnreadLine{{Text: "T9 2+1", Why: "no such tree"}}, Photos: 1, Asks: []string{"photos", "lines"}, Passed: true,
	}
	if kind == notice.Tap {
		l.Reply.Link, l.Reply.Expires = "https://buds.example/held/abc", civil.MustParse("2031-05-17")
	}
	return l
}

func TestALetterAboutAMailSaysWhatWasMadeOfIt(t *testing.T) {
	for kind, says := range map[notice.Kind][]string{
		notice.Receipt: {"thank you", "Stored:", "KOL: ", "2 selfing bags and 1 control bag", "“T9 2+1” (there is no such tree)", "1 photo", "coordinator got your mail"},
		notice.Tap:     {"Nothing was stored", "It would be stored:", "https://buds.example/held/abc", "17 May 2031"},
		notice.Unread:  {"A mail from Aino", "It holds photos.", "couldn't be read", "T9 2+1"},
	} {
		raw, err := notice.Mail(receipt(kind))
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(parts(t, raw)["text/plain"]), " ")
		for _, s := range says {
			if !strings.Contains(text, s) {
				t.Errorf("%s doesn't say %q:\n%s", kind, s, text)
			}
		}
		m, err := mail.ReadMessage(bytes.NewReader(raw))
		want := map[notice.Kind]string{notice.Receipt: "auto-replied", notice.Tap: "auto-replied", notice.Unread: "auto-generated"}[kind]
		if err != nil || m.Header.Get("Auto-Submitted") != want || m.Header.Get("X-Auto-Response-Suppress") != "All" {
			t.Errorf("%s: Auto-Submitted is %q (%v)", kind, m.Header.Get("Auto-Submitted"), err)
		}
	}
}

func TestTheMailThatCameInTravelsWhole(t *testing.T) {
	for name, c := range map[string]struct{ mail, kind string }{
		"plain":                         {"From: a@b.example\r\nSubject: x\r\n\r\nT3 2+1\r\n.\r\n--\r\nA\r\n", "message/rfc822"},
		"a name beyond ASCII":           {"From: Päivi <p@a.example>\r\nSubject: x\r\n\r\nT1 2+1\r\n", "application/octet-stream"},
		"a letterhead of zeros":         {"Subject: x\r\nX-\x00: y\r\n\r\nT1 2+1\r\n", "application/octet-stream"},
		"without a line end at its end": {"Subject: x\r\n\r\nT3 2+1", "message/rfc822"},
	} {
		l := receipt(notice.Unread)
		l.Reply.Mail = []byte(c.mail)
		raw, err := notice.Mail(l)
		if err != nil {
			t.Fatal(err)
		}
		got, ok := parts(t, raw)[c.kind]
		if c.kind == "application/octet-stream" {
			got = unbase64(t, got)
		}
		if !ok || strings.TrimSuffix(got, "\r\n") != strings.TrimSuffix(c.mail, "\r\n") {
			t.Errorf("%s: attached %q\nof %q", name, got, c.mail)
		}
		for line := range strings.SplitSeq(string(raw), "\r\n") {
			if len(line) > 998 || strings.ContainsAny(line, "\r\n") {
				t.Errorf("%s: a line of the letter can't travel: %.60q", name, line)
			}
		}
	}
}

// A mail whose bytes can't travel in another is encoded anew, so that it opens
// as a mail: what it says stays the same.
func TestAMailInOtherLettersOpensAsAMail(t *testing.T) {
	for name, c := range map[string]struct{ mail, subject, text string }{
		"UTF-8 as it is":     {"Subject: x\r\nContent-Type: text/plain; charset=utf-8\r\nContent-Transfer-Encoding: 8bit\r\n\r\nÕ1 2+1 👍\r\n", "x", "Õ1 2+1 👍"},
		"Latin-1 as it is":   {"Subject: x\r\nContent-Type: text/plain; charset=iso-8859-1\r\n\r\nm\xe4nnyt\r\n", "x", "männyt"},
		"a long line":        {"Subject: x\r\n\r\n" + strings.Repeat("x", 2000) + "\r\n", "x", strings.Repeat("x", 2000)},
		"a subject as it is": {"Subject: Pussit päällä\r\n\r\nT1 2+1\r\n", "Pussit päällä", "T1 2+1"},
		"in parts": {"Subject: x\r\nContent-Type: multipart/mixed; boundary=b\r\n\r\n--b\r\nContent-Type: text/plain; charset=utf-8\r\n\r\nÄ1 2+1\r\n" +
			"--b\r\nContent-Type: image/jpeg\r\nContent-Transfer-Encoding: base64\r\n\r\n/9j/\r\n--b--\r\n", "x", "Ä1 2+1"},
	} {
		t.Run(name, func(t *testing.T) {
			l := receipt(notice.Unread)
			l.Reply.Mail = []byte(c.mail)
			raw, err := notice.Mail(l)
			if err != nil {
				t.Fatal(err)
			}
			inner, ok := parts(t, raw)["message/rfc822"]
			if !ok {
				t.Fatal("it is attached as a file")
			}
			m, err := mail.ReadMessage(strings.NewReader(inner))
			if err != nil {
				t.Fatal(err)
			}
			subject, err := new(mime.WordDecoder).DecodeHeader(m.Header.Get("Subject"))
			if err != nil || subject != c.subject {
				t.Errorf("the subject is %q (%v), want %q", subject, err, c.subject)
			}
			text := quotedText(t, inner)
			if strings.TrimSpace(text) != c.text {
				t.Errorf("it says %q, want %q", text, c.text)
			}
		})
	}
}

// quotedText is the first text of a mail in quoted-printable, alone or as a part.
// Nothing that is passed on says where a photo was taken.
func TestTheMailThatCameInIsPassedOnWithoutThePlaceOfItsPhotos(t *testing.T) {
	var photo bytes.Buffer
	if err := jpeg.Encode(&photo, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	place := "Exif\x00\x00PLACE 65.01N"
	withPlace := append(append(bytes.Clone(photo.Bytes()[:2]), append([]byte{0xff, 0xe1, 0, byte(len(place) + 2)}, place...)...), photo.Bytes()[2:]...)
	part := func(kind string, body []byte) string {
		return "--b\r\nContent-Type: " + kind + "\r\nContent-Transfer-Encoding: base64\r\n\r\n" + base64.StdEncoding.EncodeToString(body) + "\r\n"
	}
	l := receipt(notice.Unread)
	l.Reply.Mail = []byte("Subject: x\r\nContent-Type: multipart/mixed; boundary=b\r\n\r\n--b\r\n\r\nT1 2+1\r\n" + part("image/jpeg", withPlace) +
		part("application/octet-stream", withPlace) + part("image/heic", []byte("\x00\x00\x00\x18ftypheicPLACE")) + part("application/pdf", []byte("%PDF PLAN")) + "--b--\r\n")
	raw, err := notice.Mail(l)
	if err != nil {
		t.Fatal(err)
	}
	inner, ok := parts(t, raw)["message/rfc822"]
	if !ok {
		t.Fatal("it is attached as a file")
	}
	m, err := mail.ReadMessage(strings.NewReader(inner))
	if err != nil {
		t.Fatal(err)
	}
	var kept []string
	for r := multipart.NewReader(m.Body, "b"); ; {
		p, err := r.NextPart()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		var body io.Reader = p
		if p.Header.Get("Content-Transfer-Encoding") == "base64" {
			body = base64.NewDecoder(base64.StdEncoding, p)
		}
		said, err := io.ReadAll(body)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(said, []byte("PLACE")) {
			t.Errorf("%s says where it was taken", p.Header.Get("Content-Type"))
		}
		if len(said) > 0 {
			kept = append(kept, p.Header.Get("Content-Type"))
		}
	}
	if len(kept) != 4 { // text, two photos and the plan
		t.Errorf("kept %q", kept)
	}
}

func quotedText(t *testing.T, raw string) string {
	t.Helper()
	if _, part, ok := strings.Cut(raw, "\r\n--b\r\n"); ok {
		raw, _, _ = strings.Cut(part, "\r\n--b")
	}
	_, body, _ := strings.Cut(raw, "\r\n\r\n")
	text, err := io.ReadAll(quotedprintable.NewReader(strings.NewReader(body)))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func unbase64(t *testing.T, s string) string {
	t.Helper()
	b, err := io.ReadAll(base64.NewDecoder(base64.StdEncoding, strings.NewReader(s)))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

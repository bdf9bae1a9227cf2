package notice_test

import (
	"bytes"
	"encoding/json"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/mail"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	gomail "github.com/emersion/go-message/mail"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
)

// parsed is a mail as the standard library reads it.
type parsed struct {
	header     mail.Header
	subject    string
	text, html string
}

// fatal is what tests and property tests have in common.
type fatal interface {
	Helper()
	Fatalf(format string, args ...any)
}

// read parses a mail by net/mail and mime/multipart, and checks the two parts.
func read(t fatal, raw []byte) parsed {
	t.Helper()
	m, err := mail.ReadMessage(bytes.NewReader(raw))
	if err != nil {
		t.Fatalf("net/mail: %v", err)
	}
	subject, err := new(mime.WordDecoder).DecodeHeader(m.Header.Get("Subject"))
	if err != nil {
		t.Fatalf("subject: %v", err)
	}
	kind, params, err := mime.ParseMediaType(m.Header.Get("Content-Type"))
	if err != nil || kind != "multipart/alternative" {
		t.Fatalf("content type %q: %v", kind, err)
	}
	p := parsed{header: m.Header, subject: subject}
	r := multipart.NewReader(m.Body, params["boundary"])
	for _, part := range []struct {
		kind string
		into *string
	}{{"text/plain", &p.text}, {"text/html", &p.html}} {
		mp, err := r.NextRawPart()
		if err != nil {
			t.Fatalf("the %s part: %v", part.kind, err)
		}
		kind, params, err := mime.ParseMediaType(mp.Header.Get("Content-Type"))
		if err != nil || kind != part.kind || params["charset"] != "utf-8" {
			t.Fatalf("part is %s %v (%v), want %s in utf-8", kind, params, err, part.kind)
		}
		b, err := io.ReadAll(quotedprintable.NewReader(mp))
		if err != nil {
			t.Fatalf("the %s part: %v", part.kind, err)
		}
		*part.into = string(b)
	}
	if _, err := r.NextRawPart(); err != io.EOF {
		t.Fatalf("a third part: %v", err)
	}
	return p
}

// sound checks what must hold of the bytes of every mail.
func sound(t fatal, raw []byte) {
	t.Helper()
	for n, line := range strings.Split(strings.TrimSuffix(string(raw), "\r\n"), "\r\n") {
		if len(line) > 998 || strings.ContainsAny(line, "\r\n\x00") {
			t.Fatalf("line %d has %d bytes or a bare line break: %q", n+1, len(line), line)
		}
		if strings.ContainsFunc(line, func(r rune) bool { return r > '~' }) {
			t.Fatalf("line %d isn't ASCII: %q", n+1, line)
		}
	}
}

func TestEveryMailIsReadBack(t *testing.T) {
	for name, l := range allLetters() {
		raw, err := notice.Mail(l)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		sound(t, raw)
		p := read(t, raw)
		if got := p.header.Get("Message-ID"); got != "<"+l.ID+"@"+l.Domain+">" {
			t.Errorf("%s: Message-ID %s", name, got)
		}
		if at, err := p.header.Date(); err != nil || !at.Equal(l.At) {
			t.Errorf("%s: Date %v (%v), want %v", name, at, err, l.At)
		}
		for field, want := range map[string]string{"Auto-Submitted": "auto-generated", "X-Auto-Response-Suppress": "All"} {
			if got := p.header.Get(field); got != want {
				t.Errorf("%s: %s is %q, want %q", name, field, got, want)
			}
		}
		to, err := p.header.AddressList("To")
		if err != nil || len(to) != 1 || to[0].Name != l.ToName || to[0].Address != l.To {
			t.Errorf("%s: To is %v (%v)", name, to, err)
		}
		if p.html != strings.ReplaceAll(string(notice.HTML(l)), "\n", "\r\n") {
			t.Errorf("%s: the HTML part isn't what HTML gives", name)
		}
		readable(t, name, p)
	}
}

// readable checks what a person must be able to rely on.
func readable(t *testing.T, name string, p parsed) {
	t.Helper()
	for _, line := range strings.Split(p.text, "\r\n") {
		if utf8.RuneCountInString(line) > 78 && !strings.Contains(line, "://") && !strings.Contains(line, "mailto:") {
			t.Errorf("%s: a line of the text has more than 78 characters: %q", name, line)
		}
	}
	for _, said := range []string{p.subject, p.text, p.html} {
		if regexp.MustCompile(`\{[a-z]+\}`).MatchString(strings.ReplaceAll(said, "color-scheme", "")) {
			t.Errorf("%s: a placeholder was left empty:\n%s", name, said)
		}
	}
	links := regexp.MustCompile(`https?://\S+|tel:\S+`)
	if word := regexp.MustCompile(`(?i)\bcall(s|ed)?\b`).FindString(p.subject + links.ReplaceAllString(p.text, "")); word != "" {
		t.Errorf("%s: the mail says %q, which people don't", name, word)
	}
}

func TestTheThreadIsNamed(t *testing.T) {
	raw, err := notice.Mail(allLetters()["bag-on-look-first"])
	if err != nil {
		t.Fatal(err)
	}
	r, err := gomail.CreateReader(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	references, err := r.Header.MsgIDList("References")
	want := []string{"2031.KOL.bag-on.1@mail.birch.example", "2031.KOL.bag-on.2@mail.birch.example", "2031.KOL.bag-on.3@mail.birch.example"}
	if err != nil || !slices.Equal(references, want) {
		t.Errorf("References %v (%v), want %v", references, err, want)
	}
	reply, err := r.Header.MsgIDList("In-Reply-To")
	if err != nil || !slices.Equal(reply, want[2:]) {
		t.Errorf("In-Reply-To %v (%v), want the latest of the thread", reply, err)
	}
}

func TestALongThreadKeepsItsFirstAndLatest(t *testing.T) {
	l := allLetters()["bag-on"]
	for n := range 60 {
		l.Thread = append(l.Thread, "2031.KOL.bag-on."+strings.Repeat("x", n+1))
	}
	before := slices.Clone(l.Thread)
	raw, err := notice.Mail(l)
	if err != nil {
		t.Fatal(err)
	}
	ids := strings.Fields(read(t, raw).header.Get("References"))
	if len(ids) != 20 || ids[0] != "<"+l.Thread[0]+"@mail.birch.example>" || ids[19] != "<"+l.Thread[59]+"@mail.birch.example>" {
		t.Errorf("References has %d ids, from %s to %s", len(ids), ids[0], ids[len(ids)-1])
	}
	if !slices.Equal(before, l.Thread) {
		t.Error("writing a mail changed the letter")
	}
}

func TestTheSameLetterGivesTheSameBytes(t *testing.T) {
	for name, l := range allLetters() {
		stored, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		var again notice.Letter
		if err := json.Unmarshal(stored, &again); err != nil {
			t.Fatal(err)
		}
		first, err1 := notice.Mail(l)
		second, err2 := notice.Mail(again)
		if err1 != nil || err2 != nil || !bytes.Equal(first, second) {
			t.Errorf("%s: stored and read again it gives other bytes (%v, %v)", name, err1, err2)
		}
	}
}

func TestSubjects(t *testing.T) {
	for name, want := range map[string]string{
		"bag-on":              "Bag on at Kolmivaara: Sat 3 or Sun 4 May",
		"bag-on-ahead":        "Coming up: bag on at Kolmivaara, Sat 3 or Sun 4 May",
		"bag-on-look-first":   "Look first: bag on at Kolmivaara",
		"bag-on-passed":       "Passed on to you: bag on at Kolmivaara, Mon 5 – Wed 7 May",
		"how-did-it-go":       "No report yet: bag on at Kolmivaara, Sun 4 May",
		"take-off":            "Take bags off at Kolmivaara: Sat 14 June – Sat 5 July",
		"look-at-seed":        "Look at the seed at Kolmivaara: Sat 19 – Fri 25 July",
		"pick-seed-last-days": "Last days: pick seed at Kolmivaara, Sat 2 or Sun 3 Aug",
		"send-kit":            "Send the kit to Kolmivaara by Tue 15 Apr",
		"short-season":        "Short season at Kolmivaara",
		"several-late":        "Last days: take bags off at Hietala by Sat 24 May, and 2 more",
		"ended":               "Too late: bag on at Kolmivaara, and 1 more",
		"ops":                 "Northern Birch Selfing: 2 things to look after",
		"test":                "Test mail from Northern Birch Selfing",
	} {
		raw, err := notice.Mail(allLetters()[name])
		if err != nil {
			t.Fatal(err)
		}
		if got := read(t, raw).subject; got != want {
			t.Errorf("%s: subject\n%q, want\n%q", name, got, want)
		}
	}
}

func TestWhatAMailSaysAndDoesNotSay(t *testing.T) {
	cautions, steps := "at height or with blades", "How it is done"
	for _, row := range []struct {
		sentence, letter string
		says, saysNot    []string
	}{
		{"who is sent out is told how and what to mind", "bag-on", []string{cautions, steps, "hanging twigs", "second trip", "12 in 100"}, nil},
		{"who only plans isn't", "bag-on-ahead", []string{"Time to plan"}, []string{cautions, steps}},
		{"nobody minds ticks at a desk", "send-kit", []string{steps, "spacer"}, []string{cautions, "ticks"}},
		{"after the last day each tree is looked at", "bag-on-look-first", []string{"Buds closed: bag it", "Green tips", "stop", cautions}, nil},
		{"passed on with names, numbers and times", "bag-on-passed", []string{"no answer came", "Aino Hietavirta, site lead", "+358 40 000 0101", "Petri Mäkitörmä", "Sun 4 May, 11:20"}, []string{"By phone"}},
		{"the ribbons' colours are the programme's", "take-off", []string{"orange for selfing, blue for", "96 in 100"}, nil},
		{"seed across borders", "pick-seed-last-days", []string{"crosses a border", "packet", "fewer than 1 in 100 are not ripe", "Bagged in spring"}, nil},
		{"what has ended says why and sends nobody", "ended", []string{"because green tips were reported", "because no bags hang"}, []string{cautions, steps, "Why"}},
		{"late is said and dated", "several-late", []string{"comes late", "Sat 24 May 2031"}, nil},
		{"not late isn't", "bag-on", nil, []string{"late:"}},
		{"odds of a short season", "short-season", []string{"30 Sept is unlikely (22 in 100)"}, []string{cautions}},
		{"a test says so", "test", []string{"This is a test"}, []string{cautions}},
	} {
		raw, err := notice.Mail(allLetters()[row.letter])
		if err != nil {
			t.Fatal(err)
		}
		p := read(t, raw)
		flat := strings.Join(strings.Fields(p.text), " ")
		for _, s := range row.says {
			if !strings.Contains(flat, s) {
				t.Errorf("%s: %s doesn't say %q:\n%s", row.sentence, row.letter, s, p.text)
			}
		}
		for _, s := range row.saysNot {
			if strings.Contains(flat, s) {
				t.Errorf("%s: %s says %q", row.sentence, row.letter, s)
			}
		}
	}
}

func TestWhyIsThreeLines(t *testing.T) {
	for _, task := range call.Tasks {
		for _, why := range []notice.Why{{}, bagOn().Why, lookAtSeed().Why, shortSeason().Items[0].Why} {
			l := letter("x.1", "05-02", changed(bagOn(), func(it *notice.Item) { it.Task, it.Why = task, why }))
			raw, err := notice.Mail(l)
			if err != nil {
				t.Fatal(err)
			}
			_, after, _ := strings.Cut(read(t, raw).text, "\r\nWhy\r\n")
			section, _, _ := strings.Cut(after, "\r\n\r\n")
			if n := strings.Count("\r\n"+section, "\r\n  - "); n != 3 {
				t.Errorf("%s has %d lines of why:\n%s", task, n, section)
			}
		}
	}
}

func TestWhatNoMailIsMadeOf(t *testing.T) {
	for _, row := range []struct {
		sentence, want string
		change         func(*notice.Letter)
	}{
		{"an address with a line break", "to: not a plain mail address", func(l *notice.Letter) { l.To = "a@b.example\r\nBcc: c@d.example" }},
		{"an address with a name", "to: not a plain mail address", func(l *notice.Letter) { l.To = "A <a@b.example>" }},
		{"two addresses", "from: not a plain mail address", func(l *notice.Letter) { l.From = "a@b.example, c@d.example" }},
		{"no address", "to: no mail address", func(l *notice.Letter) { l.To = "" }},
		{"a reply address that is none", "reply_to: not a plain", func(l *notice.Letter) { l.ReplyTo = "nobody" }},
		{"an id with a bracket", "Message-ID", func(l *notice.Letter) { l.ID = "a>b" }},
		{"an id of the thread with a space", "Message-ID", func(l *notice.Letter) { l.Thread = []string{"a b"} }},
		{"a domain with a line break", "host name", func(l *notice.Letter) { l.Domain = "a\nb" }},
		{"no time", "no time", func(l *notice.Letter) { l.At = time.Time{} }},
		{"no items", "would say nothing", func(l *notice.Letter) { l.Items = nil }},
		{"no trouble", "would say nothing", func(l *notice.Letter) { l.Kind = notice.Ops }},
		{"an unknown kind", `unknown kind "gossip"`, func(l *notice.Letter) { l.Kind = "gossip" }},
		{"a link that runs a script", "no web address", func(l *notice.Letter) { l.Items[0].Link = "javascript:alert(1)" }},
	} {
		l := letter("x.1", "05-02", bagOn())
		row.change(&l)
		_, err := notice.Mail(l)
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: error %v, want %q in it", row.sentence, err, row.want)
		}
		if err != nil && strings.Contains(err.Error(), "@b.example") {
			t.Errorf("%s: the error gives away an address: %v", row.sentence, err)
		}
	}
}

func TestNamesThatTryToBreakOut(t *testing.T) {
	l := letter("x.1", "05-02", bagOn())
	l.ToName = "Õie \"Öö\" <evil@x.example>\r\nBcc: evil@x.example"
	l.FromName = strings.Repeat("Programme ", 60)
	l.Items[0].SiteName = "Kol\r\nSubject: <b>mi</b>\u202evaara" + strings.Repeat("ä", 400)
	raw, err := notice.Mail(l)
	if err != nil {
		t.Fatal(err)
	}
	sound(t, raw)
	p := read(t, raw)
	if p.header.Get("Bcc") != "" || len(p.header["Subject"]) != 1 {
		t.Errorf("a header field was smuggled in: %v", p.header)
	}
	to, err := p.header.AddressList("To")
	if err != nil || len(to) != 1 || to[0].Address != l.To || !strings.HasPrefix(to[0].Name, `Õie "Öö" <evil@x.example>`) {
		t.Errorf("To is %v (%v)", to, err)
	}
	if strings.Contains(p.html, "<b>") || strings.ContainsRune(p.subject+p.text+p.html, '\u202e') {
		t.Error("markup or a direction mark of a name got through")
	}
}

func TestDaysThatArePastAreNotOffered(t *testing.T) {
	it := bagOn()
	it.CanGo = []civil.Date{day("05-03"), day("05-04"), day("05-06")}
	raw, err := notice.Mail(letter("x.1", "05-04", it))
	if err != nil {
		t.Fatal(err)
	}
	if p := read(t, raw); !strings.Contains(p.subject, "Sun 4 or Tue 6 May") || strings.Contains(p.text, "Best: Sat 3") {
		t.Errorf("%s\n%s", p.subject, p.text)
	}
}

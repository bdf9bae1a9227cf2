package notice_test

import (
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/report"
	"budcall/internal/trail"
	"budcall/internal/words"
)

func TestWhatMailsAreWrittenInIsWhatRepliesAreReadIn(t *testing.T) {
	if got := report.Languages(); !slices.Equal(got, words.Languages()) {
		t.Errorf("replies are read in %v, mails are written in %v", got, words.Languages())
	}
}

// Every mailto link of every task's mail, in every language, sent as it is, is
// read back as exactly what the link says that it says.
func TestEveryPrefilledReplyIsReadBackInItsLanguage(t *testing.T) {
	for _, lang := range words.Languages() {
		c := words.For(lang)
		for _, task := range call.Tasks {
			l := asking(task)
			l.Lang = lang
			raw, err := notice.Mail(l)
			if err != nil {
				t.Fatal(err)
			}
			text := parts(t, raw)["text/plain"]
			going := c.Text(words.MailtoGoing, words.Args{"day": c.Day(l.Items[0].Best)})
			want := map[string]trail.Kind{c.Text(words.MailtoTrees): "", going: trail.Going, c.Text(words.MailtoCannot): trail.CannotGo}
			if task == call.SendKit {
				want[c.Text(words.MailtoWord)] = trail.KitArrived
			} else if task == call.ShortSeason {
				want[c.Text(words.MailtoWord)] = trail.Understood
			}
			links := mailtoLink.FindAllStringIndex(text, -1)
			if len(links) == 0 {
				t.Errorf("%s, %s: no link writes a mail", lang, task)
			}
			before := 0
			for _, at := range links {
				said, link := strings.Join(strings.Fields(text[before:at[0]]), " "), text[at[0]:at[1]]
				before = at[1]
				kind, known := trail.Kind(""), false
				for label, k := range want {
					if strings.HasSuffix(said, label+":") {
						kind, known = k, true
					}
				}
				r := reading(t, l, link, func(s string) string { return s })
				switch {
				case !known:
					t.Errorf("%s, %s: a link of unknown meaning: %q", lang, task, said)
				case r.Language != lang || len(r.Unread) > 0:
					t.Errorf("%s, %s: %q is read in %s, unread %v", lang, task, link, r.Language, r.Unread)
				case kind == "" && len(r.Reports) > 0:
					t.Errorf("%s, %s: the trees, untouched, say %+v", lang, task, r.Reports)
				case kind != "" && (r.Outcome != report.Stored || len(r.Reports) != 1 || r.Reports[0].Kind != kind):
					t.Errorf("%s, %s: %q says %q and is read as %s, %+v", lang, task, link, said, r.Outcome, r.Reports)
				case kind == trail.Going && r.Reports[0].On != l.Items[0].Best:
					t.Errorf("%s, %s: %q is read as %s", lang, task, link, r.Reports[0].On)
				}
			}
		}
	}
}

// The words that forms, mails and receipts have for what can be reported are
// understood when somebody writes them in a reply.
func TestTheWordsOfTheCatalogueAreReadInReplies(t *testing.T) {
	for _, lang := range words.Languages() {
		c := words.For(lang)
		sat := civil.MustParse("2031-05-10")
		for _, row := range []struct {
			says string
			task call.Task
			kind trail.Kind
		}{
			{"T1 " + c.Text(words.FormWhole), call.CheckBags, trail.BagsFine},
			{"T1 " + c.Text(words.FormTorn), call.CheckBags, trail.BagsTorn},
			{"T1 " + c.Text(words.FormBears), call.SurveyTrees, trail.CatkinsSeen},
			{"T1 " + c.Text(words.FormNoCatkins), call.SurveyTrees, trail.NoCatkins},
			{"T1 " + c.Text(words.FormTreeNothing), call.PickSeed, trail.NothingToPick},
			{c.Report(trail.Report{Kind: trail.NothingToPick}), call.PickSeed, trail.NothingToPick},
			{c.Text(words.FormSeedBrown), call.LookAtSeed, trail.SeedBrown},
			{c.Text(words.FormSeedGreen), call.LookAtSeed, trail.SeedGreen},
			{c.Report(trail.Report{Kind: trail.SeedBrown}), call.LookAtSeed, trail.SeedBrown},
			{c.Report(trail.Report{Kind: trail.SeedGreen}), call.LookAtSeed, trail.SeedGreen},
			{c.Report(trail.Report{Kind: trail.KitArrived}), call.SendKit, trail.KitArrived},
			{c.Report(trail.Report{Kind: trail.CannotGo}), call.BagOn, trail.CannotGo},
			{c.Report(trail.Report{Kind: trail.Going, On: sat}), call.BagOn, trail.Going},
		} {
			l := asking(row.task)
			l.Lang = lang
			r := reading(t, l, "mailto:"+url.PathEscape(l.ReplyTo)+"?subject="+url.PathEscape(report.Subject("x", l.ID))+"&body=x", func(string) string { return row.says + "\r\n" })
			if r.Outcome != report.Stored || len(r.Reports) != 1 || r.Reports[0].Kind != row.kind || row.kind == trail.Going && r.Reports[0].On != sat {
				t.Errorf("%s: %q is %s, %+v, unread %v; want %s", lang, row.says, r.Outcome, r.Reports, r.Unread, row.kind)
			}
		}
	}
}

// No mail about calls holds a word of the English catalogue in another language.
func TestMailsAreWhollyInTheirLanguage(t *testing.T) {
	english := words.For("en")
	for _, lang := range []string{"fi", "sv"} {
		for _, task := range call.Tasks {
			l := asking(task)
			l.Lang = lang
			raw, err := notice.Mail(l)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(raw), "Content-Language: "+lang) {
				t.Errorf("%s, %s: Content-Language is missing", lang, task)
			}
			text := parts(t, raw)["text/plain"]
			for _, k := range []words.Key{words.FactWhen, words.FactWhere, words.FactWhy, words.FactHow, words.FactCautions, words.ButtonAnswer, words.MailtoHead, words.WhyForecast} {
				if strings.Contains(text, english.Text(k)) {
					t.Errorf("%s, %s: holds %q", lang, task, english.Text(k))
				}
			}
		}
	}
}

// What a letter says in another language shares no line that has words with
// the same letter in English but those that hold names, numbers or addresses.
func TestOverviewsAndReceiptsAreWhollyInTheirLanguage(t *testing.T) {
	for name, l := range map[string]notice.Letter{"weekly": weekly(), "quiet": quietWeek(), "receipt": receipt(notice.Receipt), "tap": receipt(notice.Tap), "unread": receipt(notice.Unread)} {
		if l.Week != nil {
			w := *l.Week
			w.Troubles, l.Week = nil, &w // written for the ops person, in English
		}
		english := sentences(t, l)
		for _, lang := range []string{"fi", "sv"} {
			l.Lang = lang
			found := sentences(t, l)
			if len(found) < 4 {
				t.Fatalf("%s: only %q", name, found)
			}
			for _, s := range found {
				if slices.Contains(english, s) && wordy.MatchString(shared.ReplaceAllString(s, "")) {
					t.Errorf("%s, %s: %q is left in English", lang, name, s)
				}
			}
		}
	}
}

var (
	wordy  = regexp.MustCompile(`\p{L}{3}`)
	shared = regexp.MustCompile(`https?://\S+|Aino|Hietavirta|Petri|Mäkitörmä|Liis|Õunapuu|Kolmivaara|KOL|Ylämaan|Pikkulampi|YLA|Hietala|HIE|Rannanpelto|RAN|Ylitalo|YLI|Invented Birches|Northern Birch Selfing`)
)

// sentences gives what the HTML of a letter says, piece by piece.
func sentences(t *testing.T, l notice.Letter) (all []string) {
	t.Helper()
	_, body, _ := strings.Cut(string(notice.HTML(l)), "</style>")
	for _, part := range strings.Split(body, "<")[1:] {
		if _, text, _ := strings.Cut(part, ">"); strings.TrimSpace(text) != "" {
			all = append(all, strings.TrimSpace(text))
		}
	}
	return all
}

package web_test

import (
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/trail"
	"budcall/internal/web"
	"budcall/internal/words"
)

// Today of every row is Saturday 3 May 2031; the trees asked of are T1, T2 and
// T3, T4 needs nothing more. Expected values by hand, from what the form says.
var formRows = []struct {
	name string
	task call.Task
	in   string   // as a browser sends it
	want []string // reports as short texts
	bad  []string // field and key of each problem
}{
	{"bags of one tree", call.BagOn, "selfing.T1=2&control.T1=1", []string{"bags on T1 2+1 2031-05-03"}, nil},
	{"catkins counted, none, and a tree not looked at", call.SurveyTrees, "catkins.T1=yes&count.T1=120&catkins.T2=none", []string{"catkins seen T1 120 2031-05-03", "no catkins T2 2031-05-03"}, nil},
	{"a count alone says that there are some", call.SurveyTrees, "count.T1=7", []string{"catkins seen T1 7 2031-05-03"}, nil},
	{"none at all", call.SurveyTrees, "bare=yes", []string{"no catkins 2031-05-03"}, nil},
	{"none, and a count", call.SurveyTrees, "catkins.T1=none&count.T1=3", nil, []string{"count.T1 problem.both-catkins"}},
	{"none at all, but some on a tree", call.SurveyTrees, "bare=yes&catkins.T1=yes", nil, []string{"bare problem.both-catkins"}},
	{"buds swollen, no green tip", call.LookAtBuds, "seen.01=yes&seen.07=no", []string{"stage seen 1 2031-05-03", "not yet seen 7 2031-05-03"}, nil},
	{"bags whole, torn and off", call.CheckBags, "torn.T1=yes&torn.T2=torn&torn_selfing.T2=1&torn.T3=off", []string{"bags fine T1 2031-05-03", "bags torn T2 1+0 2031-05-03", "bags off T3 2031-05-03"}, nil},
	{"how many are torn says that some are", call.CheckBags, "torn_control.T1=1", []string{"bags torn T1 0+1 2031-05-03"}, nil},
	{"all whole but one", call.CheckBags, "fine=T1+T2&torn.T2=torn", []string{"bags torn T2 2031-05-03", "bags fine T1 2031-05-03"}, nil},
	{"more torn than hang", call.CheckBags, "torn.T2=torn&torn_selfing.T2=9", nil, []string{"torn_selfing.T2 problem.count"}},
	{"whole, and one torn", call.CheckBags, "torn.T1=yes&torn_selfing.T1=1", nil, []string{"torn_selfing.T1 problem.both-torn"}},
	{"a tree with green tips is left", call.BagOn, "green.T2=yes", []string{"stage seen T2 7 2031-05-03"}, nil},
	{"packets received", call.LotExpected, "selfing.T1=2&control.T1=1&received.T2=yes", []string{"lot received T1 2+1 2031-05-03", "lot received T2 2031-05-03"}, nil},
	{"away", call.BagOn, "answer=away&away_from=2031-05-04&away_until=2031-05-10", []string{"away 2031-05-03 on 2031-05-04 until 2031-05-10"}, nil},
	{"the days of an absence say it without its choice", call.BagOn, "answer=&away_from=2031-05-04&away_until=2031-05-10", []string{"away 2031-05-03 on 2031-05-04 until 2031-05-10"}, nil},
	{"away without an end", call.BagOn, "answer=away&away_from=2031-05-04", nil, []string{"away_until problem.away-days"}},
	{"back before leaving", call.BagOn, "answer=away&away_from=2031-05-04&away_until=2031-05-03", nil, []string{"away_until problem.away-order"}},
	{"an absence beside a day to go", call.BagOn, "answer=2031-05-04&away_from=2031-05-04&away_until=2031-05-10", nil, []string{"away_from problem.two-answers"}},
	{"danger", call.BagOn, "answer=unsafe", []string{"unsafe 2031-05-03"}, nil},
	{"not allowed", call.TakeOff, "answer=no-permission", []string{"no permission 2031-05-03"}, nil},
	{"a problem in words", call.BagOn, "problem=the+gate+is%0D%0Alocked", []string{"problem the gate is locked 2031-05-03"}, nil},
	{"bags of two trees on an earlier day", call.BagOn, "day=2031-05-01&selfing.T1=2&control.T1=1&selfing.T2=3&control.T2=0", []string{"bags on T1 2+1 2031-05-01", "bags on T2 3+0 2031-05-01"}, nil},
	{"trees out of order come in the form's order", call.BagOn, "selfing.T3=1&control.T3=1&selfing.T1=2&control.T1=1", []string{"bags on T1 2+1 2031-05-03", "bags on T3 1+1 2031-05-03"}, nil},
	{"a kind left empty and never reported is none", call.BagOn, "selfing.T1=2&control.T1=", []string{"bags on T1 2+0 2031-05-03"}, nil},
	{"none of either takes an earlier report back", call.BagOn, "selfing.T1=0&control.T1=0", []string{"bags on T1 0+0 2031-05-03"}, nil},
	{"a tree that needs nothing more can be corrected", call.BagOn, "selfing.T4=1&control.T4=1", []string{"bags on T4 1+1 2031-05-03"}, nil},
	{"blanks around a number don't matter", call.BagOn, "selfing.T1=+2+&control.T1=1", []string{"bags on T1 2+1 2031-05-03"}, nil},
	{"the same value twice is once", call.BagOn, "selfing.T1=2&selfing.T1=2&control.T1=1", []string{"bags on T1 2+1 2031-05-03"}, nil},
	{"the tick for all says what stands beside it", call.BagOn, "all=T1%3D2%2B1+T2%3D2%2B1", []string{"bags on T1 2+1 2031-05-03", "bags on T2 2+1 2031-05-03"}, nil},
	{"a tree filled in wins over the tick for all", call.BagOn, "all=T1%3D2%2B1+T2%3D2%2B1&selfing.T2=1&control.T2=0", []string{"bags on T2 1+0 2031-05-03", "bags on T1 2+1 2031-05-03"}, nil},
	{"a tick for all that was tampered with", call.BagOn, "all=T9%3D2%2B1", nil, []string{"all problem.changed"}},
	{"a tick for all without numbers", call.BagOn, "all=T1", nil, []string{"all problem.changed"}},
	{"stages seen and not yet", call.BagOn, "seen.01=yes&seen.07=no", []string{"stage seen 1 2031-05-03", "not yet seen 7 2031-05-03"}, nil},
	{"leaves say nothing of flowers", call.BagOn, "seen.07=no&seen.60=yes", []string{"not yet seen 7 2031-05-03", "stage seen 60 2031-05-03"}, nil},
	{"an earlier stage not yet, a later one seen", call.BagOn, "seen.01=no&seen.07=yes", nil, []string{"seen.01 problem.stages"}},
	{"flowers before buds swell", call.BagOn, "seen.01=no&seen.60=yes", nil, []string{"seen.01 problem.stages"}},
	{"bags on a tree that is left for its green tips", call.BagOn, "selfing.T1=2&control.T1=1&green.T1=yes", nil, []string{"green.T1 problem.both-green"}},
	{"none on a tree that is left", call.BagOn, "selfing.T1=0&control.T1=0&green.T1=yes", []string{"bags on T1 0+0 2031-05-03", "stage seen T1 7 2031-05-03"}, nil},
	{"more bags than anybody hangs on a tree", call.BagOn, "selfing.T1=50&control.T1=1", nil, []string{"selfing.T1 problem.count"}},
	{"the same among flowers", call.TakeOff, "seen.60=no&seen.69=yes", nil, []string{"seen.60 problem.stages"}},
	{"a stage that this form doesn't ask of", call.BagOn, "seen.89=yes", nil, []string{" problem.changed"}},
	{"a stage with a word of its own", call.BagOn, "seen.07=maybe", nil, []string{"seen.07 problem.choice"}},
	{"going on a day told", call.BagOn, "answer=2031-05-04", []string{"going 2031-05-03 on 2031-05-04"}, nil},
	{"going today", call.BagOn, "answer=2031-05-03", []string{"going 2031-05-03 on 2031-05-03"}, nil},
	{"going on another day", call.BagOn, "answer=other&other_day=2031-05-20", []string{"going 2031-05-03 on 2031-05-20"}, nil},
	{"another day without its choice still counts", call.BagOn, "answer=&other_day=2031-05-20", []string{"going 2031-05-03 on 2031-05-20"}, nil},
	{"another day chosen but not filled in", call.BagOn, "answer=other", nil, []string{"other_day problem.other-day"}},
	{"another day beside can't", call.BagOn, "answer=cannot&other_day=2031-05-20", nil, []string{"other_day problem.two-answers"}},
	{"another day beside a day told", call.BagOn, "answer=2031-05-04&other_day=2031-05-20", nil, []string{"other_day problem.two-answers"}},
	{"going yesterday", call.BagOn, "answer=2031-05-02", nil, []string{"answer problem.past"}},
	{"going next year", call.BagOn, "answer=other&other_day=2032-05-02", nil, []string{"other_day problem.far"}},
	{"going on a day that doesn't exist", call.BagOn, "answer=other&other_day=2031-06-31", nil, []string{"other_day problem.date"}},
	{"can't", call.BagOn, "answer=cannot", []string{"can't 2031-05-03"}, nil},
	{"an answer keeps today though the report is older, and comes last", call.BagOn, "day=2031-05-01&answer=2031-05-04&selfing.T1=2&control.T1=1", []string{"bags on T1 2+1 2031-05-01", "going 2031-05-03 on 2031-05-04"}, nil},
	{"two answers", call.BagOn, "answer=cannot&answer=2031-05-04", nil, []string{"answer problem.twice"}},
	{"nothing at all", call.BagOn, "key=K&day=2031-05-03&selfing.T1=&answer=", nil, []string{" problem.nothing"}},
	{"tomorrow's report", call.BagOn, "day=2031-05-04&selfing.T1=2", nil, []string{"day problem.future"}},
	{"a report of last year", call.BagOn, "day=2030-12-31&selfing.T1=2", nil, []string{"day problem.season"}},
	{"a day in another order", call.BagOn, "day=3.5.2031&selfing.T1=2", nil, []string{"day problem.date"}},
	{"a negative number", call.BagOn, "selfing.T1=-1&control.T1=1", nil, []string{"selfing.T1 problem.count"}},
	{"a huge number", call.BagOn, "selfing.T1=100", nil, []string{"selfing.T1 problem.count"}},
	{"a number beyond all numbers", call.BagOn, "selfing.T1=99999999999999999999999", nil, []string{"selfing.T1 problem.count"}},
	{"half a bag", call.BagOn, "selfing.T1=1.5", nil, []string{"selfing.T1 problem.count"}},
	{"a number in words", call.BagOn, "control.T2=two", nil, []string{"control.T2 problem.count"}},
	{"digits of another script", call.BagOn, "control.T2=%D9%A2", nil, []string{"control.T2 problem.count"}},
	{"a number given twice and differently", call.BagOn, "selfing.T1=1&selfing.T1=2", nil, []string{"selfing.T1 problem.twice"}},
	{"a tree of another site", call.BagOn, "selfing.T9=1&selfing.T1=2", nil, []string{" problem.tree"}},
	{"a tree of another site, left empty", call.BagOn, "selfing.T9=&selfing.T1=2&control.T1=1", []string{"bags on T1 2+1 2031-05-03"}, nil},
	{"a field of another form", call.BagOn, "kit=yes", nil, []string{" problem.changed"}},
	{"one wrong field keeps the right ones from being stored", call.BagOn, "selfing.T1=2&control.T1=1&selfing.T2=x", nil, []string{"selfing.T2 problem.count"}},
	{"every wrong field is named", call.BagOn, "selfing.T1=x&day=x&answer=x", nil, []string{"day problem.date", "selfing.T1 problem.count", "answer problem.date"}},

	{"bags off one tree", call.TakeOff, "off.T2=yes", []string{"bags off T2 2031-05-03"}, nil},
	{"all bags off, one ticked besides", call.TakeOff, "off.T2=yes&all=T1+T2+T3", []string{"bags off T2 2031-05-03", "bags off T1 2031-05-03", "bags off T3 2031-05-03"}, nil},
	{"all bags off of unknown trees", call.TakeOff, "all=T1+T9", nil, []string{"all problem.changed"}},
	{"a tick with a word of its own", call.TakeOff, "off.T2=on", nil, []string{"off.T2 problem.choice"}},
	{"seed brown", call.LookAtSeed, "seed=brown&day=2031-05-02", []string{"seed brown 2031-05-02"}, nil},
	{"seed green", call.LookAtSeed, "seed=green", []string{"seed green 2031-05-03"}, nil},
	{"seed blue", call.LookAtSeed, "seed=blue", nil, []string{"seed problem.choice"}},
	{"packets of a tree", call.PickSeed, "selfing.T1=2&control.T1=1", []string{"packets picked T1 2+1 2031-05-03"}, nil},
	{"packets of one kind only", call.PickSeed, "selfing.T1=2", []string{"packets picked T1 2+0 2031-05-03"}, nil},
	{"nothing to pick from a tree", call.PickSeed, "none.T1=yes", []string{"nothing to pick T1 2031-05-03"}, nil},
	{"nothing to pick from a tree, with noughts", call.PickSeed, "none.T1=yes&selfing.T1=0&control.T1=0", []string{"nothing to pick T1 2031-05-03"}, nil},
	{"nothing to pick at all", call.PickSeed, "nothing=yes", []string{"nothing to pick 2031-05-03"}, nil},
	{"packets and nothing to pick of one tree", call.PickSeed, "none.T1=yes&selfing.T1=1", nil, []string{"selfing.T1 problem.both-picked"}},
	{"packets and nothing to pick at all", call.PickSeed, "nothing=yes&selfing.T1=1", nil, []string{"nothing problem.nothing-at-all"}},
	{"no packets", call.PickSeed, "selfing.T1=0&control.T1=0", nil, []string{"selfing.T1 problem.zero-packets"}},
	{"no packets of one kind, the other empty", call.PickSeed, "control.T1=0", nil, []string{"selfing.T1 problem.zero-packets"}},
	{"a wrong number of packets is named once", call.PickSeed, "selfing.T1=0&control.T1=x", nil, []string{"control.T1 problem.count"}},
	{"the kit arrived", call.SendKit, "kit=yes&day=2031-04-30", []string{"kit arrived 2031-04-30"}, nil},
	{"the kit goes off on a day", call.SendKit, "answer=2031-05-05", []string{"going 2031-05-03 on 2031-05-05"}, nil},
	{"a short season is understood", call.ShortSeason, "understood=yes", []string{"understood 2031-05-03"}, nil},
	{"bags in a form that has no trees", call.ShortSeason, "selfing.T1=1", nil, []string{" problem.changed"}},
}

func TestAFormSays(t *testing.T) {
	for _, row := range formRows {
		t.Run(row.name, func(t *testing.T) {
			in, err := url.ParseQuery(row.in)
			if err != nil {
				t.Fatal(err)
			}
			list, problems := web.ReadForm(in, formOf(row.task))
			var got, bad []string
			for _, r := range list {
				got = append(got, short(r))
				if r.Person != "ada" || r.Site != "kolmi" || r.Task != string(row.task) || r.Way != "form" {
					t.Errorf("the report lacks whose it is: %+v", r)
				}
			}
			for _, p := range problems {
				bad = append(bad, p.Field+" "+string(p.Key))
			}
			if !slices.Equal(got, row.want) || !slices.Equal(bad, row.bad) {
				t.Errorf("says %q, problems %q\nwant %q, problems %q", got, bad, row.want, row.bad)
			}
		})
	}
}

func short(r trail.Report) string {
	parts := []string{string(r.Kind)}
	if r.Tree != "" {
		parts = append(parts, r.Tree)
	}
	if r.BBCH != 0 {
		parts = append(parts, fmt.Sprint(r.BBCH))
	}
	if r.Count != 0 {
		parts = append(parts, fmt.Sprint(r.Count))
	}
	if r.Note != "" {
		parts = append(parts, r.Note)
	}
	if r.Kind == trail.BagsOn || r.Selfing+r.Control > 0 {
		parts = append(parts, fmt.Sprintf("%d+%d", r.Selfing, r.Control))
	}
	parts = append(parts, r.Day.String())
	if r.On != 0 {
		parts = append(parts, "on", r.On.String())
	}
	if r.Until != 0 {
		parts = append(parts, "until", r.Until.String())
	}
	return strings.Join(parts, " ")
}

func TestAKindLeftEmptyStaysAsReported(t *testing.T) {
	f := formOf(call.BagOn)
	f.Reports = []trail.Report{
		{Kind: trail.BagsOn, Tree: "T1", Selfing: 2, Control: 1, Day: f.Today - 1},
		{Kind: trail.BagsOn, Tree: "T1", Selfing: 9, Control: 9, Day: f.Today - 2},
	}
	list, problems := web.ReadForm(url.Values{"selfing.T1": {"3"}}, f)
	if len(problems) > 0 || len(list) != 1 || short(list[0]) != "bags on T1 3+1 2031-05-03" {
		t.Errorf("%v %v", list, problems)
	}
}

func TestProblemsAreSaidBesideTheirFields(t *testing.T) {
	for _, row := range formRows {
		if row.bad == nil {
			continue
		}
		in, _ := url.ParseQuery(row.in)
		m := newMemory(row.task)
		w := post(t, newPages(m), formPath(claimOf(row.task)), in)
		page := w.Body.String()
		if w.Code != 422 || len(m.reports)+len(m.keys) > 0 {
			t.Errorf("%s: %d, stored %v", row.name, w.Code, m.reports)
		}
		for _, b := range row.bad {
			field, key, _ := strings.Cut(b, " ")
			text, _, _ := strings.Cut(words.For("en").Text(words.Key(key)), "{")
			want := 2 // in the list above and beside the field
			if field == "" {
				want = 1
			}
			if n := strings.Count(strings.NewReplacer("&#39;", "'").Replace(page), text); n < want {
				t.Errorf("%s: %q is said %d times, want %d:\n%s", row.name, text, n, want, page)
			}
		}
	}
}

func TestAFormSentTwiceIsStoredOnce(t *testing.T) {
	m := newMemory(call.BagOn)
	p := newPages(m)
	path := formPath(claimOf(call.BagOn))
	send := func(key, selfing string) string {
		w := post(t, p, path, url.Values{"key": {key}, "selfing.T1": {selfing}, "control.T1": {"1"}})
		if w.Code != 303 {
			t.Fatalf("%d\n%s", w.Code, w.Body)
		}
		return w.Header().Get("Location")
	}
	for i, row := range []struct {
		key, selfing, where string
		stored              int
	}{
		{"A", "2", "?done=stored", 1},
		{"A", "2", "?done=again", 1},  // pressed twice
		{"A", "3", "?done=stored", 2}, // back, corrected, sent: not taken for the same
		{"B", "2", "?done=stored", 3}, // opened anew and corrected back
		{"B", "2", "?done=again", 3},
	} {
		if where := send(row.key, row.selfing); where != row.where || len(m.reports) != row.stored {
			t.Errorf("step %d: %s with %d stored, want %s with %d", i, where, len(m.reports), row.where, row.stored)
		}
	}
	for _, r := range m.reports {
		if !r.At.Equal(noon) {
			t.Errorf("a report came at %v, want the program's time %v", r.At, noon)
		}
	}
	page := get(t, p, path+"?done=stored").Body.String()
	for _, want := range []string{words.For("en").Text(words.FormStored), "bags on T1: 2 selfing bags and 1 control bag"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page after lacks %q", want)
		}
	}
}

func FuzzReports(f *testing.F) {
	for i, row := range formRows {
		f.Add(i, row.in)
	}
	f.Fuzz(func(t *testing.T, which int, body string) {
		in, err := url.ParseQuery(body)
		if err != nil {
			return
		}
		task := call.Tasks[((which%6)+6)%6]
		form := formOf(task)
		list, problems := web.ReadForm(in, form)
		if (len(list) == 0) == (len(problems) == 0) {
			t.Fatalf("%d reports and %d problems", len(list), len(problems))
		}
		for i, r := range list {
			if r.Selfing < 0 || r.Selfing > 99 || r.Control < 0 || r.Control > 99 {
				t.Errorf("bags out of range: %+v", r)
			}
			if r.Day > form.Today || r.Day < civil.MustParse("2031-01-01") || r.On != 0 && r.On < form.Today {
				t.Errorf("a day out of range: %+v", r)
			}
			if r.Kind.Answer() && i != len(list)-1 {
				t.Errorf("an answer doesn't come last: %+v", list)
			}
			if r.Tree != "" && !slices.Contains([]string{"T1", "T2", "T3", "T4"}, r.Tree) {
				t.Errorf("an unknown tree: %+v", r)
			}
		}
		again, _ := web.ReadForm(in, form)
		a, _ := json.Marshal(list)
		b, _ := json.Marshal(again)
		if string(a) != string(b) {
			t.Errorf("read twice: %s and %s", a, b)
		}
	})
}

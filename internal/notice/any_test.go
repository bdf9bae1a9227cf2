package notice_test

import (
	"bytes"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/stage"
)

// said is whatever somebody may have written into a name.
var said = rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "\r\n.\r\n", "ä ö õ", `"`, "=?utf-8?q?x?=", "a\x00b", "\xff\xfe", "{days}", "--=_x"}))

func anyDate(t *rapid.T, name string) civil.Date {
	return civil.Date(rapid.Int32Range(0, 1_000_000).Draw(t, name))
}

func anyContact(t *rapid.T) notice.Contact {
	return notice.Contact{Name: said.Draw(t, "name"), Phone: said.Draw(t, "phone"), Role: said.Draw(t, "role")}
}

func anyItem(t *rapid.T) notice.Item {
	standings := []call.Standing{call.Ahead, call.Go, call.Hurry, call.LookFirst, call.TooLate, call.Done, call.NotNeeded, call.Quiet, "odd"}
	reasons := []call.Reason{call.DaysMoved, call.PromisePast, call.NobodyElseKnown, call.SeedInDoubt, call.ReportedPast, "odd"}
	it := notice.Item{
		Site: said.Draw(t, "site"), SiteName: said.Draw(t, "site name"),
		Task:     rapid.SampledFrom(append([]call.Task{"odd"}, call.Tasks...)).Draw(t, "task"),
		Standing: rapid.SampledFrom(standings).Draw(t, "standing"), Reason: rapid.SampledFrom(reasons).Draw(t, "reason"),
		Days: civil.Range{First: anyDate(t, "first"), Last: anyDate(t, "last")}, Best: anyDate(t, "best"),
		Second: rapid.Bool().Draw(t, "second"), Expires: anyDate(t, "expires"),
		Link: rapid.SampledFrom([]string{"", "https://a.example/f/x", "http://127.0.0.1:80/f?x=1&y=2"}).Draw(t, "link"),
	}
	for n := range rapid.IntRange(0, 6).Draw(t, "days") {
		it.CanGo = append(it.CanGo, it.Days.First+civil.Date(n*2))
	}
	for range rapid.IntRange(0, 3).Draw(t, "trees") {
		it.Trees = append(it.Trees, notice.TreeNeed{Code: said.Draw(t, "code"), Short: said.Draw(t, "short"),
			Selfing: rapid.IntRange(-1, 9).Draw(t, "selfing"), Control: rapid.IntRange(-1, 9).Draw(t, "control")})
	}
	if rapid.Bool().Draw(t, "passed") {
		it.Passed = &notice.PassedOn{From: []notice.Contact{anyContact(t), anyContact(t)}, AskedAt: []time.Time{time.Unix(1e9, 0)}}
	}
	number := rapid.Float64()
	it.Why = notice.Why{
		Stage: stage.BBCH(rapid.IntRange(-1, 100).Draw(t, "stage")), StageName: said.Draw(t, "stage name"),
		HeatCd: number.Draw(t, "heat"), NeedCd: number.Draw(t, "need"), BaseC: number.Draw(t, "base"), Since: anyDate(t, "since"),
		P10: anyDate(t, "p10"), P50: anyDate(t, "p50"), P90: anyDate(t, "p90"), GoOn: anyDate(t, "go"), GoLate: number.Draw(t, "late"),
		WaitFor: anyDate(t, "wait"), Earliest: number.Draw(t, "earliest"), Chance: number.Draw(t, "chance"), SeasonEnd: anyDate(t, "end"),
		Reading: anyDate(t, "reading"), Station: said.Draw(t, "station"), DistanceKm: number.Draw(t, "km"), HigherM: number.Draw(t, "m"),
	}
	return it
}

func anyLetter(t *rapid.T) notice.Letter {
	l := notice.Letter{
		ID: rapid.StringMatching(`[a-z0-9]{1,40}(\.[A-Za-z0-9=/+-]{1,30}){0,4}`).Draw(t, "id"), Domain: "mail.birch.example",
		Kind:      rapid.SampledFrom([]notice.Kind{notice.Calls, notice.Passed, notice.Ops, notice.Test}).Draw(t, "kind"),
		Programme: said.Draw(t, "programme"), From: "calls@birch.example", FromName: said.Draw(t, "from"),
		To: rapid.StringMatching(`[a-z0-9+_-]{1,60}@[a-z0-9]{1,60}\.example`).Draw(t, "to"), ToName: said.Draw(t, "to name"),
		ReplyTo: rapid.SampledFrom([]string{"", "reply@birch.example"}).Draw(t, "reply to"), Lang: said.Draw(t, "lang"),
		At: time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "at"), 0).UTC(), Today: anyDate(t, "today"), Late: rapid.Bool().Draw(t, "is late"),
		Coordinator: anyContact(t), Trouble: []string{said.Draw(t, "trouble")},
		Thread: rapid.SliceOfN(rapid.StringMatching(`[a-z0-9]{1,60}`), 0, 40).Draw(t, "thread"),
	}
	for range rapid.IntRange(1, 3).Draw(t, "items") {
		l.Items = append(l.Items, anyItem(t))
	}
	return l
}

func TestAnyLetterIsASoundMail(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLetter(t)
		raw, err := notice.Mail(l)
		if err != nil {
			t.Fatalf("%v", err)
		}
		sound(t, raw)
		p := read(t, raw)
		if p.text == "" || p.html == "" {
			t.Fatalf("an empty part")
		}
		to, err := p.header.AddressList("To")
		if err != nil || len(to) != 1 || to[0].Address != l.To {
			t.Fatalf("To is %v (%v), want %s", to, err, l.To)
		}
		for _, field := range []string{"Date", "From", "To", "Subject", "Message-Id", "Auto-Submitted", "Content-Type"} {
			if len(p.header[field]) != 1 {
				t.Fatalf("%d fields %s in %v", len(p.header[field]), field, p.header)
			}
		}
		again, err := notice.Mail(l)
		if err != nil || !bytes.Equal(raw, again) {
			t.Fatalf("the same letter gives other bytes (%v)", err)
		}
	})
}

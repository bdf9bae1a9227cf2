package tell_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/notice"
	"budcall/internal/tell"
)

// at is half past eleven in the evening in UTC: the next day further east.
var at = time.Date(2031, 5, 2, 23, 30, 0, 0, time.UTC)

func directory() tell.Directory {
	return tell.Directory{
		Programme: "Invented Birches", Domain: "mail.birch.example", From: "calls@birch.example", FromName: "Invented Birches",
		Ops: "ops", Coordinator: "liis",
		People: map[string]tell.Person{
			"aino": {Name: "Aino", Address: "aino@birch.example", Lang: "en", Zone: time.FixedZone("", 3*3600)},
			"liis": {Name: "Liis", Address: "liis@birch.example", Phone: "+372 5000 0103", Lang: "en", Zone: time.FixedZone("", 2*3600)},
			"ops":  {Name: "Odd", Address: "ops@birch.example", Lang: "en", Zone: time.UTC},
			"zero": {Name: "Zero", Address: "zero@birch.example", Lang: "en"},
		},
	}
}

func due(id int64, person string, standing call.Standing) notice.Due {
	return notice.Due{ID: id, Person: person, Season: 2031, At: at, Item: notice.Item{
		Site: "KOLMI", SiteName: "Kolmivaara", Task: call.BagOn, Standing: standing, Reason: call.BestDaysBegin,
	}}
}

func passed(d notice.Due) notice.Due {
	d.Passed = true
	return d
}

func letters(t *testing.T, o tell.Occasion, owed ...notice.Due) []notice.Envelope {
	t.Helper()
	out, err := tell.Letters(directory(), o, owed)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func content(t *testing.T, e notice.Envelope) notice.Letter {
	t.Helper()
	var l notice.Letter
	if err := json.Unmarshal(e.Content, &l); err != nil {
		t.Fatal(err)
	}
	return l
}

func TestWhatIsOwedGoesIntoThisManyLetters(t *testing.T) {
	type want struct {
		target, kind string
		owed         []int64
	}
	for _, r := range []struct {
		what     string
		owed     []notice.Due
		troubles []string
		want     []want
	}{
		{"nothing owed is no letter", nil, nil, nil},
		{"all of one person's calls are one letter", []notice.Due{due(1, "aino", call.Go), due(2, "aino", call.Ahead), due(3, "aino", call.Hurry)}, nil, []want{{"aino", "calls", []int64{1, 2, 3}}}},
		{"each person has their own", []notice.Due{due(1, "liis", call.Go), due(2, "aino", call.Go)}, nil, []want{{"aino", "calls", []int64{2}}, {"liis", "calls", []int64{1}}}},
		{"what was passed on comes apart", []notice.Due{due(1, "aino", call.Go), passed(due(2, "aino", call.Go)), passed(due(3, "aino", call.Hurry))}, nil, []want{{"aino", "calls", []int64{1}}, {"aino", "passed", []int64{2, 3}}}},
		{"what nobody is left for goes to the ops person", []notice.Due{passed(due(1, "", call.Go)), due(2, "aino", call.Go)}, nil, []want{{"ops", "ops", []int64{1}}, {"aino", "calls", []int64{2}}}},
		{"and what is for somebody unknown", []notice.Due{due(1, "gone", call.Go)}, nil, []want{{"ops", "ops", []int64{1}}}},
		{"with what else is wrong, in one", []notice.Due{passed(due(1, "", call.Go)), due(2, "gone", call.Go)}, []string{"The relay is down. Look after it."}, []want{{"ops", "ops", []int64{1, 2}}}},
		{"trouble alone is a letter", nil, []string{"The relay is down. Look after it."}, []want{{"ops", "ops", nil}}},
		{"the ops person's own calls come apart from trouble", []notice.Due{due(1, "ops", call.Go)}, []string{"The relay is down. Look after it."}, []want{{"ops", "calls", []int64{1}}, {"ops", "ops", nil}}},
	} {
		var got []want
		for _, e := range letters(t, tell.Occasion{At: at, Troubles: r.troubles}, r.owed...) {
			owed := e.Owed
			if len(owed) == 0 {
				owed = nil
			}
			got = append(got, want{e.Target, e.Kind, owed})
			if e.Channel != notice.ByMail || !e.WrittenAt.Equal(at) || !e.ExpiresAt.Equal(at.Add(24*time.Hour)) {
				t.Errorf("%s: %+v", r.what, e.Parcel)
			}
		}
		if !reflect.DeepEqual(got, r.want) {
			t.Errorf("%s:\n got %v\nwant %v", r.what, got, r.want)
		}
	}
}

func TestWhatCannotWaitComesFirst(t *testing.T) {
	e := letters(t, tell.Occasion{At: at},
		due(1, "aino", call.Done), due(2, "aino", call.NotNeeded), due(3, "aino", call.Ahead), due(4, "aino", call.TooLate),
		due(5, "aino", call.Go), due(6, "aino", call.LookFirst), due(7, "aino", call.Hurry))
	var got []call.Standing
	for _, i := range content(t, e[0]).Items {
		got = append(got, i.Standing)
	}
	want := []call.Standing{call.Hurry, call.LookFirst, call.Go, call.TooLate, call.Ahead, call.NotNeeded, call.Done}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestALetterIsOfThePersonsDay(t *testing.T) {
	for person, day := range map[string]string{"aino": "2031-05-03", "liis": "2031-05-03", "ops": "2031-05-02", "zero": "2031-05-02"} {
		l := content(t, letters(t, tell.Occasion{At: at}, due(1, person, call.Go))[0])
		if l.Today != civil.MustParse(day) || !l.At.Equal(at) {
			t.Errorf("%s: written on %s, at %s", person, l.Today, l.At)
		}
	}
}

func TestALetterSaysWhoItIsFromAndWhomToRing(t *testing.T) {
	l := content(t, letters(t, tell.Occasion{At: at, Late: true}, due(1, "aino", call.Go))[0])
	if l.To != "aino@birch.example" || l.From != "calls@birch.example" || l.Domain != "mail.birch.example" || !l.Late ||
		l.Coordinator != (notice.Contact{Name: "Liis", Phone: "+372 5000 0103", Role: "coordinator"}) {
		t.Errorf("%+v", l)
	}
	if own := content(t, letters(t, tell.Occasion{At: at}, due(1, "liis", call.Go))[0]); own.Coordinator != (notice.Contact{}) || own.Late {
		t.Errorf("the coordinator is told to ring %+v, late %v", own.Coordinator, own.Late)
	}
}

func TestThreadsOfALettersCallsAreOne(t *testing.T) {
	a, b := due(1, "aino", call.Go), due(2, "aino", call.Hurry)
	a.Thread, b.Thread = []string{"20310501T170000-bb", "20310430T170000-aa"}, []string{"20310501T170000-bb", "20310429T170000-cc"}
	l := content(t, letters(t, tell.Occasion{At: at}, a, b)[0])
	if want := []string{"20310429T170000-cc", "20310430T170000-aa", "20310501T170000-bb"}; !slices.Equal(l.Thread, want) {
		t.Errorf("got %v, want %v, oldest first", l.Thread, want)
	}
}

func TestTroubleSaysWhatToDoAndNamesNobodyItNeedNot(t *testing.T) {
	l := content(t, letters(t, tell.Occasion{At: at, Troubles: []string{"The relay is down. Look after it."}}, passed(due(1, "", call.Hurry)), due(2, "gone", call.Go))[0])
	if len(l.Trouble) != 3 || len(l.Items) != 0 {
		t.Fatalf("%+v", l)
	}
	for i, want := range []string{"nobody who could be asked", `"gone"`, "The relay is down"} {
		if !strings.Contains(l.Trouble[i], want) || !strings.HasSuffix(l.Trouble[i], ".") {
			t.Errorf("%q, want it to say %q", l.Trouble[i], want)
		}
	}
}

func TestAnUnknownOpsPersonIsAnError(t *testing.T) {
	d := directory()
	d.Ops = "nobody"
	for what, owed := range map[string][]notice.Due{"nobody is left": {due(1, "", call.Go)}, "trouble alone": nil} {
		_, err := tell.Letters(d, tell.Occasion{At: at, Troubles: []string{"The relay is down. Look after it."}}, owed)
		if err == nil || !strings.Contains(err.Error(), `"nobody"`) || !strings.Contains(err.Error(), "programme.yml") {
			t.Errorf("%s: %v", what, err)
		}
	}
	if _, err := tell.Letters(d, tell.Occasion{At: at}, []notice.Due{due(1, "aino", call.Go)}); err != nil {
		t.Errorf("nothing is for the ops person: %v", err)
	}
}

// Every owed thing is in one letter, once; the same things in whichever order
// give the same letters; and IDs are of their own, sort by time and name nobody.
func TestLettersHoldEverythingOnceUnderIDsOfTheirOwn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var owed []notice.Due
		for id := range int64(rapid.IntRange(0, 12).Draw(t, "owed")) {
			d := due(id+1, rapid.SampledFrom([]string{"aino", "liis", "ops", "zero", "", "gone"}).Draw(t, "person"), call.Go)
			d.Passed = rapid.Bool().Draw(t, "passed")
			owed = append(owed, d)
		}
		o := tell.Occasion{At: at.Add(time.Duration(rapid.IntRange(0, 1e6).Draw(t, "second")) * time.Second)}
		one, err := tell.Letters(directory(), o, owed)
		if err != nil {
			t.Fatal(err)
		}
		seen, ids := map[int64]bool{}, map[string]bool{}
		for _, e := range one {
			for _, id := range e.Owed {
				if seen[id] {
					t.Fatalf("%d is in two letters", id)
				}
				seen[id] = true
			}
			if ids[e.ID] || !strings.HasPrefix(e.ID, o.At.UTC().Format("20060102T150405")+"-") || strings.Contains(e.ID, e.Target) {
				t.Fatalf("ID %q among %v", e.ID, ids)
			}
			ids[e.ID] = true
		}
		if len(seen) != len(owed) {
			t.Fatalf("%d of %d owed things are in letters", len(seen), len(owed))
		}
		again, err := tell.Letters(directory(), o, rapid.Permutation(owed).Draw(t, "order"))
		if err != nil || !reflect.DeepEqual(one, again) {
			t.Fatalf("in another order other letters: %v", err)
		}
	})
}

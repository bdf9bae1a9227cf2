package postgres

import (
	"encoding/json"
	"testing"
	"time"

	"budcall/internal/notice"
)

func propose(t *testing.T, db *DB, key, base, body string, at time.Time) int64 {
	t.Helper()
	id, err := db.ProposeChange(t.Context(), SiteChange{
		Key: key, Site: "HOME", File: "sites/home.yml", Base: []byte(base), Body: []byte(body), Person: "otso", Way: "page", At: at, Preview: json.RawMessage(`{"mails": 2}`),
	})
	if err != nil {
		t.Fatal(err)
	}
	return id
}

func TestAProposedChangeIsKeptOnceByItsKey(t *testing.T) {
	db := memory(t)
	id := propose(t, db, "k1", "a: 1\n", "a: 2\n", may2)
	if again := propose(t, db, "k1", "a: 1\n", "a: 2\n", may2.Add(time.Hour)); again != id {
		t.Errorf("kept again as %d, it was %d", again, id)
	}
	c, found, err := db.Change(t.Context(), id)
	if err != nil || !found || string(c.Base) != "a: 1\n" || string(c.Body) != "a: 2\n" || c.Person != "otso" || c.Standing != ChangeProposed || !c.At.Equal(may2) || !c.DecidedAt.IsZero() || !c.WrittenAt.IsZero() {
		t.Errorf("%+v %v %v", c, found, err)
	}
	if _, found, err := db.Change(t.Context(), id+1); found || err != nil {
		t.Errorf("found one that there isn't: %v", err)
	}
	if list, err := db.Changes(t.Context(), "AWAY"); err != nil || len(list) != 0 {
		t.Errorf("%v %v", list, err)
	}
}

// What a change's standing may be followed by; each step is tried on the change
// as the steps before it left it.
func TestAChangeGoesOnOnce(t *testing.T) {
	db := memory(t)
	id := propose(t, db, "k1", "a: 1\n", "a: 2\n", may2)
	letter := notice.Parcel{ID: "tells", Channel: notice.ByMail, Target: "maia", Kind: "settings", Content: []byte(`{}`), WrittenAt: may2, ExpiresAt: may2.Add(time.Hour)}
	for _, step := range []struct {
		sentence string
		to       ChangeStanding
		done     bool
	}{
		{"one that isn't waiting isn't refused", ChangeRefused, false},
		{"it waits for the coordinator", ChangeWaiting, true},
		{"it waits already", ChangeWaiting, false},
		{"it is accepted", ChangeAccepted, true},
		{"it is accepted already", ChangeAccepted, false},
		{"an accepted one isn't refused", ChangeRefused, false},
	} {
		d := ChangeDecision{ID: id, To: step.to, By: "maia", At: may2, Why: string(step.to)}
		if step.to == ChangeWaiting {
			d.Letters = []notice.Parcel{letter}
		}
		if done, err := db.DecideChange(t.Context(), d); err != nil || done != step.done {
			t.Errorf("%s: %v %v, want %v", step.sentence, done, err, step.done)
		}
	}
	if n := one[int](t, db, `select count(*) from letter where id = 'tells'`); n != 1 {
		t.Errorf("%d letters", n)
	}
	left, err := db.UnwrittenChanges(t.Context())
	if err != nil || len(left) != 1 || left[0].DecidedBy != "maia" || left[0].Why != "accepted" {
		t.Fatalf("not written are %+v, %v", left, err)
	}
	if err := db.WrittenChange(t.Context(), id, may2); err != nil {
		t.Fatal(err)
	}
	if left, err := db.UnwrittenChanges(t.Context()); err != nil || len(left) != 0 {
		t.Errorf("not written are %+v, %v", left, err)
	}
	if done, err := db.DecideChange(t.Context(), ChangeDecision{ID: id, To: ChangeOvertaken, By: "", At: may2}); err != nil || done {
		t.Errorf("one that is written is overtaken: %v", err)
	}
	if person, way, found, err := db.AuthorOf(t.Context(), "sites/home.yml", []byte("a: 2\n")); err != nil || !found || person != "otso" || way != "page" {
		t.Errorf("by %s on %s, %v %v", person, way, found, err)
	}
	if _, _, found, err := db.AuthorOf(t.Context(), "sites/home.yml", []byte("a: 3\n")); err != nil || found {
		t.Errorf("a content that nobody proposed has an author: %v", err)
	}
}

// Two changes of one file: the second is accepted only where it began from what
// the first one made of the file, or from what came later.
func TestOfTwoChangesOfOneFileTheSecondMustKnowTheFirst(t *testing.T) {
	for _, row := range []struct {
		sentence string
		base     string
		began    time.Duration // of the second, after the first was accepted
		written  bool          // the first stands in the folder
		done     bool
	}{
		{"both began from one file", "a: 1\n", -time.Hour, true, false},
		{"it began from the first one", "a: 2\n", time.Hour, true, true},
		{"it began from the first one, within the same moment", "a: 2\n", 0, true, true},
		{"the file was changed by hand since", "a: 9\n", time.Hour, true, true},
		{"the first isn't written yet", "a: 1\n", time.Hour, false, false},
	} {
		t.Run(row.sentence, func(t *testing.T) {
			db := memory(t)
			first := propose(t, db, "k1", "a: 1\n", "a: 2\n", may2.Add(-2*time.Hour))
			second := propose(t, db, "k2", row.base, "a: 3\n", may2.Add(row.began))
			if done, err := db.DecideChange(t.Context(), ChangeDecision{ID: first, To: ChangeAccepted, By: "maia", At: may2}); err != nil || !done {
				t.Fatal(done, err)
			}
			if row.written {
				if err := db.WrittenChange(t.Context(), first, may2); err != nil {
					t.Fatal(err)
				}
			}
			if done, err := db.DecideChange(t.Context(), ChangeDecision{ID: second, To: ChangeAccepted, By: "maia", At: may2.Add(2 * time.Hour)}); err != nil || done != row.done {
				t.Errorf("accepted: %v %v, want %v", done, err, row.done)
			}
		})
	}
}

package app_test

import (
	"context"
	"fmt"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/notice"
	"budcall/internal/postgres"
)

// From the lead's page to the coordinator's yes: what is proposed is checked,
// shown, approved, written into the folder and in force, and both are told.
func TestSettingsAreChangedByThePageWithTheCoordinatorsYes(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "")
	lead, boss, before := r.link("otso"), r.link("maia"), r.file()

	p := r.get(lead)
	says(t, p.said(), "Settings of HOME (invented)", "max_lead_days: 14 to 35", "Beside calls: deputy, lead, name", "code: HOME")
	p = r.propose(lead, before+"calls:\n  max_lead_days: 40\n  last_day_chance: 0.3\n  max_led_days: 3\n")
	if p.status != http.StatusUnprocessableEntity {
		t.Errorf("status %d", p.status)
	}
	says(t, p.said(), "can't be taken as it stands", "Line 12: max_lead_days: 40 is outside 14 to 35", "Line 13: last_day_chance: can't be changed by a page or a mail", "Line 14: max_led_days: unknown setting", "max_led_days: 3")
	p = r.propose(lead, before)
	says(t, p.said(), "nothing is changed")
	p = r.propose(lead, strings.Replace(before, "lead: otso", "lead: nobody", 1))
	says(t, p.said(), "no person has the code", "nobody")

	after := before + "calls:\n  max_lead_days: 21 # the branches are thin here\n"
	p = r.propose(lead, after)
	says(t, p.said(), "What it does", "max_lead_days: 21, was not set", "max_lead_days: 21 # the branches are thin here", "The coordinator is asked", "Take it", "Change it once more")
	if r.file() != before || r.lead() != 28 {
		t.Fatal("it counts before it was taken")
	}
	change := p.hidden("change")
	says(t, r.get(lead+"?edit="+change).text, "branches are thin")
	p = r.post(lead, "do", "take", "change", change)
	says(t, p.said(), "This waits for the coordinator")
	silent(t, p.said(), "Approve it")
	if p := r.post(lead, "do", "approve", "change", change); p.status != http.StatusConflict {
		t.Errorf("the lead approved it: %d %s", p.status, p.said())
	}
	r.mails("2016-04-11")
	m, ok := r.mail("To approve: settings of HOME")
	if !ok || r.lead() != 28 {
		t.Fatal("the coordinator wasn't asked")
	}
	says(t, m.text, "Otso Invented proposes to change", "max_lead_days: 21", "/settings/")

	p = r.get(boss + "?change=" + change)
	says(t, p.said(), "Proposed by Otso Invented", "Approve it", "Do not approve it")
	p = r.post(boss, "do", "approve", "change", change)
	says(t, p.said(), "Accepted: it is in force")
	if r.file() != after || r.lead() != 21 {
		t.Errorf("in force is %d; the file is\n%s", r.lead(), r.file())
	}
	if p := r.post(boss, "do", "approve", "change", change); p.status != http.StatusConflict {
		t.Errorf("approved twice: %d", p.status)
	}
	r.mails("2016-04-12")
	if n := told(r.box, "In force: settings of HOME"); n != 1 {
		t.Errorf("the lead was told %d times", n)
	}
	if got := ask(t, r.dsn, `select author from accepted_config order by id desc limit 1`); got != "otso" {
		t.Errorf("kept as by %s", got)
	}
	if info, err := os.Stat(filepath.Join(r.p.dir, "sites/home.yml")); err != nil || info.Mode().Perm() != 0o644 {
		t.Errorf("the file's mode is %v, %v", info.Mode(), err)
	}
	if left, _ := filepath.Glob(filepath.Join(r.p.dir, "sites/.*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}

	p = r.propose(boss, after+"  last_day_chance: 0.2\n") // the coordinator isn't bound
	says(t, p.said(), "It counts as soon as you take it")
	r.post(boss, "do", "take", "change", p.hidden("change"))
	if s, _ := r.Programme().Site("HOME"); s.Settings.LastDayChance != 0.2 {
		t.Errorf("in force is %v", s.Settings.LastDayChance)
	}
	if p := r.propose(boss, strings.Replace(r.file(), "code: HOME", "code: ELSE", 1)); p.status != http.StatusUnprocessableEntity {
		t.Errorf("another code: %d %s", p.status, p.said())
	}

	b, err := app.Attach(t.Context(), app.Options{DSN: r.dsn, State: r.state})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close(context.Background())
	versions, open, err := b.SettingsVersions(t.Context(), "HOME")
	if err != nil || len(versions) != 3 || versions[0].Author != "folder" || versions[1].Author != "otso" || versions[1].Way != "page" || versions[2].Author != "maia" || len(versions[1].Difference) != 2 {
		t.Errorf("versions %+v, %v", versions, err)
	}
	if len(open) != 0 {
		t.Errorf("open %+v", open)
	}
}

// A no of the coordinator, with a word, reaches whoever proposed it.
func TestARefusedChangeIsToldWithItsReason(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "")
	lead, boss := r.link("otso"), r.link("ilmi") // the coordinator's deputy
	p := r.propose(lead, r.file()+"calls:\n  min_days: 4\n")
	change := p.hidden("change")
	r.post(lead, "do", "take", "change", change)
	p = r.post(boss, "do", "refuse", "change", change, "why", "Four days are too few <for> you.")
	says(t, p.said(), "has not approved this")
	r.mails("2016-04-11")
	m, ok := r.mail("Not approved: settings of HOME")
	if !ok {
		t.Fatal("the lead wasn't told")
	}
	says(t, m.text, "Four days are too few <for> you.")
	p = r.get(lead + "?change=" + change)
	says(t, p.said(), "Four days are too few &lt;for> you.", "Work on this text again")
	if strings.Contains(r.file(), "min_days") {
		t.Error("it was written all the same")
	}
}

// An edit that began from another file than the one in force is refused with
// what was changed meanwhile, and its text is kept.
func TestAStaleEditIsRefusedWithTheDifference(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "sites_by_page:\n  approval: none\n")
	lead, before := r.link("otso"), r.file()
	stale := r.get(lead)
	early := r.propose(lead, before+"calls:\n  min_days: 4\n") // shown, not taken yet
	p := r.propose(lead, before+"calls:\n  max_lead_days: 21\n")
	p = r.post(lead, "do", "take", "change", p.hidden("change"))
	says(t, p.said(), "Accepted: it is in force")

	mine := before + "calls:\n  min_days: 7\n"
	p = r.post(lead, "do", "see", "key", stale.hidden("key"), "mark", stale.hidden("mark"), "text", mine)
	if p.status != http.StatusConflict {
		t.Errorf("status %d", p.status)
	}
	says(t, p.said(), "The file was changed meanwhile", "Changed meanwhile + calls: + max_lead_days: 21", "min_days: 7")
	p = r.post(lead, "do", "see", "key", p.hidden("key"), "mark", p.hidden("mark"), "text", mine)
	says(t, p.said(), "max_lead_days: not set any more, was 21", "min_days: 7")

	p = r.post(lead, "do", "take", "change", early.hidden("change"))
	if p.status != http.StatusConflict {
		t.Errorf("a proposal from before was taken: %d", p.status)
	}
	says(t, p.said(), "changed", "max_lead_days: 21")
	p = r.get(lead + "?edit=" + early.hidden("change"))
	says(t, p.said(), "Your text is kept below", "min_days: 4")
	if !strings.Contains(r.file(), "max_lead_days: 21") || strings.Contains(r.file(), "min_days") {
		t.Errorf("the file is\n%s", r.file())
	}
}

// A crash between the memory's yes and the file is made up for by the next look,
// also by another process; a file that was changed by hand meanwhile stays.
func TestAnAcceptedChangeIsWrittenAfterACrash(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "sites_by_page:\n  approval: none\n", func(o *app.Options) {
		o.At = func(point string) {
			if point == "settings accepted" {
				panic(http.ErrAbortHandler) // the answer never comes, nothing after it is done
			}
		}
	})
	lead, before := r.link("otso"), r.file()
	take := func(text string) {
		p := r.propose(lead, text)
		if answer, err := http.PostForm(lead, url.Values{"do": {"take"}, "change": {p.hidden("change")}}); err == nil {
			answer.Body.Close()
			t.Fatal("it didn't crash")
		}
	}
	take(before + "calls:\n  min_days: 4\n")
	if r.file() != before {
		t.Fatal("it was written before the crash")
	}
	if err := r.Close(context.Background()); err != nil {
		t.Fatal(err)
	}
	r.start()
	if s, _ := r.Programme().Site("HOME"); r.file() != before+"calls:\n  min_days: 4\n" || s.Settings.MinDays != 4 {
		t.Errorf("in force is %d; the file is\n%s", s.Settings.MinDays, r.file())
	}

	db := r.DB()
	id, err := db.ProposeChange(t.Context(), postgres.SiteChange{
		Key: "k", Site: "HOME", File: "sites/home.yml", Base: []byte(r.file()), Body: []byte(before), Person: "otso", Way: "page", At: time.Now(), Preview: []byte("{}"),
	})
	if err != nil {
		t.Fatal(err)
	}
	if done, err := db.DecideChange(t.Context(), postgres.ChangeDecision{ID: id, To: postgres.ChangeAccepted, By: "otso", At: time.Now()}); err != nil || !done {
		t.Fatal(done, err)
	}
	r.p.file(t, "sites/home.yml", before+"calls:\n  min_days: 6\n")
	if err := r.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	if s, _ := r.Programme().Site("HOME"); s.Settings.MinDays != 6 {
		t.Errorf("in force is %d, want what was written by hand", s.Settings.MinDays)
	}
	r.mails("2016-04-11")
	if n := told(r.box, "Not taken: settings of HOME"); n != 1 {
		t.Errorf("whoever proposed it was told %d times", n)
	}
}

// Where the program may not write into the folder it says so, and the proposal
// stays until it may.
func TestAFolderThatMayNotBeWritten(t *testing.T) {
	t.Parallel()
	var shut atomic.Bool
	asked := func(o *app.Options) {
		if os.Geteuid() == 0 { // who may write everywhere; TestAFolderThatIsSomebodyElses has the question itself
			o.MayWrite(func(dir, file string) error {
				if shut.Load() {
					return app.Unwritable(filepath.Dir(filepath.Join(dir, file)), fs.ErrPermission)
				}
				return app.Writable(dir, file)
			})
		}
	}
	r := newSettingsRig(t, "sites_by_page:\n  approval: none\n", asked)
	lead, before := r.link("otso"), r.file()
	p := r.propose(lead, before+"calls:\n  min_days: 4\n")
	sites := filepath.Join(r.p.dir, "sites")
	if err := os.Chmod(sites, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(sites, 0o755)
	shut.Store(true)
	change := p.hidden("change")
	p = r.post(lead, "do", "take", "change", change)
	says(t, p.said(), "The file can't be written", "The proposal is kept", "ReadWritePaths="+sites)
	if err := os.Chmod(sites, 0o755); err != nil {
		t.Fatal(err)
	}
	shut.Store(false)
	p = r.post(lead, "do", "take", "change", change)
	says(t, p.said(), "Accepted: it is in force")
}

// Who opens the page of a site, and what of it.
func TestWhoMayChangeSettings(t *testing.T) {
	t.Parallel()
	r := newSettingsRig(t, "")
	r.p.site(t, "AWAY", "ilmi")
	if err := r.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	lead := r.link("otso")
	b, err := app.Attach(t.Context(), app.Options{DSN: r.dsn, State: r.state})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close(context.Background())
	if _, _, err := b.SettingsLink(t.Context(), r.state, "otso", "AWAY"); err == nil || !strings.Contains(err.Error(), "nothing to do with AWAY") {
		t.Errorf("a link for somebody of another site: %v", err)
	}
	p := r.propose(r.link("maia"), r.file()+"calls:\n  min_days: 4\n")
	for sentence, row := range map[string]struct {
		at     string
		status int
	}{
		"the lead":                          {lead, 200},
		"a change that isn't there":         {lead + "?change=999", 404},
		"another's proposal, of the site":   {lead + "?change=" + p.hidden("change"), 200},
		"an altered link":                   {lead[:len(lead)-2] + "xx", 403},
		"a link to something else":          {strings.Replace(lead, "/settings/", "/form/", 1), 403},
		"a number that is none":             {lead + "?change=x", 200},
		"a negative number, which is none":  {lead + "?change=-1", 200},
		"a number that is larger than most": {lead + "?edit=99999999999999999999", 200},
	} {
		if got := r.get(row.at); got.status != row.status {
			t.Errorf("%s: %d, want %d", sentence, got.status, row.status)
		}
	}
	if got := r.post(lead, "do", "take", "change", p.hidden("change")); got.status != http.StatusConflict {
		t.Errorf("somebody else's proposal was taken: %d", got.status)
	}
	r.p.site(t, "HOME", "maia")
	if err := r.Look(t.Context()); err != nil {
		t.Fatal(err)
	}
	if got := r.get(lead); got.status != http.StatusForbidden {
		t.Errorf("who leads no more: %d %s", got.status, got.said())
	}
	if _, err := r.DB().WithdrawLinks(t.Context(), "otso", time.Now()); err != nil {
		t.Fatal(err)
	}
	if got := r.get(lead); got.status != http.StatusGone {
		t.Errorf("withdrawn: %d", got.status)
	}
}

// Past springs are asked for with the site's years, and told in the preview;
// where they take too long it says so.
func TestThePreviewTellsOfPastSprings(t *testing.T) {
	t.Parallel()
	var asked app.SpringsAsk
	answer := func(_ context.Context, a app.SpringsAsk) (notice.Springs, error) {
		asked = a
		return notice.Springs{Played: 10, Before: notice.SpringSum{Trips: 20}, After: notice.SpringSum{Trips: 23}}, nil
	}
	r := newSettingsRig(t, "", func(o *app.Options) {
		o.Springs = func(ctx context.Context, a app.SpringsAsk) (notice.Springs, error) { return answer(ctx, a) }
	})
	lead, before := r.link("otso"), r.file()
	p := r.propose(lead, before+"calls:\n  max_lead_days: 14\n")
	says(t, p.said(), "Replayed over the last 10 springs: 3 more trips, no tree missed.", "Bag on: ")
	if asked.Trees != 1 || asked.After.MaxLeadDays != 14 || asked.Site.Settings.MaxLeadDays != 28 || len(asked.MeansC) != 12 || len(asked.MeansC[2008]) != 366 || asked.Station.Code != "MET" {
		t.Errorf("asked with %d years, %+v, %d", len(asked.MeansC), asked.After, asked.Trees)
	}
	answer = func(ctx context.Context, _ app.SpringsAsk) (notice.Springs, error) {
		return notice.Springs{}, fmt.Errorf("no years")
	}
	says(t, r.propose(lead, before+"calls:\n  max_lead_days: 15\n").said(), "Past springs can't be replayed")
	says(t, r.propose(lead, strings.Replace(before, "lead: otso", "lead: otso\ndeputy: ilmi", 1)).said(), "Past springs aren't replayed: nothing that counts for them is changed.")
	says(t, r.propose(lead, before+"# only a remark\n").said(), "Only remarks are changed.")
}

// Replaying springs takes all cores: however many ask at once, one is played at
// a time, and each has its answer.
func TestPastSpringsAreReplayedOneAtATime(t *testing.T) {
	t.Parallel()
	var running, most, played atomic.Int32
	r := newSettingsRig(t, "", func(o *app.Options) {
		o.Springs = func(context.Context, app.SpringsAsk) (notice.Springs, error) {
			now := running.Add(1)
			defer running.Add(-1)
			most.Store(max(most.Load(), now))
			time.Sleep(20 * time.Millisecond) // the work, during which another could begin
			played.Add(1)
			return notice.Springs{Played: 1}, nil
		}
	})
	lead, before := r.link("otso"), r.file()
	var group sync.WaitGroup
	for n := range 4 {
		group.Go(func() {
			p := r.propose(lead, fmt.Sprintf("%scalls:\n  max_lead_days: %d\n", before, 20+n))
			says(t, p.said(), "Replayed over the last spring")
		})
	}
	group.Wait()
	if played.Load() != 4 || most.Load() != 1 {
		t.Errorf("%d were played, %d at once", played.Load(), most.Load())
	}
}

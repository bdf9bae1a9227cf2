package app

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"slices"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/link"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/web"
)

// pages is what the web pages see of the memory.
type pages struct {
	db        *postgres.DB
	engine    *engine
	programme func() *config.Programme
	now       func(context.Context) (time.Time, error)
	simulated func() bool
	links     links
	log       *slog.Logger // of photos; nil where none come in
}

// Now gives the program's time.
func (p *pages) Now(ctx context.Context) (time.Time, error) { return p.now(ctx) }

// langOf gives the language of a person, and that of the coordinator for what
// is for nobody in particular.
func (p *pages) langOf(code string) string {
	prog := p.programme()
	if code == "" {
		code = prog.Coordinator
	}
	who, _ := prog.Person(code)
	return who.Lang
}

// Board gives the season board as it stands.
func (p *pages) Board(ctx context.Context) (web.Board, error) {
	prog := p.programme()
	now, err := p.now(ctx)
	if err != nil {
		return web.Board{}, err
	}
	b := web.Board{Programme: prog.Name, Now: now.In(prog.Zone), Season: now.In(prog.Zone).Year(), Simulated: p.simulated()}
	troubles, err := p.db.Troubles(ctx)
	if err != nil {
		return b, err
	}
	for _, t := range troubles {
		b.Trouble = append(b.Trouble, t.Text)
	}
	err = p.db.Read(ctx, func(book *postgres.Book) error {
		skills, err := book.Skills(ctx, b.Season)
		if err != nil {
			return err
		}
		b.Skill = stage.Pool(skills)
		for _, site := range prog.Sites {
			s, err := p.boardSite(ctx, book, site, now)
			if err != nil {
				return err
			}
			b.Sites = append(b.Sites, s)
		}
		return nil
	})
	return b, err
}

func (p *pages) boardSite(ctx context.Context, book *postgres.Book, site config.Site, now time.Time) (web.BoardSite, error) {
	prog := p.programme()
	year := now.In(site.Zone).Year()
	out := web.BoardSite{Code: site.Code, Name: site.Name, AltitudeM: site.AltitudeM}
	reports, err := book.Reports(ctx, site.Code, year)
	if err != nil {
		return out, err
	}
	slices.Reverse(reports)
	out.Reports = reports
	ground, err := advance.Now(ctx, book, advance.Task{Programme: prog, Site: site, Now: now})
	if err != nil {
		return out, err
	}
	out.Station, out.Reading, out.ReadingC = ground.Station, ground.Reading, ground.ReadingC
	out.HeatCd, out.NeedCd = ground.HeatCd, ground.NeedCd
	if out.Stages, err = boardStages(ctx, book, prog.Profiles[site.Profile], site.Code, year, reports); err != nil {
		return out, err
	}
	calls, err := book.Calls(ctx, site.Code, year)
	if err != nil {
		return out, err
	}
	for _, task := range call.Tasks {
		out.Calls = append(out.Calls, boardCall(prog, task, calls[task], reports))
	}
	told, err := book.Told(ctx, site.Code, year, 12)
	for _, t := range told {
		out.Told = append(out.Told, web.BoardTold{
			At: t.At.In(site.Zone), To: personName(prog, t.Person), Task: t.Task, Standing: t.Standing, Reason: t.Reason, State: t.State,
		})
	}
	return out, err
}

// boardStages gives the newest forecast of each stage.
func boardStages(ctx context.Context, book *postgres.Book, profile stage.Profile, site string, year int, reports []trail.Report) ([]web.BoardStage, error) {
	issued, err := book.Issued(ctx, site, year)
	if err != nil {
		return nil, err
	}
	scores, err := book.Scores(ctx, site, year)
	if err != nil {
		return nil, err
	}
	var out []web.BoardStage
	for _, st := range profile.Stages {
		row := web.BoardStage{Code: st.Code, Name: st.Name}
		for _, f := range issued {
			if f.Code == st.Code {
				row.P10, row.P50, row.P90 = f.P10, f.P50, f.P90
			}
		}
		for _, s := range scores {
			if s.Code == st.Code {
				row.Scores = append(row.Scores, s)
			}
		}
		for _, r := range reports {
			if r.Kind == trail.StageSeen && stage.BBCH(r.BBCH) == st.Code && (row.Seen == 0 || r.Day < row.Seen) {
				row.Seen = r.Day
			}
		}
		out = append(out, row)
	}
	return out, nil
}

func boardCall(prog *config.Programme, task call.Task, s season.State, newestFirst []trail.Report) web.BoardCall {
	c := web.BoardCall{Task: task, Standing: s.Standing, Reason: s.Reason, Days: s.Days}
	if n := len(s.Asked); n > 0 && s.Standing.Asks() {
		c.With = personName(prog, s.Asked[n-1].Person)
	}
	for _, r := range newestFirst {
		if r.Task == string(task) && r.Kind.Answer() {
			c.Answer = string(r.Kind)
			if r.On != 0 {
				c.Answer += " " + r.On.String()
			}
			break
		}
	}
	return c
}

func personName(p *config.Programme, code string) string {
	who, _ := p.Person(code)
	return who.Name
}

// Form gives the form of a claim as the call stands now.
func (p *pages) Form(ctx context.Context, c link.Claim) (f web.Form, found bool, err error) {
	prog := p.programme()
	site, ok1 := prog.Site(c.Site)
	who, ok2 := prog.Person(c.Person)
	if c.Opens != "form" || !ok1 || !ok2 || !slices.Contains(call.Tasks, call.Task(c.Task)) {
		return f, false, nil
	}
	now, err := p.now(ctx)
	if err != nil {
		return f, false, err
	}
	f = web.Form{Claim: c, Person: who.Name, Lang: who.Lang, SiteName: site.Name, Today: civil.At(now.In(site.Zone)), MaxUpload: prog.Inbox.MaxBytes}
	f.Stranger = mayReport(prog, site, c.Person, formKind(call.Task(c.Task))) != nil
	if f.Photos, err = p.db.PhotosOf(ctx, c.Person, byForm, now.AddDate(0, 0, -1)); err != nil {
		return f, false, err
	}
	err = p.db.Read(ctx, func(book *postgres.Book) error {
		reports, err := book.Reports(ctx, c.Site, c.Season)
		if err != nil {
			return err
		}
		item, err := p.item(ctx, book, site, c, reports)
		if err != nil {
			return err
		}
		slices.Reverse(reports)
		for _, r := range reports {
			if r.Task == c.Task {
				f.Reports = append(f.Reports, r)
			}
		}
		f.Item = item
		return nil
	})
	return f, true, err
}

// formKind is a kind of report that a call's form takes, to ask by whether
// somebody may open it.
func formKind(task call.Task) trail.Kind {
	if task == call.LotExpected {
		return trail.LotReceived
	}
	return trail.BagsOn
}

// item is the call as it was last told, brought up to date with how it stands
// and what its trees still need.
func (p *pages) item(ctx context.Context, book *postgres.Book, site config.Site, c link.Claim, reports []trail.Report) (item notice.Item, err error) {
	raw, told, err := book.LastItem(ctx, c.Site, c.Season, call.Task(c.Task))
	if err == nil && told {
		err = json.Unmarshal(raw, &item)
	}
	if err != nil {
		return item, fmt.Errorf("reading what was told about %s at %s: %w", c.Task, c.Site, err)
	}
	calls, err := book.Calls(ctx, c.Site, c.Season)
	if err != nil {
		return item, err
	}
	s := calls[call.Task(c.Task)]
	item.Site, item.SiteName, item.Task = site.Code, site.Name, call.Task(c.Task)
	item.Standing, item.Reason, item.Days, item.Best = s.Standing, s.Reason, s.Days, s.Best
	flowering, err := floweringOf(ctx, book, c)
	if err != nil {
		return item, err
	}
	item.Trees = advance.FormTrees(item.Task, site, reports, flowering)
	return item, nil
}

// floweringOf is the day by which, going by the newest forecast, flowering has
// begun as likely as not; zero where there is none.
func floweringOf(ctx context.Context, book *postgres.Book, c link.Claim) (civil.Date, error) {
	issued, err := book.Issued(ctx, c.Site, c.Season)
	if err != nil {
		return 0, err
	}
	for _, f := range issued {
		if f.Code == stage.Flowering {
			return f.P50, nil
		}
	}
	return 0, nil
}

// Report stores what a form says.
func (p *pages) Report(ctx context.Context, c link.Claim, key string, reports []trail.Report) (stored bool, err error) {
	now, err := p.now(ctx)
	if err != nil {
		return false, err
	}
	for i := range reports {
		reports[i].At = now
	}
	then := p.engine.occasion(runReport, key, now, []string{c.Site})
	return p.db.Report(ctx, key, c.Season, reports, then)
}

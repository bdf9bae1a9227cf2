package app

import (
	"context"
	"slices"
	"time"

	"budcall/internal/advance"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/postgres"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/tell"
	"budcall/internal/trail"
)

// fortnight is how many days, from today on, an overview looks ahead.
const fortnight = 14

// boardDays is how long an overview's link to the board works: until a while
// after the next overview.
const boardDays = 10

// weekly is the memory that overviews are written from.
type weekly interface {
	Overview(ctx context.Context, piece int64, f func(b *postgres.Book, r postgres.Run) ([]notice.Parcel, error)) error
}

// overview writes the week's overview to the coordinator, and to whom else the
// configuration names. Out of season, with nothing open, it writes none.
func (w *works) overview(ctx context.Context, p postgres.Piece) error {
	prog := w.programme()
	return w.week.Overview(ctx, p.ID, func(b *postgres.Book, r postgres.Run) ([]notice.Parcel, error) {
		o, worth, err := overviewOf(ctx, b, prog, r.At)
		if err != nil || !worth {
			return nil, err
		}
		links, err := w.links.asOf(ctx, b)
		if err != nil {
			return nil, err
		}
		dir := directory(prog, w.links.key)
		var letters []notice.Parcel
		for _, person := range append([]string{prog.Coordinator}, prog.WeekTo...) {
			o.Board = links.board(person, r.At.AddDate(0, 0, boardDays))
			l, err := dir.Week(tell.Occasion{At: r.At, Late: r.At.Sub(r.Due) > 2*time.Hour}, person, o)
			if err != nil {
				return nil, err
			}
			letters = append(letters, l)
		}
		return letters, nil
	})
}

// overviewOf gives how everything stands at a moment; worth is false where it
// is no season and nothing is open.
func overviewOf(ctx context.Context, b *postgres.Book, prog *config.Programme, now time.Time) (o notice.Overview, worth bool, err error) {
	today := civil.At(now.In(prog.Zone))
	o.Until = today + fortnight - 1
	for _, site := range prog.Sites {
		s, err := siteWeek(ctx, b, weekAt{prog, site, now})
		if err != nil {
			return o, false, err
		}
		o.Sites = append(o.Sites, s)
		worth = worth || len(s.Open) > 0 || inSeason(site, civil.At(now.In(site.Zone)))
	}
	troubles, err := b.Troubles(ctx)
	if err != nil {
		return o, false, err
	}
	for _, t := range troubles {
		o.Troubles = append(o.Troubles, t.Text)
	}
	skills, err := b.Skills(ctx, today.Year())
	o.Skill = stage.Pool(skills)
	return o, worth, err
}

// inSeason tells whether a day is between a site's first survey and its
// season's end; its last year's seed is told of for as long as it is open.
func inSeason(site config.Site, day civil.Date) bool {
	return day >= site.Settings.SurveyFrom.In(day.Year()) && day <= site.Settings.SeasonEnd.In(day.Year())
}

// weekAt is a site at a moment.
type weekAt struct {
	programme *config.Programme
	site      config.Site
	now       time.Time
}

func siteWeek(ctx context.Context, b *postgres.Book, at weekAt) (notice.SiteWeek, error) {
	out := notice.SiteWeek{Code: at.site.Code, Name: at.site.Name}
	today := civil.At(at.now.In(at.site.Zone))
	year := today.Year()
	calls, err := b.Calls(ctx, at.site.Code, year)
	if err != nil {
		return out, err
	}
	reports, err := b.Reports(ctx, at.site.Code, year)
	if err != nil {
		return out, err
	}
	issued, err := b.Issued(ctx, at.site.Code, year)
	if err != nil {
		return out, err
	}
	ahead := civil.Range{First: today, Last: today + fortnight - 1}
	for _, task := range call.Tasks {
		s := calls[task]
		switch {
		case s.Standing.Asks():
			out.Open = append(out.Open, at.openCall(task, s, reports))
		case !s.Standing.Ended() && ahead.Has(s.Days.First):
			out.Coming = append(out.Coming, at.openCall(task, s, nil))
		}
	}
	out.Stages = stagesAhead(at.programme.Profiles[at.site.Profile], issued, reports, ahead)
	out.Stages = slices.DeleteFunc(out.Stages, func(s notice.StageWeek) bool {
		task, some := decides[s.BBCH]
		return some && calls[task].Standing.Ended()
	})
	return out, nil
}

// openCall is a call, whom it is with and what was heard of it since.
func (at weekAt) openCall(task call.Task, s season.State, reports []trail.Report) notice.OpenCall {
	holder, left := advance.Holder(at.programme, at.site, task, s)
	who, _ := at.programme.Person(holder)
	c := notice.OpenCall{
		Task: task, Standing: s.Standing, Days: s.Days, Asked: s.AskedAt.In(at.programme.Zone),
		With: notice.Contact{Name: who.Name, Phone: who.Phone, Role: advance.Role(at.programme, at.site, holder)},
	}
	if !s.Standing.Asks() {
		return c
	}
	for _, r := range slices.Backward(reports) {
		if r.Task == string(task) && r.Kind.Answer() {
			c.Answer, c.By = &r, personName(at.programme, r.Person)
			break
		}
	}
	c.Silent, c.NobodyIs = left && !s.AnswerBy.IsZero(), !left && s.Told.Standing.Asks()
	return c
}

// decides is the call whose days a stage ends or opens: once that is over,
// nobody waits for the stage any more.
var decides = map[stage.BBCH]call.Task{
	stage.BudSwelling: call.BagOn, stage.BudBreak: call.BagOn,
	stage.Flowering: call.TakeOff, stage.FloweringOver: call.TakeOff, stage.SeedRipe: call.PickSeed,
}

// stagesAhead gives the newest forecasts of the stages that may come within a
// run of days and weren't reported seen.
func stagesAhead(profile stage.Profile, issued []postgres.Issued, reports []trail.Report, within civil.Range) (out []notice.StageWeek) {
	for _, st := range profile.Stages {
		if slices.ContainsFunc(reports, func(r trail.Report) bool { return r.Kind == trail.StageSeen && stage.BBCH(r.BBCH) == st.Code }) {
			continue
		}
		var newest postgres.Issued
		for _, f := range issued {
			if f.Code == st.Code {
				newest = f
			}
		}
		if f := newest; f.P50 != 0 && f.P10 <= within.Last && (f.P90 == 0 || f.P90 >= within.First) {
			out = append(out, notice.StageWeek{BBCH: st.Code, P10: f.P10, P50: f.P50, P90: f.P90})
		}
	}
	return out
}

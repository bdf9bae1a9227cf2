package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"mime"
	"net/mail"
	"slices"

	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/replay"
	"budcall/internal/stage"
	"budcall/internal/trail"
	"budcall/internal/weather"
)

// replayLeads is how many days before a stage its forecasts are shown.
var replayLeads = []int{56, 42, 28, 21, 14, 7, 3}

// replayed is what came of a season, of the sites that are shown.
type replayed struct {
	*replayOptions
	tellings []replay.Telling
	changes  []replay.Change
	issued   []replay.Issued
	narrowed []replay.Narrowed
	scores   map[string][]stage.Score // by site
	mails    []replayedMail
	troubles []string
	reports  map[string][]trail.Report // by site
	measured map[string][]weather.Day  // by site: of the year, as far as it was known
}

// replayedMail is a mail that would have gone out.
type replayedMail struct {
	letter  notice.Letter
	person  string // code
	subject string
	raw     []byte
}

// result gathers what came of a season.
func (o *replayOptions) result(ctx context.Context, s *replay.Season) (r replayed, err error) {
	r = replayed{replayOptions: o, scores: map[string][]stage.Score{}, reports: map[string][]trail.Report{}, measured: map[string][]weather.Day{}, troubles: s.Troubles()}
	k := s.Kept()
	letters := map[string]bool{} // about the sites that are shown
	for _, t := range k.Tellings {
		if o.shows(t.Site) {
			r.tellings, letters[t.Letter] = append(r.tellings, t), true
		}
	}
	for _, c := range k.Changes {
		if o.shows(c.Site) {
			r.changes = append(r.changes, c)
		}
	}
	for _, i := range k.Issued {
		if o.shows(i.Site) {
			r.issued = append(r.issued, i)
		}
	}
	narrowed, err := s.Narrowing(ctx, o.programme, o.year, replayLeads)
	if err != nil {
		return r, err
	}
	r.narrowed = slices.DeleteFunc(narrowed, func(n replay.Narrowed) bool { return !o.shows(n.Site) })
	for _, site := range o.shown {
		r.scores[site.Code], r.reports[site.Code] = k.Scores[site.Code], s.Reports(site.Code, o.year)
		if r.measured[site.Code], err = s.Measured(ctx, o.programme, site, o.lastDay-1); err != nil {
			return r, err
		}
	}
	for _, p := range k.Letters {
		if p.Channel != notice.ByMail || o.site != "" && !letters[p.ID] {
			continue
		}
		m, err := rendered(p)
		if err != nil {
			return r, err
		}
		r.mails = append(r.mails, m)
	}
	return r, nil
}

// shows reports whether a site is to be shown.
func (o *replayOptions) shows(code string) bool {
	return slices.ContainsFunc(o.shown, func(s config.Site) bool { return s.Code == code })
}

// rendered gives a letter as the mail that would have been sent.
func rendered(p notice.Parcel) (m replayedMail, err error) {
	m.person = p.Target
	if err := json.Unmarshal(p.Content, &m.letter); err != nil {
		return m, fmt.Errorf("reading letter %s: %w", p.ID, err)
	}
	if m.raw, err = notice.Mail(m.letter); err != nil {
		return m, err
	}
	read, err := mail.ReadMessage(bytes.NewReader(m.raw))
	if err == nil {
		m.subject, err = new(mime.WordDecoder).DecodeHeader(read.Header.Get("Subject"))
	}
	if err != nil {
		return m, fmt.Errorf("reading mail %s: %w", p.ID, err)
	}
	return m, nil
}

// skills gives how the forecasts of all sites shown did, by stage and lead.
func (r replayed) skills() []stage.Skill {
	var all []stage.Score
	for _, site := range r.shown {
		all = append(all, r.scores[site.Code]...)
	}
	return stage.SkillOf(all)
}

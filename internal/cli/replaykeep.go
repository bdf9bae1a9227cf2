package cli

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"budcall/internal/call"
	"budcall/internal/chart"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/replay"
	"budcall/internal/stage"
	"budcall/internal/words"
)

// folder is where a season is kept; empty: nowhere.
type folder string

// newFolder makes the folder, which must be new or empty.
func newFolder(path string) (folder, error) {
	if path == "" {
		return "", nil
	}
	err := os.MkdirAll(filepath.Join(path), 0o755)
	if err == nil {
		var there []os.DirEntry
		if there, err = os.ReadDir(path); err == nil && len(there) > 0 {
			err = errors.New("it isn't empty")
		}
	}
	if err != nil {
		return "", fmt.Errorf("making the folder %s: %w (name a new one with --out)", path, err)
	}
	return folder(path), nil
}

// said is the line that says where everything is.
func (f folder) said() string {
	if f == "" {
		return ""
	}
	return fmt.Sprintf("mails, pictures and season.json: %s\n", string(f))
}

// keep writes every mail, a picture of each site and everything as JSON.
func (f folder) keep(r replayed) error {
	if f == "" {
		return nil
	}
	if err := os.Mkdir(filepath.Join(string(f), "mails"), 0o755); err != nil {
		return fmt.Errorf("keeping the mails: %w", err)
	}
	for _, m := range r.mails {
		if err := f.write(filepath.Join("mails", m.letter.ID+".eml"), m.raw); err != nil {
			return err
		}
	}
	for _, s := range r.shown {
		if err := f.write(strings.ToLower(s.Code)+".svg", chart.Site(r.picture(s))); err != nil {
			return err
		}
	}
	var all bytes.Buffer
	if err := asJSON(&all, r.json()); err != nil {
		return err
	}
	return f.write("season.json", all.Bytes())
}

func (f folder) write(name string, body []byte) error {
	if err := os.WriteFile(filepath.Join(string(f), name), body, 0o644); err != nil {
		return fmt.Errorf("keeping the season: %w (make space, or name another folder with --out)", err)
	}
	return nil
}

// picture is a site's season as it is drawn: heat, the forecasts as they
// narrowed, the days that were told and what was reported.
func (r replayed) picture(site config.Site) chart.Season {
	out := chart.Season{Site: site.Name, Year: r.year, Lang: "en"}
	for _, st := range r.programme.Profiles[site.Profile].Stages {
		if !hangsOn(st.Code) {
			continue
		}
		h := chart.Heat{Stage: st.Code, Name: st.Name, NeedCd: st.MedianCd}
		for day := st.Heat.Start.In(r.year); day < r.lastDay; day++ {
			sum, _ := stage.HeatSoFar(st, r.year, r.measured[site.Code], day)
			h.Points = append(h.Points, chart.HeatPoint{Date: day, SumCd: sum})
		}
		out.Heat = append(out.Heat, h)
		t := chart.Track{Stage: st.Code, Name: st.Name}
		for _, i := range r.issued {
			if i.Site == site.Code && i.Code == st.Code && (i.P90 == 0 || i.On <= i.P90) {
				t.Points = append(t.Points, chart.TrackPoint{Issued: i.On, P10: i.P10, P50: i.P50, P90: i.P90})
			}
		}
		out.Narrowing = append(out.Narrowing, t)
	}
	for _, t := range r.tellings {
		if t.Site == site.Code {
			out.Calls = append(out.Calls, spanOf(t)...)
		}
	}
	c := words.For("en")
	seen := map[chart.Mark]bool{}
	for _, rep := range r.reports[site.Code] {
		m := chart.Mark{Date: rep.Day, Text: reported(c, rep)}
		if !rep.Kind.Answer() && !seen[m] {
			seen[m] = true
			out.Reports = append(out.Reports, m)
		}
	}
	return out
}

// hangsOn reports whether a call hangs on a stage; the others aren't drawn.
func hangsOn(code stage.BBCH) bool {
	switch code {
	case stage.BudSwelling, stage.BudBreak, stage.Flowering, stage.FloweringOver, stage.SeedRipe:
		return true
	}
	return false
}

// spanOf is the days of a telling: of a "last days" mail those left by then.
func spanOf(t replay.Telling) []chart.Span {
	days := t.Item.Days
	switch t.Item.Standing {
	case call.Done, call.NotNeeded, call.Quiet:
		return nil
	case call.Hurry, call.LookFirst:
		days.First = max(days.First, min(civil.At(t.At), days.Last))
	}
	return []chart.Span{{Task: t.Item.Task, Standing: t.Item.Standing, Days: days}}
}

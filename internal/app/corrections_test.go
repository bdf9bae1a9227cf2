package app_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"budcall/internal/civil"
)

// stationFile gives the path of a play's station file.
func (p *play) stationFile(t *testing.T) string {
	t.Helper()
	body, err := os.ReadFile(filepath.Join(p.dir, "stations.yml"))
	if err != nil {
		t.Fatal(err)
	}
	return regexp.MustCompile(`path: (\S+)`).FindStringSubmatch(string(body))[1]
}

// writes replaces the station file, whole.
func (p *play) writes(t *testing.T, body string) {
	t.Helper()
	path := p.stationFile(t)
	if err := os.WriteFile(path+".new", []byte(body), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(path+".new", path); err != nil {
		t.Fatal(err)
	}
}

// off gives the station's table with some days off by so many kelvin.
func off(table string, over civil.Range, byK float64) string {
	lines := strings.Split(table, "\n")
	for i, line := range lines {
		day, _, _ := strings.Cut(line, ",")
		date, err := civil.Parse(day)
		if err != nil || date < over.First || date > over.Last {
			continue
		}
		var low, high, mean float64
		if _, err := fmt.Sscanf(line[len(day)+1:], "%f,%f,%f", &low, &high, &mean); err != nil {
			panic(err)
		}
		lines[i] = fmt.Sprintf("%s,%.1f,%.1f,%.1f", day, low+byK, high+byK, mean+byK)
	}
	return strings.Join(lines, "\n")
}

// ends is what a season comes to: the days, the forecasts in force, and how
// the calls stand, without what was told on the way.
func (p *play) ends(t *testing.T) string {
	t.Helper()
	return ask(t, p.dsn, `select string_agg(line, E'\n' order by line) from (
		select 'reading ' || station || ' ' || day || ' ' || coalesce(min_c::text, '-') || ' ' || coalesce(max_c::text, '-') || ' ' || coalesce(mean_c::text, '-') || ' ' || mark || ' ' || provisional || ' ' || mean_of as line from station_day
		union all select 'year ' || station || ' ' || year || ' ' || md5(days) from station_year
		union all (select distinct on (site, stage) 'forecast ' || site || ' ' || stage || ' ' || encode(live, 'hex') from issued order by site, stage, issued_on desc)
		union all select 'call ' || site || ' ' || task || ' ' || standing || ' ' || coalesce(state->>'days', '-') || ' ' || coalesce(state->>'best', '-') from site_call
	) as all_lines`)
}

func days(first, last string) civil.Range {
	return civil.Range{First: civil.MustParse(first), Last: civil.MustParse(last)}
}

// Corrections that come late, each some days after its day, leave a season
// where it would be had the values been right from the start.
func TestASeasonWithLateCorrectionsEndsAsOneWithoutErrors(t *testing.T) {
	t.Parallel()
	right := inventedStation(civil.MustParse("2016-12-31"))
	steady := begin(t, seasonFrom, right, nil)
	until(t, steady.App, bagsOn)
	steady.bagAll(t)
	until(t, steady.App, seasonTo)

	wrong := off(off(off(right, days("2016-01-20", "2016-02-03"), 1.5), days("2016-04-05", "2016-04-14"), -0.6), days("2016-05-01", "2016-05-03"), 0.4)
	wrong = off(wrong, days("2015-06-01", "2015-06-30"), 2) // a past year is corrected too
	late := begin(t, seasonFrom, wrong, nil)
	until(t, late.App, "2016-04-20")
	late.writes(t, off(off(right, days("2016-05-01", "2016-05-03"), 0.4), days("2015-06-01", "2015-06-30"), 2))
	until(t, late.App, bagsOn)
	late.bagAll(t)
	if steady.ends(t) == late.ends(t) {
		t.Error("the errors changed nothing: this test would pass whatever became of corrections")
	}
	late.writes(t, right)
	until(t, late.App, seasonTo)
	alike(t, "with late corrections", steady.ends(t), late.ends(t))
	if n := strings.TrimSpace(ask(t, late.dsn, `select count(*) from station_day_before where mark = ''`)); n != "58" { // 15 + 10 + 3 days of the running year, 30 of the past one
		t.Errorf("of what was said before the corrections %s days are kept", n)
	}
}

func TestACorrectionIsToldWhereItMovesDays(t *testing.T) {
	t.Parallel()
	right := inventedStation(civil.MustParse("2016-12-31"))
	for _, row := range []struct {
		sentence string
		byK      float64
		mails    int // more than without a correction
	}{
		{"a correction that moves no days sends no mail", 0.1, 0},
		{"one that moves them by as much as is told again sends one", 3, 1},
	} {
		t.Run(row.sentence, func(t *testing.T) {
			t.Parallel()
			told := func(first string) int {
				p := begin(t, seasonFrom, first, nil)
				until(t, p.App, "2016-04-26")
				before := p.calls()
				p.writes(t, right)
				until(t, p.App, "2016-04-27")
				for _, m := range p.box.all()[before:] {
					t.Log(m.to, m.subject)
				}
				return p.calls() - before
			}
			if got := told(off(right, days("2016-03-20", "2016-04-24"), row.byK)) - told(right); got != row.mails {
				t.Errorf("%d mails more", got)
			}
		})
	}
}

// calls counts the mails that call somebody or tell of moved days.
func (p *play) calls() int { return len(p.box.all()) }

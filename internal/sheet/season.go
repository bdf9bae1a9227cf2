package sheet

import (
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Season is everything that is stored of a season, to be written as a page and
// as tables.
type Season struct {
	Programme string
	Year      int
	At        time.Time // when it is written, in the programme's zone
	Lang      string    // of the page, and of what reports say
	Version   string    // of the program
	People    map[string]string
	Sites     []SeasonSite
	Trail     trail.Trail
}

// SeasonSite is a site's part of it. What is of one moment is in Zone.
type SeasonSite struct {
	Code, Name string
	Zone       *time.Location
	Calls      []SeasonCall
	Changes    []SeasonChange
	Told       []SeasonTold
	Reports    []trail.Report // answers as well, in the order in which they came
	Issued     []SeasonForecast
	Scores     []stage.Score
}

// SeasonCall is a call as it stands.
type SeasonCall struct {
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	Days     civil.Range
	Since    civil.Date
	With     string // code of the person who has it, or had it last
}

// SeasonChange is that a call's standing became another.
type SeasonChange struct {
	Task     call.Task
	At       time.Time
	Standing call.Standing
	Reason   call.Reason
	Days     civil.Range
}

// SeasonTold is one thing that was told to somebody.
type SeasonTold struct {
	At       time.Time
	Person   string // code; empty: nobody was left to ask
	Task     call.Task
	Standing call.Standing
	Reason   call.Reason
	Passed   bool   // it came from somebody who didn't or couldn't answer
	Letter   string // ID of the mail, empty where there is none
	State    string // of the mail
}

// SeasonForecast is a stage's forecast as it was issued; zero days lie beyond
// the year.
type SeasonForecast struct {
	Code          stage.BBCH
	On            civil.Date
	P10, P50, P90 civil.Date
}

// inForce gives the forecast of a stage that held on a day: an unchanged one
// isn't issued again.
func (s SeasonSite) inForce(code stage.BBCH, on civil.Date) (f SeasonForecast) {
	for _, i := range s.Issued {
		if i.Code == code && i.On <= on && i.On >= f.On {
			f = i
		}
	}
	return f
}

// stamp is the form of a moment in tables: local time, with its offset.
const stamp = "2006-01-02T15:04-07:00"

func (s SeasonSite) moment(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	zone := s.Zone
	if zone == nil {
		zone = time.UTC
	}
	return t.In(zone).Format(stamp)
}

// file is one table of a season, and which of its columns the page shows.
type file struct {
	name  string
	Table Table
	shown []string
}

// add gives the table another row.
func (f *file) add(values map[string]string) {
	f.Table.Rows = append(f.Table.Rows, Row{Line: len(f.Table.Rows) + 2, Values: values})
	f.Table.Found = len(f.Table.Rows)
}

// files gives the tables of the season, in the order of its page.
func (s Season) files() []file {
	return []file{
		s.calls(), s.changes(), s.told(), s.answers(), s.reports(), s.scores(), s.forecasts(),
		s.trees(), s.bags(), s.lots(), s.unplaced(), s.isolation(),
	}
}

// CSV gives the tables by file name.
func (s Season) CSV(o CSVOptions) map[string][]byte {
	out := map[string][]byte{}
	for _, f := range s.files() {
		out[f.name+".csv"] = f.Table.CSV(o)
	}
	return out
}

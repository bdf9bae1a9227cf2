package cli

import (
	"time"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// readAnswer is what a file holds, as programs read it; null is missing or not
// said.
type readAnswer struct {
	Format        string         `json:"format"`
	Station       string         `json:"station"`
	Window        string         `json:"window"`
	MeanOf        feed.MeanOf    `json:"mean_of"`
	Issued        *time.Time     `json:"issued"`
	LatitudeDeg   *float64       `json:"latitude_deg"`
	LongitudeDeg  *float64       `json:"longitude_deg"`
	AltitudeM     *float64       `json:"altitude_m"`
	Days          []readDay      `json:"days"`
	Provisional   []readDay      `json:"provisional"`
	Readings      []readReading  `json:"readings"`
	Winds         []readWind     `json:"winds"`
	Stations      []readStation  `json:"stations"`
	Eras          []readEra      `json:"eras"`
	Rejects       []readReject   `json:"rejects"`
	MoreRejects   int            `json:"more_rejects"`
	Partial       []readReject   `json:"partial"`
	MissingValues int            `json:"missing_values"`
	OtherRecords  int            `json:"other_records"`
	Flags         map[string]int `json:"flags"`
	Notes         []string       `json:"notes"`
	Credit        string         `json:"credit"`
}

type readDay struct {
	Date  civil.Date   `json:"date"`
	MinC  *float64     `json:"tmin_c"`
	MaxC  *float64     `json:"tmax_c"`
	MeanC *float64     `json:"tmean_c"`
	Mark  weather.Mark `json:"mark,omitempty"`
}

type readReading struct {
	Time    time.Time `json:"time"`
	OverMin float64   `json:"over_min,omitempty"`
	TempC   *float64  `json:"temp_c"`
	MinC    *float64  `json:"tmin_c"`
	MaxC    *float64  `json:"tmax_c"`
}

type readWind struct {
	Date   civil.Date `json:"date"`
	MeanMS *float64   `json:"mean_ms"`
	MaxMS  *float64   `json:"max_ms"`
	GustMS *float64   `json:"gust_ms"`
}

type readStation struct {
	ID           string     `json:"id"`
	Name         string     `json:"name"`
	Region       string     `json:"region"`
	LatitudeDeg  *float64   `json:"latitude_deg"`
	LongitudeDeg *float64   `json:"longitude_deg"`
	AltitudeM    *float64   `json:"altitude_m"`
	First        civil.Date `json:"first"`
	Last         civil.Date `json:"last"`
}

type readEra struct {
	First    civil.Date `json:"first"`
	Last     civil.Date `json:"last"`
	Window   string     `json:"window"`
	Said     string     `json:"said"`
	MeanRule string     `json:"mean_rule"`
}

type readReject struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Text   string `json:"text"`
	Reason string `json:"reason"`
}

func readJSON(format string, b feed.Batch, files []readFile) readAnswer {
	a := readAnswer{
		Format: format, Station: b.Station, Window: b.Window.String(), MeanOf: b.MeanOf,
		LatitudeDeg: orNull(b.Place.LatitudeDeg), LongitudeDeg: orNull(b.Place.LongitudeDeg), AltitudeM: orNull(b.Place.AltitudeM),
		Days: readDays(b.Days), Provisional: readDays(b.Provisional), Readings: []readReading{}, Winds: []readWind{}, Stations: []readStation{}, Eras: []readEra{},
		Rejects: []readReject{}, Partial: []readReject{}, MissingValues: b.MissingValues, OtherRecords: b.OtherRecords,
		Flags: b.Flags, Notes: append([]string{}, b.Notes...), Credit: b.Credit,
	}
	if !b.Issued.IsZero() {
		a.Issued = &b.Issued
	}
	for _, r := range b.Readings {
		a.Readings = append(a.Readings, readReading{r.At.UTC(), r.Over.Minutes(), orNull(r.TempC), orNull(r.MinC), orNull(r.MaxC)})
	}
	for _, w := range b.Winds {
		a.Winds = append(a.Winds, readWind{w.Date, orNull(w.MeanMS), orNull(w.MaxMS), orNull(w.GustMS)})
	}
	for _, s := range b.Stations {
		a.Stations = append(a.Stations, readStation{s.ID, s.Name, s.Region, orNull(s.Place.LatitudeDeg), orNull(s.Place.LongitudeDeg), orNull(s.Place.AltitudeM), s.First, s.Last})
	}
	for _, e := range b.Eras {
		a.Eras = append(a.Eras, readEra{e.Days.First, e.Days.Last, e.Window.String(), e.Said, e.MeanRule})
	}
	for _, f := range files {
		a.MoreRejects += f.batch.MoreRejects
		a.Rejects = append(a.Rejects, readRejects(f.name, f.batch.Rejects)...)
		a.Partial = append(a.Partial, readRejects(f.name, f.batch.Partial)...)
	}
	return a
}

func readDays(days []weather.Day) []readDay {
	out := make([]readDay, 0, len(days))
	for _, d := range days {
		out = append(out, readDay{d.Date, orNull(d.MinC), orNull(d.MaxC), orNull(d.MeanC), d.Mark})
	}
	return out
}

func readRejects(file string, rejects []feed.Reject) (out []readReject) {
	for _, r := range rejects {
		out = append(out, readReject{file, r.Line, r.Text, r.Reason})
	}
	return out
}

package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"budcall/internal/weather"
)

// print writes the table, and below it what to take and why.
func (n nearby) print(w io.Writer) error {
	altitude := "altitude not given, so that it doesn't count"
	if !math.IsNaN(n.site.AltitudeM) {
		altitude = fmt.Sprintf("%g m", n.site.AltitudeM)
	}
	rows := [][]string{
		{fmt.Sprintf("near %g, %g, %s: the best %d of %s", n.site.LatDeg, n.site.LonDeg, altitude, len(n.ranked), counted(n.all, "station"))}, {},
		{"", "station", "provider", "format", "id", "distance", "altitude", "days", "present", "error", "with doubts", "advice"},
	}
	for i, r := range n.ranked {
		rows = append(rows, []string{
			fmt.Sprint(i + 1), r.Name, r.list.provider, r.list.station, r.ID, weather.Kilometres(r.DistanceKm), r.higher(),
			r.period(), r.present(), kelvins(r.ErrSDC), kelvins(r.CountedSDC), string(r.Advice),
		})
	}
	if err := table(w, rows); err != nil {
		return err
	}
	return n.reasons(w)
}

// reasons writes one sentence a station.
func (n nearby) reasons(w io.Writer) error {
	text := "\n"
	if n.first() == nil {
		text += n.none() + "\n"
	}
	for i, r := range n.ranked {
		text += fmt.Sprintf("%d %s: %s. %s.\n", i+1, r.Name, r.Advice, capital(r.Why))
	}
	if _, err := io.WriteString(w, text); err != nil {
		return fmt.Errorf("writing the answer: %w", err)
	}
	return nil
}

// none says that there is no station to take, and what to do.
func (n nearby) none() string {
	switch {
	case len(n.ranked) > 0 && n.turnedKm < 200 && n.ranked[0].DistanceKm > 200:
		return fmt.Sprintf("None can be taken. With latitude and longitude exchanged the nearest would be %s away: write the latitude first.", weather.Kilometres(n.turnedKm))
	case len(n.ranked) < n.all:
		return fmt.Sprintf("None of these %d can be taken: raise --limit to see more.", len(n.ranked))
	}
	return "None can be taken: give further lists, or set up a logger at the site."
}

// capital begins a sentence.
func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// first gives the station to take; nil where there is none.
func (n nearby) first() *rankedStation {
	for i := range n.ranked {
		if n.ranked[i].Advice == weather.Take {
			return &n.ranked[i]
		}
	}
	return nil
}

// kelvins writes an error; what is stated from distances means nothing beyond
// those at which a station is taken.
func kelvins(v float64) string {
	if v > 4.05 {
		return "> 4 K"
	}
	return fmt.Sprintf("%.2f K", v)
}

const notKnown = "–"

// higher is the station's altitude less the site's, or where that isn't known
// its own.
func (r rankedStation) higher() string {
	switch {
	case !math.IsNaN(r.HigherM):
		return fmt.Sprintf("%+.0f m", r.HigherM)
	case !math.IsNaN(r.AltitudeM):
		return fmt.Sprintf("at %.0f m", r.AltitudeM)
	}
	return notKnown
}

// period is the years of the station's days and how many those are.
func (r rankedStation) period() string {
	if math.IsNaN(r.years) {
		return notKnown
	}
	end := ""
	if r.ended {
		end = fmt.Sprint(r.Last.Year())
	}
	return fmt.Sprintf("%d–%s (%.0f years)", r.First.Year(), end, r.years)
}

func (r rankedStation) present() string {
	if math.IsNaN(r.share) {
		return notKnown
	}
	return fmt.Sprintf("%.1f %%", 100*r.share)
}

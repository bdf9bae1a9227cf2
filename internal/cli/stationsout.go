package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"budcall/internal/weather"
)

// longestName is how much of a station's name the table shows.
const longestName = 18

// print writes the table, and below it what to take and why.
func (n nearby) print(w io.Writer) error {
	altitude := "altitude not given, so that it doesn't count"
	if !math.IsNaN(n.site.AltitudeM) {
		altitude = fmt.Sprintf("%g m", n.site.AltitudeM)
	}
	head := fmt.Sprintf("near %g, %g, %s: the best %d of %s", n.site.LatDeg, n.site.LonDeg, altitude, len(n.ranked), counted(n.all, "station"))
	if _, err := io.WriteString(w, hang(head, "", "  ")+"\n\n"); err != nil {
		return fmt.Errorf("writing the answer: %w", err)
	}
	rows := [][]string{
		{"", "station", "distance", "altitude", "days", "years", "present", "doubt"},
	}
	for i, r := range n.ranked {
		rows = append(rows, []string{
			fmt.Sprint(i + 1), cut(r.Name, longestName), weather.Kilometres(r.DistanceKm), r.higher(),
			r.period(), r.howLong(), r.present(), kelvins(r.CountedSDC),
		})
	}
	if err := table(w, rows); err != nil {
		return err
	}
	return n.reasons(w)
}

// cut makes a text at most so many letters long.
func cut(text string, most int) string {
	letters := []rune(text)
	if len(letters) <= most {
		return text
	}
	return strings.TrimRight(string(letters[:most-1]), " ") + "…"
}

// reasons writes one sentence a station.
func (n nearby) reasons(w io.Writer) error {
	var text strings.Builder
	text.WriteString("\n")
	if n.first() == nil {
		text.WriteString(wrap(n.none(), "") + "\n")
	}
	for i, r := range n.ranked {
		text.WriteString(hang(fmt.Sprintf("%d %s (%s, %s %s): %s. %s.", i+1, r.Name, r.list.provider, r.list.station, r.ID, r.Advice, capital(r.Why)), "", "  ") + "\n")
	}
	if _, err := io.WriteString(w, text.String()); err != nil {
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

// period is the years from the station's first day to its last.
func (r rankedStation) period() string {
	switch {
	case math.IsNaN(r.years):
		return notKnown
	case r.First.IsZero(): // another list of the same place says how many
		return notKnown
	case r.ended:
		return fmt.Sprintf("%d–%d", r.First.Year(), r.Last.Year())
	}
	return fmt.Sprintf("%d–", r.First.Year())
}

// howLong is how many years those are.
func (r rankedStation) howLong() string {
	if math.IsNaN(r.years) {
		return notKnown
	}
	return fmt.Sprintf("%.0f", math.Floor(r.years))
}

func (r rankedStation) present() string {
	if math.IsNaN(r.share) {
		return notKnown
	}
	return fmt.Sprintf("%.1f %%", 100*r.share)
}

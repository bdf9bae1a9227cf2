package cli

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"budcall/internal/rehearse"
)

// rehearseAnswer is a trial as programs read it.
type rehearseAnswer struct {
	rehearse.Result
	Settings rehearseSettings  `json:"settings"`
	Tuned    []rehearseTuned   `json:"tuned"`
	Refused  []rehearseRefused `json:"refused"`
}

type rehearseSettings struct {
	Files          []string `json:"temperatures"`
	Latitudes      string   `json:"latitudes"` // as given; empty: not known
	Years          string   `json:"years"`
	Fold           string   `json:"fold"`
	Profile        string   `json:"profile"`
	Settings       *string  `json:"settings"` // null: the defaults
	Trees          int      `json:"trees"`
	Sites          int      `json:"sites_per_station"`
	Silent         float64  `json:"silent"`
	WeekendsOnly   bool     `json:"weekends_only"`
	Forecast       bool     `json:"forecast"`
	TreesAboveM    float64  `json:"trees_above_m"`
	AltitudeKnown  bool     `json:"altitude_corrected"`
	Truth          string   `json:"truth"`
	TreesApartDays int      `json:"trees_apart_days"`
	EarlierSprings int      `json:"earlier_springs"`
}

// rehearseTuned is the thresholds of one plan at one station.
type rehearseTuned struct {
	Plan       string `json:"plan"`
	Station    string `json:"station"`
	On         string `json:"on_years"`
	Thresholds string `json:"thresholds"`
	Edge       bool   `json:"at_edge"` // of what was tried
}

type rehearseRefused struct {
	Station string `json:"station"`
	Year    int    `json:"year"`
	Reason  string `json:"reason"`
}

// json gives a trial for programs. Lists are there even where they are empty.
func (c *rehearseFlags) json(t *rehearse.Trial, r rehearse.Request, result rehearse.Result, tuned []rehearse.Tuned) rehearseAnswer {
	out := rehearseAnswer{Result: result, Tuned: []rehearseTuned{}, Refused: []rehearseRefused{}, Settings: rehearseSettings{
		Files: strings.Split(c.temperatures, ","), Latitudes: c.latitudes, Years: c.years, Fold: c.fold, Profile: c.profile,
		Trees: t.Settings.Trees, Sites: t.Settings.SitesPerStation, Silent: t.Settings.SilentShare, WeekendsOnly: t.Settings.WeekendsOnly,
		Forecast: !r.Ours.WithoutForecast, TreesAboveM: t.Settings.TreesAboveM, AltitudeKnown: !r.Ours.AltitudeUnknown,
		Truth: string(t.Settings.Heat), TreesApartDays: t.Settings.TreesApartDays, EarlierSprings: r.Ours.EarlierSprings,
	}}
	if c.settings != "" {
		out.Settings.Settings = &c.settings
	}
	for _, x := range tuned {
		out.Tuned = append(out.Tuned, rehearseTuned{x.Plan, x.Group, x.On, x.Text, x.Edge})
	}
	for _, x := range t.Refused {
		out.Refused = append(out.Refused, rehearseRefused(x))
	}
	return out
}

// said is the conditions in words, those that differ from the usual ones.
func (c *rehearseFlags) said(t *rehearse.Trial, r rehearse.Request) string {
	usual := rehearse.Usual(nil)
	set := t.Settings
	text := fmt.Sprintf("\n%s of %s reported; %d trees a site, truth from the heat of %s", map[rehearse.Fold]string{
		rehearse.Even: "Even years", rehearse.Odd: "Odd years", rehearse.Both: "All years",
	}[r.Fold], c.years, set.Trees, map[rehearse.TrueHeat]string{
		rehearse.OfProfile: "the profile", rehearse.DayLength: "warmth and day length", rehearse.Logistic: "a logistic response",
	}[set.Heat])
	add := func(differs bool, format string, args ...any) {
		if differs {
			text += "; " + fmt.Sprintf(format, args...)
		}
	}
	add(set.SilentShare != usual.SilentShare, "%g %% of the leads never answer", 100*set.SilentShare)
	add(set.WeekendsOnly, "people go at weekends only")
	add(r.Ours.WithoutForecast, "budcall has no forecast of the next days")
	add(set.TreesAboveM != 0, "trees %g m above the station", set.TreesAboveM)
	add(r.Ours.AltitudeUnknown, "of which budcall doesn't know")
	add(set.TreesApartDays > 0, "a site's trees %s apart", counted(set.TreesApartDays, "day"))
	add(r.Ours.EarlierSprings > 0, "reports of %s before", counted(r.Ours.EarlierSprings, "spring"))
	add(c.settings != "", "settings of %s", c.settings)
	return text + ".\n"
}

// edges tells where tuning has come to the edge of what was tried, so that the
// plan might do better still.
func edges(tuned []rehearse.Tuned) (text string) {
	for _, x := range tuned {
		if x.Edge {
			text += fmt.Sprintf("%s, %s: the best threshold lies on the edge of what was tried: %s\n", x.Plan, x.Group, x.Text)
		}
	}
	return text
}

// sayRefused tells which years can't be played, those of one station and reason
// in one line.
func sayRefused(w io.Writer, refused []rehearse.Refused) {
	type key struct{ station, reason string }
	years := map[key][]string{}
	var order []key
	for _, r := range refused {
		k := key{r.Station, r.Reason}
		if years[k] == nil {
			order = append(order, k)
		}
		years[k] = append(years[k], strconv.Itoa(r.Year))
	}
	for _, k := range order {
		fmt.Fprintf(w, "%s: not played: %s: %s\n", k.station, strings.Join(years[k], ", "), k.reason)
	}
}

package cli

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"

	"budcall/internal/rehearse"
)

var rehearseCommand = command{
	name:    "rehearse",
	purpose: "play hidden seasons on past weather, and count the trees saved and lost",
	text: "Each site-season is invented on the temperatures of a real year: true stages of every tree, drawn from the profile with effects of site, tree and year that no plan is shown; people who answer late or never, go on their own days and err by a day; a thermometer with gaps; a forecast of ten days with errors that grow from 1.5 to 4 K. Budcall plays it through the same engine as `budcall run`. Four plain plans play the same seasons with the same people:\n" +
		"  calendar       the site's mean dates less a tuned margin\n" +
		"  heat-median    a heat sum at the profile's medians\n" +
		"  heat-tuned     a heat sum at tuned thresholds\n" +
		"  heat-forecast  the same, with the forecast at face value\n" +
		"What is tuned is tuned for each station on the years that aren't reported.\n" +
		"FILE is daily temperatures in °C with the header date,tmin_c,tmax_c,tmean_c (tmean_c, or both others). A year needs 10 earlier years in its file; years that can't be played are refused, and told on standard error.\n" +
		"In short (shares of trees, with standard errors over years):\n" +
		"  lost         never bagged, or bagged on the day of bud break or later\n" +
		"  too early    bagged more than 28 days before the tree flowers\n" +
		"  in time      neither\n" +
		"  off in time  off within 21 days from the end of flowering on\n" +
		"  picked ripe  picked when ripe and not shed\n" +
		"The ten worst site-seasons are told with what each lay at: people, weather, model (outside of P10 to P90 of the forecast) or rule. The same files, options and seed give the same figures.",
	example: "budcall rehearse --temperatures kumpula.csv,dahlem.csv --years 1970-2020 --sites 3\n" +
		"budcall rehearse --temperatures dahlem.csv --latitudes 52.5 --truth day-length --years 1970-2020 --forecast off --json",
	define: defineRehearse,
}

// rehearseFlags is what rehearse was told, as it was typed.
type rehearseFlags struct {
	temperatures, latitudes, years string
	profile, settings              string
	trees, sites                   int
	seed                           uint64
	fold, plans                    string
	silent                         float64
	weekends                       bool
	forecast, altitude, truth      string
	above                          float64
	apart, springs                 int
	machine                        bool
}

func defineRehearse(f *flag.FlagSet) action {
	c := &rehearseFlags{}
	usual := rehearse.Usual(nil)
	f.StringVar(&c.temperatures, "temperatures", "", "`FILE,FILE` of daily temperatures, one a station")
	f.StringVar(&c.latitudes, "latitudes", "", "the stations' latitudes in `DEGREES`, as many as files, commas between; NaN where one isn't known")
	f.StringVar(&c.years, "years", "", "the `YEARS` that are played, such as 1970-2020")
	f.StringVar(&c.profile, "profile", "config/profiles/silver-birch.yml", "the profile `FILE` that trees and program share")
	f.StringVar(&c.settings, "settings", "", "a `FILE` with calls: as in a site's file, in place of the default settings; trees are judged by 28 and 21 days all the same")
	f.IntVar(&c.trees, "trees", usual.Trees, "`N` trees at each site")
	f.IntVar(&c.sites, "sites", usual.SitesPerStation, "`N` sites at each station")
	f.Uint64Var(&c.seed, "seed", usual.Seed, "`NUMBER` from which all that is invented is drawn")
	f.StringVar(&c.fold, "fold", string(rehearse.Even), "years that are reported, by `NAME`: even, odd or all; the other plans are tuned on the odd years for the even ones, and the other way round")
	f.StringVar(&c.plans, "plans", planNames(), "plans that are played, a `LIST` with commas")
	f.Float64Var(&c.silent, "silent", usual.SilentShare, "`SHARE` of the leads who never answer, 0 to 1")
	f.BoolVar(&c.weekends, "weekends-only", false, "people go at weekends only")
	f.StringVar(&c.forecast, "forecast", "on", "off keeps the forecast of the next ten days from budcall, and from it alone; `WORD` on or off")
	f.Float64Var(&c.above, "trees-above", 0, "`METRES` by which the trees stand above their station")
	f.StringVar(&c.altitude, "altitude", "corrected", "whether budcall knows --trees-above, by `WORD`: corrected, or uncorrected: it takes the trees to stand at the station")
	f.StringVar(&c.truth, "truth", string(rehearse.OfProfile), "heat that the trees follow, by `NAME`: profile, day-length (needs --latitudes) or logistic")
	f.IntVar(&c.apart, "trees-apart", 0, "`DAYS` between a site's first and last tree, beside what is drawn")
	f.IntVar(&c.springs, "earlier-springs", 0, "budcall has the reports of `N` earlier springs of each site; of the first of --years, as many as there are before")
	f.BoolVar(&c.machine, "json", false, "for programs: plans, stations, seasons, seed, worst, settings, tuned and refused")
	return c.do
}

func (c *rehearseFlags) do(ctx context.Context, _ []string, s Streams) error {
	trial, request, err := c.read()
	if err != nil {
		return err
	}
	sig := listen(ctx)
	defer sig.close()
	b := barFor(s.Err)
	request.Workers = runtime.GOMAXPROCS(0)
	request.Progress = func(done, total int) {
		b.show(done, total, fmt.Sprintf("site-season %d of %d", done, total))
	}
	// Seasons leave much behind and keep little: clearing up less often takes a
	// quarter off the time, and some 300 MB.
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	result, tuned, err := trial.Outcome(sig.working, request)
	b.end()
	if sig.working.Err() != nil {
		return errors.New("it was stopped before all was played: start it again")
	}
	sayRefused(s.Err, trial.Refused)
	if err != nil {
		return err
	}
	if c.machine {
		return asJSON(s.Out, c.json(trial, request, result, tuned))
	}
	_, err = fmt.Fprint(s.Out, result.Table(), c.said(trial, request), edges(tuned))
	return err
}

// plansByName lists the plans by what they are called on the command line.
var plansByName = []struct{ name, plan string }{
	{"budcall", rehearse.Budcall},
	{"calendar", rehearse.PlanCalendar},
	{"heat-median", rehearse.PlanMedian},
	{"heat-tuned", rehearse.PlanTuned},
	{"heat-forecast", rehearse.PlanTunedAhead},
}

func planNames() string {
	var names []string
	for _, p := range plansByName {
		names = append(names, p.name)
	}
	return strings.Join(names, ",")
}

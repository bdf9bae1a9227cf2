package cli

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"runtime"
	"time"

	"budcall/internal/civil"
	"budcall/internal/hindcast"
)

var scoreCommand = command{
	name:    "score",
	purpose: "forecast past seasons as if they were this one, and say how good it was",
	text: "Every year of a series is forecast from the other years and from its own days up to the day of issue, and scored against the mean date and against a regression on the mean temperature so far. All three know the unit's own last visit.\n" +
		"FILE is a table with a header, columns in any order: site (or plot, station, region, tree), species, phase, year and doy (day of year) or date, temperature_file, and if there series, tree, lat. DIR holds the files of temperatures that it names: date,tmin_c,tmax_c,tmean_c. Commas, semicolons (then with decimal commas) or tabs. Lines that can't be used are told, and the rest is scored.\n" +
		"The series is what the column series says, such as a data set; without --series all that is of the species and phase is scored as one. It may be given several times.\n" +
		"In short:\n" +
		"  lead       days from the day of issue to the unit's mean date in the other years\n" +
		"  ahead/gone cases scored / not scored, as the stage had been reached by then\n" +
		"  CRPS       continuous ranked probability score: error of a whole forecast, days\n" +
		"  skill      1 - CRPS / CRPS of the better baseline: 1 is perfect, 0 no better\n" +
		"  MAE, RMSE  mean absolute, root mean square error of the median, in days\n" +
		"  bias       mean of forecast less observed, in days: below 0 is too early\n" +
		"  cover 80   share of cases between P10 and P90; 0.80 is right\n" +
		"  width 80   days from P10 to P90, on average\n" +
		"  PIT        probability integral transform: the chance that was given to all\n" +
		"             days up to the one that came; spread evenly if forecasts are right\n" +
		"Intervals of skill are of 95 %, from 1000 draws of years with the seed 20310401; the simulated forecast has the same seed. The same data give the same figures.",
	example: "budcall score --observations seen.csv --temperatures stations --species \"Betula pendula\" --phase \"bud break\" --chart skill.svg\n" +
		"budcall score --observations seen.csv --temperatures stations --list series.csv --forecast simulated --json",
	define: defineScore,
}

// scoreFlags is what score was told, as it was typed.
type scoreFlags struct {
	observations, temperatures string
	species, phase, per, list  string
	series                     []string
	leads, forecast            string
	delayDays                  int
	pastOnly, ownVisits        bool
	machine                    bool
	chart, cases, today        string
	clash                      error // a file of temperatures that would be written over
}

func defineScore(f *flag.FlagSet) action {
	c := &scoreFlags{}
	f.StringVar(&c.observations, "observations", "", "`FILE` of observations; - is standard input")
	f.StringVar(&c.temperatures, "temperatures", "", "the folder `DIR` of the files of temperatures")
	f.StringVar(&c.species, "species", "", "`NAME` of the species, as in the observations")
	f.StringVar(&c.phase, "phase", "", "`NAME` of the phase, as in the observations")
	f.Func("series", "only the series of this `NAME`; may be given several times, each is scored apart", func(v string) error {
		c.series = append(c.series, v)
		return nil
	})
	f.StringVar(&c.list, "list", "", "`FILE.csv` of many series at once, with the header species,phase and if wanted series,per; in place of --species, --phase and --series")
	f.StringVar(&c.leads, "leads", "56,42,28,21,14,7,3", "`DAYS` before the mean date on which forecasts are issued")
	f.StringVar(&c.per, "per", string(hindcast.PerSite), "what is forecast, by `NAME`: each site (its mean date), each tree, or the year as a whole")
	f.IntVar(&c.delayDays, "report-delay", 0, "`DAYS` from a visit until its report is known")
	f.StringVar(&c.forecast, "forecast", "none", "short-range weather forecast, by `NAME`: none, or simulated: ten days of the true weather with an error that grows from 1.5 to 4 K")
	f.BoolVar(&c.pastOnly, "past-only", false, "learn from earlier years alone, instead of from all others")
	f.BoolVar(&c.ownVisits, "own-visits", false, "leave out what this season's visits to other plants have found, which the baselines can't use")
	f.StringVar(&c.today, "today", "", "refuse observations after this `DAY`, YYYY-MM-DD; without it, after today")
	f.BoolVar(&c.machine, "json", false, "for programs: series, species, phase, per, units, seasons, leads and notes; an array with --list or several --series")
	f.StringVar(&c.chart, "chart", "", "draw skill, PIT and forecast against observed into `FILE.svg`")
	f.StringVar(&c.cases, "cases", "", "write every single forecast and what came into `FILE.csv`")
	return c.do
}

func (c *scoreFlags) do(ctx context.Context, _ []string, s Streams) error {
	requests, err := c.requests()
	if err != nil {
		return err
	}
	if err := c.writable(); err != nil {
		return err
	}
	observations, err := c.observed(s)
	if err != nil {
		return err
	}
	sig := listen(ctx)
	defer sig.close()
	bar := &scoreBar{bar: barFor(s.Err), of: len(requests), workers: runtime.GOMAXPROCS(0)}
	results, err := c.score(sig.working, requests, observations, bar)
	bar.end()
	if err != nil && results == nil {
		return err
	}
	return errors.Join(c.tell(s.Out, results), err)
}

// score scores each request. A series that can't be scored keeps none of the
// others from it, and is told at the end.
func (c *scoreFlags) score(ctx context.Context, requests []hindcast.Request, observations []byte, bar *scoreBar) (results []hindcast.Result, failure error) {
	for i, r := range requests {
		r.Workers, r.Progress = bar.workers, bar.of1(i)
		result, err := c.runUntil(ctx, r, observations)
		switch {
		case ctx.Err() != nil:
			return nil, errors.New("it was stopped before all was scored: start it again")
		case c.clash != nil:
			return nil, c.clash
		case err != nil && result.Leads == nil:
			return nil, fmt.Errorf("%s: %w", c.observations, err)
		case err != nil:
			result.Notes = append(result.Notes, err.Error())
			failure = errors.Join(failure, fmt.Errorf("%s: %w", c.observations, err))
		}
		results = append(results, result)
	}
	return results, failure
}

// runUntil scores one request, and leaves it where it is when ctx ends: with
// many plants one season takes long, and nothing is half-written by it.
func (c *scoreFlags) runUntil(ctx context.Context, r hindcast.Request, observations []byte) (hindcast.Result, error) {
	type outcome struct {
		result hindcast.Result
		err    error
	}
	done := make(chan outcome, 1)
	go func() {
		result, err := hindcast.Run(ctx, r, hindcast.Files{Observations: bytes.NewReader(observations), Temperatures: c.temperatureFile})
		done <- outcome{result, err}
	}()
	select {
	case o := <-done:
		return o.result, o.err
	case <-ctx.Done():
		return hindcast.Result{}, ctx.Err()
	}
}

// requests gives what is to be scored.
func (c *scoreFlags) requests() ([]hindcast.Request, error) {
	if c.observations == "" || c.temperatures == "" {
		return nil, misused("give --observations FILE and --temperatures DIR")
	}
	leads, err := parseLeads(c.leads)
	if err != nil {
		return nil, err
	}
	if c.forecast != "none" && c.forecast != "simulated" {
		return nil, misused("--forecast is %q: write none or simulated", c.forecast)
	}
	today := civil.At(time.Now())
	if c.today != "" {
		if today, err = civil.Parse(c.today); err != nil {
			return nil, misused("--today: %v", err)
		}
	}
	listed, err := c.listed()
	if err != nil {
		return nil, err
	}
	var out []hindcast.Request
	for _, l := range listed {
		if l.Per == "" {
			l.Per = hindcast.Unit(c.per)
		}
		r := hindcast.Request{
			Series: l.Series, Species: l.Species, Phase: l.Phase, Per: l.Per, LeadDays: leads, ReportDelayDays: c.delayDays,
			OwnVisitsOnly: c.ownVisits, Simulated: c.forecast == "simulated", PastOnly: c.pastOnly, Today: today,
		}
		if err := r.Check(); err != nil {
			return nil, misused("%v", err)
		}
		out = append(out, r)
	}
	return out, nil
}

// observed reads the observations, which are gone through for each series.
func (c *scoreFlags) observed(s Streams) ([]byte, error) {
	r, name, err := open(c.observations, s)
	if err != nil {
		return nil, fmt.Errorf("reading the observations: %w", err)
	}
	defer r.Close()
	b, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w: see that it is a file that can be read", name, err)
	}
	return b, nil
}

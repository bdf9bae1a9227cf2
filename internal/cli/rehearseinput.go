package cli

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"budcall/internal/config"
	"budcall/internal/rehearse"
	"budcall/internal/season"
	"budcall/internal/stage"
)

// read draws the seasons, and gives what is to be tried on them.
func (c *rehearseFlags) read() (*rehearse.Trial, rehearse.Request, error) {
	request, err := c.request()
	if err != nil {
		return nil, request, err
	}
	from, to, err := parseYears(c.years)
	if err != nil {
		return nil, request, err
	}
	if request.Ours.Profile, err = readProfile(c.profile); err != nil {
		return nil, request, err
	}
	if request.Ours.Settings, err = readCalls(c.settings); err != nil {
		return nil, request, err
	}
	stages, err := rehearse.StagesOf(request.Ours.Profile)
	if err != nil {
		return nil, request, fmt.Errorf("%s: %w", c.profile, err)
	}
	set := c.conditions(stages)
	if err := set.Check(); err != nil {
		return nil, request, misused("%v", err)
	}
	stations, err := c.stations()
	if err != nil {
		return nil, request, err
	}
	trial, err := rehearse.NewTrial(set, stations, from, to)
	if err != nil {
		return nil, request, err
	}
	trial.NeedPast(rehearse.FewestPastYears)
	return trial, request, nil
}

// request gives what the words among the options mean.
func (c *rehearseFlags) request() (rehearse.Request, error) {
	r := rehearse.Request{Scope: rehearse.PerStation}
	var err error
	if c.temperatures == "" || c.years == "" {
		return r, misused("give --temperatures FILE and --years A-B")
	}
	if r.Fold, err = oneOf("fold", c.fold, map[string]rehearse.Fold{"even": rehearse.Even, "odd": rehearse.Odd, "all": rehearse.Both}); err != nil {
		return r, err
	}
	if r.Ours.WithoutForecast, err = oneOf("forecast", c.forecast, map[string]bool{"on": false, "off": true}); err != nil {
		return r, err
	}
	if r.Ours.AltitudeUnknown, err = oneOf("altitude", c.altitude, map[string]bool{"corrected": false, "uncorrected": true}); err != nil {
		return r, err
	}
	if r.Plans, err = parsePlans(c.plans); err != nil {
		return r, err
	}
	switch {
	case r.Ours.AltitudeUnknown && c.above == 0:
		return r, misused("--altitude uncorrected changes nothing with trees at their station: give --trees-above METRES too")
	case !(math.Abs(c.above) <= 3000):
		return r, misused("--trees-above is %g m: give -3000 to 3000", c.above)
	case c.springs < 0:
		return r, misused("--earlier-springs is %d: give 0 or more", c.springs)
	}
	r.Ours.EarlierSprings = c.springs
	return r, nil
}

// conditions gives the conditions under which all plans play.
func (c *rehearseFlags) conditions(stages []rehearse.Stage) rehearse.Settings {
	set := rehearse.Usual(stages)
	set.Seed, set.Trees, set.SitesPerStation = c.seed, c.trees, c.sites
	set.Heat, set.TreesAboveM, set.TreesApartDays = rehearse.TrueHeat(c.truth), c.above, c.apart
	set.SilentShare, set.WeekendsOnly = c.silent, c.weekends
	return set
}

// oneOf gives what one of several words means.
func oneOf[T any](option, word string, means map[string]T) (T, error) {
	v, ok := means[word]
	if !ok {
		var known []string
		for w := range means {
			known = append(known, w)
		}
		slices.Sort(known)
		return v, misused("--%s is %q: write %s", option, word, strings.Join(known, " or "))
	}
	return v, nil
}

// parsePlans reads names of plans with commas between.
func parsePlans(text string) (plans []string, err error) {
	for name := range strings.SplitSeq(text, ",") {
		name = strings.TrimSpace(name)
		plan := ""
		for _, p := range plansByName {
			if p.name == name {
				plan = p.plan
			}
		}
		switch {
		case plan == "":
			return nil, misused("--plans: there is no plan %q: name some of %s", name, planNames())
		case slices.Contains(plans, plan):
			return nil, misused("--plans: %s stands twice: name each once", name)
		}
		plans = append(plans, plan)
	}
	return plans, nil
}

// parseYears reads years A-B, or one.
func parseYears(text string) (from, to int, err error) {
	first, last, ranged := strings.Cut(text, "-")
	if !ranged {
		last = first
	}
	from, err1 := strconv.Atoi(strings.TrimSpace(first))
	to, err2 := strconv.Atoi(strings.TrimSpace(last))
	if err1 != nil || err2 != nil || from < 1700 || to > 9999 || from > to {
		return 0, 0, misused("--years is %q: write the first and the last, such as 1970-2020", text)
	}
	return from, to, nil
}

// stations reads the files of temperatures.
func (c *rehearseFlags) stations() ([]rehearse.Station, error) {
	files := strings.Split(c.temperatures, ",")
	latitudes := slices.Repeat([]float64{math.NaN()}, len(files))
	if c.latitudes != "" {
		texts := strings.Split(c.latitudes, ",")
		if len(texts) != len(files) {
			return nil, misused("--latitudes has %s for %s: give one for each, NaN where it isn't known", counted(len(texts), "number"), counted(len(files), "file"))
		}
		for i, text := range texts {
			v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
			if err != nil || math.Abs(v) > 90 {
				return nil, misused("--latitudes: %q is no latitude: give degrees from -90 to 90, north above 0, or NaN", text)
			}
			latitudes[i] = v
		}
	}
	var stations []rehearse.Station
	for i, file := range files {
		file = strings.TrimSpace(file)
		if c.truth == string(rehearse.DayLength) && math.IsNaN(latitudes[i]) {
			return nil, misused("--truth day-length needs the latitude of %s: give --latitudes, or --truth logistic", file)
		}
		means, err := readMeans(file)
		if err != nil {
			return nil, err
		}
		name := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
		stations = append(stations, rehearse.Station{Name: name, LatitudeDeg: latitudes[i], Means: means})
	}
	return stations, nil
}

func readMeans(file string) (map[int][]float64, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, fmt.Errorf("opening the temperatures: %w: name files of daily temperatures, with commas between", err)
	}
	defer f.Close()
	return rehearse.ReadTemperatures(file, f)
}

// readProfile reads a profile by itself.
func readProfile(file string) (stage.Profile, error) {
	body, err := os.ReadFile(file)
	if err != nil {
		return stage.Profile{}, fmt.Errorf("reading the profile: %w: name a profile by --profile, such as profiles/silver-birch.yml of a configuration", err)
	}
	p, problems := config.ParseProfile(file, body)
	return p, saidProblems("the profile", problems)
}

// readCalls reads settings of the calls; without a file they are the defaults.
func readCalls(file string) (season.Settings, error) {
	if file == "" {
		return season.Defaults(), nil
	}
	body, err := os.ReadFile(file)
	if err != nil {
		return season.Settings{}, fmt.Errorf("reading the settings: %w: name a file with calls: as a site's file has it", err)
	}
	s, problems := config.ParseCalls(file, body, season.Defaults())
	return s, saidProblems("the settings", problems)
}

// saidProblems is what is wrong in a file, a line each; nil if nothing is.
func saidProblems(what string, problems []config.Problem) error {
	if len(problems) == 0 {
		return nil
	}
	var lines []string
	for _, p := range problems {
		lines = append(lines, p.String())
	}
	return fmt.Errorf("%s can't be used as it stands:\n%s", what, strings.Join(lines, "\n"))
}

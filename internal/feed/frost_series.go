package feed

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"budcall/internal/civil"
)

// frostFile gathers observations until it is known which series to take.
type frostFile struct {
	collector
	station  frostStation
	values   []frostValue
	found    seen // elements that aren't taken
	readings readings
	winds    windReadings
	windAt   map[civil.Date]int // into collector.winds
}

// frostSeries is one series of an element.
type frostSeries struct {
	source          string
	offsetH, series int
}

func (v *frostValue) of() frostSeries { return frostSeries{v.source, v.offsetH, v.series} }

// frostStation tells which source is read: SN18700 of SN18700:0.
type frostStation struct{ wanted string }

func baseSource(id string) string {
	base, _, _ := strings.Cut(id, ":")
	return base
}

// choose gives the source to read, or refuses an answer of which nobody said
// which.
func (s frostStation) choose(values []frostValue) (string, error) {
	var met seen
	for i := range values {
		met.add(baseSource(values[i].source))
	}
	wanted := baseSource(s.wanted)
	switch {
	case slices.Contains(met, wanted):
		return wanted, nil
	case len(met) > 1:
		return "", refuse("name one as station", "the answer holds several sources: %s", shortenTo(200, strings.Join(met, ", ")))
	case strings.HasPrefix(wanted, "SN") && len(met) == 1:
		if _, number := wholeDigits(wanted[2:]); number {
			return "", refuse("correct the station or the address", "the answer is of %s, not of %s", shorten(met[0]), wanted)
		}
	}
	if len(met) == 0 {
		return "", nil
	}
	return met[0], nil
}

func (g *frostFile) batch(opt Options) (Batch, error) {
	source, err := g.station.choose(g.values)
	if err != nil {
		return Batch{}, err
	}
	mine := g.values[:0]
	for _, v := range g.values {
		if baseSource(v.source) == source {
			mine = append(mine, v)
		} else {
			g.others++
		}
	}
	g.values = mine
	offsets := map[int]int{} // element → hour, of the extremes and the mean
	temperatures := false
	for _, name := range sortedKeys(frostElements) {
		kind := frostElements[name]
		hour, any, err := g.takeSeries(name, kind, opt)
		if err != nil {
			return Batch{}, err
		}
		if any && !kind.wind {
			temperatures = true
			if kind.daily {
				offsets[kind.element] = hour
			}
		}
	}
	switch {
	case !temperatures && len(g.rejects.listed) > 0:
		return Batch{}, g.rejects.nothingRead("fetch it again, or tell the source")
	case !temperatures && len(g.found) == 0:
		return Batch{}, refuseEmpty("look whether the station measures the element in the time asked for", "Frost's answer is empty: it holds no observation of temperature")
	case !temperatures:
		return Batch{}, frostOthers(g.found)
	}
	if len(offsets) > 0 && len(g.readings.list) > 0 {
		return Batch{}, refuse("ask for one of them", "the answer holds daily temperatures and those of moments")
	}
	return g.settle(source, offsets, opt)
}

// takeSeries takes the values of an element from the series that is chosen.
func (g *frostFile) takeSeries(name string, kind frostElement, opt Options) (offsetH int, any bool, err error) {
	var all []frostSeries
	for i := range g.values {
		if s := g.values[i].of(); g.values[i].name == name && !slices.Contains(all, s) && len(all) < 100 {
			all = append(all, s)
		}
	}
	if len(all) == 0 {
		return 0, false, nil
	}
	wanted := frostOffset(kind, opt)
	slices.SortFunc(all, func(a, b frostSeries) int {
		far := func(s frostSeries) int { return min(1, max(s.offsetH-wanted, wanted-s.offsetH)) }
		return cmp.Or(cmp.Compare(far(a), far(b)), cmp.Compare(a.series, b.series), cmp.Compare(a.source, b.source))
	})
	chosen := all[0]
	if chosen.offsetH != wanted {
		for _, s := range all {
			if s.offsetH != chosen.offsetH {
				return 0, false, refuse("ask with timeoffsets=default, or set a window that ends when one of them does",
					"%s comes with the offsets PT%dH and PT%dH, and neither is PT%dH", name, chosen.offsetH, s.offsetH, wanted)
			}
		}
	}
	for i := range g.values {
		switch v := &g.values[i]; {
		case v.name != name:
		case v.of() != chosen:
			g.others++
		default:
			g.use(v, kind)
		}
	}
	return chosen.offsetH, true, nil
}

// frostOffset is the hour at which the wanted days of an element end.
func frostOffset(kind frostElement, opt Options) int {
	switch {
	case !kind.daily || kind.wind:
		return 0
	case opt.Window.Stated() && opt.Window.Zone == "UTC":
		return opt.Window.EndHour % 24
	case kind.element == elementMean:
		return 0
	}
	return 18
}

func (g *frostFile) use(v *frostValue, kind frostElement) {
	if v.quality != "" && !kind.wind {
		g.flag("qualityCode " + v.quality)
	}
	switch {
	case v.doubted && kind.daily && !kind.wind: // the day is named, and it isn't the file that calls it missing
		g.value(v.item, v.text, civil.At(v.at), kind.element, math.NaN())
		g.missing--
	case v.doubted:
	case kind.daily && kind.wind:
		g.dailyWind(civil.At(v.at), kind.element, windMS(v.v))
	case kind.daily:
		g.value(v.item, v.text, civil.At(v.at), kind.element, v.v)
	case kind.wind && kind.gust:
		g.winds.add(windReading{at: v.at, over: kind.over, speed: math.NaN(), gustMS: v.v})
	case kind.wind:
		g.winds.add(windReading{at: v.at, speed: v.v, gustMS: math.NaN()})
	default:
		g.readings.add(instant(v.item, v.at, v.v))
	}
}

func (g *frostFile) dailyWind(date civil.Date, which int, ms float64) {
	i, known := g.windAt[date]
	if !known {
		if g.windAt == nil {
			g.windAt = map[civil.Date]int{}
		}
		i = len(g.collector.winds)
		g.windAt[date] = i
		g.collector.winds = append(g.collector.winds, noWind(date))
	}
	w := &g.collector.winds[i]
	*[]*float64{&w.MeanMS, &w.MaxMS, &w.GustMS}[which] = ms
}

// frostWindow is the day of an offset.
func frostWindow(hour int) Window {
	if hour == 0 {
		return naturalDay("UTC")
	}
	return Window{StartHour: hour + 1, EndHour: hour, Zone: "UTC", Label: LabelEnd}
}

func (g *frostFile) settle(source string, offsets map[int]int, opt Options) (Batch, error) {
	list := g.readings.settle(&g.rejects)
	b := g.collector.batch(opt)
	b.Station, b.Credit, b.Readings = orText(opt.Station, source), frostCredit, list
	b.MissingValues += g.readings.missing
	b.MeanOf = meanOf(b.Days, MeanPublished)
	if len(b.Winds) == 0 {
		b.Winds = g.winds.days(opt)
	}
	low, hasLow := offsets[elementMin]
	high, hasHigh := offsets[elementMax]
	mean, hasMean := offsets[elementMean]
	switch {
	case hasLow && hasHigh && low != high:
		return Batch{}, refuse("ask for both with the same timeoffsets", "the minima end at %02d UTC and the maxima at %02d UTC", low, high)
	case hasLow:
		b.Window = frostWindow(low)
	case hasHigh:
		b.Window = frostWindow(high)
	case hasMean:
		b.Window = frostWindow(mean)
	}
	if w := frostWindow(mean); hasMean && w != b.Window {
		b.Notes = append(b.Notes, fmt.Sprintf("the means are of %s, the extremes of %s", w, b.Window))
	}
	return b, nil
}

// frostOthers names what an answer without air temperature holds.
func frostOthers(found []string) error {
	known := map[string]string{}
	for _, id := range found {
		for part, what := range map[string]string{
			"precipitation": "precipitation", "snow": "snow", "radiation": "radiation", "flux": "radiation", "wind": "wind", "humidity": "humidity",
			"pressure": "pressure", "soil_temperature": "temperature of the soil", "sea": "the sea", "PT12H": "of 12 hours", "P1M": "monthly", "P1Y": "yearly",
		} {
			if strings.Contains(id, part) {
				known[strings.ToUpper(id)] = what
			}
		}
	}
	return noTemperature(found, known, "max, min and mean(air_temperature P1D), or air_temperature")
}

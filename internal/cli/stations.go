package cli

import (
	"context"
	"flag"
	"fmt"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

var stationsCommand = command{
	name:    "stations",
	purpose: "say which weather stations are near a place, which to take and why",
	text: "The stations are those of the providers' own lists. --fetch fetches these into the state folder: those that are a day old, and only what has changed; nothing else is asked over the network. ECA&D's list, and any other copy, is given by --list or --lists. A list is one of " + strings.Join(listNames(), ", ") + "; with ghcn-inventory beside ghcn-stations, and meteoswiss-inventory beside meteoswiss-stations, the years are known, and the many stations that measure no temperature are left out.\n" +
		"They are ranked by the error that is stated for a station's days when they stand for the site's: it grows with the distance and the difference in altitude, and what is doubted counts as error too: a past of few years, days missing, no thermometer known, measuring ended. A station is too far beyond 200 km or 300 m of altitude.\n" +
		"No list says how many of its days a station really has: --days counts them in a file of the station's days.",
	example: "budcall stations --fetch --contact weather@example.org\nbudcall stations --near 61.2345,24.5678 --altitude 140\nbudcall stations --near 61.2345,24.5678 --altitude 140 --list fmi-stations=stations.xml\nbudcall stations --near 61.2345,24.5678 --altitude 140 --lists lists --days ghcn-daily=FIE00142080.dly --limit 5\nbudcall stations --near 61.2345,24.5678 --altitude 140 --lists lists --yaml",
	define:  defineStations,
}

// stationsFlags is what stations was told, as it was typed.
type stationsFlags struct {
	near, altitude, folder, today string
	lists, counted                pairs
	limit                         int
	machine, yaml                 bool
	fetching                      fetchLists
}

func defineStations(f *flag.FlagSet) action {
	o := &stationsFlags{}
	f.StringVar(&o.near, "near", "", "the site, as `LAT,LON` in degrees with decimal points: 61.2345,24.5678 is 61.2345 north, 24.5678 east")
	f.StringVar(&o.altitude, "altitude", "", "the site's `METRES` above sea level; without it, differences in altitude don't count")
	f.Var(&o.lists, "list", "a station list, as `FORMAT=FILE`; may be given several times")
	f.StringVar(&o.folder, "lists", "", "`DIR` with station lists, each file named for its format: fmi-stations.xml, dwd-stations.txt.gz; without it and --list, those that --fetch fetched")
	o.fetching.define(f)
	f.Var(&o.counted, "days", "count the days present in a file of a station's days, as `FORMAT=FILE`: dwd-daily=tageswerte.zip; may be given several times")
	f.StringVar(&o.today, "today", "", "the `DAY` to which the years of stations that go on are counted; without it, today")
	f.IntVar(&o.limit, "limit", 10, "how many stations are printed, the best `N`")
	f.BoolVar(&o.yaml, "yaml", false, "print the stations to take as entries for stations.yml")
	f.BoolVar(&o.machine, "json", false, "for programs: all that is known of each station, null where it isn't")
	return o.do
}

func (o *stationsFlags) do(ctx context.Context, _ []string, s Streams) error {
	if o.fetching.now {
		if err := o.fetching.do(ctx, s); err != nil || o.near == "" {
			return err
		}
	}
	site, today, err := o.place()
	if err != nil {
		return err
	}
	lists, err := o.named()
	if err != nil {
		return err
	}
	read, err := readStationLists(lists, today, s)
	if err != nil {
		return err
	}
	if err := read.count(o.counted, s); err != nil {
		return err
	}
	near := read.rank(site, today, o.limit)
	switch {
	case o.machine:
		return asJSON(s.Out, near.json())
	case o.yaml:
		return near.yaml(s.Out)
	}
	return near.print(s.Out)
}

// place checks what doesn't depend on files.
func (o *stationsFlags) place() (site weather.Place, today civil.Date, err error) {
	switch {
	case o.near == "":
		err = misused("give --near LAT,LON, such as --near 61.2345,24.5678, or --fetch")
	case o.limit < 1:
		err = misused("--limit is %d: write 1 or more", o.limit)
	case o.machine && o.yaml:
		err = misused("--json and --yaml are two answers: leave one out")
	}
	if err != nil {
		return site, 0, err
	}
	if site, err = parseNear(o.near); err != nil {
		return site, 0, err
	}
	if site.AltitudeM, err = parseAltitude(o.altitude); err != nil {
		return site, 0, err
	}
	if o.today == "" {
		return site, civil.At(time.Now()), nil
	}
	today, err = parseDay("today", o.today)
	return site, today, err
}

// pair is a format and a file.
type pair struct{ format, file string }

// pairs is an option FORMAT=FILE that may be given several times.
type pairs []pair

// String is nothing: there is none, unless set.
func (p *pairs) String() string { return "" }

// Set takes one more.
func (p *pairs) Set(text string) error {
	format, file, ok := strings.Cut(text, "=")
	if !ok || format == "" || file == "" {
		return fmt.Errorf("write FORMAT=FILE")
	}
	*p = append(*p, pair{format, file})
	return nil
}

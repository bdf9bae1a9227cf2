package cli

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// count counts the days present in files of stations' days.
func (r *readLists) count(files []pair, s Streams) error {
	for _, p := range files {
		list, err := listOfDays(p)
		if err != nil {
			return err
		}
		body, err := os.Open(p.file)
		if err != nil {
			return notOpened(p.file, err)
		}
		// Nearly every day's readings are there or not whatever hours a day is,
		// so that its window need not be asked for.
		b, err := feed.Parse(p.format, body, feed.Options{ReadingsOnly: true})
		body.Close()
		if err != nil {
			return located(p.file, err)
		}
		if err := r.countDays(list, p.file, b); err != nil {
			return err
		}
		sayRejects(s.Err, p.file, b)
	}
	return nil
}

// listOfDays finds the list whose ids a format of days has.
func listOfDays(p pair) (*stationList, error) {
	var known []string
	for i := range stationLists {
		if slices.Contains(stationLists[i].days, p.format) {
			return &stationLists[i], nil
		}
		known = append(known, stationLists[i].days...)
	}
	return nil, misused("--days %s=%s: %q is no format whose stations are in a list%s: write one of %s", p.format, p.file, p.format, meant(p.format, known), strings.Join(known, ", "))
}

func (r *readLists) countDays(list *stationList, file string, b feed.Batch) error {
	id := list.id(b.Station)
	st := r.byID[stationKey{list, id}]
	switch {
	case b.Station == "":
		return fmt.Errorf("%s doesn't say of which station it is: leave it out", file)
	case st == nil:
		return fmt.Errorf("%s is of station %s, which no list here holds: give its %s with --list, or leave it out", file, id, list.format)
	}
	present := presentDays(b)
	if len(present) == 0 {
		return fmt.Errorf("%s holds no day with a mean or both extremes: check that it is the right file", file)
	}
	over := civil.Range{First: present[0], Last: present[len(present)-1]}
	st.share, st.daysFrom, st.thermometer = float64(len(present))/float64(over.Len()), file, true
	if st.First.IsZero() { // the list says no years; a file's end needn't be the station's
		st.First, st.Last = over.First, over.Last
	}
	return nil
}

// presentDays gives the days that have a mean or both extremes, or enough readings.
func presentDays(b feed.Batch) (present []civil.Date) {
	for _, d := range b.Days {
		if _, _, ok := d.Mean(); ok {
			present = append(present, d.Date)
		}
	}
	if len(b.Readings) == 0 {
		return present
	}
	rule := feed.DayRule{Window: feed.Window{EndHour: 24, Zone: "UTC", Label: feed.LabelStart}, Zone: time.UTC, LeastShare: feed.DefaultLeastShare, LongestGap: feed.DefaultLongestGap}
	for _, d := range rule.Days(b.Readings) {
		if d.Mark == weather.Usable && rule.Complete(d) {
			present = append(present, d.Date)
		}
	}
	slices.Sort(present)
	return slices.Compact(present)
}

package cli

import (
	"bufio"
	"fmt"
	"math"
	"os"

	"budcall/internal/civil"
	"budcall/internal/feed"
)

// listed is a station of a list, with what was learnt of it elsewhere.
type listed struct {
	feed.StationEntry
	list        *stationList
	thermometer bool    // it is known to measure temperature
	ended       bool    // it measures no more, by its list
	share       float64 // of its days present; NaN is not known
	daysFrom    string  // the file in which they were counted
}

// readLists is the stations of all lists.
type readLists struct {
	stations []*listed
	byID     map[stationKey]*listed
	files    []listFile
}

type stationKey struct {
	list *stationList
	id   string
}

// listFile is one list as it was read.
type listFile struct {
	format, file string
	stations     int // that were taken
	credit       string
}

// readStationLists reads the lists, the inventories last.
func readStationLists(lists []pair, today civil.Date, s Streams) (*readLists, error) {
	r := &readLists{byID: map[stationKey]*listed{}}
	var later []pair
	for _, p := range lists {
		if inventories[p.format] != "" {
			later = append(later, p)
			continue
		}
		if err := r.read(p, s); err != nil {
			return nil, err
		}
	}
	for _, p := range later {
		if err := r.readInventory(p, s); err != nil {
			return nil, err
		}
	}
	r.settle(today, s)
	return r, nil
}

// openList reads a list's file and tells what of it isn't taken.
func openList(p pair, s Streams) (feed.Batch, error) {
	body, err := os.Open(p.file)
	if err != nil {
		return feed.Batch{}, notOpened(p.file, err)
	}
	defer body.Close()
	b, err := feed.Parse(p.format, bufio.NewReader(body), feed.Options{})
	if err != nil {
		return feed.Batch{}, located(p.file, err)
	}
	sayRejects(s.Err, p.file, b)
	for _, n := range b.Notes {
		fmt.Fprintf(s.Err, "%s: %s\n", p.file, n)
	}
	return b, nil
}

// read reads one list.
func (r *readLists) read(p pair, s Streams) error {
	b, err := openList(p, s)
	if err != nil {
		return err
	}
	list := listNamed(p.format)
	taken := 0
	for _, e := range b.Stations {
		key := stationKey{list, e.ID}
		if r.byID[key] != nil { // the page before held it too
			continue
		}
		taken++
		st := &listed{StationEntry: e, list: list, thermometer: list.thermometer, share: math.NaN()}
		r.byID[key] = st
		r.stations = append(r.stations, st)
	}
	r.files = append(r.files, listFile{p.format, p.file, taken, b.Credit})
	fmt.Fprintf(s.Err, "%s: %s, %d not taken, %s\n", p.file, counted(taken, "station"), len(b.Rejects)+b.MoreRejects, b.Credit)
	return nil
}

// settle tells which stations have ended: by their last day, or by how far it
// lies behind the newest of their list, however old that is.
func (r *readLists) settle(today civil.Date, s Streams) {
	newest := map[*stationList]civil.Date{}
	for _, st := range r.stations {
		newest[st.list] = max(newest[st.list], st.Last)
	}
	for _, st := range r.stations {
		end := newest[st.list] - civil.Date(st.list.slackDays)
		if st.list.goesOn {
			end = today
		}
		st.ended = !st.Last.IsZero() && st.Last < end
	}
	for i := range stationLists {
		l := &stationLists[i]
		if day := newest[l]; !l.goesOn && !day.IsZero() && day+civil.Date(l.slackDays) < today {
			fmt.Fprintf(s.Err, "%s: the newest day of the list is %s: fetch it again, for stations may have ended since\n", l.format, day)
		}
	}
}

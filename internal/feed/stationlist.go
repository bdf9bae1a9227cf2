package feed

import "fmt"

// stationList gathers the entries of a list; each station once.
type stationList struct {
	rejects rejectList
	entries []StationEntry
	lines   map[string]int
	credit  string
}

// add takes an entry, or rejects its line for a reason.
func (s *stationList) add(line int, text string, e StationEntry, reason string) {
	switch before := s.lines[e.ID]; {
	case reason != "":
		s.rejects.add(line, text, reason)
		return
	case !(e.Place.LatitudeDeg >= -90 && e.Place.LatitudeDeg <= 90 && e.Place.LongitudeDeg >= -180 && e.Place.LongitudeDeg <= 180):
		s.rejects.add(line, text, fmt.Sprintf("%g, %g is no place on earth", e.Place.LatitudeDeg, e.Place.LongitudeDeg))
		return
	case before != 0:
		s.rejects.add(line, text, fmt.Sprintf("station %s stands in line %d already: that one is kept", e.ID, before))
		return
	}
	if s.lines == nil {
		s.lines = map[string]int{}
	}
	s.lines[e.ID] = line
	s.entries = append(s.entries, e)
}

func (s *stationList) batch(l *lines) (Batch, error) {
	if l.err != nil {
		return Batch{}, l.err
	}
	if len(s.entries) == 0 {
		return Batch{}, s.rejects.nothingRead("use the provider's station list")
	}
	return Batch{Stations: s.entries, Rejects: s.rejects.listed, MoreRejects: s.rejects.more, Place: nowhere(), Credit: s.credit}, nil
}

package config

// Neighbours says which stations judge each other's days.
type Neighbours struct {
	WithinKm float64 // further ones share the weather but not its hour
	Most     int     // the nearest so many; 0: none judges another
}

// usualNeighbours is our assumption: more than a handful change no majority.
var usualNeighbours = Neighbours{WithinKm: 100, Most: 8}

// readNeighbours reads the section neighbours of the stations' file.
func readNeighbours(s *section) Neighbours {
	n := usualNeighbours
	if v, ok := s.get("within_km").number(bounds{1, 500, "km from a station to those that its days are judged by"}); ok {
		n.WithinKm = v
	}
	s.get("most").into(&n.Most, bounds{0, 15, "stations that judge another, the nearest ones"})
	s.done()
	return n
}

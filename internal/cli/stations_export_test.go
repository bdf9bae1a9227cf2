package cli

import "io"

// ParseInventory reads an inventory of GHCN-Daily and gives, by station, the
// first and last year with a temperature; 0 and 0 where there is none.
func ParseInventory(body io.Reader, name string, say io.Writer) (map[string][2]int, error) {
	found, err := parseInventory(body, name, say)
	out := map[string][2]int{}
	for id, e := range found {
		y, ok := e.temperature()
		if !ok {
			y = years{}
		}
		out[id] = [2]int{y.first, y.last}
	}
	return out, err
}

// StationCode makes a code of a station's name.
func StationCode(name, id string, used map[string]bool) string { return stationCode(name, id, used) }

// ListNames are the names that a station list may have.
func ListNames() []string { return listNames() }

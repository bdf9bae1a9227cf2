package cli

// StationCode makes a code of a station's name.
func StationCode(name, id string, used map[string]bool) string { return stationCode(name, id, used) }

// ListNames are the names that a station list may have.
func ListNames() []string { return listNames() }

// FetchedLine says what came of a list.
var FetchedLine = fetchedLine

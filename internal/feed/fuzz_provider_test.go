package feed_test

import (
	"testing"
	"time"

	"budcall/internal/feed"
)

// days and raw are the two ways in which a finer format is read.
var daysAndRaw = []feed.Options{{Zone: time.UTC}, {ReadingsOnly: true}, {Window: feed.Window{StartHour: 18, EndHour: 18, Zone: "UTC", Label: feed.LabelEnd}, Station: "999002"}}

func FuzzFMI(f *testing.F) {
	fuzz(f, "fmi", daysAndRaw, "fmi/clean.xml", "fmi/dirty.xml", "fmi/edge.xml", "fmi/empty.xml", "fmi/exception.xml", "fmi/hourly.xml")
}

func FuzzFMIStations(f *testing.F) {
	fuzz(f, "fmi-stations", []feed.Options{{}}, "fmi-stations/clean.xml", "fmi-stations/dirty.xml", "fmi-stations/edge.xml")
}

func FuzzSMHI(f *testing.F) {
	fuzz(f, "smhi-metobs", daysAndRaw, "smhi-metobs/clean.csv", "smhi-metobs/dirty.csv", "smhi-metobs/edge.json", "smhi-metobs/daily.json", "smhi-metobs/empty.csv", "smhi-metobs/edge.zip")
}

func FuzzSMHIForecast(f *testing.F) {
	fuzz(f, "smhi-forecast", daysAndRaw, "smhi-forecast/clean.json", "smhi-forecast/dirty.json", "smhi-forecast/edge.json")
}

func FuzzSMHIStations(f *testing.F) {
	fuzz(f, "smhi-stations", []feed.Options{{}}, "smhi-stations/clean.json", "smhi-stations/dirty.json", "smhi-stations/edge.json")
}

func FuzzMOSMIX(f *testing.F) {
	fuzz(f, "mosmix", append(daysAndRaw, feed.Options{Zone: time.UTC, Station: "X9903"}), "mosmix/clean.kml", "mosmix/dirty.kml", "mosmix/edge.kmz")
}

func FuzzFrost(f *testing.F) {
	fuzz(f, "frost", append(daysAndRaw, feed.Options{Station: "SN99010"}), "frost/clean.json", "frost/dirty.json", "frost/edge.json", "frost/error.json")
}

func FuzzFrostStations(f *testing.F) {
	fuzz(f, "frost-stations", []feed.Options{{}}, "frost-stations/clean.json", "frost-stations/dirty.json", "frost-stations/edge.json")
}

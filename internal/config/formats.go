package config

import (
	"regexp"
	"slices"
	"strings"
)

// The formats of stations and forecasts.
const (
	FormatDelimited  = "delimited"
	FormatLogger     = "logger"
	FormatGHCNDaily  = "ghcn-daily"
	FormatGHCNCSV    = "ghcn-csv"
	FormatGHCNAccess = "ghcn-access"
	FormatGHCNCDO    = "ghcn-cdo"
	FormatDWDDaily   = "dwd-daily"
	FormatECAD       = "ecad"
	FormatECCC       = "eccc"
	FormatFMI        = "fmi"
	FormatFrost      = "frost"
	FormatKNMI       = "knmi"
	FormatMeteoSwiss = "meteoswiss"
	FormatOpenMeteo  = "open-meteo"
	FormatSMHI       = "smhi-metobs"

	FormatMETNo        = "metno"
	FormatMOSMIX       = "mosmix"
	FormatSMHIForecast = "smhi-forecast"
)

// stationFormat is what a station of a format may say, beside what all may.
type stationFormat struct {
	name     string
	served   servedBy
	settings []string
}

// servedBy is how a station's provider is asked where neither path nor url is set.
type servedBy int

const (
	notServed servedBy = iota // only files and addresses
	byID                      // for the station's id
	byPlace                   // for its position
)

// The settings that several formats have.
var (
	textSettings = []string{"columns", "unit", "separator", "decimal", "date_layout", "missing"}
	madeDays     = []string{"least_share", "longest_gap_hours"}
	servedDays   = []string{"id", "service"}
	servedHours  = []string{"id", "service", "readings", "least_share", "longest_gap_hours"}
)

var stationFormats = []stationFormat{
	{FormatDelimited, notServed, textSettings},
	{FormatDWDDaily, byID, servedDays},
	{FormatECAD, notServed, []string{"id"}},
	{FormatECCC, byID, servedDays},
	{FormatFMI, byID, servedHours},
	{FormatFrost, byID, slices.Concat(servedHours, []string{"key_file"})},
	{FormatGHCNAccess, byID, servedDays},
	{FormatGHCNCDO, notServed, []string{"id", "unit"}},
	{FormatGHCNCSV, byID, servedDays},
	{FormatGHCNDaily, byID, servedDays},
	{FormatKNMI, byID, servedDays},
	{FormatLogger, notServed, slices.Concat(textSettings, madeDays, []string{"clock"})},
	{FormatMeteoSwiss, byID, servedHours},
	{FormatOpenMeteo, byPlace, slices.Concat(madeDays, []string{"service", "readings", "location", "key_file"})},
	{FormatSMHI, byID, servedHours},
}

// statedDays are the days of formats whose provider states them once for all:
// another window would be wrong. (MeteoSwiss publishes hours too.)
var statedDays = map[string]Window{
	FormatKNMI:       {StartHour: 0, EndHour: 24, Zone: "UTC", Label: "start"},
	FormatMeteoSwiss: {StartHour: 0, EndHour: 24, Zone: "UTC", Label: "start"},
}

// idForm is how a provider writes its stations' ids.
type idForm struct {
	form *regexp.Regexp
	cure string
}

var (
	ghcnID  = idForm{regexp.MustCompile(`^[A-Z]{2}[A-Z0-9_-]{9}$`), "eleven characters, such as FIE00142226"}
	idForms = map[string]idForm{
		FormatDWDDaily:   {regexp.MustCompile(`^[0-9]{1,5}$`), "the station's number, such as 403"},
		FormatECCC:       {regexp.MustCompile(`^[0-9]{1,6}$`), "the number that the bulk download calls stationID, such as 51442"},
		FormatFMI:        {regexp.MustCompile(`^[0-9]{1,7}$`), "the fmisid, such as 100971"},
		FormatFrost:      {regexp.MustCompile(`^SN[0-9]{1,7}$`), "SN and digits, such as SN12680"},
		FormatGHCNAccess: ghcnID,
		FormatGHCNCSV:    ghcnID,
		FormatGHCNDaily:  ghcnID,
		FormatKNMI:       {regexp.MustCompile(`^[0-9]{3}$`), "three digits, such as 260"},
		FormatMeteoSwiss: {regexp.MustCompile(`^[A-Za-z0-9]{3}$`), "three letters, such as BER"},
		FormatSMHI:       {regexp.MustCompile(`^[0-9]{1,7}$`), "the station's number, such as 64510"},
	}
)

// StationFormats lists the formats that a station may be of.
func StationFormats() []string {
	var names []string
	for _, f := range stationFormats {
		names = append(names, f.name)
	}
	return names
}

// ForecastFormats lists the formats that a forecast may be of.
func ForecastFormats() []string { return []string{FormatMETNo, FormatMOSMIX, FormatSMHIForecast} }

// formatNamed gives a format; one that isn't known has nothing.
func formatNamed(name string) stationFormat {
	f, _ := find(stationFormats, func(f stationFormat) bool { return f.name == name })
	return f
}

func find[T any](list []T, is func(T) bool) (found T, ok bool) {
	i := slices.IndexFunc(list, is)
	if i < 0 {
		return found, false
	}
	return list[i], true
}

// has reports whether stations of the format have a setting.
func (f stationFormat) has(key string) bool { return slices.Contains(f.settings, key) }

// refuseOthers reports the settings that only stations of other formats have.
func (f stationFormat) refuseOthers(s *section) {
	for _, key := range settingsOfFormats() {
		e := s.get(key)
		if f.name == "" || f.has(key) || !e.set() {
			continue
		}
		var whose []string
		for _, other := range stationFormats {
			if other.has(key) {
				whose = append(whose, other.name)
			}
		}
		e.problem("is only for format "+strings.Join(whose, ", "), "remove the line")
	}
}

// settingsOfFormats lists the settings that some formats have and others don't.
func settingsOfFormats() []string {
	var keys []string
	for _, f := range stationFormats {
		for _, key := range f.settings {
			if !slices.Contains(keys, key) {
				keys = append(keys, key)
			}
		}
	}
	return keys
}

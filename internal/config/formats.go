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
	id       idForm // of a station whose provider is asked; none: any
	day      Window // that the provider states for its days once for all; none: it doesn't
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

// idForm is how a provider writes its stations' ids.
type idForm struct {
	form *regexp.Regexp
	cure string
}

func idOf(form, cure string) idForm { return idForm{regexp.MustCompile("^(?:" + form + ")$"), cure} }

var (
	anyID  idForm
	ghcnID = idOf(`[A-Z]{2}[A-Z0-9_-]{9}`, "eleven characters, such as FIE00142226")

	unstated   Window
	naturalUTC = Window{StartHour: 0, EndHour: 24, Zone: "UTC", Label: "start"}
)

var stationFormats = []stationFormat{
	{FormatDelimited, notServed, textSettings, anyID, unstated},
	{FormatDWDDaily, byID, servedDays, idOf(`[0-9]{1,5}`, "the station's number, such as 403"), unstated},
	{FormatECAD, notServed, []string{"id"}, anyID, unstated},
	{FormatECCC, byID, servedDays, idOf(`[0-9]{1,6}`, "the number that the bulk download calls stationID, such as 51442"), unstated},
	{FormatFMI, byID, servedHours, idOf(`[0-9]{1,7}`, "the fmisid, such as 100971"), unstated},
	{FormatFrost, byID, slices.Concat(servedHours, []string{"key_file"}), idOf(`SN[0-9]{1,7}`, "SN and digits, such as SN12680"), unstated},
	{FormatGHCNAccess, byID, servedDays, ghcnID, unstated},
	{FormatGHCNCDO, notServed, []string{"id", "unit"}, anyID, unstated},
	{FormatGHCNCSV, byID, servedDays, ghcnID, unstated},
	{FormatGHCNDaily, byID, servedDays, ghcnID, unstated},
	{FormatKNMI, byID, servedDays, idOf(`[0-9]{3}`, "three digits, such as 260"), naturalUTC},
	{FormatLogger, notServed, slices.Concat(textSettings, madeDays, []string{"clock"}), anyID, unstated},
	{FormatMeteoSwiss, byID, servedHours, idOf(`[A-Za-z0-9]{3}`, "three letters, such as BER"), naturalUTC},
	{FormatOpenMeteo, byPlace, slices.Concat(madeDays, []string{"service", "readings", "location", "key_file"}), anyID, unstated},
	{FormatSMHI, byID, servedHours, idOf(`[0-9]{1,7}`, "the station's number, such as 64510"), unstated},
}

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

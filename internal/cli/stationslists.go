package cli

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"budcall/internal/config"
)

// stationList is what a list means beyond its entries.
type stationList struct {
	format   string   // of the list
	provider string   // for people
	station  string   // format of its stations in stations.yml
	days     []string // formats of files of days whose station ids are those of the list
	// goesOn: a station that goes on has no last day. Else it has the newest
	// day that the provider held, and is taken as ended when that is more than
	// slackDays before the newest of the whole list.
	goesOn      bool
	slackDays   int
	thermometer bool                // every station of the list measures temperature
	id          func(string) string // how files of days write an id, to how the list does
}

func asIs(id string) string { return id }

// stationLists are the lists that are understood, those of a country before
// the one of all, which holds the same thermometers later.
var stationLists = []stationList{
	{format: "dwd-stations", provider: "DWD", station: config.FormatDWDDaily, days: []string{config.FormatDWDDaily}, slackDays: 60, thermometer: true,
		id: func(id string) string { return strings.Repeat("0", max(0, 5-len(id))) + id }},
	{format: "fmi-stations", provider: "FMI", station: config.FormatFMI, days: []string{config.FormatFMI}, goesOn: true, id: asIs},
	{format: "frost-stations", provider: "MET Norway", station: config.FormatFrost, days: []string{config.FormatFrost}, goesOn: true,
		id: func(id string) string { source, _, _ := strings.Cut(id, ":"); return source }}, // SN12680:0 is a sensor of SN12680
	{format: "smhi-stations", provider: "SMHI", station: config.FormatSMHI, days: []string{config.FormatSMHI}, slackDays: 60, thermometer: true, id: asIs},
	{format: "meteoswiss-stations", provider: "MeteoSwiss", station: config.FormatMeteoSwiss, days: []string{config.FormatMeteoSwiss}, goesOn: true, id: asIs},
	// The inventory gives years only, and last year's may be a station's newest in January.
	{format: "ghcn-stations", provider: "GHCN-Daily", station: config.FormatGHCNDaily, slackDays: 400, id: asIs,
		days: []string{config.FormatGHCNDaily, config.FormatGHCNCSV, config.FormatGHCNAccess, config.FormatGHCNCDO}},
	{format: "ecad-stations", provider: "ECA&D", station: config.FormatECAD, days: []string{config.FormatECAD}, goesOn: true, id: asIs},
}

// listNamed gives the list of a format.
func listNamed(format string) *stationList {
	return &stationLists[slices.IndexFunc(stationLists, func(l stationList) bool { return l.format == format })]
}

// listNames are the names a list may have.
func listNames() (names []string) {
	for _, l := range stationLists {
		names = append(names, l.format)
	}
	return append(names, slices.Sorted(maps.Keys(inventories))...)
}

// named gives the lists to read: those named one by one, then the folder's.
func (o *stationsFlags) named() ([]pair, error) {
	for _, p := range o.lists {
		if !slices.Contains(listNames(), p.format) {
			return nil, misused("--list %s=%s: %q is no format of a station list%s: write one of %s", p.format, p.file, p.format, meant(p.format, listNames()), strings.Join(listNames(), ", "))
		}
	}
	all := slices.Clone([]pair(o.lists))
	folder, err := o.fetching.folder(o)
	if err != nil {
		return nil, err
	}
	if folder != "" {
		files, err := listsIn(folder)
		if err != nil {
			return nil, err
		}
		all = append(all, files...)
	}
	if len(all) == 0 {
		return nil, misused("no station list is here: budcall stations --fetch fetches the providers'; or give --list FORMAT=FILE, or --lists DIR")
	}
	return all, nil
}

// listsIn gives the lists of a folder: the files named for a format, whatever
// follows the name's first point. Others may lie beside them.
func listsIn(dir string) ([]pair, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, notOpened(dir, err)
	}
	var all []pair
	for _, e := range entries {
		format, _, _ := strings.Cut(e.Name(), ".")
		if !e.IsDir() && slices.Contains(listNames(), format) {
			all = append(all, pair{format, filepath.Join(dir, e.Name())})
		}
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("%s holds no station list: name each file for its format, such as %s.txt (the formats are %s)", dir, stationLists[0].format, strings.Join(listNames(), ", "))
	}
	return all, nil
}

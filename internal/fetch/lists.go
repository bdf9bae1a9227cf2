package fetch

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// List is a provider's list of stations, or its inventory.
type List struct {
	Format string // as feed reads it
	Keyed  bool   // only whoever has a key is given it
	URL    string
	Rules  Rules
}

// ListEvery is how old a list is at least before it is asked for again: the
// providers renew theirs once a day at most.
const ListEvery = 24 * time.Hour

// MaxListBytes is how large a list may be: GHCN-Daily's inventory has 35 MB.
const MaxListBytes = 128 << 20

// lists are where the providers keep them, by format, below their own base or
// one given instead. ECA&D's licence lets nobody take it but by hand.
var lists = map[string]struct {
	provider provider
	path     string
}{
	"dwd-stations":         {dwd, "/recent/KL_Tageswerte_Beschreibung_Stationen.txt"},
	"fmi-stations":         {fmi, "?service=WFS&version=2.0.0&request=getFeature&storedquery_id=fmi::ef::stations"},
	"frost-stations":       {frost, "/sources/v0.jsonld?types=SensorSystem"},
	"ghcn-inventory":       {ghcnLists, "/ghcnd-inventory.txt"},
	"ghcn-stations":        {ghcnLists, "/ghcnd-stations.txt"},
	"meteoswiss-inventory": {meteoSwiss, "/ogd-smn_meta_datainventory.csv"},
	"meteoswiss-stations":  {meteoSwiss, "/ogd-smn_meta_stations.csv"},
	"smhi-stations":        {smhi, "/parameter/2.json"},
}

var ghcnLists = provider{base: "https://www.ncei.noaa.gov/pub/data/ghcn/daily", rules: Rules{Interval: fileInterval}}

// ListFormats names the formats of lists that can be fetched, in order.
func ListFormats() []string { return slices.Sorted(maps.Keys(lists)) }

// ListOf gives where a list is, at its provider's address or at base.
func ListOf(format, base string) (List, error) {
	l, ok := lists[format]
	if !ok {
		return List{}, fmt.Errorf("no provider gives a list %q: write one of %s", format, strings.Join(ListFormats(), ", "))
	}
	if base == "" {
		base = l.provider.base
	}
	return List{Format: format, Keyed: l.provider.rules.Key == KeyAsUser, URL: strings.TrimRight(base, "/") + l.path, Rules: l.provider.rules}, nil
}

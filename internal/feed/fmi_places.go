package feed

import (
	"strings"
)

// fmiPlace is one place of an answer.
type fmiPlace struct {
	key          string // latitude and longitude as the answer has them, with a comma between
	fmisid, name string // where the answer says them
}

// fmiPlaces tells which place of possibly several an answer is read for: the
// one that is wanted where it is met, else the only one.
type fmiPlaces struct {
	wanted   string
	met      []fmiPlace // in order, at most eight
	chosen   string     // its key
	by       bool       // chosen because it is wanted
	location fmiPlace   // of the target:Location that is being read
	naming   string     // codeSpace of the name that is being read
	pointID  string     // of the gml:Point that is being read
	links    map[string]fmiPlace
	stations map[string]fmiPlace // by key
}

// placeKey writes "61.1 25.2 " as "61.1,25.2".
func placeKey(pos string) string { return strings.Join(strings.Fields(pos), ",") }

// text takes a name or identifier of the location.
func (p *fmiPlaces) text(content string) {
	switch {
	case strings.HasSuffix(p.naming, "/stationcode/fmisid"):
		p.location.fmisid = content
	case strings.HasSuffix(p.naming, "/locationcode/name"):
		p.location.name = content
	}
}

// link remembers to which point the location belongs.
func (p *fmiPlaces) link(href string) {
	if p.links == nil {
		p.links = map[string]fmiPlace{}
	}
	if id := strings.TrimPrefix(href, "#"); id != "" && len(p.links) < 10000 {
		p.links[id] = p.location
	}
}

// point takes the coordinates of the point.
func (p *fmiPlaces) point(pos string) {
	station, linked := p.links[p.pointID]
	if !linked {
		return
	}
	station.key = placeKey(pos)
	if p.stations == nil {
		p.stations = map[string]fmiPlace{}
	}
	p.stations[station.key] = station
}

// is reports whether a value of the place is to be taken. When the wanted place
// is met only after another one, what was taken of that is let go.
func (p *fmiPlaces) is(key string, taken *fmiValues) bool {
	if key == p.chosen && len(p.met) > 0 {
		return true
	}
	place := p.stations[key]
	place.key = key
	known := false
	for _, m := range p.met {
		known = known || m.key == key
	}
	if !known && len(p.met) < 8 {
		p.met = append(p.met, place)
	}
	wanted := p.wanted != "" && (p.wanted == place.fmisid || strings.ReplaceAll(p.wanted, " ", "") == key)
	switch {
	case wanted:
		if len(p.met) > 1 && !p.by {
			*taken = fmiValues{collector: collector{others: taken.others}}
		}
		p.chosen, p.by = key, true
		return true
	case len(p.met) == 1 && p.met[0].key == key:
		p.chosen = key
		return true
	}
	taken.others++
	return false
}

// settle gives the place, or refuses an answer of which nobody said which.
func (p *fmiPlaces) settle() (fmiPlace, error) {
	if len(p.met) == 0 {
		return fmiPlace{}, nil
	}
	var words []string
	chosen := p.met[0]
	for _, m := range p.met {
		words = append(words, orText(m.fmisid, m.key))
		if m.key == p.chosen {
			chosen = m
		}
	}
	if len(p.met) > 1 && !p.by {
		return chosen, refuse("name one as station", "the answer holds several places: %s", shortenTo(200, strings.Join(words, " ; ")))
	}
	if _, number := wholeDigits(p.wanted); number && chosen.fmisid != "" && chosen.fmisid != p.wanted {
		return chosen, refuse("correct the station or the address", "the answer is of station %s, not of %s", shorten(chosen.fmisid), shorten(p.wanted))
	}
	return chosen, nil
}

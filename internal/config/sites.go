package config

import (
	"fmt"

	"budcall/internal/trail"
)

// noForecast is the word that switches the short-range forecast off at a site.
const noForecast = "none"

// readSites reads every site.
func (r *reading) readSites() {
	files := r.in(sitesDir)
	if len(files) == 0 {
		e := entry{found: &r.findings, file: sitesDir + "/"}
		e.problem("there is no site", "write one file a site, such as sites/kolmi.yml")
	}
	for _, file := range files {
		if top := r.open(file).section(); top.set() {
			r.readSite(top)
		}
	}
}

func (r *reading) readSite(s *section) {
	code := s.need("code", placeForm.cure)
	site := Site{
		Code: code.code(placeForm),
		Name: s.need("name", "the site's name as people know it").text(),
		Zone: r.zoneOr(s.get("zone")),
	}
	r.sites.define(code, site.Code)
	p := readPlace(s)
	site.LatDeg, site.LonDeg, site.AltitudeM = p.latDeg, p.lonDeg, p.altitudeM
	site.Profile = r.profiles.refer(s.need("profile", "the name of a file in profiles/ without .yml"))
	site.Stations = r.siteStations(s, site, p.known)
	site.Normals = readNormals(s.get("normals").section(), site.AltitudeM)
	site.Forecast = r.siteForecast(s.get("forecast"))
	r.siteOffice(s, &site)
	site.Trees = r.siteTrees(s.need("trees", "a list of trees, each with code and short"))
	calls := s.get("calls").section()
	site.Settings = readSettings(calls, r.programme.Settings)
	calls.done()
	s.done()
	r.programme.Sites = append(r.programme.Sites, site)
}

// siteOffice reads who looks after a site.
func (r *reading) siteOffice(s *section, site *Site) {
	lead, deputy := s.need("lead", "the code of the person who goes to the trees"), s.get("deputy")
	site.Lead, site.Deputy = r.people.refer(lead), r.people.refer(deputy)
	if site.Deputy != "" && site.Deputy == site.Lead {
		deputy.problem("is the lead", "name somebody else, or remove the line")
	}
	for _, p := range r.programme.People {
		if p.Code == site.Lead && p.Code != "" && p.Phone == "" {
			lead.warn(fmt.Sprintf("no phone number is known of %s", p.Code), "add phone in "+peopleFile+": whoever a call is passed on to has nothing to ring")
		}
	}
}

// siteStations reads a site's stations, the best first, and holds the site
// against each of them.
func (r *reading) siteStations(s *section, site Site, placed bool) []string {
	list := s.need("stations", "a list of station codes, the best first")
	var ranked []string
	var first Station // that says what its day is
	for _, e := range list.list() {
		code := r.stations.refer(e)
		if contains(ranked, code) && code != "" {
			e.problem(code+" is named twice", "keep one")
			continue
		}
		ranked = append(ranked, code)
		station, ok := r.places[code]
		if !ok {
			continue
		}
		placed = placed && compare(e, s.get("lat_deg"), site, station)
		if first.Window.Zone != "" && station.Window.Zone != "" && station.Window != first.Window {
			e.warn(fmt.Sprintf("a day at station %s is %s, at %s %s", code, station.Window, first.Code, first.Window), "prefer stations with the same day")
		}
		if first.Window.Zone == "" {
			first = station
		}
	}
	if list.set() && len(ranked) == 0 {
		list.problem("names no station", "at least one from "+stationsFile)
	}
	return ranked
}

// siteForecast gives the forecast of a site: the one it names, else the first
// there is, since forecasts are on unless somebody says none.
func (r *reading) siteForecast(e entry) string {
	if !e.set() {
		if all := r.programme.Forecasts; len(all) > 0 {
			return all[0].Code
		}
		return ""
	}
	if text, ok := scalarOf(e.node); ok && text == noForecast {
		return ""
	}
	return r.forecasts.refer(e)
}

// siteTrees reads a site's trees. Codes are unique in the programme, since
// seed travels under them; short names in the site.
func (r *reading) siteTrees(list entry) []trail.Tree {
	shorts := newCodes("tree", sitesDir+"/")
	shorts.called = "short name"
	var trees []trail.Tree
	for _, e := range list.list() {
		s := e.section()
		code, short := s.need("code", treeForm.cure), s.need("short", shortForm.cure)
		t := trail.Tree{Code: code.treeCode(), Short: short.code(shortForm), Gone: s.get("gone").flag()}
		r.trees.defineAs(code, t.Code, trail.Bare(t.Code))
		shorts.define(short, t.Short)
		trees = append(trees, t)
		s.done()
	}
	if list.set() && len(trees) == 0 {
		list.warn("the site has no trees, so nobody is called to it", "list its trees")
	}
	return trees
}

// treeCode gives a tree's code, whose check character fits where it has one.
func (e entry) treeCode() string {
	code := e.code(treeForm)
	if code == "" {
		return ""
	}
	if _, err := trail.CheckTreeCode(code); err != nil {
		e.problem(err.Error(), "read the code from the label again")
		return ""
	}
	return code
}

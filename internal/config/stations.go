package config

import (
	"fmt"
	"strings"
)

// readStations reads where weather comes from: stations and forecasts.
func (r *reading) readStations() {
	top := r.open(stationsFile).section()
	stations := top.need("stations", "a list of stations, each with code, position, format and path or url")
	forecasts := top.get("forecasts")
	r.stations.partial = !stations.set()
	r.forecasts.partial = !top.set()
	r.programme.Neighbours = readNeighbours(top.get("neighbours").section())
	for _, e := range stations.list() {
		r.readStation(e.section())
	}
	for _, e := range forecasts.list() {
		r.readForecast(e.section())
	}
	top.done()
}

func (r *reading) readStation(s *section) {
	code := s.need("code", placeForm.cure)
	t := Station{Code: code.code(placeForm), Name: s.get("name").text()}
	t.Name = orElse(t.Name, t.Code)
	p := readPlace(s)
	t.LatDeg, t.LonDeg, t.AltitudeM = p.latDeg, p.lonDeg, p.altitudeM
	t.Format = s.need("format", "one of "+strings.Join(StationFormats(), ", ")).choice(StationFormats()...)
	f := formatNamed(t.Format)
	readSource(s, f, &t)
	t.Window, t.Zone = r.window(s.get("window"))
	t.Normals = readNormals(s.get("normals").section(), t.AltitudeM)
	readTable(s, f, &t)
	readExtras(s, f, &t)
	r.readMadeDays(s, f, &t)
	t.holdToProvider(s, f)
	f.refuseOthers(s)
	r.stations.define(code, t.Code)
	if _, twice := r.places[t.Code]; t.Code != "" && p.known && !twice {
		r.places[t.Code] = t
	}
	r.programme.Stations = append(r.programme.Stations, t)
	s.done()
}

// holdToProvider holds what is said of a station to what its provider states.
func (t Station) holdToProvider(s *section, f stationFormat) {
	// Hours may make any day, and a file of a format that has hours may hold them.
	stated := f.day.Zone != "" && (!f.has("readings") || t.Served && !t.Hourly)
	if stated && t.Window.Zone != "" && t.Window != f.day {
		s.get("window").problem(fmt.Sprintf("the days of %s are %s, whatever is said here", t.Format, f.day), "remove the line")
	}
	if f.id.form != nil && t.Served && t.ID != "" && !f.id.form.MatchString(t.ID) {
		s.get("id").problem(fmt.Sprintf("%q is no station of %s", clip(t.ID), t.Format), "write its id as the provider does: "+f.id.cure)
	}
}

// readForecast reads one source of short-range forecasts.
func (r *reading) readForecast(s *section) {
	code := s.need("code", personForm.cure)
	f := Forecast{
		Code:    code.code(personForm),
		Format:  s.need("format", "one of "+strings.Join(ForecastFormats(), ", ")).choice(ForecastFormats()...),
		URL:     s.need("url", "the service's address without coordinates").baseURL(),
		Contact: s.need("contact", "a mail address or web page at which the provider finds you; the provider refuses those who give none").contact(),
	}
	s.get("url").asked(f.URL)
	switch id := s.get("id"); {
	case f.Format == FormatMOSMIX:
		f.ID = s.need("id", "the station for which the forecast is made, such as 10637 or N4333").text()
	case id.set() && f.Format != "":
		id.problem("is only for format "+FormatMOSMIX, "remove the line")
	}
	if f.Code == noForecast {
		code.problem("none is the word for no forecast", "call it otherwise")
	}
	r.forecasts.define(code, f.Code)
	r.programme.Forecasts = append(r.programme.Forecasts, f)
	s.done()
}

// contact gives a mail address or a web address.
func (e entry) contact() string {
	if text, ok := scalarOf(e.node); ok && strings.Contains(text, "://") {
		return e.webURL()
	}
	return e.email()
}

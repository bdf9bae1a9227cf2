package config

import "strings"

// readStations reads where weather comes from: stations and forecasts.
func (r *reading) readStations() {
	top := r.open(stationsFile).section()
	stations := top.need("stations", "a list of stations, each with code, position, format and path or url")
	forecasts := top.get("forecasts")
	r.stations.partial = !stations.set()
	r.forecasts.partial = !top.set()
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
	t.Format = s.need("format", "one of delimited, ghcn-daily, open-meteo").choice(FormatDelimited, FormatGHCNDaily, FormatOpenMeteo)
	readSource(s, &t)
	t.Window = r.window(s.get("window"))
	readTable(s, &t)
	readExtras(s, &t)
	r.stations.define(code, t.Code)
	if _, twice := r.places[t.Code]; t.Code != "" && p.known && !twice {
		r.places[t.Code] = t
	}
	r.programme.Stations = append(r.programme.Stations, t)
	s.done()
}

// readSource reads where a station's bytes are: in a file or behind an address.
func readSource(s *section, t *Station) {
	path, url := s.get("path"), s.get("url")
	switch {
	case path.set() && url.set():
		url.problem("both path and url are set", "keep the one that readings shall come from")
	case !path.set() && !url.set() && s.set():
		path.problem("is missing", "name a file, relative to the config folder, or a url")
	}
	t.Path, t.URL = path.filePath(), url.webURL()
}

// readForecast reads one source of short-range forecasts.
func (r *reading) readForecast(s *section) {
	code := s.need("code", personForm.cure)
	f := Forecast{
		Code:    code.code(personForm),
		Format:  s.need("format", "write metno").choice(FormatMETNo),
		URL:     s.need("url", "the service's address without coordinates").baseURL(),
		Contact: s.need("contact", "a mail address or web page at which the provider finds you; the provider refuses those who give none").contact(),
	}
	if isPlainHTTP(f.URL) && !isLoopback(hostOfURL(f.URL)) {
		s.get("url").problem("is not encrypted", "use https; the provider refuses http")
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

package config

import "time"

// readSource reads where a station's bytes are: in a file, behind an address,
// or at the provider of its format, which is asked for it day by day.
func readSource(s *section, f stationFormat, t *Station) {
	path, url, id := s.get("path"), s.get("url"), s.get("id")
	t.Path, t.URL = path.filePath(), url.webURL()
	url.asked(t.URL)
	switch {
	case path.set() && url.set():
		url.problem("both path and url are set", "keep the one that readings shall come from")
	case path.set() || url.set():
		for _, key := range []string{"service", "readings"} {
			if e := s.get(key); e.set() && f.has(key) {
				e.problem("is of no use beside path or url", "it is for asking the provider by id or place: keep one of them")
			}
		}
	case f.served == byPlace, f.served == byID && id.set():
		readService(s, f, t)
	case f.served == byID:
		path.problem("is missing", "name a file, relative to the config folder, or a url, or the station's id at its provider, which is then asked")
	case s.set():
		path.problem("is missing", "name a file, relative to the config folder, or a url")
	}
	if !f.has("key_file") {
		return
	}
	key := s.secret("key_file", "key", "apikey", "api_key", "client_id", "token", "password")
	t.KeyFile = key.filePath()
	switch {
	case t.Served && f.name == FormatFrost && !key.set():
		key.problem("is missing", "put the client id that the provider gave you alone into a file, and name it here")
	case !t.Served && key.set():
		key.problem("is of no use beside path or url", "let the provider be asked by id, or remove the line")
	}
}

// readService reads how the provider is asked.
func readService(s *section, f stationFormat, t *Station) {
	t.Served = true
	service := s.get("service")
	t.Service = service.baseURL()
	service.asked(t.Service)
	if !f.has("readings") {
		return
	}
	t.Hourly = s.get("readings").choice("daily", "hourly") == "hourly"
}

// readMadeDays reads how days are made of what is finer than a day.
func (r *reading) readMadeDays(s *section, f stationFormat, t *Station) {
	if !f.has("least_share") {
		return
	}
	if v, ok := s.get("least_share").number(bounds{0.1, 1, "share of a day that its readings must cover; 0.8 is 8 in 10"}); ok {
		t.LeastShare = v
	}
	if v, ok := s.get("longest_gap_hours").number(bounds{0.1, 24, "hours"}); ok {
		t.LongestGap = time.Duration(v * float64(time.Hour)).Round(time.Minute)
	}
	if window := s.get("window"); (f.name == FormatLogger || t.Hourly) && !window.set() && s.set() {
		window.problem("is missing", "say which hours are a day: 00-24 UTC+02:00 (local standard time), 00-24 UTC, 18-18 UTC end")
	}
}

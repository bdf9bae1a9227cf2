package config_test

import (
	"strings"
	"testing"
	"time"

	"budcall/internal/config"
)

func TestOnlyWhatAProgrammeAsksIsTakenAsTheAddressOfAService(t *testing.T) {
	for _, row := range []struct {
		sentence, address string
		problem, warning  string // part of it; empty: none
	}{
		{"a public host by https", "https://mirror.example/wfs", "", ""},
		{"the other usual port", "https://mirror.example:8443/wfs", "", ""},
		{"this machine, for trials", "http://127.0.0.1:8080", "", "is on this machine (a programme asks this machine only while time is simulated (budcall run --clock), for trials"},
		{"this machine by its name", "http://localhost:8080/x", "", "is on this machine"},
		{"this machine in IPv6", "https://[::1]/x", "", "is on this machine"},
		{"a private network", "https://10.1.2.3/wfs", "is an address of a private network (no programme asks there: ", ""},
		{"another", "https://192.168.0.7/wfs", "is an address of a private network", ""},
		{"one in IPv6", "https://[fd00::7]/wfs", "is an address of a private network", ""},
		{"a machine's cloud data", "https://169.254.169.254/latest", "is an address of a private network", ""},
		{"IPv4 in IPv6 clothes", "https://[::ffff:10.0.0.1]/", "is an address of a private network", ""},
		{"what customers of a line share", "https://100.64.1.1/", "is an address of a private network", ""},
		{"an address of this machine written as one number", "https://2130706433/x", "is no web address (write https://host/path)", ""},
		{"and with a part in hexadecimals", "https://0x7f.1/x", "is no web address", ""},
		{"this machine by the names that are kept for it", "https://budcall.localhost./x", "", "is on this machine"},
		{"and by one that many systems give it", "https://localhost.localdomain/x", "", "is on this machine"},
		{"a host whose name begins with a number", "https://2130706433.example/x", "", ""},
		{"a public host in the open", "http://mirror.example/wfs", "is not encrypted (use https)", ""},
		{"another port", "https://mirror.example:9443/wfs", "is on port 9443 (a programme asks on 443 and 8443 alone", ""},
	} {
		for _, at := range []func(good, address string) string{
			func(good, address string) string {
				return strings.Replace(good, "stations:\n", "stations:\n  - {code: NEW, lat_deg: 61, lon_deg: 25, altitude_m: 100, format: fmi, id: \"1\", service: \""+address+"\"}\n", 1)
			},
			func(good, address string) string {
				return strings.Replace(good, "https://weather.example/v1/archive?daily=temperature_2m_mean", "\""+address+"\"", 1)
			},
			func(good, address string) string {
				return strings.Replace(good, "https://forecast.example/complete", "\""+address+"\"", 1)
			},
		} {
			files := folder(t, "testdata/good", false)
			files["stations.yml"] = []byte(at(string(files["stations.yml"]), row.address))
			p, problems := config.Parse(files, time.LoadLocation)
			if (p == nil) != (row.problem != "") {
				t.Errorf("%s: %s", row.sentence, lines(problems))
			}
			var warnings []config.Problem
			if p != nil {
				warnings = p.Warnings
			}
			if got := of("stations.yml", problems); (got != "") != (row.problem != "") || !strings.Contains(got, row.problem) {
				t.Errorf("%s: problems %q", row.sentence, got)
			}
			if got := of("stations.yml", warnings); p != nil && ((got != "") != (row.warning != "") || !strings.Contains(got, row.warning)) {
				t.Errorf("%s: warnings %q", row.sentence, got)
			}
		}
	}
}

// of gives what is said of a file.
func of(file string, problems []config.Problem) (text string) {
	for _, p := range problems {
		if p.File == file {
			text += p.String() + "\n"
		}
	}
	return text
}

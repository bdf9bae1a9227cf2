package cli_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"budcall/internal/civil"
)

// fmiService is a peer that answers as the Finnish Meteorological Institute's
// WFS does, for one invented station, 999999, that began on 1 March 2027. It
// keeps to the service's rules: 372 days a request, an exception report
// otherwise, an empty collection where there is nothing.
type fmiService struct {
	mu       sync.Mutex
	requests []string      // days asked for, or what was wrong, since they were last forgotten
	came     chan struct{} // closed when the first of them came
	left     int           // requests that are answered before it wants to be left alone; below 0: all
	fault    string        // "": none
}

type fmiKey struct{}

const fmiHead = `<?xml version="1.0" encoding="UTF-8"?>
<wfs:FeatureCollection timeStamp="2031-04-10T06:00:00Z" xmlns:wfs="http://www.opengis.net/wfs/2.0" xmlns:gml="http://www.opengis.net/gml/3.2" xmlns:BsWfs="http://xml.fmi.fi/schema/wfs/2.0"`

func (f *fmiService) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if f.answer(w, r) == "silence" {
		<-r.Context().Done()
	}
}

// asked notes a request.
func (f *fmiService) asked(said string) {
	if f.requests = append(f.requests, said); len(f.requests) == 1 {
		close(f.came)
	}
}

func (f *fmiService) forget() { f.requests, f.came = nil, make(chan struct{}) }

// answer answers, and gives the fault with which it did.
func (f *fmiService) answer(w http.ResponseWriter, r *http.Request) (fault string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	q := r.URL.Query()
	first, err1 := civil.Parse(strings.TrimSuffix(q.Get("starttime"), "T00:00:00Z"))
	last, err2 := civil.Parse(strings.TrimSuffix(q.Get("endtime"), "T00:00:00Z"))
	said := fmt.Sprintf("%s to %s", first, last)
	w.Header().Set("Content-Type", "text/xml; charset=UTF-8")
	switch {
	case !strings.Contains(r.UserAgent(), "@"):
		said = "no contact"
		http.Error(w, said, http.StatusForbidden)
	case f.left == 0:
		said = "too much"
		w.Header().Set("Retry-After", "3600")
		w.WriteHeader(http.StatusServiceUnavailable)
	case err1 != nil || err2 != nil || last-first >= 372 || q.Get("storedquery_id") != "fmi::observations::weather::daily::simple" || q.Get("parameters") != "tday,tmin,tmax":
		said = "refused " + r.URL.RawQuery
		fmt.Fprint(w, `<ExceptionReport xmlns="http://www.opengis.net/ows/1.1" version="2.0.0"><Exception exceptionCode="OperationParsingFailed"><ExceptionText>Too long time interval requested!</ExceptionText></Exception></ExceptionReport>`)
	case f.fault == "silence":
	case f.fault == "other years":
		fmt.Fprint(w, fmiDays(q.Get("fmisid"), first+366, last+366, fmiCelsius))
	case f.fault == "some more":
		fmt.Fprint(w, fmiDays(q.Get("fmisid"), first-31, last, fmiCelsius))
	case f.fault == "fahrenheit":
		fmt.Fprint(w, fmiDays(q.Get("fmisid"), first, last, []string{"tday>60.0", "tmin>50.0", "tmax>70.0"}))
	case f.fault == "a reason":
		w.WriteHeader(http.StatusBadRequest)
		fmt.Fprint(w, `<?xml version="1.0"?><ExceptionReport xmlns="http://www.opengis.net/ows/1.1"><Exception exceptionCode="OperationParsingFailed"><ExceptionText>Invalid fmisid</ExceptionText></Exception></ExceptionReport>`)
	default:
		f.left--
		fmt.Fprint(w, fmiDays(q.Get("fmisid"), first, last, fmiCelsius))
	}
	f.asked(said)
	return f.fault
}

// fmiCelsius is what the station reads on every day.
var fmiCelsius = []string{"tday>10.0", "tmin>5.0", "tmax>15.0"}

// fmiDays writes the days of the station, all with the same values.
func fmiDays(station string, first, last civil.Date, values []string) string {
	first = max(first, civil.Of(2027, 3, 1))
	if station != "999999" || last < first {
		return fmiHead + ` numberMatched="0" numberReturned="0"></wfs:FeatureCollection>`
	}
	var b strings.Builder
	n := 3 * int(last-first+1)
	fmt.Fprintf(&b, `%s numberMatched="%d" numberReturned="%d">`, fmiHead, n, n)
	for d := first; d <= last; d++ {
		for _, v := range values {
			name, value, _ := strings.Cut(v, ">")
			fmt.Fprintf(&b, `<wfs:member><BsWfs:BsWfsElement gml:id="E.%d.%s"><BsWfs:Location><gml:Point><gml:pos>60.30000 25.00000 </gml:pos></gml:Point></BsWfs:Location><BsWfs:Time>%sT00:00:00Z</BsWfs:Time><BsWfs:ParameterName>%s</BsWfs:ParameterName><BsWfs:ParameterValue>%s</BsWfs:ParameterValue></BsWfs:BsWfsElement></wfs:member>`, d, name, d, name, value)
		}
	}
	return b.String() + "</wfs:FeatureCollection>"
}

// startFMI starts the peer for a script.
func startFMI(e *testscript.Env) {
	f := &fmiService{left: -1, came: make(chan struct{})}
	s := httptest.NewServer(f)
	e.Defer(s.Close)
	e.Values[fmiKey{}] = f
	e.Setenv("FMI", s.URL)
}

// fmi speaks of the peer: "fmi station DIR" makes its station the second of the
// site of an example, "fmi await" waits until it was asked, "fmi answers N"
// lets it answer so many requests more and then want to be left alone, "fmi
// fault NAME" lets it go wrong in a way, "fmi asked TEXT..." holds the requests since the last such line to some, and "fmi
// forget" forgets them.
func fmi(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: fmi station DIR | await | answers N | fault NAME | asked TEXT... | forget")
	}
	f := ts.Value(fmiKey{}).(*fmiService)
	if args[0] == "await" {
		f.mu.Lock()
		came := f.came
		f.mu.Unlock()
		select {
		case <-came:
		case <-time.After(patience):
			ts.Fatalf("it was not asked within %s", patience)
		}
		return
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	switch args[0] {
	case "station":
		file, site := args[1]+"/stations.yml", args[1]+"/sites/home.yml"
		body := ts.ReadFile(file)
		body += "  - {code: FMI, lat_deg: 60.30, lon_deg: 25.00, altitude_m: 51, format: fmi, id: \"999999\", service: \"" + ts.Getenv("FMI") + "\"}\n" +
			"  - {code: NOSUCH, lat_deg: 60.30, lon_deg: 25.00, altitude_m: 51, format: fmi, id: \"1\", service: \"" + ts.Getenv("FMI") + "\"}\n"
		ts.Check(os.WriteFile(ts.MkAbs(file), []byte(body), 0o644))
		ts.Check(os.WriteFile(ts.MkAbs(site), []byte(strings.Replace(ts.ReadFile(site), "stations: [MET]", "stations: [MET, FMI]", 1)), 0o644))
	case "forget":
		f.forget()
	case "fault":
		f.fault = args[1]
	case "answers":
		_, err := fmt.Sscan(args[1], &f.left)
		ts.Check(err)
	case "asked":
		got := strings.Join(f.requests, "; ")
		f.forget()
		if want := strings.Join(args[1:], "; "); got != want {
			ts.Fatalf("asked %q, want %q", got, want)
		}
	}
}

package app_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"budcall/internal/civil"
)

// A month's weather of five invented stations near each other, and servers
// that give it as FMI, SMHI, DWD, Frost and MET Norway's forecast do, with
// their troubles on a timetable. A day can be had from 03:00 UTC of the next on.

// stationOffsetK is how much warmer a station is than the weather they share.
var stationOffsetK = map[string]float64{"FIN": 0, "SWE": 0.8, "GER": 1.5, "NOR": -0.7, "LOG": -0.3}

// trueMean is a station's daily mean in °C, to the tenth.
func trueMean(code string, d civil.Date) float64 {
	own := rand.New(rand.NewPCG(uint64(d), uint64(len(code))+uint64(code[0])<<8))
	return math.Round(10*(inventedMean(d)+stationOffsetK[code]+0.3*own.NormFloat64())) / 10
}

// trouble is what a provider has for some time.
type trouble struct {
	code     string // of the station; MET: the forecast
	from, to string // program's time, as 2031-04-17 12:00
	fault    string
	told     string // words of the one mail that tells it
}

// slip is a day's value that is wrong until a provider corrects it.
type slip struct {
	code, day string
	byK       float64
	until     string
}

// services is the providers of a programme.
type services struct {
	mu       sync.Mutex
	now      time.Time
	troubles []trouble
	slips    []slip
	wrong    []string // requests that weren't as the provider wants them
}

func programTime(text string) time.Time {
	at, err := time.Parse("2006-01-02 15:04", text)
	if err != nil {
		panic(err)
	}
	return at
}

func (s *services) setNow(at time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now = at
}

// newest is the newest day that can be had.
func (s *services) newest() civil.Date { return civil.At(s.now.Add(-27 * time.Hour)) }

// mean is what a provider says of a day now.
func (s *services) mean(code string, d civil.Date) float64 {
	c := trueMean(code, d)
	for _, slip := range s.slips {
		if slip.code == code && slip.day == d.String() && s.now.Before(programTime(slip.until)) {
			return math.Round(10*(c+slip.byK)) / 10
		}
	}
	return c
}

// fault is what a provider has now.
func (s *services) fault(code string) string {
	for _, f := range s.troubles {
		if f.code == code && !s.now.Before(programTime(f.from)) && s.now.Before(programTime(f.to)) {
			return f.fault
		}
	}
	return ""
}

// serve starts a provider, whose body is made for the request.
func (s *services) serve(t *testing.T, code string, body func(*http.Request) (string, error)) string {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.mu.Lock()
		defer s.mu.Unlock()
		text, err := body(r)
		if err != nil || !strings.Contains(r.UserAgent(), "maia@birches.example") {
			s.wrong = append(s.wrong, fmt.Sprintf("%s: %s (%v)", code, r.URL, err))
			http.Error(w, "not as we want it", http.StatusBadRequest)
			return
		}
		w.Header().Set("Date", s.now.UTC().Format(http.TimeFormat))
		answerWith(w, r, s.fault(code), text)
	}))
	t.Cleanup(server.Close)
	return server.URL
}

// answerWith gives a body, or what a fault makes of it.
func answerWith(w http.ResponseWriter, r *http.Request, fault, body string) {
	switch fault {
	case "HTML for data":
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, "<!DOCTYPE html><html><body>We are moving house</body></html>")
	case "exception report with 200":
		fmt.Fprint(w, `<?xml version="1.0"?><ExceptionReport xmlns="http://www.opengis.net/ows/1.1" version="2.0.0"><Exception exceptionCode="OperationParsingFailed"><ExceptionText>No such thing today</ExceptionText></Exception></ExceptionReport>`)
	case "truncated":
		w.Header().Set("Content-Length", fmt.Sprint(len(body)))
		fmt.Fprint(w, body[:len(body)/2])
	case "429":
		w.Header().Set("Retry-After", "7200")
		w.WriteHeader(http.StatusTooManyRequests)
	case "503":
		w.WriteHeader(http.StatusServiceUnavailable)
	case "redirect elsewhere":
		http.Redirect(w, r, "https://10.0.0.1/secrets", http.StatusFound)
	case "changed layout":
		fmt.Fprint(w, "when|what|how much\n2031-05-01|warmth|plenty\n")
	default:
		fmt.Fprint(w, body)
	}
}

// asked gives the days from first to last that are there.
func (s *services) asked(first, last string) (days []civil.Date, err error) {
	from, err1 := civil.Parse(first)
	to, err2 := civil.Parse(last)
	if err1 != nil || err2 != nil || to-from > 372 {
		return nil, fmt.Errorf("days %s to %s", first, last)
	}
	for d := from; d <= min(to, s.newest()); d++ {
		days = append(days, d)
	}
	return days, nil
}

// fmi writes daily values as FMI's simple form does.
func (s *services) fmi(r *http.Request) (string, error) {
	q := r.URL.Query()
	days, err := s.asked(q.Get("starttime")[:10], q.Get("endtime")[:10])
	if err != nil || q.Get("fmisid") != "990" {
		return "", fmt.Errorf("fmisid %q, %v", q.Get("fmisid"), err)
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<?xml version="1.0" encoding="UTF-8"?><wfs:FeatureCollection numberReturned="%d" xmlns:wfs="http://www.opengis.net/wfs/2.0" xmlns:gml="http://www.opengis.net/gml/3.2" xmlns:BsWfs="http://xml.fmi.fi/schema/wfs/2.0">`, 3*len(days))
	for _, d := range days {
		c := s.mean("FIN", d)
		for name, v := range map[string]float64{"tday": c, "tmin": c - 4, "tmax": c + 5} {
			fmt.Fprintf(&b, `<wfs:member><BsWfs:BsWfsElement><BsWfs:Location><gml:Point><gml:pos>60.3 25.0 </gml:pos></gml:Point></BsWfs:Location><BsWfs:Time>%sT00:00:00Z</BsWfs:Time><BsWfs:ParameterName>%s</BsWfs:ParameterName><BsWfs:ParameterValue>%.1f</BsWfs:ParameterValue></BsWfs:BsWfsElement></wfs:member>`, d, name, v)
		}
	}
	return b.String() + "</wfs:FeatureCollection>", nil
}

// smhi writes a parameter's latest months as SMHI does.
func (s *services) smhi(r *http.Request) (string, error) {
	parts := strings.Split(strings.Trim(r.URL.Path, "/"), "/")
	if len(parts) != 7 || parts[3] != "990010" || parts[5] != "latest-months" {
		return "", fmt.Errorf("path %q", parts)
	}
	what, ok := map[string]string{"2": "medelvärde 1 dygn, 1 gång/dygn, kl 00", "19": "min, 1 gång per dygn", "20": "max, 1 gång per dygn"}[parts[1]]
	if !ok {
		return "", fmt.Errorf("parameter %q", parts[1])
	}
	var b strings.Builder
	b.WriteString("\ufeffStationsnamn;Stationsnummer;Stationsnät;Mäthöjd (meter över marken)\nUppdiktad A;990010;SMHIs stationsnät;2.0\n\nParameternamn;Beskrivning;Enhet\nLufttemperatur;" + what + ";celsius\n\n" +
		"Tidsperiod (fr.o.m);Tidsperiod (t.o.m);Höjd (meter över havet);Latitud (decimalgrader);Longitud (decimalgrader)\n2015-06-01 00:00:00;2031-06-30 23:59:59;20.0;60.2;20.0\n\n" +
		"Från Datum Tid (UTC);Till Datum Tid (UTC);Representativt dygn;Lufttemperatur;Kvalitet;;Tidsutsnitt:\n")
	for d := s.newest() - 100; d <= s.newest(); d++ {
		c := s.mean("SWE", d)
		switch parts[1] {
		case "2":
			fmt.Fprintf(&b, "%s 00:00:01;%s 00:00:00;%s;%.1f;Y\n", d, d+1, d, c)
		case "19":
			fmt.Fprintf(&b, "%s 18:00:01;%s 18:00:00;%s;%.1f;G\n", d-1, d, d, c-4)
		default:
			fmt.Fprintf(&b, "%s 18:00:01;%s 18:00:00;%s;%.1f;G\n", d-1, d, d, c+5)
		}
	}
	return b.String(), nil
}

// dwd writes the recent daily climate as DWD does, with wind.
func (s *services) dwd(r *http.Request) (string, error) {
	if !strings.HasSuffix(r.URL.Path, "/recent/tageswerte_KL_00077_akt.zip") {
		return "", fmt.Errorf("path %q", r.URL.Path)
	}
	var b strings.Builder
	b.WriteString("STATIONS_ID;MESS_DATUM;QN_3;  FX;  FM;QN_4; RSK;RSKF; SDK;SHK_TAG;  NM; VPM;  PM; TMK; UPM; TXK; TNK; TGK;eor\r\n")
	for d := s.newest() - 500; d <= s.newest(); d++ {
		c := s.mean("GER", d)
		fmt.Fprintf(&b, "         77;%s;    1; 10.1;  3.2;    1;   0.0;   0;-999;   0;   3.7;   1.8; 1018.60;%7.1f;   75.00;%7.1f;%7.1f;   -4.6;eor\r\n", strings.ReplaceAll(d.String(), "-", ""), c, c+5, c-4)
	}
	return b.String(), nil
}

// frost writes observations as Frost v0 does.
func (s *services) frost(r *http.Request) (string, error) {
	q := r.URL.Query()
	first, last, _ := strings.Cut(q.Get("referencetime"), "/")
	days, err := s.asked(first, last)
	if user, _, _ := r.BasicAuth(); err != nil || user != "a-client-id" || q.Get("sources") != "SN99010" {
		return "", fmt.Errorf("user %q, %v", user, err)
	}
	type observation struct {
		Element  string  `json:"elementId"`
		Value    float64 `json:"value"`
		Unit     string  `json:"unit"`
		Offset   string  `json:"timeOffset"`
		Over     string  `json:"timeResolution"`
		SeriesID int     `json:"timeSeriesId"`
		Quality  int     `json:"qualityCode"`
	}
	var data []map[string]any
	for _, d := range days {
		if d.String() == last {
			break // the end is exclusive
		}
		c := s.mean("NOR", d)
		data = append(data, map[string]any{"sourceId": "SN99010:0", "referenceTime": d.String() + "T00:00:00.000Z", "observations": []observation{
			{"max(air_temperature P1D)", math.Round(10*(c+5)) / 10, "degC", "PT18H", "P1D", 0, 0},
			{"min(air_temperature P1D)", math.Round(10*(c-4)) / 10, "degC", "PT18H", "P1D", 0, 0},
			{"mean(air_temperature P1D)", c, "degC", "PT0H", "P1D", 0, 0},
		}})
	}
	body, err := json.Marshal(map[string]any{
		"@type": "ObservationResponse", "apiVersion": "v0", "createdAt": s.now, "currentItemCount": len(data), "itemsPerPage": len(data), "offset": 0, "totalItemCount": len(data), "data": data,
	})
	return string(body), err
}

// metno writes a forecast of nine days in hours, which comes true.
func (s *services) metno(r *http.Request) (string, error) {
	q := r.URL.Query()
	if len(q.Get("lat")) == 0 || len(strings.SplitAfter(q.Get("lat"), ".")[1]) > 4 {
		return "", fmt.Errorf("lat %q", q.Get("lat"))
	}
	var steps []string
	for at := s.now.Truncate(time.Hour); at.Before(s.now.Add(9 * 24 * time.Hour)); at = at.Add(time.Hour) {
		steps = append(steps, fmt.Sprintf(`{"time":%q,"data":{"instant":{"details":{"air_temperature":%.1f,"wind_speed":4.5,"wind_speed_of_gust":9.5}}}}`, at.Format(time.RFC3339), hourC("FIN", at)))
	}
	return fmt.Sprintf(`{"type":"Feature","geometry":{"type":"Point","coordinates":[%s,%s,51]},"properties":{"meta":{"updated_at":%q,"units":{"air_temperature":"celsius","wind_speed":"m/s","wind_speed_of_gust":"m/s"}},"timeseries":[%s]}}`,
		q.Get("lon"), q.Get("lat"), s.now.UTC().Format(time.RFC3339), strings.Join(steps, ",")), nil
}

// hourC is the temperature of an hour: the day's mean and its course.
func hourC(code string, at time.Time) float64 {
	return math.Round(10*(trueMean(code, civil.At(at))+4.5*math.Cos(2*math.Pi*float64(at.Hour()-14)/24))) / 10
}

// logger writes the hours up to one as a field logger does, clock on UTC.
func logger(from civil.Date, to time.Time) string {
	var b strings.Builder
	b.WriteString("Plot Title: invented\n\"#\",\"Date Time, GMT+00:00\",\"Temp, °C (LGR S/N: 1)\"\n")
	n := 0
	for at := from.In(time.UTC, 0, 0); !at.After(to); at = at.Add(time.Hour) {
		n++
		fmt.Fprintf(&b, "%d,%s,%.1f\n", n, at.Format("2006-01-02 15:04:05"), hourC("LOG", at))
	}
	return b.String()
}

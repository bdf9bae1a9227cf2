package demo

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"budcall/internal/civil"
)

// outlookServer answers as a forecast service in the style of MET Norway's
// Locationforecast does, for the time that is played: what will be, and an
// error that grows with the days ahead. It refuses whoever doesn't say who
// asks, and coordinates of more than four decimals.
type outlookServer struct {
	sky    *sky
	now    func() time.Time
	server *http.Server
	addr   net.Addr
	done   chan struct{}

	mu      sync.Mutex
	answers int
	refused []string // why, in words
}

// goodFor is how long an answer holds.
const goodFor = 30 * time.Minute

// The error of the forecast, one standard deviation: from the first day to the
// tenth; day after day it hangs together by errorPhi. As in our own trials.
const (
	errorFirstK, errorLastK = 1.5, 4.0
	errorPhi                = 0.7
	outlookDays             = 10
)

func serveOutlook(ctx context.Context, s *sky, now func() time.Time) (*outlookServer, error) {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, fmt.Errorf("opening the invented forecast service on 127.0.0.1: %w (is the loopback interface up?)", err)
	}
	o := &outlookServer{sky: s, now: now, addr: l.Addr(), done: make(chan struct{})}
	o.server = &http.Server{Handler: o, ReadTimeout: time.Minute, WriteTimeout: time.Minute}
	go func() {
		defer close(o.done)
		_ = o.server.Serve(l) // it ends by being closed
	}()
	return o, nil
}

// url is the service's address without coordinates.
func (o *outlookServer) url() string {
	return "http://" + o.addr.String() + "/locationforecast/2.0/compact"
}

func (o *outlookServer) close() error {
	err := o.server.Close()
	<-o.done
	return err
}

// ServeHTTP gives an answer, or says why not.
func (o *outlookServer) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	p, err := asked(r)
	o.mu.Lock()
	if err != nil {
		o.refused = append(o.refused, err.Error())
	} else {
		o.answers++
	}
	o.mu.Unlock()
	if err != nil {
		http.Error(w, err.Error(), http.StatusForbidden)
		return
	}
	now := o.now().UTC()
	made := now.Truncate(6 * time.Hour)
	w.Header().Set("Date", now.Format(http.TimeFormat)) // by which Expires is read
	w.Header().Set("Expires", now.Add(goodFor).Format(http.TimeFormat))
	w.Header().Set("Last-Modified", made.Format(http.TimeFormat))
	if r.Header.Get("If-Modified-Since") == made.Format(http.TimeFormat) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(o.sky.outlook(p, made)) // whoever asked has gone: nothing to be done
}

// asked reads where a forecast is asked for, and by whom.
func asked(r *http.Request) (p place, err error) {
	agent := r.Header.Get("User-Agent")
	if !strings.Contains(agent, "/") || !strings.Contains(agent, "@") {
		return p, fmt.Errorf("the User-Agent %q doesn't say which program asks and how to reach somebody", agent)
	}
	for name, into := range map[string]*float64{"lat": &p.LatDeg, "lon": &p.LonDeg, "altitude": &p.AltitudeM} {
		text := r.URL.Query().Get(name)
		if *into, err = strconv.ParseFloat(text, 64); err != nil {
			return p, fmt.Errorf("%s=%q is no number", name, text)
		}
		if _, decimals, _ := strings.Cut(text, "."); len(decimals) > 4 {
			return p, errors.New("coordinates must have four decimals at most")
		}
	}
	return p, nil
}

// The answer's JSON, as far as a compact answer's temperatures go.
type (
	outlookAnswer struct {
		Type       string `json:"type"`
		Geometry   any    `json:"geometry"`
		Properties struct {
			Meta       any           `json:"meta"`
			Timeseries []outlookStep `json:"timeseries"`
		} `json:"properties"`
	}
	outlookStep struct {
		Time string `json:"time"`
		Data any    `json:"data"`
	}
)

// outlook is the forecast for a place as made at a time: hourly for 60 hours,
// then every six hours.
func (s *sky) outlook(p place, made time.Time) outlookAnswer {
	a := outlookAnswer{Type: "Feature", Geometry: map[string]any{
		"type": "Point", "coordinates": []float64{p.LonDeg, p.LatDeg, p.AltitudeM},
	}}
	a.Properties.Meta = map[string]any{"updated_at": made.Format(time.RFC3339), "units": map[string]string{"air_temperature": "celsius"}}
	today := civil.At(made)
	means := make([]float64, outlookDays+2) // from yesterday on
	errorK := s.errorsK(p, made)
	for i := range means {
		day := today - 1 + civil.Date(i)
		means[i] = s.meanC(p, day) + errorK[max(0, min(i-1, outlookDays-1))]
	}
	for h := 0; h <= 24*(outlookDays-1); {
		at := made.Add(time.Duration(h) * time.Hour)
		details := map[string]float64{"air_temperature": math.Round(hourC(means, today-1, at)*10) / 10}
		a.Properties.Timeseries = append(a.Properties.Timeseries, outlookStep{
			Time: at.Format(time.RFC3339), Data: map[string]any{"instant": map[string]any{"details": details}},
		})
		if h < 60 {
			h++
		} else {
			h += 6
		}
	}
	return a
}

// errorsK is the error of each day ahead of a forecast.
func (s *sky) errorsK(p place, made time.Time) (out [outlookDays]float64) {
	rng := s.chance("outlook", p.LatDeg, p.LonDeg, made.Unix())
	e := rng.NormFloat64()
	for i := range out {
		sd := errorFirstK + (errorLastK-errorFirstK)*float64(i)/(outlookDays-1)
		out[i] = sd * e
		e = errorPhi*e + math.Sqrt(1-errorPhi*errorPhi)*rng.NormFloat64()
	}
	return out
}

// hourC is the temperature of an hour: on the line between the means of two
// days, which hold at noon, and on a wave that is highest at 13 UTC.
func hourC(means []float64, first civil.Date, at time.Time) float64 {
	days := at.Sub(first.In(time.UTC, 12, 0)).Hours() / 24
	i := max(0, min(int(math.Floor(days)), len(means)-2))
	share := min(1, days-float64(i))
	wave := math.Cos(2 * math.Pi * (float64(at.Hour()) - 13) / 24)
	return (1-share)*means[i] + share*means[i+1] + between(halfRangeC, civil.At(at))*wave
}

package demo

import (
	"bytes"
	"fmt"
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/config"
)

// station is an invented weather station and what it reads.
type station struct {
	code   string
	place  place
	first  civil.Date
	days   []reading
	silent civil.Range // no lines at all: its logger stood still
}

// reading is one day in tenths of a degree.
type reading struct {
	minDC, maxDC, meanDC int
	missing              bool
}

// header is the first line of every station file.
const header = "date,tmin_c,tmax_c,tmean_c\n"

const (
	instrumentSDK = 0.3   // a station's own departure from its region, a day; invented
	missingShare  = 0.004 // days without a reading; invented
)

// silence is the week in which the first choice of a site with two stations
// says nothing, so that the second one stands in.
var silence = civil.Range{First: civil.Of(seasonYear, 4, 22), Last: civil.Of(seasonYear, 4, 28)}

// stations invents what the stations of a programme read.
func (s *sky) stations(p *config.Programme) []station {
	var out []station
	for _, st := range p.Stations {
		out = append(out, s.station(st.Code, place{st.LatDeg, st.LonDeg, st.AltitudeM}))
	}
	for _, site := range p.Sites {
		if len(site.Stations) < 2 {
			continue
		}
		i := slices.IndexFunc(out, func(st station) bool { return st.code == site.Stations[0] })
		out[i].silent = silence
		break
	}
	return out
}

func (s *sky) station(code string, p place) station {
	rng := s.chance("station", code)
	st := station{code: code, place: p, first: s.first}
	for day := s.first; day <= s.last; day++ {
		mean := s.meanC(p, day) + instrumentSDK*rng.NormFloat64()
		half := between(halfRangeC, day) * (0.65 + 0.7*rng.Float64())
		skew := 1 + 0.2*(rng.Float64()-0.5)
		st.days = append(st.days, reading{
			minDC: tenths(mean - half*skew), maxDC: tenths(mean + half*skew), meanDC: tenths(mean),
			missing: rng.Float64() < missingShare,
		})
	}
	return st
}

func tenths(c float64) int { return int(math.Round(c * 10)) }

// misread is a day that a station first gave wrong and later corrected.
type misread struct {
	station string
	day     civil.Date
	byK     float64    // as much too high
	mended  civil.Date // the day on which the file says it right
}

// file gives the lines of the days from..through as the station's file.
func (st station) file(days civil.Range, wrong ...misread) []byte {
	var b bytes.Buffer
	b.WriteString(header)
	for day := max(days.First, st.first); day <= days.Last && int(day-st.first) < len(st.days); day++ {
		if st.silent.Has(day) {
			continue
		}
		r := st.days[day-st.first]
		if r.missing {
			fmt.Fprintf(&b, "%s,,,\n", day)
			continue
		}
		off := 0
		for _, w := range wrong {
			if w.day == day && w.station == st.code && days.Last+1 < w.mended {
				off = tenths(w.byK)
			}
		}
		fmt.Fprintf(&b, "%s,%s,%s,%s\n", day, decimal(r.minDC+off), decimal(r.maxDC+off), decimal(r.meanDC+off))
	}
	return b.Bytes()
}

// decimal writes tenths of a degree: -3 is -0.3.
func decimal(tenths int) string {
	sign := ""
	if tenths < 0 {
		sign, tenths = "-", -tenths
	}
	return fmt.Sprintf("%s%d.%d", sign, tenths/10, tenths%10)
}

// all is the days that the example's files hold.
func (s *sky) all() civil.Range { return civil.Range{First: s.first, Last: lastDay} }

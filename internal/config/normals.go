package config

import (
	"fmt"
	"regexp"
	"strconv"

	"budcall/internal/ensemble"
)

var yearsForm = regexp.MustCompile(`^([0-9]{4})-([0-9]{4})$`)

// readNormals reads the monthly climate of a place at an altitude, from which
// weather to come is generated where no station has past years. It is nil where
// none is given or something in it is wrong.
func readNormals(s *section, altitudeM float64) *ensemble.Normals {
	if !s.set() {
		return nil
	}
	had := len(s.found.problems)
	n := ensemble.Normals{AltitudeM: altitudeM, MidYear: midYear(s.need("years", "the years that they are of, such as 1991-2020"))}
	mean := s.need("mean_c", "twelve monthly means from January on, in degrees Celsius")
	n.MeanC = mean.months(bounds{-50, 40, "degrees Celsius, not Fahrenheit"})
	n.DaySDK = s.get("day_sd_k").months(bounds{0.1, 15, "K, the standard deviation of daily means in each month"})
	n.MonthSDK = s.get("month_sd_k").months(bounds{0.1, 15, "K, the standard deviation of a month's mean from year to year"})
	n.Persistence = s.get("persistence").months(bounds{0, 0.99, "the correlation of a day's mean with the next one's"})
	s.done()
	if len(s.found.problems) > had {
		return nil
	}
	if err := n.Check(); err != nil {
		s.problem(err.Error(), "see that months vary less than days")
		return nil
	}
	if coldest, hottest := n.MeanC[0], n.MeanC[6]; coldest > hottest {
		mean.warn(fmt.Sprintf("January, %s °C, is warmer than July, %s °C", plain(coldest), plain(hottest)), "see that they begin with January; south of the equator this is right")
	}
	return &n
}

// midYear gives the middle of a span of years, counted from their starts.
func midYear(e entry) float64 {
	text := e.text()
	if text == "" {
		return 0
	}
	m := yearsForm.FindStringSubmatch(text)
	if m != nil {
		first, _ := strconv.Atoi(m[1]) // digits, by the form
		last, _ := strconv.Atoi(m[2])
		if first >= 1850 && first <= last && last <= 2100 {
			return float64(first+last+1) / 2
		}
	}
	e.problem(fmt.Sprintf("%q is no span of years", clip(text)), "the first and the last one, such as 1991-2020")
	return 0
}

// months gives twelve numbers.
func (e entry) months(b bounds) (m ensemble.Months) {
	list := e.list()
	if len(list) != len(m) {
		if e.set() && len(list) > 0 {
			e.problem(fmt.Sprintf("has %d numbers", len(list)), "one for each month, January first: twelve")
		}
		return m
	}
	for i := range m {
		m[i], _ = list[i].number(b)
	}
	return m
}

// Normals gives the monthly climate that stands for a site: its own, or else
// that of the first of its stations that has one; nil where none has.
func (p *Programme) Normals(s Site) *ensemble.Normals {
	if s.Normals != nil {
		return s.Normals
	}
	for _, code := range s.Stations {
		for _, t := range p.Stations {
			if t.Code == code && t.Normals != nil {
				return t.Normals
			}
		}
	}
	return nil
}

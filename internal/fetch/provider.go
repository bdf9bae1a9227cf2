package fetch

import (
	"cmp"
	"fmt"
	"math"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"time"

	"budcall/internal/civil"
)

// Series is one station's readings at a provider.
type Series struct {
	Provider string // by the name of its format, such as "fmi"
	Base     string // where the provider is asked; empty: at its own address
	ID       string // the station, as the provider calls it
	Hourly   bool   // readings of hours are wanted, where the provider has both; else of days
	Keyed    bool   // whoever asks has a key

	// Of a provider that is asked for a place.

	LatitudeDeg, LongitudeDeg float64 // north and east are positive
	AltitudeM                 float64 // NaN: not known
	Zone                      string  // whose days are wanted; empty: UTC
}

// Query is one request to a provider.
type Query struct {
	URL  string
	Days civil.Range // that the answer may hold; the first is the zero day where it goes back as far as there is anything

	// Link is what to look for where URL is a page of links: the address on it
	// that fits is asked next. nil: URL is the data.
	Link *regexp.Regexp

	// Beside is the addresses of what the provider keeps of the same days in files
	// of their own, such as the extremes beside the mean. A station may lack them.
	Beside []string

	// Moving tells that the address changes with the day, so that what was
	// remembered of the last answer belongs to another address.
	Moving bool

	Rules Rules
}

// Rules are how a provider wants to be asked. The zero Rules are the client's.
type Rules struct {
	Interval   time.Duration // between two requests; 0: the client's
	Allowances []Allowance
	Weight     float64 // how many requests this one counts for; 0: one
	Key        KeyPlace
}

// Allowance is how many requests a provider grants in a time.
type Allowance struct {
	Requests float64
	Per      time.Duration
}

// KeyPlace is where a provider wants the key of whoever asks.
type KeyPlace string

// The places.
const (
	NoKey     KeyPlace = ""
	KeyAsUser KeyPlace = "user"   // HTTP Basic: the key is the user, the password is empty
	KeyInURL  KeyPlace = "apikey" // a parameter of the address
)

// provider is how one provider is asked.
type provider struct {
	base     string
	baseKey  string // asked instead with a key; empty: base
	needsID  bool
	mostDays int // of one request; 0: an answer holds what there is, asked for or not
	hourly   int // the same for hours, where those are served apart
	rules    Rules

	// span gives the address for some days. Without mostDays it is given the
	// days wanted, and the answers of all its queries together hold them.
	span func(s Series, base string, days civil.Range) ([]Query, error)
}

// baseFor gives where the provider is asked.
func (p provider) baseFor(s Series) string {
	switch {
	case s.Base != "":
		return strings.TrimRight(s.Base, "/")
	case s.Keyed && p.baseKey != "":
		return p.baseKey
	}
	return p.base
}

// recentDays is how far back a day's asking looks: long enough for the
// corrections of a month and for a service that was down. Our assumption.
const recentDays = 30

// Recent gives the request of a day of the season: what may be new or
// corrected since the newest stored day (zero: none), and no more.
func (s Series) Recent(newest, today civil.Date) (Query, error) {
	p, err := s.known()
	if err != nil {
		return Query{}, err
	}
	most := cmp.Or(p.most(s), 366)
	first := today - civil.Date(min(recentDays, most-1))
	if newest != 0 && newest < first {
		first = max(newest, today-civil.Date(most-1))
	}
	qs, err := s.ask(p, civil.Range{First: first, Last: today})
	if err != nil {
		return Query{}, err
	}
	for _, q := range qs {
		if newest != 0 && !q.Days.First.IsZero() && q.Days.Last > newest && q.Days.Last < today {
			return q, nil // of the year that has just ended days are still wanted
		}
	}
	return qs[len(qs)-1], nil
}

// Since gives the requests that bring the days from first to today, the oldest
// first, none for more days than the provider gives at once.
func (s Series) Since(first, today civil.Date) ([]Query, error) {
	p, err := s.known()
	if err != nil {
		return nil, err
	}
	if first > today {
		return nil, fmt.Errorf("%s is after %s: name a day that is over", first, today)
	}
	most := p.most(s)
	if most == 0 {
		return s.ask(p, civil.Range{First: first, Last: today})
	}
	beside := civil.Date(0) // days on either side: a day may begin or end within hours of these, by its window
	if s.Hourly {
		beside = 1
	}
	if s.Hourly && p.hourly > 0 {
		most -= 2 * int(beside)
	}
	var all []Query
	for day := first; day <= today; {
		last := min(today, windowEnd(day, most))
		qs, err := s.ask(p, civil.Range{First: day - beside, Last: min(today, last+beside)})
		if err != nil {
			return nil, err
		}
		if s.Hourly {
			for i := range qs {
				qs[i].Days = civil.Range{First: day, Last: last}
			}
		}
		all = append(all, qs...)
		day = last + 1
	}
	return all, nil
}

// windowEnd gives the last day of a request from first: the end of its year
// where that is near enough, so that whoever goes on with a back-fill another
// day asks for the same days as before.
func windowEnd(first civil.Date, most int) civil.Date {
	return min(first+civil.Date(most-1), civil.Of(first.Year(), 12, 31))
}

func (p provider) most(s Series) int {
	if s.Hourly && p.hourly > 0 {
		return p.hourly
	}
	return p.mostDays
}

// ask gives the queries of some days, with the provider's rules.
func (s Series) ask(p provider, days civil.Range) ([]Query, error) {
	qs, err := p.span(s, p.baseFor(s), days)
	for i := range qs {
		weight := qs[i].Rules.Weight
		qs[i].Rules = p.rules
		qs[i].Rules.Weight = weight
		if !s.Keyed {
			qs[i].Rules.Key = NoKey
		}
	}
	return qs, err
}

func (s Series) known() (provider, error) {
	p, ok := providers()[s.Provider]
	switch {
	case !ok:
		return p, fmt.Errorf("data of format %q are not served station by station: name a file or a url", s.Provider)
	case p.needsID && !plainID.MatchString(s.ID):
		return p, fmt.Errorf("%q is no station of %s: write its id as the provider does, letters and digits", s.ID, s.Provider)
	}
	return p, nil
}

// plainID is what an id may hold, so that it can't turn into another address.
var plainID = regexp.MustCompile(`^[A-Za-z0-9_-]{1,32}$`)

// Served lists the formats whose providers can be asked for a station.
func Served() []string {
	var names []string
	for name := range providers() {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// providers are those that can be asked, by the names of their formats.
func providers() map[string]provider {
	return map[string]provider{
		"fmi": fmi, "smhi-metobs": smhi, "frost": frost, "open-meteo": openMeteo, "dwd-daily": dwd, "knmi": knmi,
		"meteoswiss": meteoSwiss, "ghcn-daily": ghcnDaily, "ghcn-csv": ghcnCSV, "ghcn-access": ghcnAccess, "eccc": eccc,
	}
}

// place checks a place and gives its coordinates as services want them.
func (s Series) place() (lat, lon string, err error) {
	if !(math.Abs(s.LatitudeDeg) <= 90) || !(math.Abs(s.LongitudeDeg) <= 180) {
		return "", "", fmt.Errorf("latitude %v and longitude %v are no place: correct the station's coordinates (degrees, north and east positive)", s.LatitudeDeg, s.LongitudeDeg)
	}
	return fourDecimals(s.LatitudeDeg), fourDecimals(s.LongitudeDeg), nil
}

// with appends parameters to an address, in their order.
func with(base string, pairs ...string) string {
	var b strings.Builder
	b.WriteString(base)
	for i := 0; i+1 < len(pairs); i += 2 {
		mark := "&"
		if i == 0 && !strings.Contains(base, "?") {
			mark = "?"
		}
		b.WriteString(mark + pairs[i] + "=" + url.QueryEscape(pairs[i+1]))
	}
	return b.String()
}

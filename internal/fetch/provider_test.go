package fetch_test

import (
	"math"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/civil"
	"budcall/internal/fetch"
)

// today of these tests; the addresses are those of the services' own
// documents and of recorded requests, put together by hand.
var today = civil.MustParse("2031-05-03")

func TestAStationIsAskedForAtItsProvider(t *testing.T) {
	home := fetch.Series{LatitudeDeg: 61.123456, LongitudeDeg: 24.98765, AltitudeM: 143.4, Zone: "Europe/Helsinki"}
	for _, row := range []struct {
		sentence, provider, id string
		change                 func(*fetch.Series)
		want                   string
		link                   string // pattern, where the address is a page
	}{
		{"FMI, days", "fmi", "100971", nil,
			"https://opendata.fmi.fi/wfs?service=WFS&version=2.0.0&request=getFeature&storedquery_id=fmi::observations::weather::daily::simple&fmisid=100971&parameters=tday,tmin,tmax&starttime=2031-04-03T00:00:00Z&endtime=2031-05-03T00:00:00Z", ""},
		{"FMI, hours: never more than 168", "fmi", "100971", func(s *fetch.Series) { s.Hourly = true },
			"https://opendata.fmi.fi/wfs?service=WFS&version=2.0.0&request=getFeature&storedquery_id=fmi::observations::weather::hourly::simple&fmisid=100971&parameters=TA_PT1H_AVG,TA_PT1H_MIN,TA_PT1H_MAX,WS_PT1H_MAX&starttime=2031-04-27T00:00:00Z&endtime=2031-05-03T23:00:00Z", ""},
		{"SMHI, the mean of days", "smhi-metobs", "71420", nil, "https://opendata-download-metobs.smhi.se/api/version/1.0/parameter/2/station/71420/period/latest-months/data.csv", ""},
		{"SMHI, hours", "smhi-metobs", "71420", func(s *fetch.Series) { s.Hourly = true }, "https://opendata-download-metobs.smhi.se/api/version/1.0/parameter/1/station/71420/period/latest-months/data.csv", ""},
		{"Frost: the interval's end is exclusive", "frost", "SN18700", nil,
			"https://frost.met.no/observations/v0.jsonld?sources=SN18700&referencetime=2031-04-03/2031-05-04&elements=mean(air_temperature P1D),min(air_temperature P1D),max(air_temperature P1D),mean(wind_speed P1D),max(wind_speed P1D),max(wind_speed_of_gust P1D)&timeoffsets=default&levels=default", ""},
		{"Open-Meteo: a place to four decimals", "open-meteo", "", nil,
			"https://archive-api.open-meteo.com/v1/archive?latitude=61.1234&longitude=24.9876&daily=temperature_2m_mean,temperature_2m_max,temperature_2m_min,wind_speed_10m_max,wind_gusts_10m_max&start_date=2031-04-03&end_date=2031-05-03&timezone=Europe/Helsinki&timeformat=iso8601&temperature_unit=celsius&wind_speed_unit=ms&elevation=143", ""},
		{"Open-Meteo for a customer, of whom no key stands in the address", "open-meteo", "", func(s *fetch.Series) { s.Keyed, s.AltitudeM, s.Zone = true, math.NaN(), "" },
			"https://customer-archive-api.open-meteo.com/v1/archive?latitude=61.1234&longitude=24.9876&daily=temperature_2m_mean,temperature_2m_max,temperature_2m_min,wind_speed_10m_max,wind_gusts_10m_max&start_date=2031-04-03&end_date=2031-05-03&timezone=UTC&timeformat=iso8601&temperature_unit=celsius&wind_speed_unit=ms", ""},
		{"DWD: five digits", "dwd-daily", "429", nil, "https://opendata.dwd.de/climate_environment/CDC/observations_germany/climate/daily/kl/recent/tageswerte_KL_00429_akt.zip", ""},
		{"KNMI", "knmi", "280", nil, "https://cdn.knmi.nl/knmi/map/page/klimatologie/gegevens/daggegevens/etmgeg_280.zip", ""},
		{"MeteoSwiss: small letters", "meteoswiss", "TAE", nil, "https://data.geo.admin.ch/ch.meteoschweiz.ogd-smn/tae/ogd-smn_tae_d_recent.csv", ""},
		{"GHCN-Daily", "ghcn-daily", "FIE00142080", nil, "https://www.ncei.noaa.gov/pub/data/ghcn/daily/all/FIE00142080.dly", ""},
		{"GHCN by station", "ghcn-csv", "FIE00142080", nil, "https://www.ncei.noaa.gov/pub/data/ghcn/daily/by_station/FIE00142080.csv.gz", ""},
		{"GHCN access", "ghcn-access", "FIE00142080", nil, "https://www.ncei.noaa.gov/data/global-historical-climatology-network-daily/access/FIE00142080.csv", ""},
		{"ECCC: a calendar year", "eccc", "4333", nil, "https://climate.weather.gc.ca/climate_data/bulk_data_e.html?format=csv&stationID=4333&Year=2031&Month=1&Day=1&time=&timeframe=2&submit=Download Data", ""},
		{"another address", "knmi", "280", func(s *fetch.Series) { s.Base = "http://127.0.0.1:80/mirror/" }, "http://127.0.0.1:80/mirror/etmgeg_280.zip", ""},
	} {
		s := home
		s.Provider, s.ID = row.provider, row.id
		if row.change != nil {
			row.change(&s)
		}
		q, err := s.Recent(0, today)
		if err != nil {
			t.Errorf("%s: %v", row.sentence, err)
			continue
		}
		if got := plainQuery(t, q.URL); got != row.want {
			t.Errorf("%s:\n%s\nwant\n%s", row.sentence, got, row.want)
		}
	}
}

// plainQuery is an address as people read it; it must be a right one first.
func plainQuery(t *testing.T, address string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil || strings.ContainsAny(address, " <>\"") {
		t.Fatalf("%s: %v", address, err)
	}
	if u.RawQuery == "" {
		return address
	}
	plain, err := url.QueryUnescape(u.RawQuery)
	if err != nil {
		t.Fatal(err)
	}
	u.RawQuery = ""
	return u.String() + "?" + plain
}

func TestABackFillInPieces(t *testing.T) {
	for _, row := range []struct {
		sentence, provider string
		hourly             bool
		first              string
		pieces             int
		oldest             string // part of the first address
	}{
		// 2029-03-10…12-31, 2030, 2031-01-01…05-03.
		{"FMI by calendar years, below its 372 days", "fmi", false, "2029-03-10", 3, "endtime=2029-12-31"},
		// 34 days in fives, with a day on either side: 168 hours at most.
		{"FMI's hours by 168, from the day before, in which a day may begin", "fmi", true, "2031-03-31", 7, "starttime=2031-03-30T00:00:00Z&endtime=2031-04-05T23"},
		{"ECCC one year a file", "eccc", false, "2029-12-30", 3, "Year=2029"},
		{"SMHI's archive, and the latest months which it lacks", "smhi-metobs", false, "1990-01-01", 2, "corrected-archive"},
		{"SMHI's latest months alone", "smhi-metobs", false, "2031-04-01", 1, "latest-months"},
		{"DWD's history by its folder's page", "dwd-daily", false, "1990-01-01", 2, "/historical/"},
		{"KNMI in one file", "knmi", false, "1950-01-01", 1, "etmgeg"},
	} {
		qs, err := fetch.Series{Provider: row.provider, ID: "1", Hourly: row.hourly}.Since(civil.MustParse(row.first), today)
		if err != nil || len(qs) != row.pieces || !strings.Contains(plainQuery(t, qs[0].URL), row.oldest) {
			t.Errorf("%s: %d pieces, %v %v", row.sentence, len(qs), qs, err)
		}
	}
}

func TestPiecesLeaveNoDayOutAndAskForNoneTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := fetch.Series{Provider: rapid.SampledFrom([]string{"fmi", "frost", "open-meteo"}).Draw(t, "provider"), ID: "1", Hourly: rapid.Bool().Draw(t, "hourly")}
		first := today - civil.Date(rapid.IntRange(0, 2000).Draw(t, "days"))
		qs, err := s.Since(first, today)
		if err != nil {
			t.Fatal(err)
		}
		next := first
		for _, q := range qs {
			if q.Days.First != next || q.Days.Len() < 1 || q.Days.Len() > 366 || s.Provider == "fmi" && s.Hourly && q.Days.Len() > 5 {
				t.Fatalf("%v after %s", q.Days, next)
			}
			next = q.Days.Last + 1
		}
		if next != today+1 {
			t.Fatalf("ends before %s", next)
		}
	})
}

func TestTheRecentDaysReachBackToWhatIsStored(t *testing.T) {
	s := fetch.Series{Provider: "fmi", ID: "100971"}
	for newest, want := range map[string]string{
		"2031-05-02": "2031-04-03", // 30 days back, for corrections
		"2031-01-15": "2031-01-15",
		"2025-01-01": "2030-04-27", // 372 days and no more; the rest is for a back-fill
	} {
		q, err := s.Recent(civil.MustParse(newest), today)
		if err != nil || q.Days.First.String() != want || q.Days.Last != today {
			t.Errorf("newest %s: %v %v", newest, q.Days, err)
		}
	}
	// In January the last days of December are still wanted of a provider by years.
	eccc := fetch.Series{Provider: "eccc", ID: "1"}
	newYear := civil.MustParse("2031-01-04")
	for newest, year := range map[string]string{"2030-12-29": "2030", "2031-01-02": "2031"} {
		if q, err := eccc.Recent(civil.MustParse(newest), newYear); err != nil || !strings.Contains(q.URL, "Year="+year) {
			t.Errorf("newest %s: %s %v", newest, q.URL, err)
		}
	}
}

func TestWhatCantBeAskedFor(t *testing.T) {
	for _, row := range []struct {
		sentence string
		series   fetch.Series
		says     string
	}{
		{"a provider without single stations", fetch.Series{Provider: "ecad", ID: "8"}, "name a file or a url"},
		{"an id that would be another address", fetch.Series{Provider: "knmi", ID: "../../x"}, "write its id"},
		{"an id with a parameter in it", fetch.Series{Provider: "fmi", ID: "1&fmisid=2"}, "write its id"},
		{"no id", fetch.Series{Provider: "frost"}, "write its id"},
		{"no place", fetch.Series{Provider: "open-meteo", LatitudeDeg: 91}, "no place"},
	} {
		if _, err := row.series.Recent(0, today); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: %v", row.sentence, err)
		}
		if _, err := row.series.Since(today-1, today); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s, back-fill: %v", row.sentence, err)
		}
	}
	if _, err := (fetch.Series{Provider: "knmi", ID: "1"}).Since(today+1, today); err == nil || !strings.Contains(err.Error(), "a day that is over") {
		t.Errorf("tomorrow: %v", err)
	}
	if got := fetch.Served(); len(got) != 11 || !slices.IsSorted(got) {
		t.Errorf("%v", got)
	}
}

// The rules of the providers, as their pages have them or as we chose.
func TestTheRulesThatGoAlong(t *testing.T) {
	s := fetch.Series{Provider: "open-meteo", LatitudeDeg: 60, LongitudeDeg: 25, AltitudeM: math.NaN()}
	qs, err := s.Since(civil.MustParse("2030-01-01"), civil.MustParse("2030-12-31"))
	if err != nil || len(qs) != 1 {
		t.Fatal(qs, err)
	}
	// 365 days are 26.07 times two weeks.
	if w := qs[0].Rules.Weight; math.Abs(w-365.0/14) > 1e-9 || qs[0].Rules.Key != fetch.NoKey || len(qs[0].Rules.Allowances) != 3 {
		t.Errorf("%+v", qs[0].Rules)
	}
	q, err := fetch.Series{Provider: "frost", ID: "SN1", Keyed: true}.Recent(0, today)
	if err != nil || q.Rules.Key != fetch.KeyAsUser || q.Rules.Interval != time.Second || !q.Moving {
		t.Errorf("%+v %v", q, err)
	}
}

func TestSMHIsExtremesAreAskedForBesideTheMean(t *testing.T) {
	s := fetch.Series{Provider: "smhi-metobs", ID: "71420"}
	q, err := s.Recent(civil.MustParse("2031-04-18"), civil.MustParse("2031-04-20"))
	if err != nil || len(q.Beside) != 2 || !strings.Contains(q.Beside[0], "/parameter/19/station/71420/period/latest-months/") || !strings.Contains(q.Beside[1], "/parameter/20/") {
		t.Errorf("%q %v", q.Beside, err)
	}
	s.Hourly = true
	if q, err = s.Recent(0, civil.MustParse("2031-04-20")); err != nil || len(q.Beside) != 0 {
		t.Errorf("hours: %q %v", q.Beside, err)
	}
}

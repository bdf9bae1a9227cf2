package config

import (
	"net/netip"
	"time"

	"budcall/internal/civil"
	"budcall/internal/ensemble"
	"budcall/internal/schedule"
	"budcall/internal/season"
	"budcall/internal/stage"
	"budcall/internal/trail"
)

// Programme is everything that the files say, checked: every code in it refers
// to something that is there, every number is within its bounds.
type Programme struct {
	Code string
	Name string
	Zone *time.Location // of the slots, and of whoever says nothing else

	Coordinator       string // codes of people; these two may be empty: CoordinatorDeputy, Laboratory
	CoordinatorDeputy string
	Laboratory        string
	Ops               string

	Mail      Mail
	Inbox     Inbox
	Ribbons   Ribbons
	Webhooks  []Webhook
	PublicURL string // how people reach the form and the board, without a slash at the end
	Listen    string // host:port of the form and the board
	Metrics   string // host:port of the metrics
	Database  Database

	Pull    []Slot   // when weather is fetched
	Evening Slot     // when the next day's calls are told
	Week    Slot     // when the coordinator is told how everything stands
	WeekTo  []string // codes of the people who are told so beside the coordinator

	RawCopyDays int // how long what providers sent is kept as it came
	LetterDays  int // how long what letters said is kept
	JournalDays int // how long the journal is kept

	Settings   season.Settings // those of a site that says nothing else
	Editing    Editing         // what a site's people may change in its file by a page or a mail
	People     []Person        // in the order of the file
	Stations   []Station
	Neighbours Neighbours // which of the stations judge each other
	Forecasts  []Forecast
	Profiles   map[string]stage.Profile // by key
	Sites      []Site                   // in the order of their files' names

	Warnings []Problem // what is unusual, but may be meant
}

// Mail is how mails leave.
type Mail struct {
	Relay        string // host:port
	TLS          string // starttls, implicit or none
	User         string // empty: no log-in
	PasswordFile string
	From         string // address that people see and answer to
	FromName     string
	EnvelopeFrom string // address that returned mails go to
	Domain       string // of Message-ID
	Hello        string // the name we give ourselves to the relay
}

// Ribbons is the colours, in words, that mark where a bag's mouth was; both or
// none are set.
type Ribbons struct{ Selfing, Control string }

// Webhook is a program that is told what people are told.
type Webhook struct {
	Name        string
	URL         string
	SecretFiles []string       // each holds one secret; two overlap while one is being replaced
	Allow       []netip.Prefix // private addresses that may be connected to
}

// Database is where the memory is; without a file it is the program's own.
type Database struct {
	DSNFile string // holds the address, with its password, on one line
}

// Slot is a time of day at which work falls due, as written and as understood.
type Slot struct {
	Spec string // five fields: minute, hour, day of month, month, day of week
	Rule schedule.Rule
}

// Person is somebody who can be called.
type Person struct {
	Code  string
	Name  string
	Email string
	Phone string // empty: not known
	Zone  *time.Location
	Lang  string          // of mails
	CanGo season.Weekdays // zero: any day
	Away  []civil.Range   // when the person isn't to be asked
	Role  string          // in the programme's own words
}

// Station is a source of readings.
type Station struct {
	Code      string
	Name      string
	LatDeg    float64 // north is positive
	LonDeg    float64 // east is positive
	AltitudeM float64
	Format    string            // one of StationFormats
	Path      string            // relative to the config folder; or else
	URL       string            // of the data; or else
	Served    bool              // the format's provider is asked for the station
	Service   string            // where the provider is asked; empty: at its own address
	KeyFile   string            // holds our key for the provider, alone
	Hourly    bool              // hours are asked for, not days
	Window    Window            // what a day is; zero: not known
	Normals   *ensemble.Normals // its monthly climate, nil: none is given

	// How the bytes are to be read. Empty is what the format has by itself.

	Columns    map[string]string // date, tmin, tmax, tmean, or of a logger time, date, temp, error, zone -> name in the header, or number from 1
	Unit       string            // C or F
	Separator  string            // the character
	Decimal    string            // the character
	DateLayout string            // as YYYY-MM-DD
	Missing    []string          // texts that mean "no reading", beside an empty field
	ID         string            // the station at its provider, or in a file of several
	Location   int               // the place, from 1, in an answer for several
	Clock      string            // fixed offset of a logger's clock
	Zone       *time.Location    // of Window; nil: there is none
	LeastShare float64           // of a day that its readings must cover; 0: the usual one
	LongestGap time.Duration     // between two readings of a day; 0: the usual one
}

// Window is what "a day" is in a series of readings.
type Window struct {
	StartHour, EndHour int    // 0 to 24
	Zone               string // on whose clock
	Label              string // "start" or "end": which end's date the day carries
}

// Forecast is a source of short-range forecasts.
type Forecast struct {
	Code    string
	Format  string // one of ForecastFormats
	ID      string // FormatMOSMIX: the station for which it is made
	URL     string // without the coordinates or the station
	Contact string // told to the provider in User-Agent: an address or a web page
}

// Site is a place with selected trees.
type Site struct {
	Code      string
	Name      string
	LatDeg    float64 // north is positive
	LonDeg    float64 // east is positive
	AltitudeM float64
	Zone      *time.Location
	Profile   string   // key
	Stations  []string // codes, the best first
	Forecast  string   // code; empty: none
	Lead      string   // codes of people; the deputy may be empty
	Deputy    string
	Trees     []trail.Tree
	Settings  season.Settings   // the programme's with what the site says instead
	Normals   *ensemble.Normals // of its own, nil: none is given; see Programme.Normals
}

package metrics

import (
	"slices"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// Snapshot is what only the database knows. The wiring asks it every few
// seconds, so that a scrape costs the database nothing.
type Snapshot struct {
	SlotDone      map[string]time.Time     // by slot (pull, evening): when its last run was done
	NewestReading map[string]time.Time     // by class (station, outlook): end of the newest reading's day; none is unknown
	OldestOwed    map[string]time.Duration // by channel (mail, webhook): since when the oldest letter is due; none is 0
	OpenRun       time.Duration            // since when the oldest run that isn't done has been going on; none is 0
	Calls         []Calls                  // those that aren't named are 0
	Troubles      int                      // that aren't over
	Held          bool                     // nothing is sent until somebody has looked at what is owed
}

// Calls is how many calls of a task have a standing.
type Calls struct {
	Task     string
	Standing string
	Count    int
}

// ages is what grows by itself between two snapshots. Where the database is
// away for an hour, a letter that was owed before is an hour older.
type ages struct {
	taken   time.Time // last snapshot, by the machine's clock
	newest  map[string]time.Time
	owed    map[string]since
	openRun since
}

// since is an age at a moment of the machine's clock; age 0 is that there is
// nothing to have an age.
type since struct {
	at  time.Time
	age time.Duration
}

func (s since) seconds(now time.Time) float64 {
	if s.age <= 0 {
		return 0
	}
	return (s.age + now.Sub(s.at)).Seconds()
}

// Set takes over everything the snapshot holds. Unlike the single methods it
// also forgets what the snapshot no longer names.
func (m *Metrics) Set(s Snapshot) {
	for _, name := range slots {
		m.SlotDone(name, s.SlotDone[name])
	}
	for _, t := range tasks() {
		for _, st := range standings() {
			m.Standing(t, st, count(s.Calls, t, st))
		}
	}
	m.Trouble(s.Troubles)
	m.gauges.held.Set(0)
	if s.Held {
		m.gauges.held.Set(1)
	}
	m.OpenRunAge(s.OpenRun)
	for _, c := range classes {
		m.NewestReading(c, s.NewestReading[c])
	}
	for _, c := range channels {
		m.OldestOwed(c, s.OldestOwed[c])
	}
	m.mu.Lock()
	m.ages.taken = m.real()
	m.mu.Unlock()
}

func count(calls []Calls, task, standing string) int {
	n := 0
	for _, c := range calls {
		if c.Task == task && c.Standing == standing {
			n += c.Count
		}
	}
	return n
}

// NewestReading says when the day of the newest usable reading of a class
// (station, outlook) ended. The zero time is that there is none, or nobody
// knows: no age is shown then, which a rule looks for.
func (m *Metrics) NewestReading(class string, at time.Time) {
	if !slices.Contains(classes, class) {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.ages.newest == nil {
		m.ages.newest = map[string]time.Time{}
	}
	m.ages.newest[class] = at
}

// OldestOwed says how long the oldest letter that is due and not sent has
// been due on a channel (mail, webhook); 0 is that none is.
func (m *Metrics) OldestOwed(channel string, age time.Duration) {
	if !slices.Contains(channels, channel) {
		return
	}
	at := m.real()
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.ages.owed == nil {
		m.ages.owed = map[string]since{}
	}
	m.ages.owed[channel] = since{at, age}
}

// OpenRunAge says how long the oldest run that isn't done has been going on;
// 0 is that every run is done.
func (m *Metrics) OpenRunAge(age time.Duration) {
	at := m.real()
	m.mu.Lock()
	defer m.mu.Unlock()
	m.ages.openRun = since{at, age}
}

// The ages, worked out when they are asked for.
var (
	newestDesc   = describe("newest_reading_age_seconds", "How long ago the day of the newest usable reading ended; missing while unknown.", "class")
	owedDesc     = describe("owed_oldest_age_seconds", "How long the oldest letter that is due and not sent has been due; 0 when none is.", "channel")
	openRunDesc  = describe("open_run_age_seconds", "How long the oldest run that isn't done has been going on; 0 when none is.")
	snapshotDesc = describe("snapshot_age_seconds", "How long ago the database was last asked for the numbers that only it knows.")
	stalledDesc  = describe("stalled_loops", "Loops of the program that make no progress.")
)

func describe(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc(prometheus.BuildFQName(namespace, "", name), help, labels, nil)
}

// ageCollector gives the ages to the registry.
type ageCollector struct{ m *Metrics }

// Describe implements prometheus.Collector.
func (a *ageCollector) Describe(to chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{newestDesc, owedDesc, openRunDesc, snapshotDesc, stalledDesc} {
		to <- d
	}
}

// Collect implements prometheus.Collector.
func (a *ageCollector) Collect(to chan<- prometheus.Metric) {
	m, now, real := a.m, a.m.now(), a.m.real()
	stalled := len(m.Stalled())
	give := func(d *prometheus.Desc, value float64, labels ...string) {
		to <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, value, labels...)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	for class, at := range m.ages.newest {
		if !at.IsZero() {
			give(newestDesc, now.Sub(at).Seconds(), class)
		}
	}
	for _, c := range channels {
		give(owedDesc, m.ages.owed[c].seconds(real), c)
	}
	give(openRunDesc, m.ages.openRun.seconds(real))
	give(snapshotDesc, real.Sub(m.ages.taken).Seconds())
	give(stalledDesc, float64(stalled))
}

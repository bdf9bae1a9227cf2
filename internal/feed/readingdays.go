package feed

import (
	"fmt"
	"math"
	"time"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// What a day's readings must be for it to count, where nothing else is set:
// common practice, no source.
const (
	DefaultLeastShare = 0.8
	DefaultLongestGap = 3 * time.Hour
)

// DayRule is how readings become days.
type DayRule struct {
	Window     Window         // which hours are a day
	Zone       *time.Location // of the window
	LeastShare float64        // share of the day that must be covered, 0 to 1
	LongestGap time.Duration  // that may lie between two readings, or between one and an end of the day
}

// MadeDay is a day made of readings.
type MadeDay struct {
	weather.Day
	Share       float64       // of the day that its readings cover; a reading covers the time to its nearer neighbour
	Gap         time.Duration // the longest
	Provisional bool          // the day wasn't over at the newest reading
	Line        int           // of its first reading
}

// Complete reports whether the day may be used as one.
func (r DayRule) Complete(d MadeDay) bool {
	return !d.Provisional && d.Share >= r.LeastShare-1e-9 && d.Gap <= r.LongestGap
}

// NewDayRule fills in the defaults and checks the settings.
func NewDayRule(opt Options) (DayRule, error) {
	r := DayRule{Window: opt.Window, LeastShare: opt.LeastShare, LongestGap: opt.LongestGap}
	if !r.Window.Stated() && opt.Zone != nil {
		r.Window = naturalDay(opt.Zone.String())
	}
	if !r.Window.Stated() {
		return r, refuse(`add a window: "00-24 UTC+02:00" (local standard time), "00-24 UTC", "18-18 UTC end", or ask for the readings`,
			"days are wanted from readings, and nothing says which hours are a day")
	}
	if r.LeastShare == 0 {
		r.LeastShare = DefaultLeastShare
	}
	if r.LongestGap == 0 {
		r.LongestGap = DefaultLongestGap
	}
	if !(r.LeastShare > 0 && r.LeastShare <= 1) || r.LongestGap < 0 || r.LongestGap > 24*time.Hour {
		return r, refuse("write a share from 0 to 1 and a gap of up to 24 h", "least share %g and longest gap %s are no rule for a day", r.LeastShare, r.LongestGap)
	}
	var err error
	r.Zone, err = r.Window.location(opt.Zone)
	return r, err
}

// Days makes the days in which readings lie. The readings are sorted by time,
// each moment once; missing ones count as absent.
//
// The mean weights each reading by half the time to each of its neighbours, so
// that it is the plain mean where the steps are even and stays right where
// they change; across a gap no reading counts for more than half the longest
// one allowed. The extremes are those of the readings, or of their own
// extremes where the series has them.
func (r DayRule) Days(all []Reading) []MadeDay {
	var present []Reading
	for _, reading := range all {
		if !math.IsNaN(reading.TempC) {
			present = append(present, reading)
		}
	}
	var days []MadeDay
	for i := 0; i < len(present); {
		date, ok := r.Window.dateOf(present[i].middle(), r.Zone)
		if !ok {
			i++
			continue
		}
		j := i + 1
		start, end := r.Window.bounds(date, r.Zone)
		for ; j < len(present) && r.Window.holds(present[j].middle(), start, end); j++ {
		}
		days = append(days, r.day(date, present, i, j))
		i = j
	}
	return days
}

// day makes one day of the readings from i up to j.
func (r DayRule) day(date civil.Date, present []Reading, i, j int) MadeDay {
	start, end := r.Window.bounds(date, r.Zone)
	d := MadeDay{Day: weather.Missing(date), Line: present[i].Line}
	var sum, weights float64
	var covered time.Duration
	before := start
	lowest, highest := math.Inf(1), math.Inf(-1)
	for k := i; k < j; k++ {
		reading := present[k]
		step, weight := r.reach(present, k)
		covered += step
		sum += reading.TempC * weight.Seconds()
		weights += weight.Seconds()
		lowest = min(lowest, orElse(reading.MinC, reading.TempC))
		highest = max(highest, orElse(reading.MaxC, reading.TempC))
		from := reading.At.Add(-reading.Over)
		d.Gap = max(d.Gap, from.Sub(before))
		before = reading.At
	}
	d.Gap = max(d.Gap, end.Sub(before))
	d.Share = min(1, covered.Seconds()/end.Sub(start).Seconds())
	newest, step := present[len(present)-1], time.Duration(0)
	if j == len(present) {
		step, _ = r.reach(present, len(present)-1)
		d.Provisional = newest.At.Add(step - newest.Over).Before(end)
	}
	if weights > 0 {
		d.MinC, d.MaxC, d.MeanC = lowest, highest, hundredths(sum/weights)
	} else { // a single reading far from any other
		d.MinC, d.MaxC, d.MeanC = lowest, highest, present[i].TempC
	}
	return d
}

// reach gives the time that a reading covers and the weight that it has.
func (r DayRule) reach(present []Reading, k int) (step, weight time.Duration) {
	before, after := time.Duration(-1), time.Duration(-1)
	at := present[k].middle()
	if k > 0 {
		before = at.Sub(present[k-1].middle())
	}
	if k+1 < len(present) {
		after = present[k+1].middle().Sub(at)
	}
	if before < 0 {
		before = after
	}
	if after < 0 {
		after = before
	}
	step = min(before, after, r.LongestGap)
	if over := present[k].Over; over > 0 {
		step = over
	}
	if before < 0 { // the only one there is
		return max(step, 0), max(step, 0)
	}
	return step, (min(before, r.LongestGap) + min(after, r.LongestGap)) / 2
}

func orElse(v, other float64) float64 {
	if math.IsNaN(v) {
		return other
	}
	return v
}

// makeDays fills in the batch's days from its readings.
func (b *Batch) makeDays(opt Options) error {
	rule, err := NewDayRule(opt)
	if err != nil {
		*b = Batch{}
		return err
	}
	b.Window, b.MeanOf = rule.Window, MeanReadings
	made := rule.Days(b.Readings)
	rejects := rejectList{listed: b.Rejects, more: b.MoreRejects}
	for i, d := range made {
		if rule.Complete(d) {
			b.Days = append(b.Days, d.Day)
			continue
		}
		reason := fmt.Sprintf("%.0f %% of the day is covered and the longest gap is %s; %.0f %% and %s are needed",
			math.Floor(d.Share*100), d.Gap.Round(time.Minute), rule.LeastShare*100, rule.LongestGap)
		switch {
		case d.Provisional:
			b.Provisional, b.Covered = append(b.Provisional, d.Day), append(b.Covered, d.Share)
			b.Partial = append(b.Partial, Reject{Line: d.Line, Text: d.Date.String(), Reason: "the day wasn't over at the newest reading: provisional"})
			continue
		case i == 0 || i == len(made)-1:
			b.Partial = append(b.Partial, Reject{Line: d.Line, Text: d.Date.String(), Reason: reason})
		default:
			rejects.add(d.Line, d.Date.String(), reason)
		}
		b.Days = append(b.Days, weather.Missing(d.Date))
	}
	b.Rejects, b.MoreRejects = rejects.listed, rejects.more
	return nil
}

package pull

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/weather"
)

// read turns an answer into days. suspicion is why the whole of them isn't
// used, if it isn't.
func (j *Job) read(o Order, a *Answer, h *weather.Haul) (suspicion string, err error) {
	h.Source.Expires, h.Source.LastModified, h.Source.ETag = a.Expires, a.LastModified, a.ETag
	if a.Unchanged || a.Empty && (o.BackFill || h.Source.Newest != 0) {
		return "", nil
	}
	if a.Empty {
		return "", fmt.Errorf("it has never given anything, and answers that it has nothing (look whether the id is right and whether the station measures temperature)")
	}
	sum := digest(o, a.Body)
	same := bytes.Equal(sum[:], h.Source.SHA256)
	batch, err := j.parse(o, sum, a.Body)
	if saysNothing(err) && (o.BackFill || h.Source.Newest != 0 && o.Site == "") {
		a.Empty = true
		return "", nil
	}
	if err == nil && o.BackFill {
		err = o.keepAsked(&batch, h)
	}
	if err != nil {
		return "", err
	}
	today := civil.At(o.Now.In(o.Zone))
	if o.Site != "" {
		return "", outlook(batch, today, sum, a.Body, h)
	}
	if n := len(batch.Days); n > 0 && batch.Days[n-1].Date >= today { // it waits for its time, when "unchanged" would bring nothing
		h.Source.LastModified, h.Source.ETag = "", ""
	}
	leaveTorn(o, &batch, h.Source.Newest)
	days, suspicion := weather.JudgeAll(over(batch.Days, today))
	if suspicion != "" {
		suspicion += unitCure(o.Format)
		h.Rejects = append(h.Rejects, weather.Reject{Reason: "the whole file: " + suspicion})
	}
	switch {
	case same && suspicion == "":
		days = since(days, h.Source.Newest)
	case !same:
		h.Body = a.Body
		for _, r := range batch.Rejects {
			h.Rejects = append(h.Rejects, weather.Reject{Line: r.Line, Reason: r.Reason, Text: r.Text})
		}
	}
	h.Winds = windsBefore(batch.Winds, today)
	h.Days, h.Source.SHA256 = withMethod(days, batch.MeanOf.Kind()), sum[:]
	if n := weather.LastRead(days); n > h.Source.Newest {
		h.Source.Newest, h.Source.RenewedAt = n, o.Now
	}
	if suspicion == "" && o.Critical {
		h.Days = append(h.Days, provisional(batch, today)...)
		slices.SortFunc(h.Days, func(a, b weather.Day) int { return int(a.Date - b.Date) })
	}
	return suspicion, nil
}

// digest tells one body, read in one way, from another: the same bytes under a
// corrected unit are to be read again.
func digest(o Order, body []byte) [sha256.Size]byte {
	h := sha256.New()
	fmt.Fprintf(h, "%s\n", o.reading())
	h.Write(body)
	return [sha256.Size]byte(h.Sum(nil))
}

// reading tells how bytes are read.
func (o Order) reading() string {
	zone := ""
	if o.Options.Zone != nil {
		zone = o.Options.Zone.String()
	}
	read := o.Options
	read.Zone = nil
	return fmt.Sprintf("%s %q %+v", o.Format, zone, read) // maps are printed in the order of their keys
}

func (j *Job) parse(o Order, sum [sha256.Size]byte, body []byte) (feed.Batch, error) {
	if p, ok := j.parsed.Load(o.Name); ok && p.(parsed).sum == sum {
		return p.(parsed).batch, nil
	}
	batch, err := feed.Parse(o.Format, bytes.NewReader(body), o.Options)
	if err == nil {
		j.parsed.Store(o.Name, parsed{sum, batch})
	}
	return batch, err
}

// outlook keeps the days from today on; what a forecast says of days that are
// over isn't a reading.
func outlook(b feed.Batch, today civil.Date, sum [sha256.Size]byte, body []byte, h *weather.Haul) error {
	for _, d := range b.Days {
		if d.Date >= today && d.Mark == weather.Usable {
			h.Days = append(h.Days, d)
		}
	}
	if len(h.Days) == 0 {
		return fmt.Errorf("the forecast holds no day from %s on (its newest day is over: check the provider's notices)", today)
	}
	h.Winds = windsFrom(b.Winds, today)
	h.Body, h.Source.SHA256 = body, sum[:]
	h.IssuedAt, h.Source.Newest = h.At, today
	return nil
}

// over gives the days that are over: a reading of a day that is still going
// on, or of a later one, can't be one yet and waits for its time.
func over(days []weather.Day, today civil.Date) []weather.Day {
	n := len(days)
	for n > 0 && days[n-1].Date >= today {
		n--
	}
	return days[:n]
}

func since(days []weather.Day, newest civil.Date) []weather.Day {
	i := len(days)
	for i > 0 && days[i-1].Date > newest {
		i--
	}
	return days[i:]
}

// saysNothing tells an answer that says that there is nothing from one that
// can't be used.
func saysNothing(err error) bool {
	var r *feed.Refusal
	return errors.As(err, &r) && r.Empty
}

// withMethod writes down, for each day that has one, how its mean came about.
func withMethod(days []weather.Day, of weather.MeanOf) []weather.Day {
	out := slices.Clone(days)
	for i := range out {
		if !math.IsNaN(out[i].MeanC) {
			out[i].MeanOf = of
		}
	}
	return out
}

// leastCovered is the share of a day that must have been read for a provisional
// one to be made of it: our assumption. Less than half a day is a morning or an
// evening, and no mean.
const leastCovered = 0.5

// provisional gives the days that are over here but weren't read to their end.
// One that looks wrong by itself is marked, as any other.
func provisional(b feed.Batch, today civil.Date) (days []weather.Day) {
	for i, d := range b.Provisional {
		if d.Date < today && b.Covered[i] >= leastCovered {
			d.Provisional, d.MeanOf = true, b.MeanOf.Kind()
			days = append(days, weather.Judge(d))
		}
	}
	return days
}

// windsBefore gives the winds of days that are over.
func windsBefore(winds []weather.Wind, today civil.Date) []weather.Wind {
	return slices.DeleteFunc(slices.Clone(winds), func(w weather.Wind) bool { return w.Date >= today })
}

// windsFrom gives the winds of today and later.
func windsFrom(winds []weather.Wind, today civil.Date) []weather.Wind {
	return slices.DeleteFunc(slices.Clone(winds), func(w weather.Wind) bool { return w.Date < today })
}

package feed

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"budcall/internal/civil"
	"budcall/internal/weather"
)

// Merge makes one batch of several files of one station and format: what an
// earlier file doesn't say is taken from a later one, and where two say
// different things the one that its provider ranks higher holds, else the
// earlier, which Notes tell. Files of different stations, of days that mean
// different hours, or of means of different kinds are refused, for nobody could
// tell them apart afterwards. Readings are put together before days are made of
// them, so the files must have been read with ReadingsOnly. Rejects stay with
// the single files.
func Merge(parts []Batch, opt Options) (Batch, error) {
	out := Batch{Place: nowhere()}
	if len(parts) > 0 {
		out = parts[0]
	}
	m := merger{at: map[civil.Date]int{}, rank: map[civil.Date]int32{}, winds: map[civil.Date]weather.Wind{}}
	var rs readings
	out.Days, out.Winds, out.Readings, out.Stations, out.Eras = nil, nil, nil, nil, nil
	out.Provisional, out.Covered = nil, nil
	out.Flags, out.Notes = map[string]int{}, nil
	out.MissingValues, out.OtherRecords = 0, 0
	for i := range parts {
		p := &parts[i]
		if err := out.agree(p); err != nil {
			return Batch{}, err
		}
		for _, d := range p.Days {
			m.day(d, p.ranks[d.Date])
		}
		for _, w := range p.Winds {
			if _, known := m.winds[w.Date]; !known {
				m.winds[w.Date] = w
			}
		}
		rs.list = append(rs.list, p.Readings...)
		out.Stations, out.Eras = append(out.Stations, p.Stations...), append(out.Eras, p.Eras...)
		for code, n := range p.Flags {
			out.Flags[code] += n
		}
		for _, n := range p.Notes {
			if !slices.Contains(out.Notes, n) {
				out.Notes = append(out.Notes, n)
			}
		}
		out.MissingValues += p.MissingValues
		out.OtherRecords += p.OtherRecords
	}
	out.Rejects, out.MoreRejects, out.Partial = nil, 0, nil
	m.into(&out)
	if len(rs.list) > 0 {
		var twice rejectList
		out.Readings = rs.settle(&twice)
		out.Rejects, out.MoreRejects = twice.listed, twice.more
		if !opt.ReadingsOnly {
			return out, out.makeDays(opt)
		}
	}
	return out, nil
}

// agree refuses a part that is of something else, and fills in what the parts
// before it didn't say.
func (b *Batch) agree(p *Batch) error {
	switch {
	case b.Station != "" && p.Station != "" && b.Station != p.Station:
		return refuse("read them one by one", "the files are of two stations, %s and %s", b.Station, p.Station)
	case b.Window != p.Window:
		return refuse("read them one by one", "a day means other hours in one file (%s) than in another (%s)", b.Window, p.Window)
	case b.MeanOf != "" && p.MeanOf != "" && b.MeanOf != p.MeanOf:
		return refuse("read them one by one", "the daily means are of two kinds: %s, and %s", b.MeanOf, p.MeanOf)
	}
	b.Station, b.MeanOf = cmp.Or(b.Station, p.Station), cmp.Or(b.MeanOf, p.MeanOf)
	return nil
}

// merger puts days together.
type merger struct {
	days    []weather.Day
	at      map[civil.Date]int
	rank    map[civil.Date]int32 // of those days that have one
	winds   map[civil.Date]weather.Wind
	differs []civil.Date
}

func (m *merger) day(d weather.Day, rank int32) {
	i, known := m.at[d.Date]
	if !known {
		i = len(m.days)
		m.at[d.Date], m.days = i, append(m.days, weather.Missing(d.Date))
	}
	old := &m.days[i]
	better := rank > m.rank[d.Date]
	if better {
		*old, d = d, *old
		m.rank[d.Date] = rank
	}
	differs := false
	for _, v := range []struct {
		into *float64
		v    float64
	}{{&old.MinC, d.MinC}, {&old.MaxC, d.MaxC}, {&old.MeanC, d.MeanC}} {
		switch {
		case math.IsNaN(*v.into):
			*v.into = v.v
		case !math.IsNaN(v.v) && *v.into != v.v:
			differs = true
		}
	}
	if old.Mark == weather.Usable && !better {
		old.Mark = d.Mark
	}
	if differs {
		m.differs = append(m.differs, d.Date)
	}
}

func (m *merger) into(b *Batch) {
	slices.SortFunc(m.days, func(a, b weather.Day) int { return cmp.Compare(a.Date, b.Date) })
	b.Days = m.days
	b.Winds = slices.SortedFunc(maps.Values(m.winds), func(a, b weather.Wind) int { return cmp.Compare(a.Date, b.Date) })
	if n := len(m.differs); n > 0 {
		b.Notes = append(b.Notes, fmt.Sprintf("two files differ in %d of their days, the first of them %s: %s are kept", n, slices.Min(m.differs), m.holds()))
	}
}

// holds says which of two different values is kept.
func (m *merger) holds() string {
	if len(m.rank) > 0 {
		return "those of the higher quality level, else of the file named first,"
	}
	return "those of the file named first"
}

package weather

// MeanOf is how a daily mean came about. Means of two kinds differ by up to
// several kelvin on a day (0.9 K on average at a station with three readings a
// day), so that one heat sum isn't to mix them without saying so.
type MeanOf uint8

// The kinds of a daily mean.
const (
	MeanUnknown   MeanOf = iota // there is none, or nothing tells
	MeanPublished               // the provider's, by its own rule
	MeanReadings                // of the day's readings, made here
	MeanStated                  // as a file gives it, by a rule that it doesn't say
	MeanMidRange                // (max+min)/2
)

var meanWords = [...]string{"", "published by the provider", "mean of the readings", "as the file gives it", "(max+min)/2"}

// String gives the kind in words, as it is stored; empty where nothing tells.
func (m MeanOf) String() string {
	if int(m) >= len(meanWords) {
		return ""
	}
	return meanWords[m]
}

// MeanOfWords is the kind that String writes so; MeanUnknown for other words.
func MeanOfWords(words string) MeanOf {
	for i, w := range meanWords {
		if w == words {
			return MeanOf(i)
		}
	}
	return MeanUnknown
}

// Method is how the mean that Day.Mean gives comes about: as the day says, or
// (max+min)/2 where it holds no mean. MeanUnknown where it gives none.
func (d Day) Method() MeanOf {
	_, midRange, ok := d.Mean()
	switch {
	case !ok:
		return MeanUnknown
	case midRange:
		return MeanMidRange
	}
	return d.MeanOf
}

// Mixing is where a series of days changes the method of its means.
type Mixing struct {
	First, Then Day            // the last day of the one method, and the first of the other
	Days        map[MeanOf]int // how many days there are of each
}

// MixedMeans looks for the first change of method among days, sorted; ok is
// false where all that are known have one. Days of which nothing tells the
// method agree with every one.
func MixedMeans(days []Day) (m Mixing, ok bool) {
	m.Days = map[MeanOf]int{}
	var last Day
	for _, d := range days {
		method := d.Method()
		if method == MeanUnknown {
			continue
		}
		m.Days[method]++
		if !ok && last.Date != 0 && last.Method() != method {
			m.First, m.Then, ok = last, d, true
		}
		last = d
	}
	return m, ok
}

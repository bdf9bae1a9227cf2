package feed

import "time"

// timestamp reads a moment of ISO 8601 with its offset, such as
// 2031-05-03T06:00:00Z, of years that dates can have.
func timestamp(text string) (time.Time, bool) {
	t, err := time.Parse(time.RFC3339, text)
	return t, err == nil && t.Year() >= 1 && t.Year() <= 9999
}

// fromEpoch gives the moment of seconds since 1970.
func fromEpoch(seconds int64) (time.Time, bool) {
	const first, last = -62135596800 + 86400, 253402300799 - 86400 // years 1 to 9999, a day off the ends
	if seconds < first || seconds > last {
		return time.Time{}, false
	}
	return time.Unix(seconds, 0).UTC(), true
}

// longestForecastDays bounds the time that a forecast's steps may span; those
// known reach about fifteen days.
const longestForecastDays = 60

package weather

import "budcall/internal/civil"

// Wind is one day's wind in metres per second; NaN is a value that is missing.
type Wind struct {
	Date   civil.Date
	MeanMS float64 // mean of the day
	MaxMS  float64 // highest mean of ten minutes or an hour
	GustMS float64 // highest gust
}

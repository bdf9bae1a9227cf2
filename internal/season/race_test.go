//go:build race

package season_test

func init() { fewer = 20 } // the race detector is that much slower, and there is nothing here that runs side by side

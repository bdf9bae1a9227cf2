//go:build race

package report_test

// withRaceDetector: it makes pools forget, so allocations say little.
const withRaceDetector = true

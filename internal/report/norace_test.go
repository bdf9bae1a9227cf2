//go:build !race

package report_test

const withRaceDetector = false

package config

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// bounds are the values that a number may have, both ends included, and its
// unit as a message names it.
type bounds struct {
	low, high float64
	unit      string
}

func (b bounds) span() string { return fmt.Sprintf("%s to %s", plain(b.low), plain(b.high)) }

// number gives a number within its bounds, and false where it isn't set or
// isn't one; the latter is reported.
func (e entry) number(b bounds) (float64, bool) {
	text, ok := e.scalar()
	if !ok {
		return 0, false
	}
	text = strings.TrimSpace(text)
	v, err := strconv.ParseFloat(text, 64)
	switch {
	case (err != nil || math.IsNaN(v) || math.IsInf(v, 0)) && isNumber(strings.Replace(text, ",", ".", 1)):
		e.problem(fmt.Sprintf("%q is not a number", text), "write it with a point: "+strings.Replace(text, ",", ".", 1))
	case err != nil || math.IsNaN(v) || math.IsInf(v, 0):
		e.problem(fmt.Sprintf("%q is not a number", clip(text)), b.span()+", "+b.unit)
	case v < b.low || v > b.high:
		e.problem(fmt.Sprintf("%s is outside %s", plain(v), b.span()), b.unit)
	default:
		return v, true
	}
	return 0, false
}

// whole gives a number without a fraction.
func (e entry) whole(b bounds) (int, bool) {
	v, ok := e.number(b)
	if ok && v != math.Trunc(v) {
		e.problem(plain(v)+" is not a whole number", b.span()+", "+b.unit)
		return 0, false
	}
	return int(v), ok
}

func isNumber(text string) bool {
	v, err := strconv.ParseFloat(text, 64)
	return err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

// plain writes a number as people do.
func plain(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// clip shortens a value that is quoted in a message.
func clip(text string) string {
	r := []rune(text)
	if len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}

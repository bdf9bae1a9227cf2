package web

import (
	"budcall/internal/trail"
	"budcall/internal/words"
)

// said gives what a report says, without its day.
func said(c *words.Catalogue, r trail.Report) string { return c.Report(r) }

func saidBags(c *words.Catalogue, selfing, control int) string {
	return c.List([]string{c.Count(words.SelfingBags, selfing), c.Count(words.ControlBags, control)})
}

// saidOn is said with its day in front.
func saidOn(c *words.Catalogue, r trail.Report) string { return c.ReportOn(r) }

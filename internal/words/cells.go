package words

import "strings"

// Flag gives "yes" or "no" of a table in words for people.
func (c *Catalogue) Flag(v string) string { return c.named("flag.", v) }

// Kind gives what a bag or a lot is for: "selfing".
func (c *Catalogue) Kind(kind string) string { return c.named("kind.", kind) }

// State gives how a mail, a bag or a lot stands, by the word that the memory
// has for it: "given up".
func (c *Catalogue) State(state string) string { return c.named("state.", state) }

// Doubt gives why a bag is doubtful: "torn".
func (c *Catalogue) Doubt(why string) string { return c.named("doubt.", why) }

// Way gives how a report came: "form".
func (c *Catalogue) Way(way string) string { return c.named("way.", way) }

// Figure gives a number of a table, written with a decimal point, as the
// language writes it.
func (c *Catalogue) Figure(number string) string {
	return strings.Replace(number, ".", c.calendar.decimal, 1)
}

// englishCells is the values of closed lists in the tables of the season
// report, by the value itself; a test holds it to the lists.
var englishCells = Texts{
	"flag.yes": "yes",
	"flag.no":  "no",

	"kind.selfing": "selfing",
	"kind.control": "control",

	"state.waiting":  "waiting",
	"state.held":     "held",
	"state.taken":    "taken",
	"state.dotted":   "dotted",
	"state.sent":     "sent",
	"state.refused":  "refused",
	"state.given up": "given up",
	"state.dropped":  "dropped",

	"state.planned":        "planned",
	"state.on":             "on",
	"state.doubtful since": "doubtful since",
	"state.off":            "off",
	"state.gone":           "gone",

	"state.nothing picked": "nothing picked",
	"state.under way":      "under way",
	"state.overdue":        "overdue",
	"state.arrived":        "arrived",
	"state.stored":         "stored",

	"doubt.torn": "torn",
	"doubt.one of these bags was torn, and it wasn't said which": "one of these bags was torn, and it wasn't said which",
	"doubt.put on when flowering had begun":                      "put on when flowering had begun",

	"way.form":    "form",
	"way.command": "command",
	"way.mail":    "mail",
	"way.table":   "table",
}

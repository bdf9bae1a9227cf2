package notice

import (
	"slices"
	"strings"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/words"
)

// shape is how a block is laid out.
type shape string

const (
	frame  shape = "frame"  // who, when, for whom
	label  shape = "label"  // how a call stands
	title  shape = "title"  // what and where
	foot   shape = "foot"   // who sends it
	note   shape = "note"   // plain sentences
	fact   shape = "fact"   // a heading and sentences
	list   shape = "list"   // a heading and points
	steps  shape = "steps"  // a heading and numbered points
	button shape = "button" // the link that answers
	phones shape = "phones" // a heading and people to ring
	mails  shape = "mails"  // a heading, links that write a mail, and what may stand in it
)

// block is a piece of a letter, the same for text and HTML.
type block struct {
	Shape  shape
	Head   string
	Lines  []string
	People []person
	URL    string
	Links  []mailLink
}

// person is somebody who can be rung.
type person struct{ Said, Phone string }

// writer puts a letter into blocks.
type writer struct {
	Letter
	c *words.Catalogue
}

// content is the subject and the body of a letter.
type content struct {
	Lang    string
	Subject string
	Blocks  []block
}

// compose says a letter in the words of its language.
func compose(l Letter) content {
	w := writer{Letter: l, c: words.For(l.Lang)}
	w.Items = sorted(l.Items)
	var body []block
	switch l.Kind {
	case Ops:
		body = []block{
			{Shape: title, Lines: []string{w.subject()}},
			{Shape: list, Head: w.c.Text(words.OpsIntro), Lines: l.Trouble},
		}
	case Test:
		body = []block{
			{Shape: title, Lines: []string{w.subject()}},
			{Shape: note, Lines: []string{w.c.Text(words.TestIntro), w.c.Text(words.TestDone, w.names())}},
		}
	case Receipt, Tap, Unread:
		body = w.reply()
	case Weekly:
		body = w.week()
	case Settings:
		body = w.settings()
	default:
		body = w.calls()
	}
	blocks := append(w.head(), body...)
	blocks = append(blocks, w.foot())
	return clean(content{Lang: w.c.Lang(), Subject: w.subject(), Blocks: blocks})
}

// calls is the body of a letter about what is to be done at sites.
func (w writer) calls() []block {
	blocks := w.inside()
	for _, it := range w.Items {
		blocks = append(blocks, item{w, it}.blocks()...)
	}
	blocks = append(blocks, w.ring()...)
	blocks = append(blocks, w.how()...)
	return append(blocks, w.cautions()...)
}

// inside is a letter of several items at a glance.
func (w writer) inside() []block {
	if len(w.Items) < 2 {
		return nil
	}
	var lines []string
	for _, it := range w.Items {
		lines = append(lines, item{w, it}.subject())
	}
	return []block{{Shape: list, Head: w.c.Text(words.FactInside), Lines: lines}}
}

// names is the placeholders that the frame of every letter uses.
func (w writer) names() words.Args {
	return words.Args{"programme": w.Programme, "name": w.ToName, "moment": w.c.Moment(w.At)}
}

// head says who writes when and to whom, and whether it comes late.
func (w writer) head() []block {
	lines := []string{w.c.Text(words.MailFrame, w.names())}
	if w.Late {
		lines = append(lines, w.c.Text(words.MailLate, words.Args{"day": w.c.DayYear(w.Today)}))
	}
	return []block{{Shape: frame, Lines: lines}}
}

func (w writer) foot() block {
	return block{Shape: foot, Lines: []string{w.c.Text(words.MailFooter, w.names())}}
}

// ring says whom to ring instead of answering: the coordinator, unless the
// letter goes to them or nothing is asked.
func (w writer) ring() []block {
	asks := slices.ContainsFunc(w.Items, func(it Item) bool { return !it.Standing.Ended() })
	if !asks || w.Coordinator.Name == "" || w.Coordinator.Name == w.ToName {
		return nil
	}
	return []block{{Shape: phones, Head: w.c.Text(words.FactPhone), People: []person{w.person(w.Coordinator)}}}
}

// person says somebody with their part in the programme.
func (w writer) person(p Contact) person {
	said := p.Name
	if p.Role != "" {
		said = w.c.Text(words.ContactRole, words.Args{"name": p.Name, "role": w.c.Role(p.Role)})
	}
	return person{Said: said, Phone: p.Phone}
}

// sorted gives the items, the most pressing first.
func sorted(items []Item) []Item {
	return slices.SortedStableFunc(slices.Values(items), func(a, b Item) int {
		if d := pressing(a) - pressing(b); d != 0 {
			return d
		}
		if d := int(last(a) - last(b)); d != 0 {
			return d
		}
		return strings.Compare(a.SiteName, b.SiteName)
	})
}

// pressing is the order in which items are told, 0 first.
func pressing(it Item) int {
	switch it.Standing {
	case call.Hurry:
		return 0
	case call.LookFirst:
		return 1
	case call.Go:
		return 2
	case call.Ahead:
		return 3
	case call.TooLate:
		return 4
	}
	return 5
}

// last is the last day of an item; one without days comes after the others.
func last(it Item) civil.Date {
	if it.Days.Len() == 0 {
		return 1 << 30
	}
	return it.Days.Last
}

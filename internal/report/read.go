package report

import (
	"slices"
	"strings"

	"budcall/internal/trail"
)

// Read reads a mail as it arrived. It never fails: every mail has an outcome.
// Time and memory are linear in its size.
func Read(raw []byte, k Known, o Options) Reading {
	o = o.withDefaults()
	head := raw
	if len(raw) > o.MaxBytes {
		head = raw[:min(len(raw), longestHeader)]
	}
	h, body := splitHeader(head)
	id := identify(h, k, o)
	out := Reading{Language: id.language, From: id.address, Sender: id.standing(), Token: id.token, TokenIn: id.tokenIn}
	if list := ids(h.get("message-id")); len(list) > 0 {
		out.MessageID = list[0]
	}
	if id.sender != nil {
		out.Person = id.sender.Code
	}
	switch {
	case len(raw) > o.MaxBytes:
		out.Outcome = Refused
	case id.own():
		out.Outcome = IgnoredAuto
	default:
		t := takeApart(h, body)
		if !out.byMachine(&id, t) {
			out.Asks = t.asks
			out.byPerson(&id, t)
		}
	}
	return out
}

// byMachine settles mails that no person wrote, and reports whether it did.
func (out *Reading) byMachine(id *identity, t tree) bool {
	nullSender := id.options.NullSender || id.header.get("return-path") == "<>"
	var about returned
	switch {
	case t.report == "delivery-status" || t.report == "disposition-notification":
		about = delivery(t)
	case t.report == "" && nullSender && fromMailer(id.address):
		about = plainBounce(t)
	case answersByItself(id.header) || nullSender || t.report != "":
		out.Outcome = IgnoredAuto
		return true
	case fromList(id.header):
		out.Outcome = IgnoredList
		return true
	default:
		return false
	}
	id.mail, id.token, id.tokenIn = nil, "", ""
	id.find(about.ids, "inside the report")
	out.Token, out.TokenIn, out.Language, out.Sender = id.token, id.tokenIn, id.language, id.standing()
	out.Outcome = IgnoredAuto
	if about.failed && id.mail != nil {
		out.Outcome, out.Bounce = Returned, about.bounce
	}
	return true
}

// byPerson reads what a person wrote.
func (out *Reading) byPerson(id *identity, t tree) {
	as := id.as()
	out.As, out.Written = as.Code, id.written()
	if id.mail != nil && id.sender == nil && id.address != "" {
		out.ask(OtherAddress)
	}
	out.attachments(t, id.options)
	own := ownText(out.lines(t))
	names := []string{as.Name, id.shown}
	if id.mail != nil {
		names = append(names, id.mail.To.Name)
	}
	frame := newLetter(vocabularyOf(id.language), names...)
	lines := lineReader{
		letter: frame,
		reader: reader{words: frame.words, scope: newScope(id.known, id.mail, as), written: out.Written},
	}
	lines.all(own)
	said := lines.settle()
	out.Unread = lines.unread
	if lines.tooLong {
		out.ask(TooLong)
	}
	contradicts := lines.contradicts
	if contradicts {
		out.ask(Contradiction)
	}
	for _, s := range said {
		rep := s.Report
		rep.Person, rep.At, rep.Way = as.Code, id.options.Received, "mail"
		out.Reports = append(out.Reports, rep)
	}
	out.Outcome = outcome(id, out, contradicts)
}

func outcome(id *identity, out *Reading, contradicts bool) Outcome {
	switch {
	case id.mail == nil && id.sender == nil || id.stale() && id.sender == nil:
		return HeldForCoordinator
	case id.mail == nil || id.stale():
		return HeldForTap
	case len(out.Reports) == 0:
		return ToCoordinator
	case len(out.Unread) > 0 || contradicts || slices.Contains(out.Asks, Broken) || slices.Contains(out.Asks, TooLong):
		return PartStored
	}
	return Stored
}

func (out *Reading) ask(a Ask) {
	if !slices.Contains(out.Asks, a) {
		out.Asks = append(out.Asks, a)
	}
}

// Limits of the text of a mail, quoted lines included.
const (
	longestText   = 1 << 20
	mostTextLines = 10_000
)

// lines gives the lines of the mail's text, decoded.
func (out *Reading) lines(t tree) (all []textLine) {
	if len(t.texts) == 0 && len(out.Asks) == 0 {
		out.ask(NoText)
	}
	used := 0
	for _, n := range t.texts {
		p := t.parts[n]
		if used += len(p.body); used > longestText {
			out.ask(TooLong)
			break
		}
		raw, whole := decodeTransfer(p.body, p.header.get("content-transfer-encoding"))
		if !whole || p.cutOff { // a count may have lost its last figures
			out.ask(Broken)
			continue
		}
		text := decodeCharset(raw, p.params["charset"])
		flowed := strings.EqualFold(p.params["format"], "flowed")
		if p.kind == "text/html" {
			text, flowed = htmlText(text), false
		}
		for line := range strings.SplitSeq(strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n"), "\n") {
			if len(all) >= mostTextLines {
				out.ask(TooLong)
				return all
			}
			all = append(all, textLine{text: line, soft: flowed && strings.HasSuffix(line, " ") && line != "-- "})
		}
	}
	return all
}

// contrary are kinds that can't both be true of a tree on a day.
var contrary = map[trail.Kind]int{
	trail.BagsFine: 1, trail.BagsTorn: 1, trail.SeedBrown: 2, trail.SeedGreen: 2, trail.Picked: 3, trail.NothingToPick: 3,
	trail.CatkinsSeen: 4, trail.NoCatkins: 4, trail.StageSeen: 5, trail.NotYet: 5, trail.BagsOn: 6, trail.BagsOff: 6, trail.LotReceived: 7,
}

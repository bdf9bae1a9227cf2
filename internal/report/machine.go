package report

import (
	"bytes"
	"strings"
)

// awayMarks are headers that only programs which answer set. X-Auto-Response-
// Suppress isn't among them: it asks others not to answer.
var awayMarks = []string{"x-autoreply", "x-autorespond", "x-autoresponse", "x-auto-reply", "x-autoreply-from", "x-mail-autoreply", "x-autorespond-to"}

// awaySubjects begin the subjects of programs that answer, in every language.
var awaySubjects = []string{"automatic reply", "auto reply", "autoreply", "out of office", "automaattinen vastaus", "poissaoloviesti", "autosvar", "frånvaro"}

// answersByItself reports whether a program wrote the mail (RFC 3834).
func answersByItself(h header) bool {
	if auto := strings.ToLower(h.get("auto-submitted")); auto != "" && auto != "no" && !strings.HasPrefix(auto, "no ") && !strings.HasPrefix(auto, "no;") {
		return true
	}
	for _, mark := range awayMarks {
		if v := strings.ToLower(h.get(mark)); v != "" && v != "no" {
			return true
		}
	}
	switch strings.ToLower(strings.TrimSpace(h.get("precedence"))) {
	case "auto_reply", "auto-reply":
		return true
	}
	subject := strings.ToLower(strings.TrimSpace(h.words("subject")))
	for _, mark := range awaySubjects {
		if rest, ok := strings.CutPrefix(subject, mark); ok && (rest == "" || rest[0] == ':') {
			return true
		}
	}
	return false
}

// fromList reports whether the mail came by way of a mailing list or was sent
// to many.
func fromList(h header) bool {
	for _, mark := range []string{"list-id", "list-post", "list-unsubscribe", "mailing-list"} {
		if h.get(mark) != "" {
			return true
		}
	}
	switch strings.ToLower(strings.TrimSpace(h.get("precedence"))) {
	case "list", "bulk", "junk":
		return true
	}
	return false
}

// returned is what a report on a mail of ours says.
type returned struct {
	bounce Bounce
	failed bool     // it wasn't delivered and won't be
	ids    []string // Message-IDs of the mail it is about, as far as named
}

// delivery reads a delivery report (RFC 3464) or a receipt (RFC 8098).
func delivery(t tree) returned {
	var r returned
	for _, p := range t.parts {
		body, _ := decodeTransfer(p.body, p.header.get("content-transfer-encoding"))
		switch p.kind {
		case "message/delivery-status", "message/global-delivery-status":
			r.status(body)
		case "message/disposition-notification", "message/global-disposition-notification":
			h, _ := splitHeader(body)
			r.ids = append(r.ids, ids(h.get("original-message-id"))...)
		case "message/rfc822", "text/rfc822-headers", "message/global", "message/global-headers":
			h, _ := splitHeader(body)
			r.ids = append(r.ids, ids(h.get("message-id"))...)
		}
	}
	return r
}

// status reads the groups of fields of a delivery report; the first recipient
// that failed counts.
func (r *returned) status(body []byte) {
	for groups := 0; len(body) > 0 && groups < 100; groups++ {
		var h header
		h, body = splitHeader(bytes.TrimLeft(body, "\r\n"))
		if r.failed || !strings.HasPrefix(strings.ToLower(h.get("action")), "failed") {
			continue
		}
		r.failed = true
		code, _, _ := strings.Cut(strings.TrimSpace(h.get("status")), " ")
		recipient := h.get("final-recipient")
		if _, after, ok := strings.Cut(recipient, ";"); ok {
			recipient = after
		}
		r.bounce = Bounce{Recipient: strings.ToLower(strings.TrimSpace(cut(recipient, 300))), Status: cut(code, 20), Permanent: permanent(code)}
	}
}

// permanent reports whether a status code (RFC 3463) says that the address
// will never work: class 5, but for a full mailbox and other troubles of the
// mailbox that its owner can end.
func permanent(code string) bool {
	return strings.HasPrefix(code, "5.") && !strings.HasPrefix(code, "5.2.2") && !strings.HasPrefix(code, "5.2.1")
}

// fromMailer reports whether a mail without an envelope sender comes from a
// program that delivers mail.
func fromMailer(address string) bool {
	local, _, _ := strings.Cut(address, "@")
	return local == "mailer-daemon" || local == "postmaster"
}

// plainBounce finds the Message-IDs named in the text of a returned mail that
// isn't written by RFC 3464.
func plainBounce(t tree) returned {
	r := returned{failed: true}
	for _, n := range t.texts {
		p := t.parts[n]
		body, _ := decodeTransfer(p.body, p.header.get("content-transfer-encoding"))
		for len(body) > 0 && len(r.ids) < mostIDs {
			var line []byte
			line, body = cutLine(body)
			if text := strings.TrimSpace(string(line)); len(text) < 1000 && strings.HasPrefix(strings.ToLower(text), "message-id:") {
				r.ids = append(r.ids, ids(text)...)
			}
		}
	}
	return r
}

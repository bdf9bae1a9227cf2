package config

import (
	"fmt"
	"text/tabwriter"
	"time"
)

// inboxRows say how answers by mail come in.
func inboxRows(w *tabwriter.Writer, in Inbox) {
	if !in.On() {
		row(w, "answers by mail", "none come in, people answer on the form")
		return
	}
	row(w, "answers by mail", fmt.Sprintf("to %s, up to %d MB, at most %d receipts a day to one person", in.Address, in.MaxBytes>>20, in.MaxAnswer))
	if in.Listen != "" {
		protocol := "LMTP"
		if in.SMTP {
			protocol = "SMTP"
		}
		row(w, "", fmt.Sprintf("handed over by the mail server at %s (%s)", in.Listen, protocol))
	}
	if m := in.IMAP; m.Server != "" {
		row(w, "", fmt.Sprintf("read from %s of %s at %s (IMAP, TLS: %s) %s; what was kept is then %s",
			m.Name, m.User, m.Server, m.TLS, often(m.Every), becomes(m)))
	}
	row(w, "", fmt.Sprintf("mails and photos are kept as they came for %d days", in.KeepDays))
}

func often(every time.Duration) string {
	if every == time.Minute {
		return "every minute"
	}
	return fmt.Sprintf("every %d minutes", int(every/time.Minute))
}

// becomes tells what becomes of a mail in the mailbox.
func becomes(m Mailbox) string {
	switch m.After {
	case "move":
		return "moved to " + m.Folder
	case "leave":
		return "left as it is"
	}
	return "marked as seen"
}

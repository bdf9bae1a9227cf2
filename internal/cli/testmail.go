package cli

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"budcall/internal/app"
	"budcall/internal/mail"
)

// packagedDir is where a packaged configuration stands.
const packagedDir = "/etc/budcall"

var testMailCommand = command{
	name: "test-mail", operands: "PERSON", least: 1,
	purpose: "send somebody a test mail at once, and say how it went",
	text:    "PERSON is a code from people.yml. The mail goes by the relay of programme.yml, in one attempt; nothing is stored, and no database is needed.",
	example: "budcall test-mail maia --dir /etc/budcall",
	define:  defineTestMail,
}

func defineTestMail(f *flag.FlagSet) action {
	dir := f.String("dir", "", "the configuration folder `DIR`; without it the present folder where programme.yml is in it, else "+packagedDir)
	return func(ctx context.Context, operands []string, s Streams) error {
		folder := *dir
		if folder == "" {
			folder = usualDir()
		}
		r, err := app.SendTestMail(ctx, folder, operands[0])
		if err != nil {
			return err
		}
		if r.Sent {
			_, err := fmt.Fprintf(s.Out, "sent: %s took a test mail to %s <%s>%s\nIf it doesn't arrive, look into the junk folder, then into the relay's log.\n", r.Relay, r.Name, r.Address, underName(r.Outcome.RelayID))
			return err
		}
		return fmt.Errorf("not sent to %s <%s> by %s (%s): %s%s", r.Name, r.Address, r.Relay, verdict(r.Outcome), r.Outcome.Text, whatToDo(r.Outcome.Result))
	}
}

func usualDir() string {
	if _, err := os.Stat("programme.yml"); err == nil {
		return "."
	}
	return filepath.FromSlash(packagedDir)
}

func underName(id string) string {
	if id == "" {
		return ""
	}
	return " under the name " + id
}

func verdict(o mail.Outcome) string {
	if o.Code > 0 {
		return fmt.Sprintf("%s, at the step %q, reply code %d", o.Result, o.Stage, o.Code)
	}
	return fmt.Sprintf("%s, at the step %q", o.Result, o.Stage)
}

func whatToDo(r mail.Result) string {
	switch r {
	case mail.TryLater:
		return "\nA call would be tried again by itself. Try again in some minutes; if it stays like this, check mail: relay: and whether it runs."
	case mail.Refused:
		return "\nA call would be passed on at once. Check the person's email in people.yml, and mail: from: in programme.yml."
	case mail.Unknown:
		return "\nIt may have arrived: the connection broke before the relay confirmed it. Look into the relay's log, then try again."
	}
	return "\nNo mail leaves until this is mended: check mail: in programme.yml."
}

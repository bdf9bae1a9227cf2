package cli

import (
	"strings"
	"testing"

	"budcall/internal/app"
	"budcall/internal/config"
)

func TestWhatIsLeftToDoOnceSomebodyIsForgotten(t *testing.T) {
	polled := &config.Programme{Inbox: config.Inbox{IMAP: config.Mailbox{Server: "imap.birches.example:993", User: "calls"}}}
	for sentence, row := range map[string]struct {
		p       *config.Programme
		forGood bool
		says    string
		not     string
	}{
		"only looked at: what would do it":             {polled, false, "`budcall forget otso --for-good` makes gone-1 of them", "mailbox"},
		"done: older backups are left":                 {&config.Programme{}, true, "otso is now gone-1 everywhere here. Backups made before", "mailbox"},
		"where a mailbox is polled, it may hold mails": {polled, true, "in the mailbox of calls at imap.birches.example:993: delete them there", "nothing was changed"},
	} {
		got := forgotten{"otso", app.Forgotten{As: "gone-1"}, row.forGood, nil}.end(row.p)
		if !strings.Contains(got, row.says) || strings.Contains(got, row.not) {
			t.Errorf("%s: %s", sentence, got)
		}
	}
}

package notice

import (
	"cmp"
	"time"

	"budcall/internal/civil"
	"budcall/internal/words"
)

// Settings is the kind of letter about a change of a site's settings.
const Settings Kind = "settings"

// Occasion is what a letter about a site's settings tells.
type Occasion string

// The occasions.
const (
	ToApprove Occasion = "to approve" // to the coordinator
	InForce   Occasion = "in force"   // to whoever proposed it
	NotTaken  Occasion = "not approved"
	Overtaken Occasion = "overtaken"
	Received  Occasion = "received" // to whoever sent it by mail: what it does, not taken yet
	ToMend    Occasion = "to mend"  // likewise: why it can't be taken
	Asked     Occasion = "asked"    // to whoever asked for the page by mail
)

// SiteChange is a change of a site's settings as a letter tells it.
type SiteChange struct {
	Change   int64      `json:"change,omitempty"` // its number in the memory
	Arrived  int64      `json:"arrived,omitempty"`
	For      Occasion   `json:"for"`
	Site     string     `json:"site"` // code
	SiteName string     `json:"site_name"`
	By       string     `json:"by,omitempty"`      // name of whoever proposed it
	Written  string     `json:"written,omitempty"` // what the coordinator wrote of it
	Preview  *Preview   `json:"preview,omitempty"`
	Problems []string   `json:"problems,omitempty"` // of ToMend, as they are found in the file
	Link     string     `json:"link,omitempty"`     // signed, opens the page
	Expires  civil.Date `json:"expires,omitempty"`
	Beside   bool       `json:"beside,omitempty"` // the mail that brought the file held words, which the coordinator got
}

// subjects and intros say what a letter about settings is for.
var settingsSubjects = map[Occasion]words.Key{
	ToApprove: words.SettingsSubjectWaiting, InForce: words.SettingsSubjectAccepted, NotTaken: words.SettingsSubjectRefused,
	Overtaken: words.SettingsSubjectOvertaken, Received: words.SettingsSubjectReceived, ToMend: words.SettingsSubjectProblems, Asked: words.SettingsSubjectAsked,
}

var settingsIntros = map[Occasion]words.Key{
	ToApprove: words.SettingsMailWaiting, InForce: words.SettingsMailAccepted, NotTaken: words.SettingsMailRefused,
	Overtaken: words.SettingsMailOvertaken, Received: words.SettingsMailReceived, ToMend: words.SettingsMailProblems, Asked: words.SettingsMailAsked,
}

// settingsButtons say what the page behind the link is for; on that of any other
// occasion there is nothing to do.
var settingsButtons = map[Occasion]words.Key{
	ToApprove: words.SettingsMailButton, Received: words.SettingsMailButton, Asked: words.SettingsMailOpen, ToMend: words.SettingsMailOpen,
}

func (w writer) settingsSubject() string {
	return w.c.Text(settingsSubjects[w.Change.For], words.Args{"site": w.Change.SiteName})
}

// settings is the body of a letter about a site's settings.
func (w writer) settings() []block {
	ch := *w.Change
	intro := words.Args{"site": ch.SiteName}
	switch ch.For {
	case ToApprove:
		intro["name"] = ch.By
	case Asked:
		intro["code"] = ch.Site
	}
	blocks := []block{
		{Shape: title, Lines: []string{w.subject()}},
		{Shape: note, Lines: []string{w.c.Text(settingsIntros[ch.For], intro)}},
	}
	if len(ch.Problems) > 0 {
		blocks = append(blocks, block{Shape: list, Head: w.c.Text(words.SettingsProblems), Lines: ch.Problems})
	}
	if ch.Written != "" {
		blocks = append(blocks, block{Shape: note, Lines: []string{w.c.Text(words.SettingsWhy, words.Args{"why": ch.Written})}})
	}
	if ch.Preview != nil {
		blocks = append(blocks, block{Shape: list, Head: w.c.Text(words.SettingsWhat), Lines: ch.Preview.Lines(w.c)})
	}
	if ch.For == ToMend {
		blocks = append(blocks, block{Shape: note, Lines: []string{w.c.Text(words.SettingsMailSends)}})
	}
	if ch.Beside {
		blocks = append(blocks, block{Shape: note, Lines: []string{w.c.Text(words.SettingsMailBeside)}})
	}
	if ch.Link != "" {
		blocks = append(blocks, block{
			Shape: button, Head: w.c.Text(cmp.Or(settingsButtons[ch.For], words.SettingsMailLook)), URL: ch.Link,
			Lines: []string{w.c.Text(words.SettingsMailUntil, words.Args{"day": w.c.DayYear(ch.Expires)})},
		})
	}
	return blocks
}

// SettingsLifetime is how long it is worth telling of a change of settings.
const SettingsLifetime = 5 * 24 * time.Hour

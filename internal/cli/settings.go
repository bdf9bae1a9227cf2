package cli

import (
	"context"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"

	"budcall/internal/app"
	"budcall/internal/config"
)

var settingsCommand = command{
	name: "settings", operands: "SITE", least: 1,
	purpose: "list the versions of a site's settings: when, by whom, by which way, and what changed",
	text: "SITE is a site's code. Every version of its file that came into force is listed, the oldest first, with the lines that were taken out (-) and put in (+). \"folder\" is a version that somebody wrote into the configuration folder by hand. Changes that were proposed by a page or a mail and aren't in force follow, the newest first.\n" +
		"The people of a site propose changes on the page of `budcall settings-link`, or by a mail with the site's file attached; sites_by_page in programme.yml says what they may change and whether the coordinator is asked.",
	example: "budcall settings KOLMI\nbudcall settings KOLMI --json",
	define:  defineSettings,
}

var settingsLinkCommand = command{
	name: "settings-link", operands: "PERSON SITE", least: 2,
	purpose: "print a signed link with which a person sees and changes a site's settings",
	text: "PERSON is the lead or the deputy of the site, or a coordinator; SITE is its code. The page behind the link shows the site's file as it is in force. What is changed there is checked, and shown with what it would do: the days that move, the mails that change, and past springs played with it. Nothing counts before it is taken and, where programme.yml says so (sites_by_page), approved by a coordinator.\n" +
		"The link works until two weeks after the season's end. Whoever has it can propose changes in the person's name: hand it on with care; `budcall withdraw-links` ends it.",
	example: "budcall settings-link tuuli KOLMI",
	define:  defineSettingsLink,
}

func defineSettings(f *flag.FlagSet) action {
	var m memory
	m.define(f)
	machine := f.Bool("json", false, "for programs: versions and changes, each with its difference")
	return func(ctx context.Context, operands []string, s Streams) error {
		return m.with(ctx, func(b *app.Beside) error {
			versions, open, err := b.SettingsVersions(ctx, operands[0])
			if err != nil {
				return err
			}
			if *machine {
				return asJSON(s.Out, settingsJSON(versions, open))
			}
			zone := b.Programme().Zone
			printVersions(s.Out, versions, zone)
			printChanges(s.Out, open, zone)
			return nil
		})
	}
}

// settingsMoment writes a time as the lists of settings do.
func settingsMoment(t time.Time, zone *time.Location) string {
	return t.In(zone).Format("2006-01-02 15:04")
}

func printVersions(w io.Writer, versions []app.SettingsVersion, zone *time.Location) {
	for i, v := range versions {
		by := v.Author
		if v.Way != v.Author {
			by += ", by " + v.Way
		}
		what := counted(len(v.Difference), "line") + " differ from the version before"
		switch {
		case v.Gone:
			what = "the site was taken out"
		case i == 0:
			what = "the first version here, " + counted(len(v.Difference), "line")
		}
		fmt.Fprintf(w, "%s  %s  %s  %s\n", settingsMoment(v.At, zone), by, v.File, what)
		if i > 0 && !v.Gone {
			printDifference(w, v.Difference)
		}
	}
}

func printChanges(w io.Writer, open []app.OpenChange, zone *time.Location) {
	for i, c := range open {
		if i == 0 {
			fmt.Fprintln(w, "\nproposed and not in force:")
		}
		said := c.Standing
		if c.DecidedBy != "" && c.Standing != "waiting" {
			said += " by " + c.DecidedBy
		}
		if !c.DecidedAt.IsZero() {
			said += ", " + settingsMoment(c.DecidedAt, zone)
		}
		fmt.Fprintf(w, "%s  %s, by %s  change %d: %s\n", settingsMoment(c.At, zone), c.Author, c.Way, c.ID, said)
		if c.Why != "" {
			fmt.Fprintf(w, "    because: %s\n", strings.Join(strings.Fields(c.Why), " "))
		}
		printDifference(w, c.Difference)
	}
}

func printDifference(w io.Writer, lines []config.Line) {
	for _, l := range lines {
		mark := "+"
		if l.Out {
			mark = "-"
		}
		fmt.Fprintf(w, "    %s %3d  %s\n", mark, l.Number, l.Text)
	}
}

// shownLine is a line of a difference, for programs.
type shownLine struct {
	Line int    `json:"line"`
	Out  bool   `json:"out"`
	Text string `json:"text"`
}

func settingsLines(lines []config.Line) []shownLine {
	out := []shownLine{}
	for _, l := range lines {
		out = append(out, shownLine{l.Number, l.Out, l.Text})
	}
	return out
}

func settingsJSON(versions []app.SettingsVersion, open []app.OpenChange) any {
	type version struct {
		At         time.Time   `json:"at"`
		Author     string      `json:"author"`
		Way        string      `json:"way"`
		File       string      `json:"file"`
		Gone       bool        `json:"gone"`
		Difference []shownLine `json:"difference"`
	}
	type change struct {
		Change     int64       `json:"change"`
		At         time.Time   `json:"at"`
		Author     string      `json:"author"`
		Way        string      `json:"way"`
		Standing   string      `json:"standing"`
		DecidedBy  string      `json:"decided_by,omitempty"`
		DecidedAt  time.Time   `json:"decided_at,omitzero"`
		Why        string      `json:"why,omitempty"`
		Difference []shownLine `json:"difference"`
	}
	out := struct {
		Versions []version `json:"versions"`
		Changes  []change  `json:"changes"`
	}{[]version{}, []change{}}
	for _, v := range versions {
		out.Versions = append(out.Versions, version{v.At, v.Author, v.Way, v.File, v.Gone, settingsLines(v.Difference)})
	}
	for _, c := range open {
		out.Changes = append(out.Changes, change{c.ID, c.At, c.Author, c.Way, c.Standing, c.DecidedBy, c.DecidedAt, c.Why, settingsLines(c.Difference)})
	}
	return out
}

func defineSettingsLink(f *flag.FlagSet) action {
	var m memory
	m.define(f)
	machine := f.Bool("json", false, "for programs: link, until")
	return func(ctx context.Context, operands []string, s Streams) error {
		o, err := m.options()
		if err != nil {
			return err
		}
		return m.with(ctx, func(b *app.Beside) error {
			link, until, err := b.SettingsLink(ctx, o.State, operands[0], operands[1])
			if err != nil {
				return err
			}
			if *machine {
				return asJSON(s.Out, map[string]any{"link": link, "until": until})
			}
			_, err = fmt.Fprintf(s.Out, "%s\n(good until %s)\n", link, until.Midnight().Format("2 January 2006"))
			return err
		})
	}
}

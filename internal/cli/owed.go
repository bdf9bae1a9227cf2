package cli

import (
	"context"
	"flag"
	"fmt"
	"strings"
	"time"

	"budcall/internal/app"
	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/notice"
	"budcall/internal/words"
)

var owedCommand = command{
	name: "owed", operands: "[ID...]", most: 1000,
	purpose: "list what people are still to be told; after a restore, say what goes",
	text: "After a restore, and after a first start in mid-season, nothing is sent until somebody has looked at this list. What the journal knows to be told isn't in it. The last column says what --release --all does with a line:\n" +
		"  to tell     it is sent\n" +
		"  superseded  something newer about the same call stands below: dropped\n" +
		"  past        the call stands otherwise by now, or it is too late: dropped\n" +
		"Single lines are released or dropped by their IDs; sending goes on by itself only after --all.",
	example: "budcall owed\nbudcall owed --release 17 18\nbudcall owed --drop 20310502T170000-abcdefghijklm\nbudcall owed --release --all",
	define:  defineOwed,
}

// owedFlags is what owed was told.
type owedFlags struct {
	memory
	release, drop, all, machine bool
}

func defineOwed(f *flag.FlagSet) action {
	o := &owedFlags{}
	o.memory.define(f)
	f.BoolVar(&o.release, "release", false, "send the lines named, or with --all everything that is to be told")
	f.BoolVar(&o.drop, "drop", false, "never send the lines named, or with --all any of them")
	f.BoolVar(&o.all, "all", false, "with --release or --drop: all lines, and go on by itself from now on")
	f.BoolVar(&o.machine, "json", false, "for programs")
	return o.do
}

func (o *owedFlags) do(ctx context.Context, ids []string, s Streams) error {
	switch {
	case o.release && o.drop:
		return misused("--release and --drop are given together: say one")
	case !o.release && !o.drop && (o.all || len(ids) > 0):
		return misused("say --release or --drop")
	case (o.release || o.drop) && o.all == (len(ids) > 0):
		return misused("name the lines by their IDs, or say --all")
	}
	return o.with(ctx, func(b *app.Beside) error {
		if !o.release && !o.drop {
			return o.list(ctx, b, s)
		}
		var done app.Sorted
		var err error
		if o.all {
			done, err = b.SortAll(ctx, o.release)
		} else {
			done, err = b.Sort(ctx, ids, o.release)
		}
		if err != nil {
			return err
		}
		if o.machine {
			return asJSON(s.Out, done)
		}
		return saySorted(s, b, done)
	})
}

func saySorted(s Streams, b *app.Beside, done app.Sorted) error {
	_, err := fmt.Fprintf(s.Out, "released %d, dropped %d\n", done.Released, done.Dropped)
	if err == nil && done.Ended {
		_, err = fmt.Fprintln(s.Out, "sending is no longer held")
	}
	if err == nil && b.Alone {
		_, err = fmt.Fprintln(s.Out, "budcall isn't running; it sends when it is started")
	}
	return err
}

// owedLine is a line of the list, for programs.
type owedLine struct {
	ID       string        `json:"id"`
	Kind     string        `json:"kind"` // owed, mail, webhook
	Person   string        `json:"person"`
	Site     string        `json:"site,omitempty"`
	Task     call.Task     `json:"task,omitempty"`
	Standing call.Standing `json:"standing,omitempty"`
	Reason   call.Reason   `json:"reason,omitempty"`
	Days     civil.Range   `json:"days,omitzero"`
	Passed   bool          `json:"passed,omitempty"`
	Since    time.Time     `json:"since"`
	State    string        `json:"state"` // held, released, waiting, taken, dotted
	Doubtful int           `json:"doubtful,omitempty"`
	Verdict  app.Verdict   `json:"verdict"`
}

func owedLines(l app.OwedList) []owedLine {
	lines := []owedLine{}
	for _, t := range l.Things {
		state := "waiting"
		switch {
		case t.Released:
			state = "released"
		case l.Held != nil:
			state = "held"
		}
		lines = append(lines, owedLine{
			ID: fmt.Sprint(t.ID), Kind: "owed", Person: t.Person, Site: t.Site, Task: t.Task, Standing: t.Standing, Reason: t.Reason,
			Days: t.Days, Passed: t.Passed, Since: t.At, State: state, Verdict: t.Verdict,
		})
	}
	for _, h := range l.Letters {
		line := owedLine{ID: h.ID, Kind: string(h.Channel), Person: h.Target, Since: h.Written, State: string(h.State), Doubtful: h.Doubtful, Verdict: h.Verdict}
		if len(h.Items) == 1 {
			line.Site, line.Task, line.Standing, line.Days = h.Items[0].Site, h.Items[0].Task, h.Items[0].Standing, h.Items[0].Days
		}
		lines = append(lines, line)
	}
	return lines
}

func (o *owedFlags) list(ctx context.Context, b *app.Beside, s Streams) error {
	l, err := b.Owed(ctx)
	if err != nil {
		return err
	}
	lines := owedLines(l)
	if o.machine {
		out := map[string]any{"held": l.Held != nil, "lines": lines}
		if l.Held != nil {
			out["since"], out["why"], out["ready"] = l.Held.Since, l.Held.Why, l.Ready
		}
		return asJSON(s.Out, out)
	}
	if err := table(s.Out, owedRows(b, lines)); err != nil {
		return err
	}
	_, err = fmt.Fprint(s.Out, underOwed(b, l))
	return err
}

func owedRows(b *app.Beside, lines []owedLine) [][]string {
	if len(lines) == 0 {
		return [][]string{{"nothing is owed to anybody"}}
	}
	rows := [][]string{{"id", "to", "about", "since", "state", "released with --all"}}
	for _, l := range lines {
		to := b.Name(l.Person)
		if l.Kind == string(notice.ByWebhook) {
			to = "webhook " + l.Person
		}
		verdict := string(l.Verdict)
		if l.Doubtful > 0 {
			verdict += "; it may have arrived"
		}
		rows = append(rows, []string{l.ID, to, aboutOwed(b.Programme(), l), l.Since.In(b.Programme().Zone).Format("2 Jan 15:04"), l.State, verdict})
	}
	return rows
}

func aboutOwed(p *config.Programme, l owedLine) string {
	if l.Site == "" {
		return "a " + strings.TrimPrefix(l.Kind, "by ") + " already written"
	}
	c, name := words.For("en"), l.Site
	if site, known := p.Site(l.Site); known {
		name = site.Name
	}
	about := fmt.Sprintf("%s: %s", c.TaskAt(l.Task, name), c.Standing(l.Standing))
	if l.Days.Len() > 0 {
		about += fmt.Sprintf(", %s to %s", l.Days.First, l.Days.Last)
	}
	if l.Passed {
		about += ", passed on"
	}
	return about
}

// underOwed says below the list how sending stands.
func underOwed(b *app.Beside, l app.OwedList) string {
	if l.Held == nil {
		return ""
	}
	text := fmt.Sprintf("sending is held since %s (%s)\n", l.Held.Since.In(b.Programme().Zone).Format("2006-01-02 15:04"), l.Held.Why)
	if !l.Ready {
		return text + "budcall hasn't looked at the weather since: start it and wait for its first pull, this list isn't today's yet\n"
	}
	return text + "to go on: budcall owed --release --all, or --drop --all\n"
}

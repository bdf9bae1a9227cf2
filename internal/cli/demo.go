package cli

import (
	"context"
	"flag"
	"io"
	"os"

	"budcall/internal/demo"
)

var demoCommand = command{
	name:    "demo",
	purpose: "play a whole invented season: weather, mails, people and reports",
	text: "The programme of --dir is played with the real engine on a simulated clock: a PostgreSQL of its own, mails to a sink on this machine, people who answer late, not at all, or can't. Nothing leaves the machine. It takes about a minute.\n" +
		"It ends with a row for each site, and a folder with every mail and one picture a site. The exit status is 0 only if every site got its bags on, its reports and its mails.",
	example: "budcall demo --out /tmp/season\nbudcall demo --stay",
	define:  defineDemo,
}

func defineDemo(f *flag.FlagSet) action {
	var o demo.Options
	f.StringVar(&o.Dir, "dir", "config", "the configuration folder `DIR` of the programme to play")
	f.StringVar(&o.Out, "out", "", "the folder `DIR` for mails and pictures; without it a fresh temporary one, named at the end")
	f.BoolVar(&o.Stay, "stay", false, "leave the season board open at the end, until Ctrl-C")
	return func(ctx context.Context, _ []string, s Streams) error {
		sig := listen(ctx)
		defer sig.close()
		bar := seasonBar{barFor(s.Err)}
		o.Version, o.Stdout, o.Progress, o.Springs = version(), s.Out, bar.day, newSpringPlayer().replay
		o.Played = bar.end
		_, err := demo.Play(sig.working, o)
		return err
	}
}

// terminal reports whether somebody looks at what is written, so that a
// progress bar makes sense.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0 && os.Getenv("TERM") != "dumb"
}

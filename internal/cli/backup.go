package cli

import (
	"context"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"strings"

	"budcall/internal/app"
)

var backupCommand = command{
	name:    "backup",
	purpose: "write all that the program knows into one file, while it works",
	text: "The file holds every table as all stood at one moment, and the key that signs links, so that the links in mails already sent work after `budcall restore`. No tool of PostgreSQL is needed.\n" +
		"KEEP THE FILE AS SECRET AS THE PROGRAM'S OWN FOLDER: it holds names, addresses and that key. Only its owner may read it; it is there whole or not at all.\n" +
		"What is reported after the backup is in the journal, reports.jsonl in the state folder: keep that apart from the database's disk too.",
	example: "budcall backup\nbudcall backup --out /var/backups/budcall.backup",
	define:  defineBackup,
}

func defineBackup(f *flag.FlagSet) action {
	var m memory
	m.define(f)
	out := f.String("out", "", "write to `FILE`, over what is there; without it, budcall-TIME.backup here")
	machine := f.Bool("json", false, "for programs")
	return func(ctx context.Context, _ []string, s Streams) error {
		o, err := m.options()
		if err != nil {
			return err
		}
		b := barFor(s.Err)
		var made app.BackedUp
		err = m.with(ctx, func(beside *app.Beside) (err error) {
			made, err = beside.Backup(ctx, app.BackupRequest{
				State: o.State, Version: version(), Out: *out,
				Shown: func(done, total int64) { b.show(int(done>>10), int(total>>10), "backing up") },
			})
			return err
		})
		b.end()
		if err != nil {
			return err
		}
		if *machine {
			return asJSON(s.Out, made)
		}
		return sayBackup(s.Out, made)
	}
}

func sayBackup(w io.Writer, made app.BackedUp) error {
	key := "with the key that signs links: keep it secret"
	if !made.Keyed {
		key = "without a key of links, as the state folder has none: links in mails already sent will stop working after a restore (name the program's folder with --state DIR)"
	}
	_, err := fmt.Fprintf(w, "%s: %d rows, %.1f MB, %s\n", made.File, made.Rows, float64(made.Bytes)/1e6, key)
	return err
}

var restoreCommand = command{
	name: "restore", operands: "FILE", least: 1,
	purpose: "bring a backup back, all of it or nothing",
	text: "FILE is what `budcall backup` wrote. It goes into an empty database: the program's own in the state folder, which is made, or that of --database-file. The whole file is checked first; a damaged part is named, and nothing is done. Budcall must not be running. With --programme CODE it is that programme's of an installation of several, which may still be empty.\n" +
		"Reports, entries of the laboratory and what people were told since the backup are taken from the journal in the state folder (reports.jsonl: put it there if the folder is new).\n" +
		"Then nothing is sent: start budcall, and when it has looked at the weather, `budcall owed` says what people would be told, and sends it once you say so.",
	example: "budcall restore budcall-20310502T180000Z.backup\nbudcall restore /var/backups/budcall.backup --database-file /etc/budcall/dsn --replace",
	define:  defineRestore,
}

func defineRestore(f *flag.FlagSet) action {
	m := memory{making: true}
	m.define(f)
	replace := f.Bool("replace", false, "lose what the database holds now")
	machine := f.Bool("json", false, "for programs")
	return func(ctx context.Context, operands []string, s Streams) error {
		o, err := m.options()
		if err != nil {
			return err
		}
		o.Logger = slog.New(slog.DiscardHandler)
		b := barFor(s.Err)
		out, err := app.Restore(ctx, app.RestoreRequest{
			Options: o, File: operands[0], Replace: *replace,
			Shown: func(table string, done, n int64) { b.show(int(done), int(n), "restoring "+table) },
		})
		b.end()
		if err != nil {
			return err
		}
		if *machine {
			return asJSON(s.Out, out)
		}
		return sayRestored(s.Out, out)
	}
}

func sayRestored(w io.Writer, r app.RestoredFrom) error {
	var b strings.Builder
	fmt.Fprintf(&b, "restored: %d rows, as of %s, backed up by budcall %s\n", r.Rows, r.MadeAt.Format("2006-01-02 15:04 MST"), r.Program)
	if !r.Keyed {
		fmt.Fprintln(&b, "the backup holds no key of links: unless the state folder has it, links in mails already sent don't work")
	}
	fmt.Fprintf(&b, "from the journal: %s, %s of the laboratory, %s known to be sent since\n",
		counted(r.Recovered.Reports, "report"), entries(r.Recovered.Entries), counted(r.Recovered.Letters, "letter"))
	for _, line := range r.Unread {
		fmt.Fprintf(&b, "not readable: %s\n", line)
	}
	if r.Forgotten > 0 {
		fmt.Fprintf(&b, "forgotten again: %d of the people in the backup\n", r.Forgotten)
	}
	fmt.Fprintln(&b, "nothing is sent now: start budcall, then "+app.Hint)
	_, err := io.WriteString(w, b.String())
	return err
}

func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

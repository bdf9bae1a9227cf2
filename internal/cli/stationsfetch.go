package cli

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"budcall/internal/app"
)

// fetchLists is what stations was told of fetching lists.
type fetchLists struct {
	now                          bool
	state, contact, dir, keyFile string
}

func (o *fetchLists) define(f *flag.FlagSet) {
	f.BoolVar(&o.now, "fetch", false, "fetch the providers' lists into the state folder first")
	f.StringVar(&o.state, "state", "", "the state folder `DIR`, in which lists/ has the lists that were fetched; without it $STATE_DIRECTORY, /var/lib/budcall for root, else budcall in $XDG_STATE_HOME")
	f.StringVar(&o.contact, "contact", "", "with --fetch, the mail address or web page of `WHO` asks, which providers want to know; without it, that of the configuration")
	f.StringVar(&o.dir, "dir", "", "the configuration folder `DIR` whose contact is told; without it the present folder where programme.yml is in it, else "+packagedDir)
	f.StringVar(&o.keyFile, "frost-key", "", "with --fetch, the `FILE` with our client id at MET Norway; without it, its list is left out")
}

// folder gives where the lists are, or nothing where they are named one by one
// or none were fetched.
func (o *fetchLists) folder(s *stationsFlags) (string, error) {
	if s.folder != "" || len(s.lists) > 0 {
		return s.folder, nil
	}
	state, err := app.StateDir(o.state)
	if err != nil {
		return "", err
	}
	dir := app.ListsDir(state)
	known, err := app.ListFolder{Dir: dir}.Known()
	if err != nil || len(known) == 0 {
		return "", err
	}
	return dir, nil
}

// do fetches the lists and tells what came of each.
func (o *fetchLists) do(ctx context.Context, s Streams) error {
	state, err := app.StateDir(o.state)
	if err != nil {
		return err
	}
	who := o.contact
	if who == "" {
		who = app.ContactOf(cmp.Or(o.dir, usualDir()))
	}
	if who == "" {
		return misused("providers want to know who asks: give --contact with a mail address or a web page, or --dir with the configuration")
	}
	from, err := app.ListGetter(version(), who)
	if err != nil {
		return err
	}
	folder := app.ListFolder{Dir: app.ListsDir(state), Now: time.Now}
	if o.keyFile != "" {
		key, err := os.ReadFile(o.keyFile)
		if err != nil {
			return fmt.Errorf("reading our client id at MET Norway: %w", notOpened(o.keyFile, err))
		}
		if folder.Key = strings.TrimSpace(string(key)); folder.Key == "" {
			return fmt.Errorf("%s is empty: write the client id that MET Norway gave you into it, alone", o.keyFile)
		}
	}
	return folder.Fetch(ctx, from, func(l app.FetchedList) { fmt.Fprintln(s.Err, fetchedLine(l)) })
}

// fetchedLine says in a line what came of a list.
func fetchedLine(l app.FetchedList) string {
	why := ""
	if l.Err != nil {
		why = strings.TrimPrefix(l.Err.Error(), l.Format+": ") // a fetch names its list too
	}
	switch {
	case l.Err != nil && !l.At.IsZero():
		return fmt.Sprintf("%s: that of %s stays: %s", l.Format, l.At.UTC().Format(time.DateOnly), why)
	case l.Err != nil:
		return l.Format + ": " + why
	case l.How == app.ListWantsKey:
		return fmt.Sprintf("%s: %s (give --frost-key FILE)", l.Format, l.How)
	case l.At.IsZero():
		return fmt.Sprintf("%s: %s", l.Format, l.How)
	}
	return fmt.Sprintf("%s: %s of %s, %s (%s)", l.Format, counted(l.Stations, "station"), l.At.UTC().Format(time.DateOnly), l.How, filepath.Base(l.File))
}

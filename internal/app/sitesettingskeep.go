package app

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"budcall/internal/config"
)

// folder is the configuration folder as it is found: what could be read, and
// what is wrong with files of sites that couldn't be.
type folder struct {
	files  config.Files
	unread map[string]error // by file of a site
}

// readFolder reads the folder. A file of a site that can't be read is no reason
// not to read the others.
func readFolder(dir string) (folder, error) {
	f := folder{unread: map[string]error{}}
	files, err := readDir(dir, func(rel string, err error) error {
		if path.Dir(rel) != "sites" {
			return err
		}
		f.unread[rel] = err
		return nil
	})
	f.files = files
	return f, err
}

// keep gives what of the folder counts, where a bad file of a site has the one
// accepted before in its place; before is empty where nothing was accepted.
func (f folder) keep(before config.Files) (config.Kept, []config.Problem) {
	files := config.Files{}
	for file, body := range f.files {
		files[file] = body
	}
	for file := range f.unread {
		if old, there := before[file]; there {
			files[file] = old
		}
	}
	kept, problems := config.ParseKeeping(files, before, time.LoadLocation)
	if len(problems) > 0 {
		return kept, problems
	}
	for file, err := range f.unread {
		_, there := before[file]
		kept.Out = append(kept.Out, config.Out{File: file, Before: there, Problems: []config.Problem{{File: file, What: err.Error()}}})
	}
	slices.SortFunc(kept.Out, func(a, b config.Out) int { return strings.Compare(a.File, b.File) })
	return kept, nil
}

// siteFileTrouble is the subject under which the ops person is told of one
// site's bad file.
func siteFileTrouble(file string) string { return configTrouble + ":" + file }

// heldBack is what is wrong with files of sites that don't count as they stand.
type heldBack struct {
	dir string
	out []config.Out
}

func (h *heldBack) Error() string {
	var said []string
	for _, o := range h.out {
		said = append(said, h.said(o))
	}
	return strings.Join(said, "\n")
}

// said says what became of a file, and why.
func (h *heldBack) said(o config.Out) string {
	instead := "it was never accepted, so that its site is left out"
	if o.Before {
		instead = "the one accepted before stays in force for its site"
	}
	return fmt.Sprintf("%s is not accepted: %s. All other files count as they stand. %s", o.File, instead, newUnfit(h.dir, o.Problems))
}

// tellHeldBack tells of each site's file that doesn't count, and ends the
// troubles of those that do again.
func (f *inForce) tellHeldBack(ctx context.Context, out []config.Out, now time.Time) error {
	bad := &heldBack{dir: f.dir, out: out}
	if len(out) > 0 && bad.Error() != f.told {
		for _, o := range out {
			logUnfit(ctx, f.log.With("file", o.File), newUnfit(f.dir, o.Problems))
		}
		f.told = bad.Error()
	}
	stands := map[string]bool{}
	for _, o := range out {
		stands[siteFileTrouble(o.File)] = true
		if err := f.db.Raise(ctx, siteFileTrouble(o.File), bad.said(o), now); err != nil {
			return fmt.Errorf("telling the ops person that %s is not accepted: %w", o.File, err)
		}
	}
	troubles, err := f.db.Troubles(ctx)
	if err != nil {
		return err
	}
	for _, t := range troubles {
		if strings.HasPrefix(t.Subject, siteFileTrouble("")) && !stands[t.Subject] {
			if err := f.db.Over(ctx, t.Subject, now); err != nil {
				return err
			}
		}
	}
	return nil
}

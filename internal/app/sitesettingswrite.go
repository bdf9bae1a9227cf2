package app

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"budcall/internal/config"
	"budcall/internal/postgres"
)

// writable tries whether the program may put a file in the place of another one
// of the configuration folder, and says what to do where it may not.
func writable(dir, file string) error {
	path, err := filepath.EvalSymlinks(within(dir, file))
	if err != nil {
		return fmt.Errorf("looking for %s: %w (see whether it is still there)", file, err)
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".budcall-*")
	if err != nil {
		return unwritable(filepath.Dir(path), err)
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

func unwritable(dir string, err error) error {
	if errors.Is(err, fs.ErrPermission) || isReadOnly(err) {
		return fmt.Errorf("the program may not write into %[1]s: let its user write there (chown or chmod of the folder; under systemd also ReadWritePaths=%[1]s and, with DynamicUser, SupplementaryGroups= with the folder's group in the unit, then systemctl daemon-reload and restart), or put the change into the file by hand", dir)
	}
	return fmt.Errorf("writing into %s: %w (see whether the disk is full)", dir, err)
}

// replaceFile puts a file in the place of another one of the configuration
// folder, whole or not at all, with its mode and owner; where a link leads
// elsewhere, it is replaced there.
func replaceFile(dir, file string, body []byte) (err error) {
	path, err := filepath.EvalSymlinks(within(dir, file))
	if err != nil {
		return fmt.Errorf("looking for %s: %w (see whether it is still there)", file, err)
	}
	was, err := os.Stat(path)
	if err != nil {
		return fmt.Errorf("looking for %s: %w (see whether it is still there)", file, err)
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".budcall-*")
	if err != nil {
		return unwritable(filepath.Dir(path), err)
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
			err = unwritable(filepath.Dir(path), err)
		}
	}()
	if _, err = f.Write(body); err == nil {
		err = f.Chmod(was.Mode().Perm())
	}
	if err == nil {
		keepOwner(f, was)
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	if err = os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}

// syncDir makes the names in a folder last.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// siteChangeTrouble is the subject of an accepted change that can't be written.
func siteChangeTrouble(site string) string { return "settings:" + site }

// writeAccepted writes accepted changes that don't stand in the folder yet: the
// program may have died between, or may not have been allowed to write.
func (f *inForce) writeAccepted(ctx context.Context) error {
	list, err := f.db.UnwrittenChanges(ctx)
	if err != nil || len(list) == 0 {
		return err
	}
	now, err := f.now(ctx)
	if err != nil {
		return err
	}
	for _, ch := range list {
		if err := f.writeChange(ctx, ch, now); err != nil {
			return err
		}
	}
	return nil
}

func (f *inForce) writeChange(ctx context.Context, ch postgres.SiteChange, now time.Time) error {
	there, err := readSmall(within(f.dir, ch.File))
	switch {
	case err == nil && bytes.Equal(there, ch.Body): // it was written, and not noted
	case err == nil && bytes.Equal(there, ch.Base):
		if err := replaceFile(f.dir, ch.File, ch.Body); err != nil {
			f.log.ErrorContext(ctx, "an accepted change of a site can't be written", "site", ch.Site, "change", ch.ID, "error", err)
			return f.db.Raise(ctx, siteChangeTrouble(ch.Site), fmt.Sprintf("An accepted change of the settings of %s waits to be written. %s", ch.Site, err), now)
		}
	case f.current.Load() == nil:
		return nil // at the start nobody can be told yet
	default: // somebody was faster by hand
		return f.overtake(ctx, ch, now)
	}
	if err := f.db.WrittenChange(ctx, ch.ID, now); err != nil {
		return err
	}
	f.log.InfoContext(ctx, "an accepted change of a site was written", "site", ch.Site, "change", ch.ID, "file", ch.File)
	return f.db.Over(ctx, siteChangeTrouble(ch.Site), now)
}

// overtake gives up an accepted change whose file was changed by hand before it
// could be written.
func (f *inForce) overtake(ctx context.Context, ch postgres.SiteChange, now time.Time) error {
	dec := postgres.ChangeDecision{ID: ch.ID, To: postgres.ChangeOvertaken, At: now}
	if f.overtaken != nil {
		l, known, err := f.overtaken(ctx, ch)
		if err != nil {
			return err
		}
		if known {
			dec.Letters = append(dec.Letters, l)
		}
	}
	if _, err := f.db.DecideChange(ctx, dec); err != nil {
		return err
	}
	f.log.WarnContext(ctx, "an accepted change of a site was overtaken: its file was changed by hand meanwhile", "site", ch.Site, "change", ch.ID)
	return f.db.Over(ctx, siteChangeTrouble(ch.Site), now)
}

// author gives who is to be named for files that come into force: whoever
// proposed the only one that is changed, else the folder.
func (f *inForce) author(ctx context.Context, files config.Files) (string, error) {
	var changed []string
	for file, body := range files {
		if old, there := f.accepted[file]; !there || !bytes.Equal(old, body) {
			changed = append(changed, file)
		}
	}
	if len(changed) != 1 || len(files) != len(f.accepted) {
		return byFolder, nil
	}
	person, _, found, err := f.db.AuthorOf(ctx, changed[0], files[changed[0]])
	if err != nil || !found {
		return byFolder, err
	}
	return person, nil
}

// byFolder is named for what was changed in the folder by hand.
const byFolder = "folder"

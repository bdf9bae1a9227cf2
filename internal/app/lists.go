package app

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"budcall/internal/feed"
	"budcall/internal/fetch"
)

// Getter asks for one thing over the network.
type Getter interface {
	Get(ctx context.Context, r fetch.Request) (fetch.Response, error)
}

// ListFolder is the providers' station lists as they were fetched: a file each,
// packed, and in lists.json when each was and what to send along next time.
type ListFolder struct {
	Dir  string // in the state folder
	Base string // where all are asked; empty: at their providers
	Key  string // our client id at MET Norway; without it that list is left out
	Now  func() time.Time
}

// FetchedList is what came of one list.
type FetchedList struct {
	Format   string
	File     string
	At       time.Time // when its content was fetched
	Stations int       // that it has
	How      string    // one of the words below; empty with Err
	Err      error     // it could not be fetched or read: an earlier copy stays
}

// What came of a list.
const (
	ListFetched   = "fetched"
	ListUnchanged = "unchanged"
	ListYoung     = "not to be asked again yet"
	ListWantsKey  = "left out: it wants a key"
)

// listKnown is what is known of a list that was fetched.
type listKnown struct {
	FetchedAt    time.Time `json:"fetched_at"`
	AskedAt      time.Time `json:"asked_at"`
	Expires      time.Time `json:"expires,omitzero"`
	LastModified string    `json:"last_modified,omitempty"`
	ETag         string    `json:"etag,omitempty"`
	Stations     int       `json:"stations"`
}

// ListsDir is where the lists lie in a state folder.
func ListsDir(state string) string { return filepath.Join(state, "lists") }

// Known gives when each list was fetched, by format; a folder that isn't there
// has none.
func (f ListFolder) Known() (map[string]time.Time, error) {
	all, err := f.read()
	at := map[string]time.Time{}
	for format, k := range all {
		at[format] = k.FetchedAt
	}
	return at, err
}

// Fetch asks for every list that is a day old, only for what has changed, and
// keeps what can be read. done is told of each.
func (f ListFolder) Fetch(ctx context.Context, from Getter, done func(FetchedList)) error {
	if err := os.MkdirAll(f.Dir, 0o755); err != nil {
		return fmt.Errorf("making the folder of station lists: %w (give the user the right to write there, or name another with --state)", err)
	}
	all, err := f.read()
	if err != nil {
		return err
	}
	failed, tried := 0, 0
	for _, format := range fetch.ListFormats() {
		list, err := fetch.ListOf(format, f.Base)
		if err != nil {
			return err
		}
		got := f.one(ctx, from, list, all)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err := f.write(all); err != nil {
			return err
		}
		if got.How != ListWantsKey {
			tried++
		}
		if got.Err != nil {
			failed++
		}
		done(got)
	}
	if failed == tried {
		return errors.New("no list was fetched: look at the reasons above and at this machine's network")
	}
	return nil
}

// one asks for a list and keeps it.
func (f ListFolder) one(ctx context.Context, from Getter, list fetch.List, all map[string]listKnown) FetchedList {
	now, known := f.Now(), all[list.Format]
	got := FetchedList{Format: list.Format, File: f.file(list.Format), At: known.FetchedAt, Stations: known.Stations}
	if _, err := os.Stat(got.File); err != nil {
		known = listKnown{} // what is remembered is of no use without the file
	}
	switch {
	case list.Keyed && f.Key == "":
		got.How = ListWantsKey
		return got
	case now.Before(known.AskedAt.Add(fetch.ListEvery)), now.Before(known.Expires):
		got.How = ListYoung
		return got
	}
	r := fetch.Request{URL: list.URL, Source: list.Format, Rules: list.Rules, IfModifiedSince: known.LastModified, ETag: known.ETag}
	if list.Keyed {
		r.Key = f.Key
	}
	resp, err := from.Get(ctx, r)
	switch {
	case err != nil:
		got.Err = err
		return got
	case resp.NotModified:
		known.AskedAt, known.Expires = now, resp.Expires
		all[list.Format], got.How = known, ListUnchanged
		return got
	}
	stations, err := f.keep(list.Format, resp.Body)
	if got.Err = err; err != nil {
		return got
	}
	got.Stations = stations
	got.At, got.How = now, ListFetched
	all[list.Format] = listKnown{
		FetchedAt: now, AskedAt: now, Expires: resp.Expires, LastModified: resp.LastModified, ETag: resp.ETag, Stations: got.Stations,
	}
	return got
}

// keep writes a list that can be read.
func (f ListFolder) keep(format string, body []byte) (stations int, err error) {
	b, err := feed.Parse(format, bytes.NewReader(body), feed.Options{})
	if err != nil {
		return 0, fmt.Errorf("%s: what came is no such list: %w", format, err)
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := z.Write(body); err != nil {
		return 0, err
	}
	if err := z.Close(); err != nil {
		return 0, err
	}
	return len(b.Stations), writeWhole(f.file(format), packed.Bytes(), 0o644)
}

func (f ListFolder) file(format string) string { return filepath.Join(f.Dir, format+".gz") }

// listsFile is the name of what is known of the lists.
const listsFile = "lists.json"

func (f ListFolder) read() (map[string]listKnown, error) {
	all := map[string]listKnown{}
	path := filepath.Join(f.Dir, listsFile)
	body, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return all, nil
	}
	if err != nil {
		return nil, fmt.Errorf("looking when the station lists were fetched: %w", err)
	}
	if err := json.Unmarshal(body, &all); err != nil {
		return nil, fmt.Errorf("%s can't be read (%w): delete it, and the lists are fetched anew", path, err)
	}
	return all, nil
}

func (f ListFolder) write(all map[string]listKnown) error {
	body, err := json.MarshalIndent(all, "", "  ")
	if err != nil {
		return err
	}
	return writeWhole(filepath.Join(f.Dir, listsFile), append(body, '\n'), 0o644)
}

// ListGetter is a client that asks for lists: as the programme does, with a
// contact, but for larger answers.
func ListGetter(version, contact string) (*fetch.Client, error) {
	agent, err := fetch.UserAgent(version, contact)
	if err != nil {
		return nil, err
	}
	return fetch.New(fetch.Options{UserAgent: agent, MaxBytes: fetch.MaxListBytes, Timeout: 5 * time.Minute})
}

// ContactOf is the contact that a configuration folder's programme gives to
// providers; empty where it can't be read.
func ContactOf(dir string) string {
	p, _, err := Load(dir)
	if err != nil || p == nil {
		return ""
	}
	return contact(p)
}

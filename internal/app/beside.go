package app

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"

	"budcall/internal/feed"
	"budcall/internal/fetch"
	"budcall/internal/pull"
)

// mostPages is how many pages an answer may have; more are a provider's error.
const mostPages = 100

// getAll asks for a file, its further pages and those beside it, and gives them
// as one zip, which the format reads as one series. What a station lacks beside
// is left out; any other trouble is that of the whole, so that no day is stored
// in part.
func (f *fetcher) getAll(ctx context.Context, r fetch.Request, format string, beside []string) (pull.Answer, error) {
	answer, err := f.get(ctx, r)
	if err != nil || answer.Unchanged {
		return answer, err
	}
	files := []named{{fileName(r.URL), answer.Body}}
	for next := feed.NextPage(format, answer.Body); next != ""; next = feed.NextPage(format, files[len(files)-1].body) {
		if len(files) == mostPages {
			return pull.Answer{}, fmt.Errorf("the answer has more than %d pages: ask the provider what is wrong, or for fewer days", mostPages)
		}
		page := r
		page.IfModifiedSince, page.ETag = "", ""
		if page.URL, err = sameHost(r.URL, next); err != nil {
			return pull.Answer{}, err
		}
		other, err := f.get(ctx, page)
		if err != nil {
			return pull.Answer{}, fmt.Errorf("%w (page %d of the answer)", err, len(files)+1)
		}
		files = append(files, named{fmt.Sprintf("page-%03d-%s", len(files)+1, fileName(page.URL)), other.Body})
	}
	if len(beside) == 0 && len(files) == 1 {
		return answer, nil
	}
	for _, address := range beside {
		r.URL = address
		other, err := f.get(ctx, r)
		switch {
		case errors.Is(err, fetch.ErrNothing):
			continue
		case err != nil:
			return pull.Answer{}, err
		}
		files = append(files, named{fileName(address), other.Body})
	}
	answer.LastModified, answer.ETag = "", ""
	if len(files) > 1 {
		answer.Body, err = zipped(files)
	}
	return answer, err
}

// sameHost gives the address of a next page, which must be where the first one
// is: the key that goes along is for nobody else.
func sameHost(first, next string) (string, error) {
	at, err := url.Parse(first)
	if err != nil {
		return "", fmt.Errorf("reading the address %s: %w", fetch.Redact(first), err)
	}
	to, err := at.Parse(next)
	if err != nil || to.Scheme != at.Scheme || to.Host != at.Host {
		return "", fmt.Errorf("the answer goes on at %s, which isn't where it began (%s): tell us", fetch.Redact(next), at.Host)
	}
	return to.String(), nil
}

// named is a file to be packed.
type named struct {
	name string
	body []byte
}

// fileName makes of an address a name that tells one of several files from
// another, for whoever reads that one can't be used.
func fileName(address string) string {
	if u, err := url.Parse(address); err == nil {
		address = u.Path
	}
	return strings.ReplaceAll(strings.Trim(address, "/"), "/", "-")
}

// zipped packs files together; the same files give the same bytes.
func zipped(files []named) ([]byte, error) {
	var packed bytes.Buffer
	z := zip.NewWriter(&packed)
	for _, f := range files {
		w, err := z.Create(f.name)
		if err == nil {
			_, err = w.Write(f.body)
		}
		if err != nil {
			return nil, fmt.Errorf("packing what came: %w", err)
		}
	}
	if err := z.Close(); err != nil {
		return nil, fmt.Errorf("packing what came: %w", err)
	}
	return packed.Bytes(), nil
}

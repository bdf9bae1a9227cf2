package feed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path"
)

// NextPage gives the address of the answer that a provider's answer goes on
// in; empty where there is none, or where the format knows no pages.
func NextPage(format string, body []byte) string {
	if format != frost.Name {
		return ""
	}
	var e struct {
		NextLink string `json:"nextLink"`
	}
	if json.Unmarshal(bytes.TrimPrefix(body, byteOrderMark), &e) != nil { // whatever it is, it is refused when it is read
		return ""
	}
	return e.NextLink
}

// parseFrostPages reads the pages of one answer as the whole.
func parseFrostPages(files archive, opt Options) (Batch, error) {
	g := frostFile{station: frostStation{wanted: opt.Station}}
	var pages []frostEnvelope
	for _, f := range files {
		_, err := files.parseOne(f, whole(func(body []byte, _ Options) (Batch, error) {
			p, err := g.page(body)
			pages = append(pages, p)
			return Batch{}, err
		}), opt)
		if err != nil {
			return Batch{}, fmt.Errorf("%s: %w", shortenTo(100, path.Base(f.Name)), err)
		}
	}
	return g.pages(pages, opt)
}

// page takes the items of one page, counted through all pages.
func (g *frostFile) page(body []byte) (frostEnvelope, error) {
	e, err := openFrost(body, "ObservationResponse")
	if err != nil {
		return e, err
	}
	err = eachJSON(e.Data, "Frost", "data", func(number int, item *frostItem) error {
		g.item(e.Offset+number, item)
		return nil
	})
	e.Data = nil // it may be large, and what is wanted of it was taken
	return e, err
}

// pages gives the days of all that was taken, and says what is wanting.
func (g *frostFile) pages(pages []frostEnvelope, opt Options) (Batch, error) {
	b, err := g.batch(opt)
	if err != nil {
		return Batch{}, err
	}
	there, total := 0, 0
	for _, p := range pages {
		there, total = there+p.ItemCount, max(total, p.TotalCount)
	}
	if there < total || len(pages) == 1 && pages[0].NextLink != "" {
		b.Notes = append(b.Notes, fmt.Sprintf("the answer holds %d of %d items from offset %d on: the other pages are wanted too", there, total, pages[0].Offset))
	}
	return b, nil
}

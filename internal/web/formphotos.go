package web

import (
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"time"

	"budcall/internal/report"
	"budcall/internal/trail"
	"budcall/internal/words"
)

// fieldPhotos is the field of photos.
const fieldPhotos = "photos"

// Limits of the photos of one form; our assumptions, but for the size of one
// photo, which is that of photos that come by mail.
const (
	maxPhotos      = 10
	maxPhotoBytes  = 12 << 20
	defaultUpload  = 25 << 20 // of all photos of a form, where the form doesn't say
	readOn         = 4        // times the limit is read, so that the browser gets an answer
	maxFields      = 2000
	uploadWithin   = 10 * time.Minute
	uploadsAtOnce  = 3
	storePhotosFor = time.Minute
)

// Sent is what a form with photos says.
type Sent struct {
	Reports []trail.Report
	Photos  []report.Photo // without position and other metadata
}

// The reasons why a photo is kept out, as the address after sending says them.
const (
	photoPlace   = "place"
	photoDamaged = "damaged"
	photoKind    = "kind"
	photoLarge   = "large"
)

// photoTexts is what is said of a photo that was kept out.
var photoTexts = map[string]words.Key{
	photoPlace: words.PhotoPlace, photoDamaged: words.PhotoDamaged, photoKind: words.PhotoKind, photoLarge: words.PhotoLarge,
}

// photos is what came with a form beside its fields.
type photos struct {
	kept    []report.Photo
	refused map[string]bool // reasons
	seen    map[[32]byte]bool
	left    int64 // bytes that may still be kept
}

// refuse notes why a photo was kept out.
func (ph *photos) refuse(why string) {
	if ph.refused == nil {
		ph.refused = map[string]bool{}
	}
	ph.refused[why] = true
}

// reasons is why photos were kept out, in a fixed order.
func (ph photos) reasons() (out []string) {
	for _, why := range []string{photoPlace, photoDamaged, photoKind, photoLarge} {
		if ph.refused[why] {
			out = append(out, why)
		}
	}
	return out
}

// problems is what is to be mended of the photos of a form that isn't stored: a
// browser doesn't fill them in again.
func (ph photos) problems() (out []problem) {
	for _, why := range ph.reasons() {
		out = append(out, problem{Field: fieldPhotos, Key: photoTexts[why]})
	}
	if len(ph.kept) > 0 {
		out = append(out, problem{Field: fieldPhotos, Key: words.ProblemPhotosAgain})
	}
	return out
}

// query is the reasons for the address that follows.
func (ph photos) query() string {
	var out strings.Builder
	for _, why := range ph.reasons() {
		out.WriteString("&photo=" + why)
	}
	return out.String()
}

var errTooManyFields = errors.New("more fields than a form has")

// parts reads a form in parts. A photo that is too large, or that the line
// broke off in, is kept out, and what was typed is still there, since the photos
// come last.
func (p *Pages) parts(w http.ResponseWriter, r *http.Request, limit int64) (in url.Values, ph photos, err error) {
	if limit <= 0 {
		limit = defaultUpload
	}
	ph.left, ph.seen = limit, map[[32]byte]bool{}
	until := p.clock().Add(uploadWithin) // a bad line is slow
	control := http.NewResponseController(w)
	// Where deadlines can't be set, those of the server hold.
	_ = control.SetReadDeadline(until)
	_ = control.SetWriteDeadline(until.Add(time.Minute))
	r.Body = http.MaxBytesReader(w, r.Body, readOn*limit)
	reader, err := r.MultipartReader()
	if err != nil {
		return nil, ph, err
	}
	in, size := url.Values{}, 0
	for n := 0; ; n++ {
		part, err := reader.NextPart()
		switch {
		case err == io.EOF:
			return in, ph, nil
		case err != nil && n > 0 && ph.begun():
			ph.refuse(whyUnread(err))
			return in, ph, nil
		case err != nil:
			return nil, ph, err
		case n >= maxFields:
			return nil, ph, errTooManyFields
		case part.FileName() != "" || part.FormName() == fieldPhotos:
			ph.take(in, part)
			continue
		}
		value, err := io.ReadAll(io.LimitReader(part, maxForm+1))
		if err != nil {
			return nil, ph, err
		}
		if size += len(part.FormName()) + len(value); size > maxForm {
			return nil, ph, errTooManyFields
		}
		in.Add(part.FormName(), string(value))
	}
}

// begun reports whether a photo was met: the fields are whole then.
func (ph photos) begun() bool { return len(ph.kept)+len(ph.refused) > 0 }

// take reads one file.
func (ph *photos) take(in url.Values, part *multipart.Part) {
	if part.FormName() != fieldPhotos {
		in.Add(part.FormName(), part.FileName()) // no such field: the reader of the fields says so
		return
	}
	most := min(maxPhotoBytes, ph.left)
	raw, err := io.ReadAll(io.LimitReader(part, most+1))
	switch {
	case err != nil:
		ph.refuse(whyUnread(err))
		return
	case len(raw) == 0: // none was chosen
		return
	case int64(len(raw)) > most || len(ph.kept) >= maxPhotos:
		ph.refuse(photoLarge)
		return
	}
	photo, err := report.StripPhoto(raw)
	switch {
	case errors.Is(err, report.ErrKeepsPlace):
		ph.refuse(photoPlace)
	case errors.Is(err, report.ErrDamaged):
		ph.refuse(photoDamaged)
	case err != nil:
		ph.refuse(photoKind)
	case ph.seen[sha256.Sum256(raw)]: // chosen twice
	default:
		ph.seen[sha256.Sum256(raw)] = true
		ph.left -= int64(len(raw))
		ph.kept = append(ph.kept, photo)
	}
}

// whyUnread tells a photo that was too large from one that broke off.
func whyUnread(err error) string {
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return photoLarge
	}
	return photoDamaged
}

// storePhotos stores reports with photos, also where the line broke meanwhile.
func (p *Pages) storePhotos(r *http.Request, f Form, key string, s Sent) (stored bool, err error) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(r.Context()), storePhotosFor)
	defer cancel()
	return p.Store.ReportPhotos(ctx, f.Claim, key, s)
}

// photoProblems says what photos were kept out, by the reasons in an address.
func photoProblems(c *words.Catalogue, reasons []string) (out []string) {
	seen := map[string]bool{}
	for _, why := range reasons {
		if key, ok := photoTexts[why]; ok && !seen[why] {
			seen[why] = true
			out = append(out, c.Text(key))
		}
	}
	return out
}

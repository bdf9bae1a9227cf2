package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"mime"
	"mime/multipart"
	"net/mail"
	"net/textproto"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/link"
	"budcall/internal/postgres"
	"budcall/internal/report"
	"budcall/internal/web"
	"budcall/internal/words"
)

// byForm is the way in of photos that came with a form.
const byForm = "form"

// ReportPhotos stores what a form with photos says. The form is kept as the
// mail that it would have been, so that its photos go to the coordinator, are
// forgotten and are dropped after their days exactly as those that come by
// mail.
func (p *pages) ReportPhotos(ctx context.Context, c link.Claim, key string, s web.Sent) (stored bool, err error) {
	now, err := p.now(ctx)
	if err != nil {
		return false, err
	}
	for i := range s.Reports {
		s.Reports[i].At = now
	}
	prog := p.programme()
	raw, err := formMail(prog, c, s, now)
	if err != nil {
		return false, fmt.Errorf("keeping the photos of a form: %w", err)
	}
	a := postgres.Arrival{Key: photosKey(key, s.Photos), Raw: raw, Size: int64(len(raw)), Way: byForm, At: now}
	return p.db.ReportWithPhotos(ctx, a, func(b *postgres.Inbox, a postgres.Arrival) (postgres.Inbound, error) {
		w := &answer{
			mailroom: &mailroom{app: &App{links: p.links, log: p.log}}, programme: prog, book: b, arrival: a, now: now,
			reading: report.Reading{Outcome: report.Stored, Person: c.Person, Reports: s.Reports, Photos: s.Photos, Written: civil.At(now.In(prog.Zone))},
			in: postgres.Inbound{
				Outcome: string(report.Stored), Person: c.Person, Key: key, Season: c.Season, Reports: s.Reports,
				Then: p.engine.occasion(runReport, key, now, []string{c.Site}),
			},
		}
		for _, photo := range s.Photos {
			w.in.Photos = append(w.in.Photos, postgres.Photo{Type: photo.Type, Bytes: photo.Bytes})
		}
		err := w.toCoordinator(ctx, true)
		return w.in, err
	})
}

// photosKey tells a form with photos from all others: by what it reports and
// what its photos show.
func photosKey(key string, photos []report.Photo) []byte {
	h := sha256.New()
	h.Write([]byte(key))
	for _, p := range photos {
		sum := sha256.Sum256(p.Bytes)
		h.Write(sum[:])
	}
	return h.Sum(nil)
}

// formMail writes a form with photos as a mail, in the coordinator's language.
func formMail(prog *config.Programme, c link.Claim, s web.Sent, now time.Time) ([]byte, error) {
	who, _ := prog.Person(c.Person)
	reader, _ := prog.Person(prog.Coordinator)
	site, _ := prog.Site(c.Site)
	said := words.For(reader.Lang)
	var lines []string
	for _, r := range s.Reports {
		lines = append(lines, said.Said(r))
	}
	var b, body bytes.Buffer
	parts := multipart.NewWriter(&body)
	head := []string{
		"From: " + (&mail.Address{Name: who.Name, Address: who.Email}).String(),
		"To: " + (&mail.Address{Name: reader.Name, Address: reader.Email}).String(),
		"Date: " + now.In(prog.Zone).Format(time.RFC1123Z),
		"Subject: " + mime.QEncoding.Encode("utf-8", site.Name),
		"MIME-Version: 1.0",
		"Content-Type: multipart/mixed; boundary=" + parts.Boundary(), "", "",
	}
	b.WriteString(strings.Join(head, "\r\n"))
	if err := addPart(parts, "text/plain; charset=utf-8", "", []byte(strings.Join(lines, "\n")+"\n")); err != nil {
		return nil, err
	}
	for i, p := range s.Photos {
		name := fmt.Sprintf("photo-%d.%s", i+1, strings.TrimPrefix(p.Type, "image/"))
		if err := addPart(parts, p.Type, name, p.Bytes); err != nil {
			return nil, err
		}
	}
	if err := parts.Close(); err != nil {
		return nil, err
	}
	b.Write(body.Bytes())
	return b.Bytes(), nil
}

// addPart adds a part in base64, with a name if it is an attachment.
func addPart(parts *multipart.Writer, kind, name string, content []byte) error {
	h := textproto.MIMEHeader{"Content-Type": {kind}, "Content-Transfer-Encoding": {"base64"}}
	if name != "" {
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	}
	w, err := parts.CreatePart(h)
	if err != nil {
		return err
	}
	const lineBytes = 57 // 76 characters of base64, the most that RFC 2045 allows (section 6.8)
	for len(content) > 0 {
		n := min(lineBytes, len(content))
		if _, err := fmt.Fprintf(w, "%s\r\n", base64.StdEncoding.EncodeToString(content[:n])); err != nil {
			return err
		}
		content = content[n:]
	}
	return nil
}

package demo

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"mime"
	"mime/multipart"
	"mime/quotedprintable"
	"net/smtp"
	"net/textproto"
	"strings"
	"time"

	"budcall/internal/app"
	"budcall/internal/config"
)

// post is the mail server through which people's answers reach the program.
type post struct{ app *app.App }

// answered is an answer by mail to a letter.
type answered struct {
	from  config.Person
	to    letter
	at    time.Time
	text  string
	photo []byte // JPEG
}

// send hands an answer over and waits until it was read.
func (p post) send(ctx context.Context, a answered) error {
	raw, err := a.mail()
	if err != nil {
		return fmt.Errorf("writing an answer by mail: %w", err)
	}
	if err := smtp.SendMail(p.app.InboxAddr(), nil, a.from.Email, []string{a.to.replyTo}, raw); err != nil {
		return fmt.Errorf("handing over an answer by mail: %w", err)
	}
	for { // the program reads what came in beside us; whoever is first reads it
		if err := p.app.ReadMails(ctx); err != nil {
			return err
		}
		if left, err := p.app.DB().ArrivalsLeft(ctx); err != nil || left == 0 {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
	}
}

// mail is the answer as a phone writes it: text, what was answered, a photo.
func (a answered) mail() ([]byte, error) {
	var out bytes.Buffer
	parts := multipart.NewWriter(&out)
	for _, h := range [][2]string{
		{"From", mime.QEncoding.Encode("utf-8", a.from.Name) + " <" + a.from.Email + ">"}, {"To", a.to.replyTo},
		{"Subject", mime.QEncoding.Encode("utf-8", "Re: "+a.to.subject)}, {"Date", a.at.Format(time.RFC1123Z)},
		{"Message-ID", "<" + a.at.UTC().Format("20060102T150405") + "@phone.example>"}, {"In-Reply-To", a.to.messageID},
		{"MIME-Version", "1.0"}, {"Content-Type", `multipart/mixed; boundary="` + parts.Boundary() + `"`},
	} {
		fmt.Fprintf(&out, "%s: %s\r\n", h[0], h[1])
	}
	out.WriteString("\r\n")
	text, err := parts.CreatePart(textproto.MIMEHeader{"Content-Type": {"text/plain; charset=utf-8"}, "Content-Transfer-Encoding": {"quoted-printable"}})
	if err != nil {
		return nil, err
	}
	q := quotedprintable.NewWriter(text)
	quoted := "> " + strings.ReplaceAll(strings.TrimSpace(a.to.text), "\n", "\n> ")
	if _, err := io.WriteString(q, a.text+"\n\n"+quoted+"\n"); err != nil {
		return nil, err
	}
	if err := q.Close(); err != nil {
		return nil, err
	}
	photo, err := parts.CreatePart(textproto.MIMEHeader{
		"Content-Type": {`image/jpeg; name="IMG_0612.jpg"`}, "Content-Disposition": {`attachment; filename="IMG_0612.jpg"`}, "Content-Transfer-Encoding": {"base64"},
	})
	if err != nil {
		return nil, err
	}
	const line = 57 // bytes, 76 characters of base64 (RFC 2045 section 6.8)
	for rest := a.photo; len(rest) > 0; rest = rest[min(line, len(rest)):] {
		fmt.Fprintf(photo, "%s\r\n", base64.StdEncoding.EncodeToString(rest[:min(line, len(rest))]))
	}
	return out.Bytes(), parts.Close()
}

// aPhoto draws a bag on a twig before the sky.
func aPhoto() ([]byte, error) {
	const wide, high = 160, 120 // pixels
	picture := image.NewRGBA(image.Rect(0, 0, wide, high))
	for y := range high {
		for x := range wide {
			c := color.RGBA{140, 180, 220, 255}
			switch {
			case x > 50 && x < 110 && y > 30 && y < 105:
				c = color.RGBA{245, 240, 225, 255}
			case y > 22 && y < 30:
				c = color.RGBA{90, 60, 40, 255}
			}
			picture.Set(x, y, c)
		}
	}
	var out bytes.Buffer
	err := jpeg.Encode(&out, picture, &jpeg.Options{Quality: 80})
	return out.Bytes(), err
}

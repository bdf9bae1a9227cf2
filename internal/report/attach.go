package report

import (
	"bytes"
	"crypto/sha256"
	"path"
	"strings"
)

// Photo is a picture without position and other metadata.
type Photo struct {
	Name  string
	Type  string // image/jpeg, image/png, image/webp: by its content
	Bytes []byte
}

// File is a small text file attached to a mail.
type File struct {
	Name  string
	Bytes []byte
}

// Dropped is an attachment that was kept out.
type Dropped struct {
	Name  string
	Bytes int // encoded
	Why   DropWhy
}

// DropWhy is why an attachment was kept out.
type DropWhy string

// The reasons.
const (
	NotPicture   DropWhy = "no picture"
	TooLarge     DropWhy = "too large"
	Damaged      DropWhy = "damaged"
	KeepsPlace   DropWhy = "its position can't be taken out" // HEIC and its like
	Program      DropWhy = "a program or an archive"
	Wrapped      DropWhy = "winmail.dat"
	MailInside   DropWhy = "a mail inside a mail"
	TooManyFiles DropWhy = "too many"
)

// Limits of what is kept of a mail's attachments.
const (
	mostPhotos  = 50
	longestFile = 1 << 20
	logoBytes   = 1 << 10 // a smaller PNG shown within the text is a logo
)

var (
	fileEndings    = words(".yml .yaml .csv")
	programEndings = words(".exe .com .scr .bat .cmd .pif .js .jse .vbs .vbe .wsf .hta .msi .jar .lnk .ps1 .dll .cpl .iso .img .apk .docm .xlsm" +
		" .zip .rar .7z .gz .tar .tgz .bz2 .xz .cab .ace .arj")
)

// attachments sorts what isn't text into photos, files and what is kept out.
func (out *Reading) attachments(t tree, o Options) {
	seen := map[[32]byte]bool{}
	for n, p := range t.parts {
		if isText(t, n) {
			continue
		}
		why := out.attachment(p, o, seen)
		if why != "" && len(out.Dropped) < mostParts {
			out.Dropped = append(out.Dropped, Dropped{Name: p.name, Bytes: len(p.body), Why: why})
		}
	}
}

// isText reports whether the part is text of the mail, read or not.
func isText(t tree, n int) bool {
	p := t.parts[n]
	return !p.attached && (p.kind == "text/plain" || p.kind == "text/html")
}

// attachment keeps one, or says why not.
func (out *Reading) attachment(p part, o Options, seen map[[32]byte]bool) DropWhy {
	ending := strings.ToLower(path.Ext(p.name))
	switch {
	case strings.HasPrefix(p.kind, "message/"):
		return MailInside
	case p.kind == "application/ms-tnef" || strings.EqualFold(p.name, "winmail.dat"):
		return Wrapped
	case programEndings[ending]:
		return Program
	case len(p.body)/4*3 > o.MaxPhotoBytes+o.MaxPhotoBytes/10:
		return TooLarge
	case p.kind == "application/pgp-signature" || p.kind == "application/pkcs7-signature":
		return ""
	}
	raw, whole := decodeTransfer(p.body, p.header.get("content-transfer-encoding"))
	if fileEndings[ending] && len(raw) <= longestFile && whole && !p.cutOff {
		out.Files = append(out.Files, File{Name: p.name, Bytes: bytes.Clone(raw)})
		return ""
	}
	if len(raw) > o.MaxPhotoBytes {
		return TooLarge
	}
	if p.related && len(raw) < logoBytes && pictureType(raw) == "image/png" {
		return ""
	}
	sum := sha256.Sum256(raw)
	if seen[sum] {
		return ""
	}
	photo, err := StripPhoto(raw)
	if err != nil {
		return dropWhy(raw, err)
	}
	if len(out.Photos) >= mostPhotos {
		return TooManyFiles
	}
	seen[sum] = true
	photo.Name = p.name
	out.Photos = append(out.Photos, photo)
	return ""
}

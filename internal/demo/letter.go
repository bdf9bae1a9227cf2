package demo

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"mime"
	"mime/multipart"
	"net/mail"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"
)

// letter is a mail as its reader has it.
type letter struct {
	id                 string // the left part of its Message-ID
	messageID, replyTo string // with angle brackets; an address
	at                 time.Time
	to                 string // address
	subject            string
	text               string
	html               []byte
	raw                []byte
	links              []string // to forms, in the order of the text
}

// formLink finds the links to forms in a text.
var formLink = regexp.MustCompile(`https?://[^\s<>]+/form/[A-Za-z0-9_.-]+`)

// readLetter reads a mail of two alternatives, text and HTML.
func readLetter(to string, raw []byte) (letter, error) {
	l := letter{to: to, raw: raw}
	m, err := mail.ReadMessage(bytes.NewReader(raw))
	if err != nil {
		return l, fmt.Errorf("reading a mail: %w", err)
	}
	if l.at, err = m.Header.Date(); err != nil {
		return l, fmt.Errorf("reading a mail's date: %w", err)
	}
	if l.subject, err = new(mime.WordDecoder).DecodeHeader(m.Header.Get("Subject")); err != nil {
		return l, fmt.Errorf("reading a mail's subject: %w", err)
	}
	l.id, _, _ = strings.Cut(strings.Trim(m.Header.Get("Message-Id"), "<>"), "@")
	l.messageID = m.Header.Get("Message-Id")
	if l.replyTo, err = answerTo(m.Header); err != nil {
		return l, err
	}
	kind, params, err := mime.ParseMediaType(m.Header.Get("Content-Type"))
	if err != nil {
		return l, fmt.Errorf("reading a mail's type: %w", err)
	}
	if !strings.HasPrefix(kind, "multipart/") {
		return l, fmt.Errorf("reading a mail: %s has no alternatives", kind)
	}
	if err := l.readParts(m.Body, params["boundary"]); err != nil {
		return l, err
	}
	l.links = formLink.FindAllString(l.text, -1)
	return l, nil
}

// answerTo is the address to which a mail is answered.
func answerTo(h mail.Header) (string, error) {
	for _, name := range []string{"Reply-To", "From"} {
		if h.Get(name) == "" {
			continue
		}
		list, err := h.AddressList(name)
		if err != nil {
			return "", fmt.Errorf("reading a mail's %s: %w", name, err)
		}
		return list[0].Address, nil
	}
	return "", errors.New("reading a mail: it says of nobody that it is from them")
}

// readParts reads the text and the HTML, also where a mail that is passed on
// hangs beside them.
func (l *letter) readParts(body io.Reader, boundary string) error {
	parts := multipart.NewReader(body, boundary)
	for {
		part, err := parts.NextPart() // it undoes quoted-printable
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("reading a mail's parts: %w", err)
		}
		kind, params, err := mime.ParseMediaType(part.Header.Get("Content-Type"))
		if err != nil {
			return fmt.Errorf("reading the type of a mail's part: %w", err)
		}
		if strings.HasPrefix(kind, "multipart/") {
			if err := l.readParts(part, params["boundary"]); err != nil {
				return err
			}
			continue
		}
		content, err := io.ReadAll(part)
		switch {
		case err != nil:
			return fmt.Errorf("reading a mail's part: %w", err)
		case kind == "text/html":
			l.html = content
		case kind == "text/plain" && l.text == "":
			l.text = string(content)
		}
	}
}

// about tells whether a letter speaks of something, however its lines break.
func (l letter) about(what string) bool {
	return strings.Contains(strings.Join(strings.Fields(l.text), " "), what)
}

// letterbox takes what the mail sink gets, for everybody.
type letterbox struct {
	mu  sync.Mutex
	new []letter
	all []letter
}

func (b *letterbox) take(_, to string, raw []byte) error {
	l, err := readLetter(to, raw)
	if err != nil {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.new, b.all = append(b.new, l), append(b.all, l)
	return nil
}

// fresh gives the letters that came since the last time.
func (b *letterbox) fresh() []letter {
	b.mu.Lock()
	defer b.mu.Unlock()
	l := b.new
	b.new = nil
	return l
}

func (b *letterbox) count() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return len(b.all)
}

// inOrder sorts letters by time, reader and identity, so that the order in
// which they happened to arrive makes no difference.
func inOrder(letters []letter) []letter {
	out := slices.Clone(letters)
	slices.SortFunc(out, func(a, b letter) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.to, b.to), cmp.Compare(a.id, b.id))
	})
	return out
}

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
	id      string // the left part of its Message-ID
	at      time.Time
	to      string // address
	subject string
	text    string
	html    []byte
	raw     []byte
	links   []string // to forms, in the order of the text
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
	_, params, err := mime.ParseMediaType(m.Header.Get("Content-Type"))
	if err != nil {
		return l, fmt.Errorf("reading a mail's type: %w", err)
	}
	parts := multipart.NewReader(m.Body, params["boundary"])
	for {
		part, err := parts.NextPart() // it undoes quoted-printable
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return l, fmt.Errorf("reading a mail's parts: %w", err)
		}
		body, err := io.ReadAll(part)
		if err != nil {
			return l, fmt.Errorf("reading a mail's part: %w", err)
		}
		if strings.HasPrefix(part.Header.Get("Content-Type"), "text/html") {
			l.html = body
		} else {
			l.text = string(body)
		}
	}
	l.links = formLink.FindAllString(l.text, -1)
	return l, nil
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

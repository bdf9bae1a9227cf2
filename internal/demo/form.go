package demo

import (
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
)

// form is a page with a form, as a browser has it.
type form struct {
	link     string
	title    string // the heading
	standing string // the line below it
	inputs   []input
	labels   map[string]string // by id of the input
}

// input is one field of a form.
type input struct {
	id, name, kind, value string
	checked               bool
}

// browser opens and sends forms.
type browser struct{ client *http.Client }

// open gets a form. A page that is no form is an error that quotes it.
func (b browser) open(ctx context.Context, link string) (form, error) {
	body, err := b.do(ctx, http.MethodGet, link, nil)
	if err != nil {
		return form{}, fmt.Errorf("opening the form of a mail: %w", err)
	}
	f, err := readForm(body)
	f.link = link
	return f, err
}

// send posts what was filled in.
func (b browser) send(ctx context.Context, f form, filled url.Values) error {
	in := url.Values{}
	for _, i := range f.inputs {
		if i.kind == "hidden" || i.kind == "date" && i.value != "" {
			in.Set(i.name, i.value)
		}
	}
	for name, values := range filled {
		in[name] = values
	}
	if _, err := b.do(ctx, http.MethodPost, f.link, in); err != nil {
		return fmt.Errorf("sending the form %q: %w", f.title, err)
	}
	return nil
}

func (b browser) do(ctx context.Context, method, link string, in url.Values) (string, error) {
	req, err := http.NewRequestWithContext(ctx, method, link, strings.NewReader(in.Encode()))
	if err != nil {
		return "", err
	}
	if method == http.MethodPost {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	resp, err := b.client.Do(req)
	if err != nil {
		return "", err
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		return "", err
	}
	if resp.StatusCode != http.StatusOK {
		return "", fmt.Errorf("the page said %s: %s", resp.Status, clip(textOf(string(body)), 600))
	}
	return string(body), nil
}

// readForm reads what a person sees of a page: its heading, its standing, its
// fields with their labels.
func readForm(page string) (form, error) {
	f := form{labels: map[string]string{}}
	err := walk(page, func(path []xml.StartElement, text string) {
		here := path[len(path)-1]
		switch {
		case here.Name.Local == "input" && text == "":
			i := input{id: attr(here, "id"), name: attr(here, "name"), kind: attr(here, "type"), value: attr(here, "value")}
			i.checked = slices.ContainsFunc(here.Attr, func(a xml.Attr) bool { return a.Name.Local == "checked" })
			f.inputs = append(f.inputs, i)
		case here.Name.Local == "h1":
			f.title += text
		case here.Name.Local == "label":
			f.labels[attr(here, "for")] += text
		}
		if slices.ContainsFunc(path, func(e xml.StartElement) bool { return attr(e, "class") == "standing" }) {
			f.standing += text
		}
	})
	f.title, f.standing = strings.TrimSpace(f.title), strings.TrimSpace(f.standing)
	if err != nil {
		return f, err
	}
	if len(f.inputs) == 0 || f.title == "" {
		return f, fmt.Errorf("the page holds no form: %s", clip(textOf(page), 400))
	}
	return f, nil
}

// walk calls f for the start of each element, with no text, and for each text
// in it.
func walk(page string, f func(path []xml.StartElement, text string)) error {
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var path []xml.StartElement
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("reading a page: %w", err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			path = append(path, t.Copy())
			f(path, "")
		case xml.CharData:
			if len(path) > 0 {
				f(path, string(t))
			}
		case xml.EndElement:
			path = path[:len(path)-1]
		}
	}
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// textOf is a page without its marks.
func textOf(page string) string {
	var b strings.Builder
	_ = walk(page, func(path []xml.StartElement, text string) { // as far as it can be read
		if here := path[len(path)-1].Name.Local; here != "style" && here != "title" {
			b.WriteString(text)
		}
	})
	return strings.Join(strings.Fields(b.String()), " ")
}

func clip(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// named gives the fields whose name begins with a prefix.
func (f form) named(prefix string) (some []input) {
	for _, i := range f.inputs {
		if strings.HasPrefix(i.name, prefix) {
			some = append(some, i)
		}
	}
	return some
}

package fetch

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"net/http"
	"strings"
	"unicode"
	"unicode/utf8"
)

// How much of a refusal is read, and how much of its reason is shown.
const (
	refusalBytes = 64 << 10
	reasonRunes  = 300
)

// said quotes what the server gives as its reason, in one line without secrets;
// nothing where it sends a page for people.
func (a ask) said(resp *http.Response) string {
	body, _ := io.ReadAll(io.LimitReader(resp.Body, refusalBytes)) // what came until it broke off says enough
	text := reason(body)
	if text == "" && !isMarkup(body) && !strings.Contains(resp.Header.Get("Content-Type"), "html") {
		text = string(body)
	}
	// Secrets go before the text is cut: half of one would no longer be known.
	if text = shortened(oneLine(a.redact.clean(text))); text == "" {
		return ""
	}
	return ` (it says "` + strings.ReplaceAll(text, `"`, `'`) + `")`
}

// reason finds the reason of a refusal in the forms in which services give it:
// the exception report of the Open Geospatial Consortium (FMI), and JSON that
// names an error (Open-Meteo, Frost, SMHI). Empty: it has none of these.
func reason(body []byte) string {
	body = bytes.TrimSpace(bytes.TrimPrefix(body, []byte("\ufeff")))
	switch {
	case isMarkup(body):
		return exceptionReason(body)
	case len(body) > 0 && body[0] == '{':
		var fields map[string]json.RawMessage
		if json.Unmarshal(body, &fields) == nil {
			return strings.Join(jsonReasons(fields), ": ")
		}
	}
	return ""
}

func isMarkup(body []byte) bool {
	return bytes.HasPrefix(bytes.TrimSpace(bytes.TrimPrefix(body, []byte("\ufeff"))), []byte("<"))
}

// exceptionReason reads an ows:ExceptionReport's first text, or its code. The
// second text repeats the address.
func exceptionReason(body []byte) string {
	var report struct {
		XMLName    xml.Name
		Exceptions []struct {
			Code  string   `xml:"exceptionCode,attr"`
			Texts []string `xml:"ExceptionText"`
		} `xml:"Exception"`
	}
	d := xml.NewDecoder(bytes.NewReader(body))
	d.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil } // a letter may look odd; the reason is told
	if d.Decode(&report) != nil || report.XMLName.Local != "ExceptionReport" || len(report.Exceptions) == 0 {
		return ""
	}
	first := report.Exceptions[0]
	for _, text := range first.Texts {
		if text = strings.TrimSpace(text); text != "" {
			return text
		}
	}
	return first.Code
}

// jsonReasons gives what an error in JSON says, each thing once: its message and
// its reason, which stand at the top or within error.
func jsonReasons(fields map[string]json.RawMessage) (texts []string) {
	var within map[string]json.RawMessage
	if json.Unmarshal(fields["error"], &within) == nil && within != nil {
		texts = jsonReasons(within)
	}
	for _, name := range []string{"message", "reason", "error", "detail"} {
		var text string
		if json.Unmarshal(fields[name], &text) == nil && strings.TrimSpace(text) != "" {
			texts = append(texts, strings.TrimSpace(text))
		}
	}
	return texts
}

// oneLine makes one line of a text.
func oneLine(text string) string {
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || !unicode.IsPrint(r) }), " ")
}

// shortened cuts a text that is too long for a message.
func shortened(text string) string {
	if utf8.RuneCountInString(text) <= reasonRunes {
		return text
	}
	return string([]rune(text)[:reasonRunes]) + "…"
}

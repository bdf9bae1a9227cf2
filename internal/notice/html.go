package notice

import (
	"bytes"
	_ "embed"
	"html/template"
	"strings"
)

//go:embed page.html
var pageHTML string

// page is the look of a mail: one column, the system's fonts, nothing that has
// to be fetched, readable without its style sheet.
var page = template.Must(template.New("page").Funcs(template.FuncMap{
	"tel": tel,
}).Parse(pageHTML))

// HTML gives the HTML part of a letter alone, as a complete page in UTF-8.
func HTML(l Letter) []byte { return html(compose(l)) }

func html(c content) []byte {
	var b bytes.Buffer
	if err := page.Execute(&b, c); err != nil {
		panic(err) // the template and its values are ours, and a Buffer takes everything
	}
	return b.Bytes()
}

// tel gives the link that rings a number: its digits, and a plus in front.
// Nothing else of what was written reaches the address; no digits, no link.
func tel(phone string) template.URL {
	digits := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, phone)
	switch {
	case digits == "":
		return ""
	case strings.HasPrefix(strings.TrimSpace(phone), "+"):
		digits = "+" + digits
	}
	return template.URL("tel:" + digits)
}

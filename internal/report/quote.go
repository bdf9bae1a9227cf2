package report

import (
	"regexp"
	"strings"
)

// textLine is a line of a mail's text.
type textLine struct {
	text string
	soft bool // format=flowed: the next line belongs to the same paragraph
}

// ownText gives the lines that the sender wrote: without what is quoted,
// forwarded, below a signature mark or below the headings of the mail
// answered, and without the example lines of our own mails. It looks at the
// marks that mail programs leave, in the order of the lines; what stands below
// one of the marks that end a mail is never looked at.
func ownText(lines []textLine) []textLine {
	var own []textLine
	for n := 0; n < len(lines); n++ {
		text := strings.TrimSpace(lines[n].text)
		if strings.HasPrefix(text, ">") {
			continue
		}
		if text == "--" || endsMail(text) || headings(lines[n:]) {
			break
		}
		switch placeMark(text) {
		case onlyAbove:
			return own
		case onlyBelow:
			own = nil
			continue
		}
		if rule(text) {
			continue
		}
		if exampleHeading(text) {
			n = pastExamples(lines, n)
			continue
		}
		took, cuts := attribution(lines[n:])
		if cuts {
			break
		}
		if took > 0 {
			n += took - 1
			continue
		}
		own = append(own, lines[n])
	}
	return own
}

var rules = regexp.MustCompile(`^[-_=*~#]{3,}$`)

// rule tells a line of dashes.
func rule(text string) bool { return len(text) < 200 && rules.MatchString(text) }

var betweenDashes = regexp.MustCompile(`^-{4,}\s*[^-].*[^-]\s*-{4,}$`)

// endsMail tells the line above an old or a forwarded mail.
func endsMail(text string) bool {
	if len(text) > 120 {
		return false
	}
	lower := strings.ToLower(strings.Trim(text, "*_ "))
	return betweenDashes.MatchString(text) && place(lower) == nowhere ||
		lower == "begin forwarded message:" || lower == "forwarded message" || lower == "forwarded message:"
}

type where int

const (
	nowhere where = iota
	onlyAbove
	onlyBelow
)

// placeMark tells "reply above this line" and its like.
func placeMark(text string) where {
	if len(text) > 160 {
		return nowhere
	}
	return place(strings.ToLower(composed(text)))
}

func place(lower string) where {
	for mark, w := range map[string]where{
		"reply above this line": onlyAbove, "reply below this line": onlyBelow,
		"vastauksesi tämän viivan yläpuolelle": onlyAbove, "vastauksesi tämän viivan alapuolelle": onlyBelow,
		"svar ovanför den här raden": onlyAbove, "svar under den här raden": onlyBelow,
	} {
		if strings.Contains(lower, mark) {
			return w
		}
	}
	return nowhere
}

// The labels of headings that mail programs put above the mail answered, in
// the languages that people around the Baltic and the North Sea set theirs to.
var (
	fromLabels = words("from lähettäjä från von de van fra av da")
	restLabels = words("sent date to subject cc reply-to lähetetty päivämäärä päiväys pvm vastaanottaja aihe kopio" +
		" skickat datum till ämne kopia gesendet an betreff envoyé à objet date verzonden aan onderwerp sendt dato til emne saadetud kellele teema")
)

func words(list string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(list) {
		set[w] = true
	}
	return set
}

// headings reports whether lines begin with the headings of a mail: a From,
// and two others among the next five.
func headings(lines []textLine) bool {
	if !fromLabels[label(lines[0].text)] {
		return false
	}
	others, seen := 0, 0
	for _, l := range lines[1:min(len(lines), 12)] {
		if strings.TrimSpace(l.text) == "" {
			continue
		}
		if seen++; seen > 5 {
			break
		}
		if restLabels[label(l.text)] {
			others++
		}
	}
	return others >= 2
}

// label gives the word before the colon of a heading, without the stars of
// bold print.
func label(text string) string {
	if len(text) > 2000 {
		text = text[:2000]
	}
	head, _, ok := strings.Cut(composed(text), ":")
	if !ok || len(head) > 40 {
		return ""
	}
	return strings.ToLower(strings.Trim(head, "*_ \t\u00a0"))
}

var (
	saysWhen = regexp.MustCompile(`\d{4}|\d{1,2}[:.]\d{2}`)
	saysWho  = regexp.MustCompile(`(?i)(\bwrote|\bkirjoitti|\bskrev\b.*|\bschrieb\b.*|a écrit\s?|\bschreef\b.*|\bescribió|ha scritto|\bkirjutas\b.*)\s*:$`)
)

// attribution tells "On Fri, 2 May 2031 at 17:00, … wrote:", which may be
// broken over three lines, whatever the language where quoted lines follow. It
// gives how many lines it has; cuts is true where everything below it is the
// mail answered, with nothing to mark its lines.
func attribution(lines []textLine) (took int, cuts bool) {
	var joined strings.Builder
	for n := 0; n < min(3, len(lines)); n++ {
		text := strings.TrimSpace(lines[n].text)
		if text == "" || len(text) > 500 || strings.HasPrefix(text, ">") {
			return 0, false
		}
		joined.WriteString(text)
		joined.WriteString(" ")
		if !strings.HasSuffix(text, ":") {
			continue
		}
		whole := strings.TrimSpace(joined.String())
		verb := saysWho.MatchString(whole)
		if !verb && !strings.Contains(whole, "@") {
			return 0, false
		}
		if n > 0 && !belongs(lines[:n+1]) {
			return 0, false
		}
		if followedByQuote(lines[n+1:]) {
			return n + 1, false
		}
		return 0, verb && (saysWhen.MatchString(whole) || strings.Contains(whole, "@"))
	}
	return 0, false
}

// belongs reports whether the first of lines is part of the attribution that
// ends with the last: it is where it says when, and no later one does.
func belongs(lines []textLine) bool {
	rest := ""
	for _, l := range lines[1:] {
		rest += l.text + " "
	}
	return saysWhen.MatchString(lines[0].text) && !saysWhen.MatchString(rest)
}

func followedByQuote(lines []textLine) bool {
	for _, l := range lines {
		if text := strings.TrimSpace(l.text); text != "" {
			return strings.HasPrefix(text, ">")
		}
	}
	return false
}

// exampleHeading tells the line above the examples in our own mails.
func exampleHeading(text string) bool {
	if len(text) > 300 {
		return false
	}
	for _, v := range vocabularies {
		if strings.EqualFold(composed(text), v.examples.heading) {
			return true
		}
	}
	return false
}

// pastExamples gives the last line of the examples below a heading.
func pastExamples(lines []textLine, n int) int {
	blank := func(at int) bool { return strings.TrimSpace(lines[at].text) == "" }
	if n+1 < len(lines) && blank(n+1) {
		n++
	}
	for n+1 < len(lines) && !blank(n+1) {
		n++
	}
	return n
}

package report

import (
	"cmp"
	"slices"
	"strings"

	"budcall/internal/trail"
)

// Limits of what one mail may say, far beyond what a person writes.
const (
	mostLines   = 1000
	mostReports = 1000
	mostUnread  = 200
	longestLine = 1000 // bytes; a reply line is short

	longestParagraph = 200 // lines
)

// lineReader reads the lines that the sender wrote.
type lineReader struct {
	letter
	reader
	said        []statement
	unread      []Line
	unreadAt    []int
	marks       []Line // lines of harmless marks alone
	marksAt     []int
	texts       []string // of the lines with answers, to quote them back
	tooLong     bool
	contradicts bool
}

// all reads lines up to the sender's signature. Soft-broken lines of a
// paragraph are read one by one where each is a line of its own, else as the
// one sentence that they are.
func (l *lineReader) all(lines []textLine) {
	for n := 0; n < len(lines); {
		end := n
		for lines[end].soft && end+1 < len(lines) && end-n < longestParagraph && strings.TrimSpace(lines[end+1].text) != "" {
			end++
		}
		end++
		if end-n > 1 && !l.eachStands(lines[n:end]) {
			texts := make([]string, end-n)
			for k, line := range lines[n:end] {
				texts[k] = line.text
			}
			if l.one(n, strings.Join(texts, " ")) {
				return
			}
			n = end
			continue
		}
		for ; n < end; n++ {
			if n >= mostLines || len(l.said) > mostReports || len(l.unread) >= mostUnread {
				l.tooLong = true
				return
			}
			if l.one(n, lines[n].text) {
				return
			}
		}
	}
}

// eachStands reports whether every line could stand alone.
func (l *lineReader) eachStands(lines []textLine) bool {
	for _, line := range lines {
		if _, why, _ := l.look(line.text); why != "" {
			return false
		}
	}
	return true
}

// one reads a line and keeps what it says; true: the signature begins.
func (l *lineReader) one(at int, text string) bool {
	reports, why, signs := l.look(text)
	for _, r := range reports {
		l.said = append(l.said, statement{line: at, Report: r})
	}
	if len(reports) > 0 {
		for len(l.texts) <= at {
			l.texts = append(l.texts, "")
		}
		l.texts[at] = text
	}
	if why != "" {
		l.leave(at, text, why)
	} else if len(reports) == 0 && onlyMarks(text) {
		l.marks, l.marksAt = append(l.marks, Line{Text: quoted(text), Why: NotUnderstood}), append(l.marksAt, at)
	}
	return signs
}

func (l *lineReader) leave(at int, text string, why Why) {
	if q := quoted(text); q != "" {
		l.unread, l.unreadAt = append(l.unread, Line{Text: q, Why: why}), append(l.unreadAt, at)
	}
}

// look reads a line without keeping anything.
func (l *lineReader) look(text string) (reports []trail.Report, why Why, signs bool) {
	if len(text) > longestLine {
		return nil, NotUnderstood, false
	}
	line, clear := tidy(text)
	if !clear {
		return nil, Hidden, false
	}
	line = unframed(line)
	if line == "" {
		return nil, "", false
	}
	if strings.Contains(line, "?") {
		return nil, NotUnderstood, false
	}
	if is, signs := l.courtesy(line); is {
		return nil, "", signs
	}
	reports, why = l.sayings(line)
	return reports, why, false
}

// unframed takes away what may stand round a line and says nothing: a bullet,
// quotation marks round the whole, full stops and exclamation marks behind.
func unframed(line string) string {
	for _, bullet := range []string{"- ", "* ", "• ", "· "} {
		line = strings.TrimPrefix(line, bullet)
	}
	for range 3 {
		line = strings.TrimSpace(strings.TrimRight(line, " .!,;"))
		for _, q := range []string{`"`, `'`} {
			if len(line) >= 2*len(q) && strings.HasPrefix(line, q) && strings.HasSuffix(line, q) {
				line = line[len(q) : len(line)-len(q)]
			}
		}
	}
	return strings.TrimSpace(line)
}

// settle gives what was said, once: repeated statements are one, answers that
// exclude each other are none and go back unread, contradicting reports are
// both kept and marked. Lines of marks alone are quoted back only where
// nothing was said.
func (l *lineReader) settle() []statement {
	var kept []statement
	seen := map[trail.Report]bool{}
	for _, s := range l.said {
		if !seen[s.Report] {
			seen[s.Report] = true
			kept = append(kept, s)
		}
	}
	kept = l.withoutExcluding(kept)
	l.contradicts = contradicting(kept)
	if len(kept) == 0 && len(l.unread) == 0 {
		l.unread, l.unreadAt = l.marks, l.marksAt
	}
	return kept
}

// withoutExcluding sends back answers of a site that can't both hold, with
// everything else on their lines.
func (l *lineReader) withoutExcluding(list []statement) []statement {
	bad := map[int]bool{}
	bySite := map[string][]statement{}
	for _, s := range list {
		if s.Kind.Answer() && len(bySite[s.Site]) < 50 {
			bySite[s.Site] = append(bySite[s.Site], s)
		}
	}
	for _, answers := range bySite {
		for n, a := range answers {
			for _, b := range answers[n+1:] {
				if excludes(a.Report, b.Report) || excludes(b.Report, a.Report) {
					bad[a.line], bad[b.line] = true, true
				}
			}
		}
	}
	if len(bad) == 0 {
		return list
	}
	at := make([]int, 0, len(bad))
	for line := range bad {
		at = append(at, line)
	}
	slices.Sort(at)
	for _, line := range at {
		l.leave(line, l.texts[line], Excluding)
	}
	order := make([]int, len(l.unread))
	for n := range order {
		order[n] = n
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(l.unreadAt[a], l.unreadAt[b]) })
	sorted := make([]Line, len(order))
	for n, from := range order {
		sorted[n] = l.unread[from]
	}
	l.unread = sorted
	return slices.DeleteFunc(list, func(s statement) bool { return bad[s.line] })
}

// excludes reports whether going, with day a, can't hold beside b.
func excludes(a, b trail.Report) bool {
	if a.Kind != trail.Going {
		return false
	}
	switch b.Kind {
	case trail.CannotGo, trail.Unsafe, trail.NoPermission:
		return true
	case trail.Going:
		return a.On != b.On
	case trail.Away:
		return a.On >= b.On && a.On <= b.Until
	}
	return false
}

// contradicting reports whether two reports say different things of one tree
// and day.
func contradicting(list []statement) bool {
	type about struct {
		site, tree string
		day, group int
	}
	first := map[about]trail.Report{}
	for _, s := range list {
		group, ok := contrary[s.Kind]
		if !ok {
			continue
		}
		key := about{s.Site, s.Tree, int(s.Day), group}
		if before, ok := first[key]; ok && before != s.Report {
			return true
		}
		first[key] = s.Report
	}
	return false
}

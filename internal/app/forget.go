package app

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"budcall/internal/civil"
	"budcall/internal/config"
	"budcall/internal/pseudonym"
)

// Forgotten is what became, or would become, of a person's traces.
type Forgotten struct {
	As      string         `json:"as"`      // the pseudonym
	Rows    map[string]int `json:"rows"`    // by table
	Mails   int            `json:"mails"`   // kept mails that are dropped
	Photos  int            `json:"photos"`  // photos that are dropped
	Journal int            `json:"journal"` // lines
}

// Traces counts them.
func (f Forgotten) Traces() (n int) {
	for _, rows := range f.Rows {
		n += rows
	}
	return n + f.Journal
}

// OnDuty is why a person can't be forgotten yet.
type OnDuty struct {
	Code    string
	Reasons []string
}

func (d *OnDuty) Error() string {
	return fmt.Sprintf("%s can't be forgotten yet:\n  %s", d.Code, strings.Join(d.Reasons, "\n  "))
}

// Forget puts a pseudonym in the place of a person: in every row, in kept mails
// and in the journal. Where forGood is false nothing is changed.
func (b *Beside) Forget(ctx context.Context, state, code string, forGood bool) (f Forgotten, err error) {
	r, f, err := b.replacer(ctx, state, code)
	if err != nil {
		return f, err
	}
	known, err := b.known(ctx, code)
	if err == nil && !known && len(roles(b.programme, code)) == 0 {
		err = fmt.Errorf("nothing is known of anybody under the code %q: give the code that the person had in people.yml", code)
	}
	if err != nil {
		return f, err
	}
	reasons, err := b.duties(ctx, code, r)
	if err != nil {
		return f, err
	}
	if len(reasons) > 0 {
		return f, &OnDuty{code, reasons}
	}
	return b.forget(ctx, state, code, f, r, forGood)
}

func (b *Beside) forget(ctx context.Context, state, code string, f Forgotten, r *pseudonym.Replacer, forGood bool) (Forgotten, error) {
	now, err := b.Now(ctx)
	if err != nil {
		return f, err
	}
	if forGood { // first, so that a restored backup knows it even if we are killed now
		if err := noteForgotten(state, code, f.As, now); err != nil {
			return f, err
		}
	}
	// The journal comes before the rows, which say who the person is.
	if f.Journal, err = rewriteJournals(state, r, forGood); err != nil {
		return f, err
	}
	done, err := b.db.Forget(ctx, code, r, now, forGood)
	f.Rows, f.Mails, f.Photos = done.Rows, done.Mails, done.Photos
	if err == nil && f.Traces() == 0 {
		err = fmt.Errorf("nothing is known of anybody under the code %q: give the code that the person had in people.yml", code)
	}
	return f, err
}

// replacer prepares to replace a person, by everything that was ever known of
// them.
func (b *Beside) replacer(ctx context.Context, state, code string) (*pseudonym.Replacer, Forgotten, error) {
	var f Forgotten
	key, err := linkKey(state)
	if err != nil {
		return nil, f, err
	}
	f.As = "gone-" + mark(key, code)[:8]
	who := pseudonym.Person{Code: code, As: f.As}
	if who.Names, who.Addresses, err = b.db.Traces(ctx, code); err != nil {
		return nil, f, err
	}
	err = b.db.Versions(ctx, func(files map[string][]byte) error {
		for _, p := range config.NamedIn(files) {
			if p.Code == code {
				who.Names, who.Addresses, who.Phones = append(who.Names, p.Name), append(who.Addresses, p.Email), append(who.Phones, p.Phone)
			}
		}
		return nil
	})
	return pseudonym.New(who), f, err
}

// known tells whether a code was ever that of a person.
func (b *Beside) known(ctx context.Context, code string) (known bool, err error) {
	if known, err = b.db.Knows(ctx, code); known || err != nil {
		return known, err
	}
	err = b.db.Versions(ctx, func(files map[string][]byte) error {
		known = known || slices.ContainsFunc(config.NamedIn(files), func(p config.Named) bool { return p.Code == code })
		return nil
	})
	return known, err
}

// mark is what a code becomes that nobody shall read.
func mark(key []byte, code string) string {
	h := hmac.New(sha256.New, key)
	fmt.Fprintf(h, "forgotten %s", code)
	return hex.EncodeToString(h.Sum(nil))
}

// duties says what keeps a person from being forgotten.
func (b *Beside) duties(ctx context.Context, code string, r *pseudonym.Replacer) (reasons []string, err error) {
	now, err := b.Now(ctx)
	if err != nil {
		return nil, err
	}
	reasons = roles(b.programme, code)
	calls, err := b.db.WithCalls(ctx, code, civil.At(now.In(b.programme.Zone)).Year())
	if err != nil {
		return nil, err
	}
	for _, c := range calls {
		reasons = append(reasons, "the call "+c+" is with them: let it be answered, or name somebody else for the site and wait for the evening")
	}
	unread, err := b.db.ArrivalsLeft(ctx)
	if err != nil {
		return nil, err
	}
	if unread > 0 {
		reasons = append(reasons, "mails that came in aren't read yet: let budcall run for a minute")
	}
	files, _, _, err := b.db.Accepted(ctx)
	if err != nil || len(reasons) > 0 {
		return reasons, err
	}
	for path, content := range files { // else the folder would bring the name back
		if line := r.Where(path, string(content)); line > 0 {
			reasons = append(reasons, fmt.Sprintf("%s:%d of the configuration in force still names them: take that out, and let budcall accept it", path, line))
		}
	}
	slices.Sort(reasons)
	return reasons, nil
}

// roles says what a person is in a programme.
func roles(p *config.Programme, code string) (reasons []string) {
	for _, role := range []struct{ what, who string }{
		{"coordinator", p.Coordinator}, {"coordinator's deputy", p.CoordinatorDeputy}, {"laboratory", p.Laboratory}, {"ops person", p.Ops},
	} {
		if role.who == code {
			reasons = append(reasons, "they are the "+role.what+": name somebody else in programme.yml")
		}
	}
	for _, s := range p.Sites {
		if s.Lead == code {
			reasons = append(reasons, "they are the lead of "+s.Code+": name somebody else in its file")
		}
		if s.Deputy == code {
			reasons = append(reasons, "they are the deputy of "+s.Code+": name somebody else in its file")
		}
	}
	if _, named := p.Person(code); named {
		reasons = append(reasons, "people.yml names them: take them out, and let budcall accept it")
	}
	return reasons
}

// forgetAgain forgets the people of a restored backup who had been forgotten
// since it was made.
func (b *Beside) forgetAgain(ctx context.Context, state string) (n int, err error) {
	marks, err := forgottenMarks(state)
	if err != nil || len(marks) == 0 {
		return 0, err
	}
	key, err := linkKey(state)
	if err != nil {
		return 0, err
	}
	codes := map[string]bool{}
	if err := b.db.Versions(ctx, func(files map[string][]byte) error {
		for _, p := range config.NamedIn(files) {
			codes[p.Code] = true
		}
		return nil
	}); err != nil {
		return 0, err
	}
	for code := range codes {
		if !slices.Contains(marks, mark(key, code)) {
			continue
		}
		r, f, err := b.replacer(ctx, state, code)
		if err != nil {
			return n, err
		}
		if _, err := b.forget(ctx, state, code, f, r, true); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

// sweep drops what was kept for its time, once a day.
func (a *App) sweep(ctx context.Context, now time.Time) error {
	p := a.conf.programme()
	today := civil.At(now.In(p.Zone))
	if a.swept == today {
		return nil
	}
	err := errors.Join(
		a.db.DropLetters(ctx, now.AddDate(0, 0, -p.LetterDays)),
		a.db.DropMails(ctx, now.AddDate(0, 0, -p.Inbox.KeepDays)),
		a.db.DropRawCopies(ctx, now.AddDate(0, 0, -p.RawCopyDays)),
		dropJournals(a.opt.State, now.AddDate(0, 0, -p.JournalDays)),
	)
	if err == nil {
		a.swept = today
	}
	return err
}

package notice_test

import (
	"strings"
	"testing"

	"budcall/internal/notice"
	"budcall/internal/report"
)

// Who sent an attachment that was left out is told why, and what to do, in
// their language.
func TestAReceiptSaysWhyAnAttachmentWasLeftOut(t *testing.T) {
	said := map[string]report.DropWhy{}
	for _, why := range []report.DropWhy{report.NotPicture, report.TooLarge, report.Damaged, report.KeepsPlace, report.Program, report.Wrapped, report.MailInside, report.TooManyFiles} {
		for _, lang := range []string{"en", "fi", "sv"} {
			l := receipt(notice.Receipt)
			l.Lang = lang
			l.Reply.KeptOut = []notice.KeptOut{{Name: "IMG_2.heic", Why: string(why)}}
			raw, err := notice.Mail(l)
			if err != nil {
				t.Fatal(err)
			}
			_, after, found := strings.Cut(parts(t, raw)["text/plain"], "IMG_2.heic: ")
			line, _, _ := strings.Cut(after, "\n\n")
			if !found || len(line) < 20 || strings.Contains(line, "kept-out") {
				t.Errorf("%s, %q: %q", lang, why, line)
			}
			if other, twice := said[line]; twice {
				t.Errorf("%q and %q are the same in %s: %q", why, other, lang, line)
			}
			said[line] = why
		}
	}
}

package inbox_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/inbox"
)

func TestOneMessageHasOneKeyAndTwoHaveTwo(t *testing.T) {
	base := mail("one", "T3 2+1")
	bare := "From: aino@kolari.example\r\n\r\nT3 2+1\r\n"
	for name, c := range map[string]struct {
		a, b string
		same bool
	}{
		"the same bytes":                     {base, base, true},
		"another line end":                   {base, strings.ReplaceAll(base, "\r\n", "\n"), true},
		"another way here":                   {"Received: from a\r\n\tby b\r\n" + base, "Return-Path: <x@y.example>\r\nreceived: from c\r\nDelivered-To: z\r\n" + base, true},
		"judged by another filter":           {base, "X-Spam-Status: No,\r\n score=0\r\nAuthentication-Results: mx; spf=pass\r\n" + base, true},
		"one word of the text":               {base, mail("one", "T3 2+2"), false},
		"another subject under the same ID":  {base, strings.Replace(base, "Subject: one", "Subject: two", 1), false},
		"another sender":                     {base, strings.Replace(base, "aino@", "vaino@", 1), false},
		"a field of the way within the text": {mail("one", "Received: a"), mail("one", "Received: b"), false},
		"no ID and no date: the way tells two equal mails apart": {"Received: a; 1\r\n" + bare, "Received: a; 2\r\n" + bare, false},
		"no ID and no date, the same way":                        {"Received: a; 1\r\n" + bare, "Received: a; 1\r\n" + bare, true},
		"nothing against an empty line":                          {"", "x", false},
	} {
		if same := inbox.KeyOf([]byte(c.a)) == inbox.KeyOf([]byte(c.b)); same != c.same {
			t.Errorf("%s: the same key is %v", name, same)
		}
	}
}

func TestTheKeyOfAnyMessageIsThatOfItsCopyByAnotherWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		header := "Message-ID: <x@y.example>\n" + rapid.StringMatching(`([A-Za-z-]{1,12}: [ -~]{0,30}\n( [ -~]{0,20}\n)?){0,5}`).Draw(t, "header")
		body := rapid.String().Draw(t, "body")
		whole := header + "\n" + body
		trace := rapid.StringMatching(`((Received|Return-Path|X-Spam-Level): [ -~]{0,30}\n(\t[ -~]{0,20}\n)?){0,3}`).Draw(t, "trace")
		if inbox.KeyOf([]byte(whole)) != inbox.KeyOf([]byte(trace+whole)) {
			t.Fatalf("the key changed by %q", trace)
		}
		if other := whole + "x"; inbox.KeyOf([]byte(whole)) == inbox.KeyOf([]byte(other)) {
			t.Fatal("another text has the same key")
		}
	})
}

func FuzzKeyOf(f *testing.F) {
	for _, s := range []string{"", "\n", "\r\n\r\n", ":", "a", mail("a", "b"), "Received: x", "Received: x\n y\n\n", "\n\n\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		if inbox.KeyOf(raw) != inbox.KeyOf(append([]byte(nil), raw...)) {
			t.Error("the key isn't the same twice")
		}
	})
}

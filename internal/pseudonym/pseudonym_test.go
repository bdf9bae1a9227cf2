package pseudonym_test

import (
	"encoding/base64"
	"strings"
	"testing"
	"time"

	"budcall/internal/link"
	"budcall/internal/pseudonym"
)

func otso() *pseudonym.Replacer {
	return pseudonym.New(pseudonym.Person{
		Code: "otso", As: "gone-1a2b", Names: []string{"Otso Mälli", "Otso Mälli-Invented"}, Addresses: []string{"otso@birches.example"}, Phones: []string{"+358 457 000 0002"},
	})
}

func TestTexts(t *testing.T) {
	for name, c := range map[string]struct{ in, out string }{
		"the name":                      {"Ring Otso Mälli at once", "Ring gone-1a2b at once"},
		"the longer name as a whole":    {"Otso Mälli-Invented went", "gone-1a2b went"},
		"the name in another case":      {"OTSO MÄLLI", "gone-1a2b"},
		"the name as lists have it":     {"Mälli, Otso", "gone-1a2b"},
		"a part of the name":            {"Otso fell, Mälli's hand", "gone-1a2b fell, gone-1a2b's hand"},
		"twice with one blank between":  {"Otso Otso", "gone-1a2b gone-1a2b"},
		"part of another word":          {"Otsonen and Mällinen", "Otsonen and Mällinen"},
		"the address":                   {"mailto:Otso@Birches.example?x", "mailto:gone-1a2b@forgotten.invalid?x"},
		"the number as written":         {"+358 457 000 0002.", "000."},
		"the number as links have it":   {"tel:+3584570000002", "tel:000"},
		"the number without country":    {"0457 000 0002", "000"},
		"the number in other groups":    {"(0457) 0000-002!", "(000!"},
		"a day before the number":       {"on 2031-05-02 ring 0457 000 0002", "on 2031-05-02 ring 000"},
		"another number":                {"+358 457 000 0003", "+358 457 000 0003"},
		"a longer number":               {"+358 457 000 00025", "+358 457 000 00025"},
		"the code in quotes":            {`it is for "otso", whom`, `it is for "gone-1a2b", whom`},
		"the code as a word of its own": {"otso means bear", "otso means bear"},
	} {
		if got := otso().Text(c.in); got != c.out {
			t.Errorf("%s: %q becomes %q, not %q", name, c.in, got, c.out)
		}
	}
}

func TestFiles(t *testing.T) {
	site := "lead: otso # since 2030\ndeputy: eero\nname: Otso's hill\n# otsola is no person\nhelpers: [otso,otso]\n"
	want := "lead: gone-1a2b # since 2030\ndeputy: eero\nname: gone-1a2b's hill\n# otsola is no person\nhelpers: [gone-1a2b,gone-1a2b]\n"
	if got := otso().File("sites/home.yml", site); got != want {
		t.Errorf("got %s", got)
	}
	if got := otso().File("profiles/birch.yml", "key: otso\n"); got != "key: otso\n" {
		t.Errorf("a profile became %s", got)
	}
	if n := otso().Where("sites/home.yml", "code: HOME\nlead: otso\n"); n != 2 {
		t.Errorf("found on line %d", n)
	}
	if n := otso().Where("sites/home.yml", want); n != 0 {
		t.Errorf("found again on line %d", n)
	}
}

func TestJSON(t *testing.T) {
	key := []byte(strings.Repeat("k", 32))
	theirs := "https://x.example/form/" + link.Sign(key, link.Claim{Opens: "form", Person: "otso", Site: "HOME", Expires: time.Unix(0, 0)})
	others := "https://x.example/form/" + link.Sign(key, link.Claim{Opens: "form", Person: "eero", Site: "HOME", Expires: time.Unix(0, 0)})
	in := `{"asked":[{"person":"otso","at":1}],"id":"HOME-2031-otso-hook","by":{"name":"otso"},"site":"otso","n":12345678901234567890,"link":"` + theirs + `","other":"` + others + `","to":"otso@birches.example","note":"ask Otso"}`
	want := `{"asked":[{"at":1,"person":"gone-1a2b"}],"by":{"name":"gone-1a2b"},"id":"HOME-2031-gone-1a2b-hook","link":"","n":12345678901234567890,"note":"ask gone-1a2b","other":"` + others + `","site":"otso","to":"gone-1a2b@forgotten.invalid"}`
	got, err := otso().JSON([]byte(in))
	if err != nil || string(got) != want {
		t.Errorf("got  %s, %v\nwant %s", got, err, want)
	}
	untouched := `{ "b": 1, "a": "x <y>" }`
	if got, err := otso().JSON([]byte(untouched)); err != nil || string(got) != untouched {
		t.Errorf("what isn't the person's became %s, %v", got, err)
	}
}

func TestMails(t *testing.T) {
	head := "From: eero@birches.example\r\nSubject: hello\r\n"
	for name, c := range map[string]struct {
		mail string
		has  bool
	}{
		"nobody":                   {head + "\r\nT3 2+1\r\n", false},
		"in the text":              {head + "\r\n> ring Otso Mälli\r\n", true},
		"in a header":              {"To: =?utf-8?q?Otso_M=C3=A4lli?= <a@b.example>\r\n" + head + "\r\nx\r\n", true},
		"quoted-printable":         {head + "Content-Transfer-Encoding: quoted-printable\r\nContent-Type: text/plain; charset=utf-8\r\n\r\nOtso M=C3=A4lli\r\n", true},
		"in Latin 1":               {head + "Content-Transfer-Encoding: quoted-printable\r\nContent-Type: text/plain; charset=iso-8859-1\r\n\r\nOtso M=E4lli\r\n", true},
		"base64":                   {head + "Content-Transfer-Encoding: base64\r\nContent-Type: text/plain\r\n\r\n" + base64.StdEncoding.EncodeToString([]byte("tel:+3584570000002")) + "\r\n", true},
		"base64 of somebody else":  {head + "Content-Transfer-Encoding: base64\r\nContent-Type: text/plain\r\n\r\n" + base64.StdEncoding.EncodeToString([]byte("tel:+3584570000003")) + "\r\n", false},
		"in a part":                {head + "Content-Type: multipart/mixed; boundary=q\r\n\r\n--q\r\nContent-Type: text/plain\r\nContent-Transfer-Encoding: base64\r\n\r\n" + base64.StdEncoding.EncodeToString([]byte("otso@birches.example")) + "\r\n--q--\r\n", true},
		"base64 that is broken":    {head + "Content-Transfer-Encoding: base64\r\n\r\n%%%\r\n", true},
		"no mail at all":           {"\x00\x01", true},
		"a part that never begins": {head + "Content-Type: multipart/mixed; boundary=q\r\n\r\nnothing\r\n", true},
	} {
		if got := otso().MailMentions([]byte(c.mail)); got != c.has {
			t.Errorf("%s: mentioned %t, not %t", name, got, c.has)
		}
	}
}

func FuzzMailMentions(f *testing.F) {
	f.Add([]byte("From: a@b.example\r\nContent-Type: multipart/mixed; boundary=q\r\n\r\n--q\r\n\r\nx\r\n--q--\r\n"))
	r := otso()
	f.Fuzz(func(t *testing.T, raw []byte) { r.MailMentions(raw) })
}

package notice_test

import (
	"bytes"
	"io"
	"mime/quotedprintable"
	"strings"
	"testing"

	"budcall/internal/notice"
)

// unfolded is a mail's text with every line break made a blank.
func unfolded(t *testing.T, l notice.Letter) string {
	t.Helper()
	raw, err := notice.Mail(l)
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(quotedprintable.NewReader(bytes.NewReader(raw)))
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(text)), " ")
}

// A letter about another species never speaks of birch, in no language.
func TestALetterNamesTheSpeciesThatItIsAbout(t *testing.T) {
	birch, alder := bagOn(), bagOn()
	birch.Species, alder.Species = "silver birch (Betula pendula)", "grey alder (Alnus incana)"
	off := takeOff()
	off.Species = alder.Species
	for _, row := range []struct {
		lang, bark, other string
		birch             []string
	}{
		{"en", "silver birch has dark, scaly bark", "what is wanted here is grey alder (Alnus incana).", []string{"birch", "Betula"}},
		{"fi", "rauduskoivulla on tyvellä tumma", "täällä haetaan lajia grey alder (Alnus incana).", []string{"koivu", "Betula"}},
		{"sv", "vårtbjörk har mörk", "här gäller det grey alder (Alnus incana).", []string{"björk", "Betula"}},
	} {
		of := func(items ...notice.Item) string {
			l := letter("2031.X", "05-02", items...)
			l.Lang, l.Programme, l.FromName, l.Domain, l.From = row.lang, "Alders", "Alders", "trees.example", "calls@trees.example"
			for i := range l.Items {
				l.Items[i].Link = "https://trees.example/f/x"
			}
			return unfolded(t, l)
		}
		if text := of(birch); !strings.Contains(text, row.bark) || strings.Contains(text, row.other) {
			t.Errorf("%s, birch:\n%s", row.lang, text)
		}
		if text := of(bagOn()); !strings.Contains(text, row.bark) {
			t.Errorf("%s, written before a species was named:\n%s", row.lang, text)
		}
		for what, text := range map[string]string{"bags on": of(alder), "take off": of(off)} {
			for _, word := range row.birch {
				if strings.Contains(strings.ToLower(text), strings.ToLower(word)) {
					t.Errorf("%s, %s of alder says %q:\n%s", row.lang, what, word, text)
				}
			}
			if strings.Contains(text, row.other) != (what == "bags on") {
				t.Errorf("%s, %s of alder:\n%s", row.lang, what, text)
			}
		}
		if text := of(birch, alder, alder); strings.Count(text, row.bark) != 2 || strings.Count(text, row.other) != 2 { // in text and in HTML
			t.Errorf("%s, two species in one letter:\n%s", row.lang, text)
		}
	}
}

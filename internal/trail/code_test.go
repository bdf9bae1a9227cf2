package trail_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"budcall/internal/trail"
)

func TestCheckCharacters(t *testing.T) {
	for _, row := range []struct{ text, check, source string }{
		{"G123489654321", "Y", "worked example of a well-known library's documentation, from memory"},
		{"K001", "C", "computed by hand: ((((20·2+0)·2+0)·2)+1)·2 = 322 = 26 mod 37, and 26 + 12 leaves 1"},
		{"K-001", "C", "the same: hyphens aren't counted"},
		{"0", "1", "computed by hand: 0, and 1 leaves 1"},
		{"J", "0", "computed by hand: 19·2 = 38 leaves 1 already"},
		{"1", "*", "computed by hand: 2, and 36 more are 38, which leaves 1"},
	} {
		check, ok := trail.CheckCharacter(row.text)
		if !ok || string(check) != row.check {
			t.Errorf("%s: %c, %v, expected %s (%s)", row.text, check, ok, row.check, row.source)
		}
	}
	for _, text := range []string{"", "-", "k001", "K 001", "K*01", "Ä1"} {
		if _, ok := trail.CheckCharacter(text); ok {
			t.Errorf("%q has a check character", text)
		}
	}
}

// wood is the trees of two invented sites; one code has its check character.
func wood() []trail.Planted {
	plant := func(site, code, short string) trail.Planted {
		return trail.Planted{Site: site, Tree: trail.Tree{Code: code, Short: short}, MinSelfing: 2, MinControl: 1, LotDays: 7}
	}
	return []trail.Planted{
		plant("KOLMI", trail.WithCheck("K-001"), "T1"), plant("KOLMI", trail.WithCheck("K-002"), "T2"), plant("KOLMI", trail.WithCheck("K-017"), "T3"),
		plant("KOLMI", trail.WithCheck("K-0110"), "T4"), plant("HOYMARK", "H-101", "T1"), plant("HOYMARK", trail.WithCheck("MAR-01"), "T2"),
	}
}

// One character wrong, and two neighbours swapped: all of them, at every place
// of several codes, hyphens among them.
func TestEverySingleSlipIsNoticed(t *testing.T) {
	d := trail.NewDirectory(wood(), nil)
	codes := []string{trail.WithCheck("K-001"), trail.WithCheck("K-0110"), trail.WithCheck("MAR-01")}
	for _, tree := range []string{"K-001", "H-101", "K-0110"} {
		for _, k := range trail.BagKinds {
			for bag := range 13 {
				codes = append(codes, trail.Code{Tree: tree, Season: 2031, Kind: k, Bag: bag}.String())
			}
		}
	}
	tried := 0
	for _, code := range codes {
		if c, how, err := d.Find(code); err != nil || how != trail.AsWritten || c.String() != code {
			t.Fatalf("%s is found as %v, %q, %v", code, c, how, err)
		}
		for _, wrong := range singleSlips(code) {
			tried++
			if c, how, err := d.Find(wrong); err == nil {
				t.Errorf("%s, a slip of %s, is taken for %s (%s)", wrong, code, c, how)
			}
		}
	}
	if tried < 10_000 {
		t.Errorf("only %d slips were tried", tried)
	}
}

// singleSlips gives every text with one character of code changed or two
// neighbours swapped.
func singleSlips(code string) (all []string) {
	for i := range code {
		for _, r := range "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*- " {
			if byte(r) != code[i] && !(r == ' ' && code[i] == '-') { // a blank for a hyphen changes nothing
				all = append(all, code[:i]+string(r)+code[i+1:])
			}
		}
		if i+1 < len(code) && code[i] != code[i+1] {
			all = append(all, code[:i]+code[i+1:i+2]+code[i:i+1]+code[i+2:])
		}
	}
	return all
}

func TestNoSlipKeepsTheCheckCharacter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[0-9A-Z]{1,14}`).Draw(t, "text")
		check, _ := trail.CheckCharacter(text)
		for _, wrong := range singleSlips(text + string(check)) {
			body, last := wrong[:len(wrong)-1], wrong[len(wrong)-1]
			if got, ok := trail.CheckCharacter(body); ok && got == last && !strings.ContainsAny(body, "-* ") {
				t.Fatalf("%s passes for %s%c", wrong, text, check)
			}
		}
	})
}

func TestCodesAsPeopleWriteThem(t *testing.T) {
	d := trail.NewDirectory(wood(), []trail.Alias{{Was: "Old birch 7", Tree: "K-002"}, {Was: "00012", Tree: "K-017"}, {Was: "1E5", Tree: "K-0110"}, {Was: "K-001-C", Tree: "K-002"}}, trail.Code{Tree: "K-001", Season: 2031, Kind: trail.Selfing, Bag: 1}.String())
	bag := trail.Code{Tree: "K-001", Season: 2031, Kind: trail.Selfing, Bag: 1}.String() // K-001-31S1-7
	for _, row := range []struct {
		says, written, code string
		how                 trail.How
	}{
		{"as on the label", "K-001-C", "K-001-C", trail.AsWritten},
		{"a tree's code wins over a former one of another", "K-001-C", "K-001-C", trail.AsWritten},
		{"small letters", "k-001-c", "K-001-C", trail.Regrouped},
		{"blanks for hyphens", " K 001 C ", "K-001-C", trail.Regrouped},
		{"a dash of the wrong kind", "K–001–C", "K-001-C", trail.Regrouped},
		{"no hyphens at all", "k001c", "K-001-C", trail.Regrouped},
		{"a bag without hyphens", strings.ReplaceAll(bag, "-", ""), bag, trail.Regrouped},
		{"a tree that has no check character in its site's file", "H-101", trail.WithCheck("H-101"), trail.WithoutCheck},
		{"the same tree with one", trail.WithCheck("H-101"), trail.WithCheck("H-101"), trail.AsWritten},
		{"a former name", "old birch 7", trail.WithCheck("K-002"), trail.ByAlias},
		{"a former number", "00012", trail.WithCheck("K-017"), trail.ByAlias},
	} {
		c, how, err := d.Find(row.written)
		if err != nil || c.String() != row.code || how != row.how {
			t.Errorf("%s: %q is %v, %q, %v", row.says, row.written, c, how, err)
		}
	}
	for _, row := range []struct {
		says, written, near string
		slip                trail.Slip
	}{
		{"O for 0", "K-O01-C", "K-001-C", trail.LookAlike},
		{"O for 0, and the check character left out", "K OO1", "K-001-C", trail.LookAlike},
		{"I for 1", "K-00I-C", "K-001-C", trail.LookAlike},
		{"S for 5 and back", strings.Replace(bag, "31S1", "3151", 1), bag, trail.LookAlike},
		{"the check character left out", "K-001", "K-001-C", trail.NoCheck},
		{"one hyphen in the wrong place", "K0-01-C", "K-001-C", trail.SameCharacters},
		{"one hyphen missing", "K001-C", "K-001-C", trail.SameCharacters},
		{"one wrong", "K-004-C", "K-001-C", trail.OneWrong},
		{"two swapped", "K-010-C", "K-001-C", trail.Swapped},
		{"one missing", "K-01-C", "K-001-C", trail.OneMissing},
		{"one too many", "K-0011-C", "K-001-C", trail.OneTooMany},
		{"a number that lost its zeros", "12", "00012", trail.MadeANumber},
		{"a number that lost its zeros and got a decimal", "12.0", "00012", trail.MadeANumber},
		{"an E taken for a power of ten", "100000", "1E5", trail.MadeANumber},
		{"the same as a spreadsheet shows it", "1,00E+05", "1E5", trail.MadeANumber},
		{"a month taken for a date", "1-Mar", trail.WithCheck("MAR-01"), trail.MadeADate},
		{"the same, shown in numbers", "01.03.2031", trail.WithCheck("MAR-01"), trail.MadeADate},
		{"the same, as kept in a file", "2001-03-01 00:00:00", trail.WithCheck("MAR-01"), trail.MadeADate},
		{"the same, as a count of days", "36951", trail.WithCheck("MAR-01"), trail.MadeADate}, // 1 March 2001; 1 January 2000 is 36526 (from memory), and 366 + 31 + 28 days on
	} {
		_, how, err := d.Find(row.written)
		unknown, ok := err.(*trail.Unknown)
		if !ok {
			t.Errorf("%s: %q is silently taken (%s), %v", row.says, row.written, how, err)
			continue
		}
		if !slices.Contains(unknown.Near, trail.Near{Code: row.near, Slip: row.slip}) {
			t.Errorf("%s: near %q are %v, without %s (%s)", row.says, row.written, unknown.Near, row.near, row.slip)
		}
	}
	if _, _, err := d.Find("XYZZY"); err == nil || !strings.Contains(err.Error(), "read it from the label again") {
		t.Errorf("of nonsense it is said: %v", err)
	}
}

func TestCheckTreeCode(t *testing.T) {
	for _, row := range []struct {
		code    string
		checked bool
		problem string
	}{
		{"K-001-C", true, ""}, {"K-001", false, ""}, {"K-001-D", false, "write K-001-C"}, {"k-001", false, "capital letters"}, {"K001", false, "capital letters"},
	} {
		checked, err := trail.CheckTreeCode(row.code)
		if checked != row.checked || (err == nil) != (row.problem == "") || err != nil && !strings.Contains(err.Error(), row.problem) {
			t.Errorf("%s: %v, %v", row.code, checked, err)
		}
	}
	// One of these would be taken for another, the third for neither.
	one, two, other := trail.Bare("K-001"), trail.Bare("K-002"), trail.Bare("K0-01-"+trail.WithCheck("K001")[5:])
	if one != other || one == two {
		t.Errorf("bare: %s, %s, %s", one, two, other)
	}
}

func TestEveryCodeIsReadAsItIsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := trail.Code{Tree: rapid.StringMatching(`[A-Z][A-Z0-9]{0,11}-[0-9]{1,5}`).Draw(t, "tree")}
		switch rapid.IntRange(0, 3).Draw(t, "what") {
		case 1:
			c.Season, c.Kind = rapid.IntRange(2000, 2099).Draw(t, "season"), rapid.SampledFrom(trail.BagKinds).Draw(t, "kind")
		case 2:
			c.Season, c.Kind, c.Bag = 2031, trail.Control, rapid.IntRange(1, 99).Draw(t, "bag")
		case 3:
			c = trail.Code{Number: rapid.Int64Range(1, 1e12).Draw(t, "number")}
		}
		back, checked, err := trail.ParseCode(c.String())
		if err != nil || !checked || back != c {
			t.Fatalf("%s comes back as %+v, %v, %v", c, back, checked, err)
		}
	})
}

func FuzzFind(f *testing.F) {
	d := trail.NewDirectory(wood(), []trail.Alias{{Was: "00012", Tree: "K-017"}})
	for _, s := range []string{"K-001-C", "k 001 c", "12U-1", "2031-03-01", "1,00E+05", "\xff-\x00", "–––"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, _, err := d.Find(text)
		if err == nil && c.String() == "" {
			t.Errorf("%q is found as nothing", text)
		}
		if err != nil && !strings.Contains(err.Error(), "label") {
			t.Errorf("%q: %v doesn't say what to do", text, err)
		}
	})
}

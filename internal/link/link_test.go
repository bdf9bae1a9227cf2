package link_test

import (
	"encoding/base64"
	"errors"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/link"
)

var (
	key   = []byte("a key of thirty-two bytes or more")
	noon  = time.Date(2031, 5, 3, 12, 0, 0, 0, time.UTC)
	claim = link.Claim{Opens: "form", Person: "ada", Site: "kolmi", Task: "bag on", Season: 2031, Expires: noon}
)

// anyClaim draws claims of every shape, texts of any letters included.
var anyClaim = rapid.Custom(func(t *rapid.T) link.Claim {
	return link.Claim{
		Opens: rapid.String().Draw(t, "opens"), Person: rapid.String().Draw(t, "person"), Site: rapid.String().Draw(t, "site"),
		Task: rapid.String().Draw(t, "task"), Season: rapid.Int().Draw(t, "season"), Turn: rapid.Int().Draw(t, "turn"),
		Expires: time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "expires"), 0).UTC(),
	}
})

func TestATokenGivesBackItsClaim(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyClaim.Draw(t, "claim")
		token := link.Sign(key, c)
		if got, err := link.Open(key, token, c.Expires); err != nil || got != c {
			t.Fatalf("%+v came back as %+v, %v", c, got, err)
		}
		if again := link.Sign(key, c); again != token {
			t.Fatalf("signed twice: %s and %s", token, again)
		}
		if strings.Trim(token, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.") != "" {
			t.Fatalf("a token needs escaping in a URL: %s", token)
		}
	})
}

func TestATokenWithAnyBitAlteredIsRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		token := []byte(link.Sign(key, anyClaim.Draw(t, "claim")))
		at := rapid.IntRange(0, 8*len(token)-1).Draw(t, "bit")
		token[at/8] ^= 1 << (at % 8)
		if c, err := link.Open(key, string(token), time.Unix(0, 0)); !errors.Is(err, link.ErrAltered) || c != (link.Claim{}) {
			t.Fatalf("opened as %+v, %v", c, err)
		}
	})
}

func TestEveryBitOfOneTokenMatters(t *testing.T) {
	whole := link.Sign(key, claim)
	for at := range 8 * len(whole) {
		token := []byte(whole)
		token[at/8] ^= 1 << (at % 8)
		if c, err := link.Open(key, string(token), noon); !errors.Is(err, link.ErrAltered) || c != (link.Claim{}) {
			t.Errorf("bit %d: opened as %+v, %v", at, c, err)
		}
	}
}

func TestALinkWorksUntilItsMomentAndNotAfter(t *testing.T) {
	for name, row := range map[string]struct {
		now  time.Time
		want error
	}{
		"long before":              {noon.AddDate(-1, 0, 0), nil},
		"at the moment itself":     {noon, nil},
		"at it in another zone":    {noon.In(time.FixedZone("EEST", 3*3600)), nil},
		"the least moment after":   {noon.Add(1), link.ErrExpired},
		"a second after":           {noon.Add(time.Second), link.ErrExpired},
		"long after":               {noon.AddDate(10, 0, 0), link.ErrExpired},
		"the least moment before":  {noon.Add(-1), nil},
		"at no moment: year 1 UTC": {time.Time{}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			c, err := link.Open(key, link.Sign(key, claim), row.now)
			if !errors.Is(err, row.want) || c != claim { // an expired link still says whose it was
				t.Errorf("%+v, %v; want %v", c, err, row.want)
			}
		})
	}
}

func TestTheMomentIsCutToTheSecond(t *testing.T) {
	c := claim
	c.Expires = noon.Add(999 * time.Millisecond)
	if _, err := link.Open(key, link.Sign(key, c), noon.Add(time.Millisecond)); !errors.Is(err, link.ErrExpired) {
		t.Errorf("%v, want %v", err, link.ErrExpired)
	}
}

func TestAnotherKeyOpensNothing(t *testing.T) {
	token := link.Sign(key, claim)
	for name, other := range map[string][]byte{
		"another": []byte("b key of thirty-two bytes or more"), "a part": key[:len(key)-1], "more": append([]byte("x"), key...), "none": nil,
	} {
		if c, err := link.Open(other, token, noon); !errors.Is(err, link.ErrAltered) || c != (link.Claim{}) {
			t.Errorf("%s: opened as %+v, %v", name, c, err)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		other := rapid.SliceOfN(rapid.Byte(), 32, 64).Draw(t, "key")
		if _, err := link.Open(other, token, noon); !errors.Is(err, link.ErrAltered) {
			t.Fatalf("opened by %x: %v", other, err)
		}
	})
}

func TestPartsOfTwoLinksMakeNone(t *testing.T) {
	other := claim
	other.Person = "bo"
	body1, tag1, _ := strings.Cut(link.Sign(key, claim), ".")
	body2, tag2, _ := strings.Cut(link.Sign(key, other), ".")
	for name, token := range map[string]string{
		"crossed": body1 + "." + tag2, "crossed the other way": body2 + "." + tag1, "without its tag": body1 + ".", "without its dot": body1 + tag1,
		"without its body": "." + tag1, "with half its tag": body1 + "." + tag1[:11], "with more": body1 + "." + tag1 + ".x",
		"padded": body1 + "=." + tag1, "with a line break": body1 + "\n." + tag1, "with a break in its tag": body1 + "." + tag1[:4] + "\r\n" + tag1[4:], "empty": "", "a dot": ".",
	} {
		if c, err := link.Open(key, token, noon); !errors.Is(err, link.ErrAltered) || c != (link.Claim{}) {
			t.Errorf("%s: opened as %+v, %v", name, c, err)
		}
	}
}

// Only tokens of our own making open, whatever somebody sends.
func FuzzOpen(f *testing.F) {
	good := link.Sign(key, claim)
	f.Add(good)
	f.Add(good[:len(good)-1])
	f.Add("." + base64.RawURLEncoding.EncodeToString(make([]byte, 16)))
	f.Add("e30.AAAAAAAAAAAAAAAAAAAAAA")
	f.Add("....")
	f.Fuzz(func(t *testing.T, token string) {
		c, err := link.Open(key, token, noon)
		if err == nil && token != good || err != nil && (!errors.Is(err, link.ErrAltered) || c != (link.Claim{})) {
			t.Errorf("%q opened as %+v, %v", token, c, err)
		}
	})
}

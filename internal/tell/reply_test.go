package tell_test

import (
	"encoding/json"
	"regexp"
	"testing"
	"time"

	"budcall/internal/call"
	"budcall/internal/notice"
	"budcall/internal/tell"
)

func TestALettersIDCantBeGuessedAndIsTheSameEachTime(t *testing.T) {
	d := directory()
	id := func(key string) string {
		d.Key = []byte(key)
		out, err := tell.Letters(d, tell.Occasion{At: at}, []notice.Due{due(1, "aino", call.Go)})
		if err != nil || len(out) != 1 {
			t.Fatal(len(out), err)
		}
		return out[0].ID
	}
	one := id("0123456789abcdef0123456789abcdef")
	if !regexp.MustCompile(`^20310502T233000-[a-z2-7]{13}$`).MatchString(one) { // 13 characters of 5 bits: 65 bits
		t.Errorf("ID %q", one)
	}
	if again := id("0123456789abcdef0123456789abcdef"); again != one {
		t.Errorf("the same letter is %q, then %q", one, again)
	}
	if other := id("another key of another installation"); other[16:] == one[16:] {
		t.Errorf("under another key the ID is the same: %q", other)
	}
}

func TestALetterAboutAMailHasAnIDOfItsOwn(t *testing.T) {
	d := directory()
	ids := map[string]bool{}
	for _, r := range []notice.Reply{{Arrived: 1, For: notice.Receipt}, {Arrived: 2, For: notice.Receipt}, {Arrived: 1, For: notice.Tap}} {
		for range 2 {
			p, err := d.Reply(at, "aino", r, "earlier")
			if err != nil {
				t.Fatal(err)
			}
			ids[p.ID] = true
			var l notice.Letter
			if err := json.Unmarshal(p.Content, &l); err != nil || l.Kind != r.For || l.To != "aino@birch.example" || l.Thread[0] != "earlier" || l.Coordinator.Name != "Liis" {
				t.Errorf("%+v %v", l, err)
			}
			if p.Kind != string(r.For) || p.Target != "aino" || p.ExpiresAt.Sub(p.WrittenAt) < 24*time.Hour {
				t.Errorf("%+v", p)
			}
		}
	}
	if len(ids) != 3 {
		t.Errorf("%d IDs for three letters written twice", len(ids))
	}
	if _, err := d.Reply(at, "nobody", notice.Reply{For: notice.Receipt}, ""); err == nil {
		t.Error("a letter to nobody")
	}
}

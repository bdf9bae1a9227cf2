package tell_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"budcall/internal/notice"
	"budcall/internal/tell"
)

func TestAnOverviewIsTheSameLetterHoweverOftenItIsWritten(t *testing.T) {
	o := tell.Occasion{At: at, Late: true}
	w := notice.Overview{Sites: []notice.SiteWeek{{Code: "KOL", Name: "Kolmivaara"}}}
	first, err := directory().Week(o, "liis", w)
	if err != nil {
		t.Fatal(err)
	}
	again, err := directory().Week(o, "liis", w)
	if err != nil || first.ID != again.ID || string(first.Content) != string(again.Content) {
		t.Errorf("written twice: %s and %s, %v", first.ID, again.ID, err)
	}
	other, err := directory().Week(o, "aino", w)
	if err != nil || other.ID == first.ID {
		t.Errorf("two people's letters are both %s, %v", other.ID, err)
	}
	var l notice.Letter
	if err := json.Unmarshal(first.Content, &l); err != nil {
		t.Fatal(err)
	}
	if l.Kind != notice.Weekly || !l.Late || l.Week == nil || l.To == "" || !first.ExpiresAt.Equal(at.Add(72*time.Hour)) {
		t.Errorf("%+v, until %s", l, first.ExpiresAt)
	}
	if strings.Contains(first.ID, "liis") {
		t.Errorf("the ID %s names somebody", first.ID)
	}
}

func TestAnOverviewForNobodyIsAnError(t *testing.T) {
	if _, err := directory().Week(tell.Occasion{At: at}, "nobody", notice.Overview{}); err == nil || !strings.Contains(err.Error(), `"nobody"`) {
		t.Errorf("%v", err)
	}
}

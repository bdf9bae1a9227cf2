package app

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
)

// Frost says with status 412 that it has nothing of the days asked for: no
// fault where it has given days before, and one where it never has.
func TestAProviderThatHasNothingIsNotBroken(t *testing.T) {
	for _, known := range []bool{true, false} {
		rig := newProvidersRig(t)
		frost := rig.peers[2]
		if known {
			if h := rig.pull(t)["frost"]; len(h.Days) == 0 {
				t.Fatal("it gave no days")
			}
		}
		frost.fault = "nothing of these days"
		rig.now = rig.now.Add(24 * time.Hour)
		h := rig.pull(t)["frost"]
		if (h.Error == "") != known || known && (h.Source.Failures != 0 || h.Source.Newest == 0) {
			t.Errorf("it has given days before (%v), and is said to be %q, %+v", known, h.Error, h.Source)
		}
		if known && strings.Contains(rig.said.String(), "could not be used") {
			t.Errorf("told: %s", &rig.said)
		}
		rig.now = rig.now.Add(30 * time.Hour)
		if rig.pull(t); known && !strings.Contains(rig.said.String(), "station FROST has been silent for 54 hours: its newest day is") {
			t.Errorf("after two days the ops person is told %s", &rig.said)
		}
	}
}

// SMHI keeps minimum and maximum in files of their own; here there is no maximum.
func TestWhatAProviderKeepsApartIsStoredAsOne(t *testing.T) {
	rig := newProvidersRig(t)
	if h := rig.pull(t)["smhi-metobs"]; len(h.Days) != 3 || !bytes.HasPrefix(h.Body, []byte("PK")) || h.Source.ETag != "" {
		t.Errorf("%d days of %.10q", len(h.Days), h.Body)
	}
	if again := rig.pull(t)["smhi-metobs"]; len(again.Body) != 0 {
		t.Errorf("the same again: %d bytes are kept", len(again.Body))
	}
	if smhi := rig.peers[1]; smhi.asked != 6 {
		t.Errorf("%d requests for two pulls of three files", smhi.asked)
	}
}

// Frost gives a long answer in pages (formats: nextLink and offset); the days
// of all of them are stored as one answer's, or none are.
func TestAnAnswerInPagesIsFollowedToItsEnd(t *testing.T) {
	whole := newProvidersRig(t).pull(t)["frost"]
	rig := newProvidersRig(t)
	frost := rig.peers[2]
	frost.fault = "pages"
	h := rig.pull(t)["frost"]
	if fmt.Sprint(h.Days) != fmt.Sprint(whole.Days) || !bytes.HasPrefix(h.Body, []byte("PK")) || frost.asked != 3 || len(frost.wrong) > 0 {
		t.Errorf("%d requests, %d days of %d, refused %q, %s", frost.asked, len(h.Days), len(whole.Days), frost.wrong, h.Error)
	}
	for fault, says := range map[string]string{"pages without end": "more than 100 pages", "pages elsewhere": "isn't where it began"} {
		rig := newProvidersRig(t)
		rig.peers[2].fault = fault
		if h := rig.pull(t)["frost"]; !strings.Contains(h.Error, says) || len(h.Days) > 0 || strings.Contains(rig.said.String(), "a-client-id") {
			t.Errorf("%s: %d days, %q, %s", fault, len(h.Days), h.Error, &rig.said)
		}
	}
}

package call_test

import (
	"encoding/json"
	"slices"
	"testing"

	"budcall/internal/call"
	"budcall/internal/civil"
)

func TestEachStandingMeansOneThing(t *testing.T) {
	for _, r := range []struct {
		standing    call.Standing
		asks, ended bool
	}{
		{call.Quiet, false, false}, {call.Ahead, false, false},
		{call.Go, true, false}, {call.Hurry, true, false}, {call.LookFirst, true, false},
		{call.TooLate, false, true}, {call.Done, false, true}, {call.NotNeeded, false, true},
	} {
		if r.standing.Asks() != r.asks || r.standing.Ended() != r.ended {
			t.Errorf("%q: asks %v, ended %v", r.standing, r.standing.Asks(), r.standing.Ended())
		}
	}
}

func TestTasksStandInTheOrderOfTheSeason(t *testing.T) {
	want := []call.Task{
		call.SurveyTrees, call.SendKit, call.LookAtBuds, call.BagOn, call.CheckBags, call.TakeOff,
		call.LookAtSeed, call.PickSeed, call.LotExpected, call.ShortSeason,
	}
	if !slices.Equal(call.Tasks, want) {
		t.Errorf("%q", call.Tasks)
	}
}

func TestNothingToldIsStoredAsNothing(t *testing.T) {
	raw, err := json.Marshal(call.Told{})
	if err != nil || string(raw) != "{}" {
		t.Errorf("%s %v", raw, err)
	}
	told := call.Told{Standing: call.LookFirst, Days: civil.Range{First: 741000, Last: 741004}, On: 741005}
	raw, err = json.Marshal(told)
	var back call.Told
	if err != nil || json.Unmarshal(raw, &back) != nil || back != told {
		t.Errorf("%s comes back as %+v", raw, back)
	}
}

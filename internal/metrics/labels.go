package metrics

import (
	"slices"

	"budcall/internal/call"
	"budcall/internal/weather"
)

// The label sets. They are closed, so that every counter exists, at 0, before
// its first event: a rate needs a first value to rise from.
var (
	slots    = []string{"pull", "evening"}
	classes  = []string{"station", "outlook"}
	channels = []string{"mail", "webhook"}
	results  = []string{"sent", "later", "refused", "broken", "unknown"}
	kinds    = []string{"work", "deliver"}
	endings  = []string{"done", "failed"}
)

// other is where an event is counted whose label is not in its set: nothing is
// lost, and no stray word makes a new series.
const other = "other"

// within gives the word itself where it is in the set, or other.
func within(set []string, word string) string {
	if slices.Contains(set, word) {
		return word
	}
	return other
}

// marks lists why readings are kept and not used.
func marks() []string {
	var out []string
	for _, m := range weather.Marks() {
		out = append(out, string(m))
	}
	return out
}

// tasks lists what people are called for.
func tasks() []string {
	var out []string
	for _, t := range call.Tasks {
		out = append(out, string(t))
	}
	return out
}

// standings lists how a call can stand once it is spoken of.
func standings() []string {
	return []string{
		string(call.Ahead), string(call.Go), string(call.Hurry), string(call.LookFirst),
		string(call.TooLate), string(call.Done), string(call.NotNeeded),
	}
}

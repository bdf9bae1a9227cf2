package cli_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/cli"
)

func TestWhatCameOfAListIsALine(t *testing.T) {
	at := time.Date(2031, 4, 20, 6, 0, 0, 0, time.UTC)
	for _, row := range []struct {
		sentence string
		list     app.FetchedList
		want     string
	}{
		{"fetched", app.FetchedList{Format: "fmi-stations", File: "/state/lists/fmi-stations.gz", At: at, Stations: 436, How: app.ListFetched}, "fmi-stations: 436 stations of 2031-04-20, fetched (fmi-stations.gz)"},
		{"a failure names its list once", app.FetchedList{Format: "fmi-stations", Err: errors.New("fmi-stations: https://weather.example: status 400")}, "fmi-stations: https://weather.example: status 400"},
		{"the earlier copy stays", app.FetchedList{Format: "fmi-stations", At: at, Err: errors.New("fmi-stations: status 400")}, "fmi-stations: that of 2031-04-20 stays: status 400"},
		{"a key is wanted, and how it is given", app.FetchedList{Format: "frost-stations", How: app.ListWantsKey}, "frost-stations: left out: it wants a key (give --frost-key FILE)"},
		{"also where an earlier copy is", app.FetchedList{Format: "frost-stations", At: at, Stations: 2, How: app.ListWantsKey}, "frost-stations: left out: it wants a key (give --frost-key FILE)"},
	} {
		if got := cli.FetchedLine(row.list); got != row.want {
			t.Errorf("%s: %q, want %q", row.sentence, got, row.want)
		}
	}
}

// Nothing is asked over the network before the key can be read.
func TestTheKeyForAListIsRead(t *testing.T) {
	empty := filepath.Join(t.TempDir(), "key")
	if err := os.WriteFile(empty, []byte("\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for file, want := range map[string]string{empty: "is empty: write the client id", empty + "x": "isn't there: look how its name is written"} {
		var errs strings.Builder
		status := cli.Run(t.Context(), []string{"stations", "--fetch", "--contact", "a@birches.example", "--state", t.TempDir(), "--frost-key", file}, cli.Streams{Out: &errs, Err: &errs})
		if status != 1 || !strings.Contains(errs.String(), want) {
			t.Errorf("status %d: %s", status, errs.String())
		}
	}
}

package cli_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"budcall/internal/civil"
	"budcall/internal/cli"
)

// climate writes daily temperatures of an invented place: climate FILE FIRST
// LAST, both years.
func climate(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: climate FILE FIRST LAST")
	}
	first, err := strconv.Atoi(args[1])
	ts.Check(err)
	last, err := strconv.Atoi(args[2])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), climateOf(first, last), 0o644))
}

// climateOf is a yearly wave with spells of some weeks, and days a degree apart.
func climateOf(first, last int) []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "date,tmin_c,tmax_c,tmean_c")
	for d := civil.Of(first, 1, 1); d <= civil.Of(last, 12, 31); d++ {
		mean := 6 - 12*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365) + 3*math.Sin(float64(d)/6.1) + 2*math.Sin(float64(d)/17.3) + float64(d%3) - 1
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%.1f\n", d, mean-4, mean+4, mean)
	}
	return b.Bytes()
}

// The keys that programs read.
func TestRehearseGivesTheKeysAgreedOn(t *testing.T) {
	file := filepath.Join(t.TempDir(), "lill.csv")
	if err := os.WriteFile(file, climateOf(2010, 2023), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	args := []string{"rehearse", "--temperatures", file, "--years", "2019-2022", "--trees", "3", "--seed", "5", "--profile", "../../config/profiles/silver-birch.yml", "--json"}
	if status := cli.Run(context.Background(), args, cli.Streams{Out: &out, Err: &errs}); status != 0 {
		t.Fatalf("status %d: %s", status, &errs)
	}
	var got map[string]json.RawMessage
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{"stations": "1", "seasons": "2", "seed": "5"} {
		if string(got[key]) != want {
			t.Errorf("%s is %s, want %s", key, got[key], want)
		}
	}
	var plans []map[string]any
	if err := json.Unmarshal(got["plans"], &plans); err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, p := range plans {
		names = append(names, fmt.Sprint(p["plan"]))
		for _, k := range strings.Fields("lost too_early in_time off_in_time picked_ripe trips_bag trips_pick mails_per_lead") {
			if p[k] == nil || p[k+"_se"] == nil {
				t.Errorf("%s of %v is missing", k, p["plan"])
			}
		}
	}
	if want := []string{"budcall", "calendar", "heat sum, median", "heat sum, tuned", "heat sum, tuned, raw forecast"}; !slices.Equal(names, want) {
		t.Errorf("plans %q, want %q", names, want)
	}
	var refused []struct {
		Station, Reason string
		Year            int
	}
	if err := json.Unmarshal(got["refused"], &refused); err != nil {
		t.Fatal(err)
	}
	if len(refused) != 1 || refused[0].Year != 2019 || refused[0].Station != "lill" || got["settings"] == nil || got["worst"] == nil {
		t.Errorf("refused %+v, settings %s, worst %s", refused, got["settings"], got["worst"])
	}
}

package postgres

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/trail"
)

func TestAnEntryIsStoredOnceAndComesBackAsItWas(t *testing.T) {
	db := memory(t)
	lot := trail.Code{Tree: "K-001", Season: 2031, Kind: trail.Selfing}.String()
	entry := func(kind trail.EntryKind, season int, d trail.Data) trail.Entry {
		return trail.Entry{Season: season, Kind: kind, Subject: lot, Person: "lumi", Day: civil.At(noon), At: noon, Why: "as it is", Way: "command", Data: d}
	}
	want := []trail.Entry{
		entry(trail.LabReceived, 2031, trail.Data{Receipt: &trail.Receipt{Written: "K OO1", Kind: trail.Selfing, Bags: []int{1, 2}, Packets: 2, Condition: "dry"}}),
		entry(trail.LabPlaced, 2031, trail.Data{Into: lot}),
		entry(trail.LabWeighed, 2031, trail.Data{Masses: &trail.Masses{BeforeG: 12.5, AfterG: 11.25}}),
		entry(trail.LabMoisture, 2031, trail.Data{Moisture: &trail.Moisture{Samples: []trail.Sample{{ContainerG: 10, BeforeG: 15, AfterG: 14.5}}}}),
		entry(trail.LabSeedWeight, 2031, trail.Data{SeedWeight: &trail.SeedWeight{Seeds: 100, Grams: []float64{0.02, 0.021}}}),
		entry(trail.LabFilled, 2031, trail.Data{Filled: &trail.Filled{Filled: 3, Tested: 400, Catkins: 5}}),
		entry(trail.LabSown, 2031, trail.Data{Sown: &trail.Sown{Seeds: []int{100, 100}, CountDays: []int{7, 21}}}),
		entry(trail.LabCounted, 2031, trail.Data{Counted: &trail.Counted{Germinated: []int{3, 4}}}),
		entry(trail.LabStored, 2031, trail.Data{Store: "cold room, shelf 3"}),
		entry(trail.LabNoted, 2031, trail.Data{}),
		entry(trail.LabAlias, 2029, trail.Data{Alias: "Old birch 7"}),
		entry(trail.LabWithdrawn, 2029, trail.Data{}),
	}
	if len(want) != len(trail.EntryKinds) {
		t.Errorf("%d kinds are tried of %d", len(want), len(trail.EntryKinds))
	}
	for i, e := range want {
		if e.Kind == trail.LabWithdrawn {
			e.Withdraws = want[i-1].ID
			want[i] = e
		}
		id, stored, err := db.Enter(t.Context(), string(e.Kind), e)
		if err != nil || !stored || id == 0 {
			t.Fatalf("%s: %d, %v, %v", e.Kind, id, stored, err)
		}
		want[i].ID = id
		again, stored, err := db.Enter(t.Context(), string(e.Kind), e)
		if err != nil || stored || again != id {
			t.Errorf("%s twice: %d, %v, %v", e.Kind, again, stored, err)
		}
	}
	// Those of another season are left out; former codes are of every season.
	id, _, err := db.Enter(t.Context(), "other", entry(trail.LabNoted, 2030, trail.Data{}))
	must(t, err)
	_, _, err = db.Enter(t.Context(), "not that other", entry(trail.LabWithdrawn, 2030, trail.Data{Withdraws: id}))
	must(t, err)
	must(t, db.Read(t.Context(), func(b *Book) error {
		got, err := b.Entries(t.Context(), 2031)
		if err == nil && !reflect.DeepEqual(got, want) {
			t.Errorf("came back as\n%+v, went in as\n%+v", got, want)
		}
		one, found, err2 := b.Entry(t.Context(), want[3].ID)
		if err2 != nil || !found || !reflect.DeepEqual(one, want[3]) {
			t.Errorf("one: %+v, %v, %v", one, found, err2)
		}
		if _, found, err := b.Entry(t.Context(), 999); found || err != nil {
			t.Errorf("a number that there isn't is found: %v", err)
		}
		return err
	}))
}

func TestEntriesAreKept(t *testing.T) {
	db := memory(t)
	e := trail.Entry{Season: 2031, Kind: trail.LabNoted, Subject: "K-001-C", Person: "lumi", Day: civil.At(noon), At: noon, Why: "torn packet", Way: "command"}
	id, _, err := db.Enter(t.Context(), "k", e)
	must(t, err)
	for _, sql := range []string{
		`delete from trail_entry where id = $1`, `update trail_entry set kind = 'stored' where id = $1`,
		`update trail_entry set data = '{"store": "elsewhere"}' where id = $1`, `update trail_entry set day = day + 1 where id = $1`,
	} {
		if _, err := db.pool.Exec(t.Context(), sql, id); err == nil || !strings.Contains(err.Error(), "are kept") {
			t.Errorf("%s: %v", sql, err)
		}
	}
	if _, err := db.pool.Exec(t.Context(), `update trail_entry set person = 'person-1', why = '' where id = $1`, id); err != nil {
		t.Errorf("a person can't be made a pseudonym: %v", err)
	}
	e.Kind, e.At = "lost", e.At.Add(time.Hour)
	if _, _, err := db.Enter(t.Context(), "l", e); err == nil {
		t.Error("a kind that nobody knows is stored")
	}
}

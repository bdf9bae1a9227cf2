package cli

import (
	"fmt"
	"slices"

	"budcall/internal/feed"
)

// inventories are the lists that say what the stations of another list measure,
// and when; each is read beside that one.
var inventories = map[string]string{"ghcn-inventory": "ghcn-stations", "meteoswiss-inventory": "meteoswiss-stations"}

// readInventory takes from an inventory the years of a list's stations; those
// that measure no temperature by it are left out.
func (r *readLists) readInventory(p pair, s Streams) error {
	list := listNamed(inventories[p.format])
	if !slices.ContainsFunc(r.stations, func(st *listed) bool { return st.list == list }) {
		return misused("the inventory %s has neither names nor altitudes: give --list %s=FILE beside it", p.file, list.format)
	}
	b, err := openList(p, s)
	if err != nil {
		return err
	}
	found := map[string]feed.StationEntry{}
	for _, e := range b.Stations {
		found[e.ID] = e
	}
	known := 0
	r.stations = slices.DeleteFunc(r.stations, func(st *listed) bool {
		e, ok := found[st.ID]
		if st.list != list || !ok {
			return false
		}
		if e.Measures != feed.MeasuresTemperature {
			delete(r.byID, stationKey{list, st.ID})
			return true
		}
		known++
		st.thermometer, st.First, st.Last = true, e.First, e.Last
		return false
	})
	r.files = append(r.files, listFile{format: p.format, file: p.file, stations: known, credit: b.Credit})
	fmt.Fprintf(s.Err, "%s: the years of %s; stations that measure no temperature by it are left out\n", p.file, counted(known, "station"))
	return nil
}

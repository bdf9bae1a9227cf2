package feed

// withoutEmptyEnd is the fields up to the last that isn't empty.
func withoutEmptyEnd(fields []string) []string {
	for len(fields) > 0 && fields[len(fields)-1] == "" {
		fields = fields[:len(fields)-1]
	}
	return fields
}

// headerAgain tells of a header that stands in the middle of a file, as where
// files were put one behind the other. It is no row, and no station.
type headerAgain struct {
	told bool
	over bool // another header came: what its columns are nobody knows
}

// meet takes a header that was met again; same says that its columns are those
// of the first. The first such line is told, for there may be many.
func (h *headerAgain) meet(line int, text string, same bool, rejects *rejectList) {
	switch {
	case !same:
		h.over = true
		rejects.add(line, text, "a header with other columns begins here: it and what follows are not taken (read the files one by one)")
	case !h.told:
		h.told = true
		rejects.add(line, text, "the header stands here again: left out, as wherever it comes again")
	}
}

package sheet

// Shortest writes a number as tables do.
var Shortest = shortest

// Needed gives the columns of a kind that every row fills.
func Needed(k Kind) (names []string) {
	for _, c := range forms[k].columns {
		if c.needed {
			names = append(names, c.name)
		}
	}
	return names
}

// MaxRows is the number of a file's rows that are read, the header included.
const MaxRows = maxRows

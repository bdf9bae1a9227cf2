package pull

// UnitCure is what is said of temperatures in the wrong unit.
var UnitCure = unitCure

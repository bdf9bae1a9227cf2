package config

import "go.yaml.in/yaml/v3"

// Named is a person as some version of a configuration names them.
type Named struct{ Code, Name, Email, Phone string }

// NamedIn gives the people of a configuration's files, which may be ones that
// this program no longer understands as a whole: what it can't read of them it
// leaves out.
func NamedIn(files map[string][]byte) []Named {
	var list struct{ People []Named }
	if yaml.Unmarshal(files[peopleFile], &list) != nil {
		return nil
	}
	return list.People
}

package config_test

import (
	"reflect"
	"testing"

	"budcall/internal/config"
)

// Common practice, no source: whoever is to be forgotten must be found in old
// versions too, however much else of them is no longer understood.
func TestPeopleAreFoundInAConfigurationOfAnyVersion(t *testing.T) {
	for name, c := range map[string]struct {
		file string
		want []config.Named
	}{
		"a person as of today":            {"people:\n  - {code: maja, name: Maja Holm, email: m@example.org}\n", []config.Named{{Code: "maja", Name: "Maja Holm", Email: "m@example.org"}}},
		"a setting that no longer exists": {"pigeons: 3\npeople:\n  - {code: maja, phone: '+358 1', loft: 2}\n", []config.Named{{Code: "maja", Phone: "+358 1"}}},
		"a file that isn't YAML":          {"people: [", nil},
		"a file that isn't about anybody": {"sites: []\n", nil},
		"no file":                         {"", nil},
		"a list in the place of somebody": {"people:\n  - [1]\n", nil},
	} {
		t.Run(name, func(t *testing.T) {
			if got := config.NamedIn(map[string][]byte{"people.yml": []byte(c.file)}); !reflect.DeepEqual(got, c.want) {
				t.Errorf("it finds %v", got)
			}
		})
	}
}

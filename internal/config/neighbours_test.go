package config_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"budcall/internal/config"
)

func TestWhichStationsJudgeEachOther(t *testing.T) {
	for _, row := range []struct {
		sentence, section string
		want              config.Neighbours
		problem           string
	}{
		{"unless set, 8 within 100 km: our assumption", "", config.Neighbours{WithinKm: 100, Most: 8}, ""},
		{"both set", "neighbours: {within_km: 250.5, most: 3}\n", config.Neighbours{WithinKm: 250.5, Most: 3}, ""},
		{"none judges another", "neighbours: {most: 0}\n", config.Neighbours{WithinKm: 100, Most: 0}, ""},
		{"half the world", "neighbours: {within_km: 9000}\n", config.Neighbours{}, "9000 is outside 1 to 500"},
		{"half a station", "neighbours: {most: 2.5}\n", config.Neighbours{}, "2.5 is not a whole number"},
		{"a slip of the pen", "neighbours: {within: 90}\n", config.Neighbours{}, "within"},
	} {
		p, problems := config.Parse(exampleWith(t, "stations.yml", row.section), time.LoadLocation)
		if row.problem != "" {
			if len(problems) == 0 || !strings.Contains(problems[0].String(), row.problem) {
				t.Errorf("%s: %v", row.sentence, problems)
			}
			continue
		}
		if p == nil || p.Neighbours != row.want {
			t.Errorf("%s: %v", row.sentence, problems)
		}
	}
}

// exampleWith is the example folder with a text put before one of its files.
func exampleWith(t *testing.T, file, text string) config.Files {
	t.Helper()
	files := config.Files{}
	root := filepath.Join("..", "..", "config")
	for _, pattern := range []string{"*.yml", "sites/*.yml", "profiles/*.yml"} {
		paths, err := filepath.Glob(filepath.Join(root, pattern))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			body, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			name, err := filepath.Rel(root, path)
			if err != nil {
				t.Fatal(err)
			}
			files[filepath.ToSlash(name)] = body
		}
	}
	files[file] = append([]byte(text), files[file]...)
	return files
}
